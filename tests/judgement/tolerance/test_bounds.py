"""Exact bounds of a probability, against scipy and against what they promise."""

import numpy as np
import pytest
from scipy import stats

from evenfire.judgement.tolerance.bounds import bounds_of

COUNTS = [(0, 1), (1, 1), (0, 10), (3, 10), (9, 10), (10, 10), (1, 1000), (500, 1000), (999, 1000)]
MANY = [(0, 10_000_000), (7, 1_000_000), (1_234, 1_000_000), (312_000, 1_000_000), (999_998, 1_000_000)]


@pytest.mark.parametrize(("seen", "draws"), COUNTS + MANY)
@pytest.mark.parametrize("confidence", [0.95, 0.9875])
def test_the_bounds_are_those_of_scipy(seen: int, draws: int, confidence: float) -> None:
    told = stats.binomtest(seen, draws).proportion_ci(confidence, method="exact")
    assert bounds_of(seen, draws, confidence) == pytest.approx((told.low, told.high), rel=1e-7, abs=1e-300)


def test_none_of_n_says_less_than_the_nth_root_of_a_fortieth() -> None:
    # P(none) = (1 - p)^n = 0.025 by hand; about 3.7 / n.
    lowest, highest = bounds_of(0, 1_000_000)
    assert lowest == 0.0
    assert (1.0 - highest) ** 1_000_000 == pytest.approx(0.025, rel=1e-6)
    assert 3.68e-6 < highest < 3.70e-6


@pytest.mark.parametrize("truth", [0.0005, 0.01, 0.3, 0.97])
def test_the_interval_covers_the_truth_as_often_as_it_says(truth: float) -> None:
    seen = np.random.default_rng(5).binomial(400, truth, 2_000)
    covers = {count: bounds_of(int(count), 400) for count in set(seen)}
    covered = sum(covers[count][0] <= truth <= covers[count][1] for count in seen) / len(seen)
    assert covered >= 0.95 - 3 * (0.95 * 0.05 / len(seen)) ** 0.5

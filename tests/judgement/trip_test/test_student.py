"""Student's t and F against an independent library and against printed tables."""

from math import pi, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from evenfire.errors import ImpossibleValue
from evenfire.judgement.trip_test.student import f_quantile, t_cdf, t_quantile

# JCGM 100, table G.2, from memory: t for 95 % and for 99 %, both sides.
TABLE_G_2 = {1: (12.71, 63.66), 2: (4.30, 9.92), 3: (3.18, 5.84), 4: (2.78, 4.60), 5: (2.57, 4.03), 10: (2.23, 3.17),
             16: (2.12, 2.92), 20: (2.09, 2.85), 50: (2.01, 2.68), 100: (1.984, 2.626)}  # fmt: skip


@pytest.mark.parametrize("freedom", TABLE_G_2)
def test_t_is_what_the_table_of_the_guide_prints(freedom: int) -> None:
    at_95, at_99 = TABLE_G_2[freedom]
    digits = 5e-4 if freedom == 100 else 5e-3
    assert t_quantile(0.975, freedom) == pytest.approx(at_95, abs=digits)
    assert t_quantile(0.995, freedom) == pytest.approx(at_99, abs=digits)


@given(st.floats(0.001, 0.9995), st.floats(1.0, 1e5))
def test_t_agrees_with_an_independent_library(probability: float, freedom: float) -> None:
    assert t_quantile(probability, freedom) == pytest.approx(stats.t.ppf(probability, freedom), rel=1e-7, abs=1e-7)
    assert t_cdf(3.0 * probability - 1.5, freedom) == pytest.approx(
        stats.t.cdf(3.0 * probability - 1.5, freedom), abs=1e-8
    )


def test_with_endlessly_many_degrees_of_freedom_t_is_the_normal_distribution() -> None:
    assert t_quantile(0.975, float("inf")) == pytest.approx(stats.norm.ppf(0.975), abs=1e-9)
    assert t_cdf(1.0, float("inf")) == pytest.approx(stats.norm.cdf(1.0), abs=1e-9)


@pytest.mark.parametrize(("above", "below"), [(1, 1), (1, 4), (2, 2), (2, 9), (5, 3), (3, 40)])
def test_f_agrees_with_an_independent_library(above: int, below: int) -> None:
    assert f_quantile(0.95, above, below) == pytest.approx(stats.f.ppf(0.95, above, below), rel=1e-8)


@pytest.mark.parametrize(("probability", "freedom"), [(0.0, 3.0), (1.0, 3.0), (0.9, 0.0), (0.9, -1.0)])
def test_what_is_no_probability_is_refused(probability: float, freedom: float) -> None:
    with pytest.raises(ImpossibleValue):
        t_quantile(probability, freedom)


@pytest.mark.parametrize("freedom", [1.0, 3.0, 1e9])
def test_t_is_nought_in_the_middle_and_reaches_one_and_nought_at_its_ends(freedom: float) -> None:
    assert t_quantile(0.5, freedom) == 0.0
    assert t_cdf(0.0, freedom) == pytest.approx(0.5)
    assert (t_cdf(float("-inf"), freedom), t_cdf(float("inf"), freedom)) == (0.0, 1.0)


@pytest.mark.parametrize("outside", [2.0**-4, 2.0**-20, 2.0**-40])
def test_near_certainty_t_keeps_its_digits(outside: float) -> None:
    # With one degree of freedom it is the distribution of Cauchy: t = cot(pi x what is left outside), in closed form.
    assert t_quantile(1.0 - outside, 1.0) == pytest.approx(1.0 / tan(pi * outside), rel=1e-9)

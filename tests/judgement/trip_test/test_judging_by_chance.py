"""Thousands of trip tests played with dice of the test's own: what is claimed with 95 % has to hold with 95 %.

The boiler, the gauge and the person are drawn here: where the control truly acts, how it scatters, how far the gauge
is off within its class, how it is rounded to half a division, how late it is read.
"""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from numpy.typing import NDArray

from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.judgement.trip_test.judging import judge_trip
from evenfire.judgement.trip_test.repeatability import Scatter
from evenfire.judgement.trip_test.trip import Earlier, TripResult, Verdict
from evenfire.plant.controls import Filling
from evenfire.si import M_PER_FT, PA_PER_PSI
from tests.judgement.trip_test.trips_at_140 import gauge, leg, psi, readings, trip
from tools.trip_pages import SETUPS, Setup

Floats = NDArray[np.float64]
RATE = 0.1
"""[psi/s]"""
TESTS = 1000
FEET_OF_LEG = 2.0
THREE_SIGMA = 3.0


@dataclass(frozen=True)
class Played:
    """One test that was drawn, and how it was judged."""

    truth: float
    """[psi]"""
    next_action: float
    """[psi]"""
    result: TripResult


def played(truth: Floats, on: ReferenceGauge, *, scatter: float, repeats: int, freedom: int, seed: int) -> list[Played]:
    """Play a test for each true trip point [psi]; ``freedom`` is what earlier tests of the control left behind."""
    dice = np.random.default_rng(seed)
    error, division = float(on.permissible_error or 0.0) / PA_PER_PSI, float(on.division or 1.0) / PA_PER_PSI
    certified = float(on.expanded_uncertainty or 0.0) / PA_PER_PSI / on.coverage_factor
    unsure = on.water_leg is not None and on.water_leg.filling is Filling.UNSURE
    found = []
    for each in truth:
        off = dice.uniform(-error, error) + dice.normal(0.0, certified)
        head = 0.433 * (on.water_leg.height / M_PER_FT if on.water_leg else 0.0) * (dice.uniform() if unsure else 1.0)
        actions = each + dice.normal(0.0, scatter, repeats)
        late = RATE * dice.uniform(-1.0, 1.0)
        shown = np.round((actions + head + off + late) / division) * division
        past = Scatter(sum_of_squares=psi(scatter) * psi(scatter) * dice.chisquare(freedom), degrees_of_freedom=freedom)
        test = replace(trip(on=on), readings=readings(*shown), rate=psi(RATE))
        result = judge_trip(test, Earlier(this_control=(past,)))
        found.append(Played(float(each), float(each + dice.normal(0.0, scatter)), result))
    return found


def at_most_by_chance(share: float, count: int) -> float:
    """What a share of so many may come to by chance."""
    return share + THREE_SIGMA * float(np.sqrt(share * (1.0 - share) / count))


ON_GAUGES = [
    pytest.param(gauge(0.25, 0.5, 0.1), 0.3, 3, 2, id="fine gauge, little known of the control"),
    pytest.param(gauge(0.25, 0.5, 0.1), 0.3, 1, 8, id="fine gauge, one reading, known control"),
    pytest.param(gauge(1.0, 1.0, 0.3), 0.3, 3, 8, id="gauge of one psi"),
    pytest.param(gauge(0.25, 0.5, 0.1), 1.0, 2, 4, id="control that scatters"),
    pytest.param(
        gauge(0.25, 0.5, 0.1, water_leg=leg(FEET_OF_LEG, filling=Filling.UNSURE)), 0.3, 3, 8, id="leg part empty"
    ),
]


@pytest.mark.parametrize(("on", "scatter", "repeats", "freedom"), ON_GAUGES)
def test_expanded_uncertainty_covers_the_truth_as_often_as_it_says(
    on: ReferenceGauge, scatter: float, repeats: int, freedom: int
) -> None:
    truth = np.random.default_rng(5).uniform(130.0, 150.0, TESTS)
    tests = played(truth, on, scatter=scatter, repeats=repeats, freedom=freedom, seed=6)
    outside, above = 0, 0
    for each in tests:
        result = each.result
        assert result.trip is not None
        assert result.budget is not None
        assert result.guard_above is not None
        outside += abs(result.trip - psi(each.truth)) > result.budget.expanded_uncertainty
        above += psi(each.next_action) > result.trip + result.guard_above
    assert outside / TESTS <= at_most_by_chance(0.05, TESTS)
    assert above / TESTS <= at_most_by_chance(0.05, TESTS)


@pytest.mark.parametrize(("on", "scatter", "repeats", "freedom"), ON_GAUGES)
def test_a_control_that_acts_above_its_upper_limit_passes_once_in_twenty_at_most(
    on: ReferenceGauge, scatter: float, repeats: int, freedom: int
) -> None:
    # At the limit itself, and so more seldom the further above: JCGM 106, consumer's risk.
    tests = played(np.full(TESTS, 144.0), on, scatter=scatter, repeats=repeats, freedom=freedom, seed=7)
    passed = sum(each.result.verdict.is_safe for each in tests)
    assert passed / TESTS <= at_most_by_chance(0.05, TESTS)


def plays_of(setup: Setup, count: int, seed: int) -> list[Verdict]:
    """Healthy controls of a row of the page, each tested; every place in the band as likely."""
    dice = np.random.default_rng(seed)
    found = []
    gauge_, planned = setup.reference, setup.planned
    half = 0.5 * setup.division
    for truth in dice.uniform(setup.set_at - setup.band, setup.set_at + setup.band, count):
        off = dice.uniform(-setup.error, setup.error) + dice.normal(0.0, setup.uncertainty / gauge_.coverage_factor)
        # A person puts the pointer between two lines, a little wrong and each time the same way (JCGM 100, F.2.2.1).
        off += dice.uniform(-half, half) + 4.0 / 60.0 * dice.uniform(-1.0, 1.0)
        actions = truth + dice.normal(0.0, setup.scatter, planned.repeats) + off
        past = Scatter(
            sum_of_squares=psi(setup.scatter) ** 2 * dice.chisquare(setup.earlier) if setup.earlier else 0.0,
            degrees_of_freedom=setup.earlier,
        )
        test = replace(
            trip(on=gauge_),
            set_pressure=planned.set_pressure,
            band=planned.band,
            rate=planned.rate,
            readings=readings(*actions),
        )
        found.append(judge_trip(test, Earlier(this_control=(past,) if setup.earlier else ())).verdict)
    return found


def shares_agree(setup: Setup, count: int) -> None:
    """The page's share of undecided controls against dice.

    The plan knows the scatter that is expected, a test only its own: with few degrees of freedom the guard bands swing
    from test to test, and a share that bends with them moves. It may by a tenth of the band then.
    """
    verdicts = plays_of(setup, count, seed=12)
    undecided = {Verdict.UNDECIDED_HIGH, Verdict.SAFE_MAY_TRIP_LOW}
    left = sum(each in undecided for each in verdicts) / count
    share = setup.plan.share_undecided
    assert share is not None
    by_chance = at_most_by_chance(share, count) - share
    assert left == pytest.approx(share, abs=by_chance + (0.02 if setup.earlier else 0.10)), setup


@pytest.mark.parametrize("setup", [SETUPS[place] for place in (3, 5, 10, 17)], ids=lambda setup: setup.gauge)
def test_the_share_of_healthy_controls_left_undecided_is_what_the_page_says(setup: Setup) -> None:
    shares_agree(setup, 800)


@pytest.mark.soak
@pytest.mark.parametrize("setup", SETUPS)
def test_every_row_of_the_page_holds_against_dice(setup: Setup) -> None:
    shares_agree(setup, 3000)

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
from evenfire.judgement.trip_test.planning import Planned, plan_of
from evenfire.judgement.trip_test.repeatability import Pool, Repeatability, Scatter
from evenfire.judgement.trip_test.trip import Earlier, TripResult, Verdict
from evenfire.plant.controls import Filling
from evenfire.si import M_PER_FT, PA_PER_PSI
from tests.judgement.trip_test.trips_at_140 import TODAY, gauge, gauge_psi, leg, psi, readings, trip

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


SETUPS = [
    pytest.param(gauge(0.25, 0.5, 0.1), 0.3, 3, 2, id="fine gauge, little known of the control"),
    pytest.param(gauge(0.25, 0.5, 0.1), 0.3, 1, 8, id="fine gauge, one reading, known control"),
    pytest.param(gauge(1.0, 1.0, 0.3), 0.3, 3, 8, id="gauge of one psi"),
    pytest.param(gauge(0.25, 0.5, 0.1), 1.0, 2, 4, id="control that scatters"),
    pytest.param(
        gauge(0.25, 0.5, 0.1, water_leg=leg(FEET_OF_LEG, filling=Filling.UNSURE)), 0.3, 3, 8, id="leg part empty"
    ),
]


@pytest.mark.parametrize(("on", "scatter", "repeats", "freedom"), SETUPS)
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


@pytest.mark.parametrize(("on", "scatter", "repeats", "freedom"), SETUPS)
def test_a_control_that_acts_above_its_upper_limit_passes_once_in_twenty_at_most(
    on: ReferenceGauge, scatter: float, repeats: int, freedom: int
) -> None:
    # At the limit itself, and so more seldom the further above: JCGM 106, consumer's risk.
    tests = played(np.full(TESTS, 144.0), on, scatter=scatter, repeats=repeats, freedom=freedom, seed=7)
    passed = sum(each.result.verdict.is_safe for each in tests)
    assert passed / TESTS <= at_most_by_chance(0.05, TESTS)


@pytest.mark.parametrize(("on", "band"), [(gauge(0.25, 0.2, 0.1), 2.0), (gauge(0.75, 1.0, 0.2), 4.0)])
def test_the_share_of_healthy_controls_left_undecided_is_what_the_plan_said(on: ReferenceGauge, band: float) -> None:
    freedom, scatter = 30, 0.3
    planned = Planned(
        set_pressure=gauge_psi(140.0),
        band=psi(band),
        on=TODAY,
        rate=psi(RATE),
        repeatability=Repeatability(
            standard_deviation=psi(scatter), degrees_of_freedom=freedom, pool=Pool.THIS_CONTROL
        ),
    )
    (plan,) = plan_of(planned, (on,)).gauges
    truth = np.random.default_rng(8).uniform(140.0 - band, 140.0 + band, TESTS)
    wide = played(truth, on, scatter=scatter, repeats=3, freedom=freedom, seed=9)
    undecided = {Verdict.UNDECIDED_HIGH, Verdict.SAFE_MAY_TRIP_LOW}
    left = sum(_verdict_within(each, band) in undecided for each in wide) / TESTS
    assert plan.share_undecided is not None
    # The plan has readings everywhere, a person reads whole divisions: at either end up to half of one falls otherwise.
    by_division = (on.division or 0.0) / psi(2.0 * band)
    by_chance = at_most_by_chance(plan.share_undecided, TESTS) - plan.share_undecided
    assert left == pytest.approx(plan.share_undecided, abs=by_division + by_chance)


def _verdict_within(each: Played, band: float) -> Verdict:
    """By the limits of JCGM 106, worked out here from the result's own mean and doubt."""
    result = each.result
    assert result.trip is not None
    assert result.budget is not None
    assert result.guard_above is not None
    assert result.highest_seen is not None
    if result.highest_seen > gauge_psi(140.0 + band):
        return Verdict.TRIPS_HIGH
    if result.trip > gauge_psi(140.0 + band) - result.guard_above:
        return Verdict.UNDECIDED_HIGH
    if result.trip < gauge_psi(140.0 - band):
        return Verdict.TRIPS_LOW
    is_unsure = result.trip < gauge_psi(140.0 - band) + result.budget.expanded_uncertainty
    return Verdict.SAFE_MAY_TRIP_LOW if is_unsure else Verdict.PASSED

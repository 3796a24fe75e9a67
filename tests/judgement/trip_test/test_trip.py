"""A trip test and its verdicts: what no test can have been, and what a verdict means for the boiler."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from evenfire.errors import ImpossibleValue
from evenfire.judgement.trip_test.trip import TESTED, Acceptance, Reading, TripResult, Verdict
from evenfire.plant.controls import Role
from evenfire.si import DiffPa, Dimension, GaugePa
from tests.judgement.trip_test.trips_at_140 import gauge_psi, psi, trip

# Nothing acts at or below atmosphere, no band is nought, and in a true rise the pressure does not fall.
IMPOSSIBLE: list[tuple[Callable[[], object], str, Dimension]] = [
    (lambda: replace(trip(), set_pressure=gauge_psi(0.0)), "set", Dimension.GAUGE_PRESSURE),
    (lambda: replace(trip(), set_pressure=gauge_psi(-5.0)), "set", Dimension.GAUGE_PRESSURE),
    (lambda: replace(trip(), set_pressure=GaugePa(float("nan"))), "set", Dimension.GAUGE_PRESSURE),
    (lambda: replace(trip(), band=psi(0.0)), "within", Dimension.PRESSURE_DIFFERENCE),
    (lambda: replace(trip(), band=DiffPa(float("nan"))), "within", Dimension.PRESSURE_DIFFERENCE),
    (lambda: replace(trip(), rate=-1.0), "rise", Dimension.PRESSURE_DIFFERENCE),
    (lambda: Reading(shown=gauge_psi(140.0), burner_off_after=-1.0), "burner_off", Dimension.TIME),
]


@pytest.mark.parametrize(("made", "field", "dimension"), IMPOSSIBLE)
def test_what_cannot_have_been_is_refused_in_its_unit(
    made: Callable[[], object], field: str, dimension: Dimension
) -> None:
    with pytest.raises(ImpossibleValue) as refused:
        made()
    assert (refused.value.field, refused.value.found.dimension) == (field, dimension)


# By hand. Unsafe: the limit does not do what it is for. Safe: shown to act below its upper limit. The rest is neither.
UNSAFE = {Verdict.DID_NOT_OPEN, Verdict.DOES_NOT_LATCH, Verdict.TRIPS_HIGH}
SAFE = {Verdict.TRIPS_LOW, Verdict.SAFE_MAY_TRIP_LOW, Verdict.PASSED}


@pytest.mark.parametrize("verdict", Verdict)
def test_a_verdict_is_safe_or_unsafe_or_neither(verdict: Verdict) -> None:
    assert verdict.is_unsafe is (verdict in UNSAFE)
    assert verdict.is_safe is (verdict in SAFE)


LIMITS = Acceptance(
    lower_limit=gauge_psi(136.0), upper_limit=gauge_psi(144.0), lowest=gauge_psi(137.0), highest=gauge_psi(143.0)
)


@pytest.mark.parametrize(
    ("acceptance", "most", "up_to"),
    [
        (None, gauge_psi(142.0), None),
        (LIMITS, None, gauge_psi(143.0)),
        (LIMITS, gauge_psi(144.0), gauge_psi(143.0)),  # the guard band is kept
        (LIMITS, gauge_psi(142.0), gauge_psi(142.0)),  # a single action above its abort pressure fails
    ],
)
def test_it_passes_up_to_the_lower_of_guard_band_and_most(
    acceptance: Acceptance | None, most: GaugePa | None, up_to: GaugePa | None
) -> None:
    assert TripResult(verdict=Verdict.PASSED, acceptance=acceptance, most=most).passes_up_to == up_to


def test_the_two_controls_that_stop_a_burner_by_pressure_are_the_ones_to_test() -> None:
    assert set(TESTED) == {Role.HIGH_LIMIT, Role.OPERATING_LIMIT}

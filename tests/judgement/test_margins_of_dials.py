"""Which dial widens which margin, tried by turning it; how hard a demand is; and where touching is enough."""

from functools import cache
from typing import Final

import pytest

from evenfire.judgement.case import Case
from evenfire.judgement.margins import Margin, Sense, Tier, least_room, room
from evenfire.plant.controls import Role
from tests.judgement.plants_for_rules import HIGH_PRESSURE, LOW_PRESSURE, Table, case_of, edited

PSI = 6894.757293168
OL, HL, FR, HOLD = Role.OPERATING_LIMIT, Role.HIGH_LIMIT, Role.FIRING_RATE, Role.LOW_FIRE_HOLD
DIALS: Final[dict[tuple[Role, str], str]] = {
    (OL, "main"): "operating_limit",
    (OL, "differential"): "operating_limit_differential",
    (HL, "main"): "high_limit",
    (FR, "main"): "firing_rate",
    (FR, "differential"): "firing_rate_differential",
    (HOLD, "main"): "low_fire_hold",
}
READINGS: Final = {
    "operating_limit": 125.0,
    "operating_limit_differential": 10.0,
    "high_limit": 135.0,
    "firing_rate": 105.0,
    "firing_rate_differential": 10.0,
    "low_fire_hold": 60.0,
}
"""As the bakery was found [psi]."""

# Danger is never traded; that two settings lie as practice has them is taken where it costs nothing. By hand, from what
# each demand guards against.
NEVER: Final = {
    "cut-out-below-high-limit",
    "high-limit-within-mawp",
    "high-limit-within-low-pressure",
    "high-limit-below-valve",
    "high-limit-stops-before-valve",
    "cut-out-within-downstream-rating",
}
USUAL: Final = {"cut-in-above-high-fire"}
# A valve may not lift, a limit may not trip and a hold may not hold at the very pressure; a rating, a wish and a need
# are kept by touching them.
TOUCHING_IS_ENOUGH: Final = {
    "high-limit-within-mawp",
    "high-limit-within-low-pressure",
    "cut-out-within-downstream-rating",
    "working-pressure-below-valve",
    "cut-out-within-wish",
    "need-at-full-load",
    "restart-holds-need",
    "cut-in-above-high-fire",
}


@cache
def turned(dial: tuple[Role, str] | None, by: float) -> Case:
    """The bakery with one dial turned [psi]; run-on and undershoot are measured, so that nothing else moves."""
    if dial is None:
        return case_of(HIGH_PRESSURE)
    name = DIALS[dial]
    return case_of(edited(HIGH_PRESSURE, {f"boiler.as_found.{name}": f"{READINGS[name] + by} psi"}))


def demands(table: Table) -> dict[str, Margin]:
    return {demand.code: demand for demand in case_of(table).demands}


def room_of(code: str, case: Case) -> float:
    (demand,) = [each for each in case.demands if each.code == code]
    return float(room(demand, case.stack, case.facts))


@pytest.mark.parametrize("code", demands(HIGH_PRESSURE))
def test_a_dial_that_is_said_to_widen_a_margin_does_and_no_other_dial_does_so_unsaid(code: str) -> None:
    demand = demands(HIGH_PRESSURE)[code]
    before = room_of(code, turned(None, 0.0))
    for dial in DIALS:
        higher, lower = (room_of(code, turned(dial, by)) - before for by in (0.5, -0.5))
        widens = {"raise": higher > 0.1 * PSI, "lower": lower > 0.1 * PSI}
        said = {"raise": dial in demand.raise_to_widen, "lower": dial in demand.lower_to_widen}
        if is_not_said_on_purpose(code, dial):
            assert said == {"raise": False, "lower": False}
        else:
            assert said == widens
    assert demand.raise_to_widen or demand.lower_to_widen


def is_not_said_on_purpose(code: str, dial: tuple[Role, str]) -> bool:
    """A high limit is never raised as a cure, and a hold that is a trap is cured by its own dial, not by the work."""
    role, _ = dial
    return (
        role is HL
        if code in {"cut-out-below-high-limit", "cut-out-clear-of-high-limit"}
        else (role is not HOLD and code in {"hold-below-restart", "hold-below-full-load"})
    )


@pytest.mark.parametrize("table", [HIGH_PRESSURE, LOW_PRESSURE], ids=["high pressure", "low pressure"])
def test_danger_is_never_relaxed_and_only_practice_is_taken_where_it_costs_nothing(table: Table) -> None:
    for code, demand in demands(table).items():
        assert demand.tier is (Tier.NEVER_RELAXED if code in NEVER else Tier.USUAL if code in USUAL else Tier.WANTED)


@pytest.mark.parametrize("table", [HIGH_PRESSURE, LOW_PRESSURE], ids=["high pressure", "low pressure"])
def test_touching_a_rating_is_enough_and_touching_a_valve_a_trip_or_a_band_is_not(table: Table) -> None:
    for code, demand in demands(table).items():
        assert (demand.sense is not Sense.BELOW) is (code in TOUCHING_IS_ENOUGH)
        # Less than a thousandth of a psi is the noise of units.
        assert (least_room(demand) <= 0.0) is (code in TOUCHING_IS_ENOUGH)
        assert 0.0 < abs(least_room(demand)) < 1e-3 * PSI


# The tolerance in which a margin is weighed is that of every control that it stands between.
WEIGHED_IN: Final[dict[str, set[Role]]] = {
    "cut-out-below-high-limit": {OL, HL},
    "high-limit-within-mawp": {HL},
    "high-limit-within-low-pressure": {HL},
    "high-limit-below-valve": {HL},
    "high-limit-stops-before-valve": {HL},
    "cut-out-within-downstream-rating": {OL},
    "cut-out-clear-of-high-limit": {OL, HL},
    "working-pressure-below-valve": {OL},
    "working-pressure-below-reseat": {OL},
    "cut-out-within-wish": {OL},
    "low-fire-before-cut-out": {OL, FR},
    "need-at-full-load": {FR},
    "restart-holds-need": {OL},
    "hold-below-restart": {HOLD, OL},
    "hold-below-full-load": {HOLD, FR},
    "cut-in-above-high-fire": {OL, FR},
}


@pytest.mark.parametrize("table", [HIGH_PRESSURE, LOW_PRESSURE], ids=["high pressure", "low pressure"])
def test_a_margin_is_weighed_in_the_tolerances_of_the_controls_that_it_stands_between(table: Table) -> None:
    for code, demand in demands(table).items():
        assert set(demand.tolerances) == WEIGHED_IN[code]


# By hand from the bakery's numbers: cut-out 125, cut-in 115, high fire 105, low fire 115, trip 135, hold 60, two psi
# each, run-on 1 and 4, undershoot 4; need 100, wish 130, rated 150, MAWP and valves 150, lift at 145.5, shut 6 psi
# lower.
ROOMS: Final = {
    "cut-out-below-high-limit": 10.0,
    "high-limit-within-mawp": 15.0,
    "high-limit-below-valve": 13.0,
    "high-limit-stops-before-valve": 4.5,
    "cut-out-within-downstream-rating": 22.0,
    "cut-out-clear-of-high-limit": 5.0,
    "working-pressure-below-valve": 7.0,
    "working-pressure-below-reseat": 11.5,
    "cut-out-within-wish": 2.0,
    "low-fire-before-cut-out": 6.0,
    "need-at-full-load": 3.0,
    "restart-holds-need": 9.0,
    "hold-below-restart": 47.0,
    "hold-below-full-load": 41.0,
    "cut-in-above-high-fire": 10.0,
}


@pytest.mark.parametrize("code", ROOMS)
def test_the_room_of_every_demand_of_the_bakery_is_mental_arithmetic(code: str) -> None:
    assert room_of(code, turned(None, 0.0)) / PSI == pytest.approx(ROOMS[code], abs=0.01)


def test_every_demand_that_the_bakery_makes_is_worked_out_here() -> None:
    assert set(demands(HIGH_PRESSURE)) == set(ROOMS)

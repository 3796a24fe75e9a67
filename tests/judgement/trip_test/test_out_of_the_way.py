"""How far the operating limit may be set up for a true rise of the high limit; every number is mental arithmetic."""

import pytest

from evenfire.judgement.trip_test.out_of_the_way import OutOfTheWay, out_of_the_way
from evenfire.plant.known import Missing
from evenfire.si import PA_PER_PSI
from tests.judgement.plants_for_rules import HIGH_PRESSURE, REMOVED, Edits, case_of, edited

DIAL = "boiler.controls.operating_limit.tolerance"


def highest_psi(edits: Edits) -> float:
    found = out_of_the_way(case_of(edited(HIGH_PRESSURE, edits)))
    assert isinstance(found, OutOfTheWay)
    return found.highest / PA_PER_PSI


def test_it_stops_the_burner_before_a_valve_may_lift() -> None:
    # As in test_abort: valves at 150 psi lift from 145.5 on (3 %, VSH), run-on 1 psi; a dial that may be 2 psi off.
    assert highest_psi({DIAL: {"dial": "2 psi", "proved": "0.5 psi"}}) == pytest.approx(142.5)


def test_a_coarser_dial_leaves_less_and_what_was_proved_elsewhere_does_not_help() -> None:
    assert highest_psi({DIAL: {"dial": "4 psi", "proved": "0.5 psi"}}) == pytest.approx(140.5)
    proved: Edits = {DIAL: {"dial": "4 psi", "proved": "0.5 psi"}, "boiler.as_found.proved": ["operating_limit"]}
    assert highest_psi(proved) == pytest.approx(140.5)


@pytest.mark.parametrize(
    ("lacking", "key"),
    [(DIAL, "controls.operating_limit.tolerance.dial"), ("boiler.safety_valve", "safety_valve.set")],
)
def test_without_the_tolerance_or_a_valve_it_is_not_known(lacking: str, key: str) -> None:
    found = out_of_the_way(case_of(edited(HIGH_PRESSURE, {lacking: REMOVED})))
    assert isinstance(found, Missing)
    assert key in found.keys

"""What people of the trade know about these settings, held against the rule book.

Every number here is common practice, no source; each test says so again beside its check.
"""

import pytest

from evenfire.judgement.outcome import Clear, Finding, Outcome, Severity
from evenfire.judgement.rulebook import judge
from evenfire.physics.firing import steady_pressure
from evenfire.plant.known import Missing
from evenfire.si import PA_PER_PSI
from tests.judgement.plants_for_rules import HIGH_PRESSURE, LOW_PRESSURE, WATER_TUBE, Edits, Table, case_of, edited

FOUND = "boiler.as_found."


def outcomes(table: Table) -> dict[str, list[Outcome]]:
    told: dict[str, list[Outcome]] = {}
    for outcome in judge(case_of(table)):
        told.setdefault(outcome.code, []).append(outcome)
    return told


def only(table: Table, code: str) -> Outcome:
    (outcome,) = outcomes(table)[code]
    return outcome


def settings(high_fire: int, differential: int, cut_out: int, cut_in_below: int, high_limit: int) -> Edits:
    return {
        FOUND + "firing_rate": f"{high_fire} psi",
        FOUND + "firing_rate_differential": f"{differential} psi",
        FOUND + "operating_limit": f"{cut_out} psi",
        FOUND + "operating_limit_differential": f"{cut_in_below} psi",
        FOUND + "high_limit": f"{high_limit} psi",
    }


def psi(value: float | Missing) -> float:
    assert not isinstance(value, Missing)
    return value / PA_PER_PSI


def test_a_plant_that_runs_at_about_120_with_the_burner_shut_off_at_140_is_in_order() -> None:
    # Common practice, no source: works at about 120 psi, burner off at 140. Valves that suit it stand at 165.
    valves: Edits = {
        f"boiler.safety_valve.{place}.{key}": text
        for place in (0, 1)
        for key, text in (("set", "165 psi"), ("lift_tested_at", "130 psi"))
    }
    load: Edits = {"boiler.mawp": "165 psi", "load.wish": "145 psi", "boiler.gauge.to": "350 psi"}
    scale: Edits = {"boiler.controls.operating_limit.scale.to": "200 psi"}
    table = edited(HIGH_PRESSURE, {**settings(115, 15, 140, 20, 150), **valves, **load, **scale})
    assert steady_pressure(0.75, 115.0, 130.0, 0.25) == pytest.approx(120, abs=1)
    wrong = [each for each in judge(case_of(table)) if not isinstance(each, Clear)]
    assert [each.code for each in wrong if each.severity is not Severity.ADVISE] == []


def test_a_band_of_110_to_125_has_its_cut_out_at_the_highest_pressure_wanted() -> None:
    # Common practice, no source: band about 110 to 125, cut-out at the highest pressure anybody wants to see.
    # Tolerance and run-on are 3 psi, so a cut-out set at 132 stays within a highest wanted pressure of 135.
    table = edited(HIGH_PRESSURE, {**settings(110, 15, 132, 15, 140), "load.wish": "135 psi"})
    for code in ("cut-out-within-wish", "low-fire-before-cut-out", "cut-in-above-high-fire", "restart-holds-need"):
        assert isinstance(only(table, code), Clear), code


def test_a_cut_out_at_the_working_pressure_cuts_the_band_in_two() -> None:
    # Common practice, no source: the cut-out does not belong at the working pressure.
    table = edited(HIGH_PRESSURE, settings(110, 15, 120, 8, 140))
    assert isinstance(only(table, "low-fire-before-cut-out"), Finding)


@pytest.mark.parametrize("differential", [5, 10, 15])
def test_the_set_point_of_the_firing_rate_is_high_fire_and_its_differential_ends_at_low_fire(differential: int) -> None:
    # Common practice, no source: 5, 10 or 15 psi of differential count above the set point, and end at low fire.
    stack = case_of(edited(HIGH_PRESSURE, settings(110, differential, 132, 15, 140))).stack
    assert psi(stack.high_fire) == pytest.approx(110, abs=0.001)
    assert psi(stack.low_fire) == pytest.approx(110 + differential, abs=0.001)


@pytest.mark.parametrize(("cut_out", "is_short_cycling"), [(124, True), (125, True), (130, False)])
def test_a_cut_out_reached_before_low_fire_is_short_cycling(cut_out: int, is_short_cycling: bool) -> None:
    # Common practice, no source: low fire is at 125. Between 125 and 129 the tolerances decide, which is arithmetic.
    outcome = only(edited(HIGH_PRESSURE, settings(110, 15, cut_out, 8, 140)), "low-fire-before-cut-out")
    assert isinstance(outcome, Finding) is is_short_cycling


def test_the_high_limit_stands_below_the_relief_valve_and_the_mawp() -> None:
    # Common practice, no source.
    above_valve = edited(HIGH_PRESSURE, {FOUND + "high_limit": "152 psi"})
    above_mawp = edited(HIGH_PRESSURE, {"boiler.mawp": "130 psi"})
    for table, code in ((above_valve, "high-limit-below-valve"), (above_mawp, "high-limit-within-mawp")):
        outcome = only(table, code)
        assert isinstance(outcome, Finding)
        assert outcome.severity is Severity.STOP


def test_the_high_limit_needs_a_reset_by_hand() -> None:
    # Common practice, no source.
    outcome = only(edited(HIGH_PRESSURE, {"boiler.controls.high_limit.reset": "automatic"}), "high-limit-manual-reset")
    assert isinstance(outcome, Finding)
    assert outcome.severity is Severity.STOP


def test_a_high_limit_too_close_to_the_operating_limit_trips_for_nothing_and_is_no_danger() -> None:
    # Common practice, no source.
    outcome = only(edited(HIGH_PRESSURE, {FOUND + "high_limit": "128 psi"}), "cut-out-clear-of-high-limit")
    assert isinstance(outcome, Finding)
    assert outcome.severity is Severity.WARN


@pytest.mark.parametrize("hold", ["2 psi", "2.5 psi", "3 psi"])
def test_the_hold_of_a_low_pressure_boiler_may_be_as_low_as_2_to_3_psi(hold: str) -> None:
    # Common practice, no source.
    table = edited(LOW_PRESSURE, {FOUND + "low_fire_hold": hold})
    assert isinstance(only(table, "hold-usual-low-pressure"), Clear)


def test_the_hold_of_a_water_tube_boiler_is_generally_100_psi() -> None:
    # Common practice, no source.
    assert isinstance(only(WATER_TUBE, "hold-usual-watertube"), Clear)
    low = edited(WATER_TUBE, {FOUND + "low_fire_hold": "50 psi"})
    assert isinstance(only(low, "hold-usual-watertube"), Finding)
    fire_tube = edited(HIGH_PRESSURE, {FOUND + "low_fire_hold": "50 psi"})
    assert "hold-usual-watertube" not in outcomes(fire_tube)

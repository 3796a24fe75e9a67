"""A higher target, what pressure costs in starts, and which surveyed value decides a margin."""

import pytest

from evenfire.errors import BelowNeed
from evenfire.judgement.behaviour import Cycling
from evenfire.judgement.outcome import Finding, Severity
from evenfire.judgement.settle.pulls import variants_of
from evenfire.judgement.settle.result import Fits, NothingFits
from evenfire.judgement.settle.retarget import one_division, retargeted
from evenfire.judgement.settle.settling import settle
from evenfire.plant.controls import Role
from evenfire.si import PA_PER_PSI, GaugePa
from tests.surveys import survey


def psi(value: float) -> GaugePa:
    return GaugePa(value * PA_PER_PSI)


def fits(edits: dict[str, object] | None = None, plant: str = "laundry") -> Fits:
    surveyed = survey(edits, plant).plant
    answer = settle(surveyed, surveyed.boilers[0])
    assert isinstance(answer, Fits)
    return answer


def test_one_division_up_moves_need_and_wish_together_and_settles() -> None:
    plant = survey().plant
    boiler = plant.boilers[0]
    division = one_division(boiler)
    assert division == pytest.approx(2 * PA_PER_PSI)
    raised = retargeted(plant, psi(107))
    assert raised.load.need == pytest.approx(107 * PA_PER_PSI)
    assert raised.load.wish == pytest.approx(132 * PA_PER_PSI)
    assert raised.load.rated_max == plant.load.rated_max
    assert isinstance(settle(raised, boiler), Fits)


def test_a_target_below_the_need_is_stopped_by_the_need() -> None:
    with pytest.raises(BelowNeed):
        retargeted(survey().plant, psi(104))


def test_a_target_too_near_the_valve_says_which_rule_bites_and_what_would_cure_it() -> None:
    plant = survey().plant
    answer = settle(retargeted(plant, psi(120)), plant.boilers[0])
    assert isinstance(answer, NothingFits)
    codes = {code for conflict in answer.conflicts for code in conflict.codes}
    # Above 120 psi of need the restart asks for a cut-out that the 10 % below the 150 psi valve does not leave.
    assert "restart-holds-need" in codes
    assert codes & {"working-pressure-below-valve", "working-pressure-below-reseat", "cut-out-clear-of-high-limit"}
    assert all(conflict.cures for conflict in answer.conflicts)
    for cure in answer.conflicts[0].cures:
        changed = cure.change(retargeted(plant, psi(120)), plant.boilers[0])
        if len(answer.conflicts) == 1:
            assert isinstance(settle(*changed), Fits), cure.kind


def test_the_rating_downstream_stops_a_target() -> None:
    plant = survey({"load.rated_max": "128 psi", "load.wish": None}).plant
    answer = settle(retargeted(plant, psi(112)), plant.boilers[0])
    assert isinstance(answer, NothingFits)
    assert "raise-downstream-rating" in {cure.kind.value for each in answer.conflicts for cure in each.cures}


def test_the_trade_falls_with_the_pressure_and_the_proposal_lies_on_it() -> None:
    answer = fits()
    pressures = [point.lowest for point in answer.trade]
    starts = [point.starts for point in answer.trade]
    assert len(answer.trade) >= 4
    assert pressures == sorted(pressures, reverse=True)
    assert starts == sorted(starts, reverse=True)
    standing = answer.chosen.standing
    assert isinstance(standing.lowest, float)
    assert isinstance(standing.cycling, Cycling)
    # Nothing on the curve holds more pressure than the proposal with fewer starts than the tenth that counts as equal.
    better = [each for each in answer.trade if each.lowest >= standing.lowest]
    assert all(each.starts >= standing.cycling.starts / 1.1 - 0.3 / 3600 for each in better)


def test_a_tenth_more_lag_is_worth_a_tenth_of_the_run_on() -> None:
    # Run-on is fire x lag / storage: a tenth more lag lowers the room of the high limit by a tenth of the run-on.
    answer = fits({"boiler.controls.high_limit.tolerance": {"dial": "0.5 psi", "proved": "0.1 psi"}})
    pull = next(each for each in answer.pulls if each.code == "high-limit-stops-before-valve")
    assert pull.key == "burner.heat_lag"
    run_on = answer.chosen.case.stack.full_fire_run_on
    assert isinstance(run_on, float)
    assert pull.change == pytest.approx(-run_on / 10, rel=1e-6)


def test_a_scale_that_ends_too_low_is_named_as_what_stops_a_target() -> None:
    plant = survey(
        {
            "boiler.controls.operating_limit.scale": {"from": "10 psi", "to": "120 psi", "division": "2 psi"},
            "load.wish": None,
            "load.rated_max": None,
        }
    ).plant
    answer = settle(retargeted(plant, psi(109)), plant.boilers[0])
    assert isinstance(answer, NothingFits)
    cures = [cure for each in answer.conflicts for cure in each.cures]
    assert ("longer-scale", (Role.OPERATING_LIMIT,)) in {(cure.kind.value, cure.roles) for cure in cures}


def test_the_school_settles_proved_and_set_by_dial_gets_conflict_cure_and_fallback() -> None:
    proved = fits(plant="school")
    judged = [each for each in proved.chosen.outcomes if isinstance(each, Finding)]
    assert [each.code for each in judged if each.severity is not Severity.ADVISE] == []
    by_dial = survey(plant="school-by-dial").plant
    answer = settle(by_dial, by_dial.boilers[0])
    assert isinstance(answer, NothingFits)
    (conflict,) = answer.conflicts
    assert {"restart-holds-need", "cut-out-clear-of-high-limit"} == set(conflict.codes)
    proving = next(cure for cure in conflict.cures if cure.kind.value == "prove")
    assert isinstance(settle(*proving.change(by_dial, by_dial.boilers[0])), Fits)
    assert answer.nearest is not None
    stops = [each for each in answer.nearest.outcomes if isinstance(each, Finding) and each.severity is Severity.STOP]
    assert stops == []


def test_every_demand_that_is_judged_has_its_pull_those_on_the_hold_too() -> None:
    codes = {pull.code for pull in fits().pulls}
    assert codes >= {"restart-holds-need", "need-at-full-load", "hold-below-restart", "hold-below-full-load"}
    assert "cut-in-above-high-fire" not in codes


def test_each_surveyed_value_is_changed_by_its_share_and_alone() -> None:
    plant = survey().plant
    boiler = plant.boilers[0]
    changed = {key: each for key, _, each in variants_of(plant, boiler, 1.1)}
    assert boiler.output is not None
    assert changed["output"].output == pytest.approx(1.1 * boiler.output)
    assert changed["water_volume"].output == boiler.output
    assert changed["burner.turndown"].burners[0].turndown == pytest.approx(4.4)
    lag, efficiency = (changed[f"burner.{key}"].burners[0] for key in ("heat_lag", "efficiency"))
    assert lag.heat_lag is not None
    assert lag.heat_lag.value == pytest.approx(8.8)
    assert efficiency.efficiency is not None
    assert efficiency.efficiency.value == pytest.approx(0.891)
    assert efficiency.heat_lag == boiler.burners[0].heat_lag

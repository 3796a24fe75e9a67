"""A case's motion, terms and tolerances by hand: heat and storage from the plant file's own units."""

from dataclasses import replace

import pytest
import seuif97

from evenfire.judgement.behaviour import Behaviour
from evenfire.judgement.case import BEYOND_STEAM, Case
from evenfire.judgement.margins import Sense, highest_after_trip, least_room, lowest_after_restart
from evenfire.judgement.outcome import Route, TermName
from evenfire.judgement.proofs.proving import prove
from evenfire.judgement.proofs.result import NotProved, Scenario
from evenfire.judgement.rules.stack import verdict_of
from evenfire.judgement.tolerance.likelihood import likelihoods_of
from evenfire.judgement.tolerance.rig import rigs_of
from evenfire.plant.known import Missing
from evenfire.si import GaugePa
from tests.judgement.tolerance.draws_for_tests import random_blocks
from tests.surveys import case_of, survey

PSI = 6894.757
BTU = 1055.056
LEG = 0.433 * 0.5
AIR: float = 101325 * (1 - 2.25577e-5 * 40 * 0.3048) ** 5.25588


def laundry(edits: dict[str, object] | None = None) -> Case:
    return case_of(survey(edits))


def number(value: float | Missing) -> float:
    assert not isinstance(value, Missing)
    return value


def test_purge_air_of_a_burner_without_an_input_is_reckoned_from_its_output() -> None:
    case = laundry({"boiler.burner.input": None, "boiler.burner.input_clocked": None})
    burner = case.boiler.burners[0]
    cooling = case.behaviour.purge_cooling(burner, GaugePa(112 * PSI)).value
    # 200 hp x 33,475 Btu/h at 81 %; 0.72 lb of air for 1000 Btu and 15 % more (from memory); from 20 C to saturation.
    gross = 200 * 33475 * BTU / 3600 / 0.81
    air = gross / (1000 * BTU) * 0.72 * 0.4535924 * 1.15
    boiling = seuif97.px((AIR + 112 * PSI) / 1e6, 0.0, 1)
    assert cooling == pytest.approx(air * 1005 * (boiling - 20), rel=1e-3)
    # A purge at the low damper position moves a quarter of it.
    low = laundry({"boiler.burner.start.purge_damper": "low"})
    open_ = laundry().behaviour.purge_cooling(laundry().boiler.burners[0], GaugePa(112 * PSI)).value
    closed = low.behaviour.purge_cooling(low.boiler.burners[0], GaugePa(112 * PSI)).value
    assert closed / open_ == pytest.approx(0.25, rel=1e-6)


def test_of_the_loads_that_are_known_only_those_below_low_fire_cycle() -> None:
    def fall(*loads: int) -> float:
        steps = [{"for": "1 h", "steam": f"{load} lb/h"} for load in loads]
        # Low fire at 115 psi, well below the cut-out.
        clear = {"boiler.as_found.firing_rate": "100 psi", "boiler.standing_loss": "70,000 Btu/h"}
        return number(laundry(clear | {"load.demand": {"shape": "steps", "steps": steps}}).stack.undershoot)

    # 900 and 1,300 lb/h are below low fire's 1,590, and 4,000 is not: the largest of the two decides.
    assert fall(900, 4000) == fall(900)
    assert fall(900, 1300, 4000) == fall(1300)
    assert fall(1300) > fall(900)


def test_what_a_case_falls_and_rises_to_is_a_sum_of_its_points() -> None:
    case = laundry()
    stack, facts = case.stack, case.facts
    # Two psi low of 112, and the fall below it; two psi high of 140, and the run-on above it.
    lowest = (112 - LEG - 2) * PSI - number(stack.undershoot)
    assert lowest_after_restart(stack, facts) == pytest.approx(lowest, abs=1)
    highest = (140 - LEG + 2) * PSI + number(stack.full_fire_run_on)
    assert highest_after_trip(stack, facts) == pytest.approx(highest, abs=1)


def test_terms_are_found_by_their_names_and_in_that_order() -> None:
    case = laundry()
    names = (TermName.UNDERSHOOT, TermName.RUN_ON_AT_FULL_FIRE)
    found = case.named_terms(names)
    assert tuple(term.name for term in found) == names
    assert found[0].quantity.value == pytest.approx(number(case.stack.undershoot))
    assert found[1].quantity.value == pytest.approx(number(case.stack.full_fire_run_on))
    assert case.named_terms(()) == ()


@pytest.mark.parametrize("role", ["operating_limit", "high_limit", "firing_rate", "low_fire_hold"])
def test_a_leg_that_nobody_looked_at_is_taken_for_none_but_never_at_the_high_limit(role: str) -> None:
    off = getattr(laundry({f"boiler.controls.{role}.water_leg": None}).facts.off, role)
    if role == "high_limit":
        assert isinstance(off, Missing)
        assert "controls.high_limit.water_leg" in off.keys
    else:
        assert off == pytest.approx(2 * PSI, rel=1e-6)


def test_a_pressure_of_which_no_steam_is_known_is_not_proved_and_says_so() -> None:
    case = laundry()
    beyond = replace(case, facts=replace(case.facts, need=60e6))
    for scenario in (Scenario.STEADY_LOADS, Scenario.COLD_START, Scenario.HIGH_LIMIT_ALONE):
        proved = prove(beyond, scenario)
        assert proved == NotProved(scenario=scenario, missing=(BEYOND_STEAM,))


def test_where_not_even_the_run_on_is_known_nothing_is_counted_and_nothing_was_simulated() -> None:
    case = laundry({"boiler.water_volume": None})
    answer = likelihoods_of(case, random_blocks(1, blocks=1, rows=10))
    assert answer.route is Route.COMPUTED
    assert answer.answers == ()
    assert answer.draws == 0
    assert "water_volume" in answer.missing
    assert all(each.missing == answer.missing for each in answer.not_counted)
    assert answer.not_counted


def test_a_burner_in_two_steps_drops_from_cut_in_wherever_its_controls_are_put() -> None:
    case = laundry({"boiler.burner.firing": "low-high-off", "boiler.as_found.firing_rate": "102 psi"})
    (rig,) = rigs_of(case)
    assert not rig.is_proportional
    assert not isinstance(rig.drop, Missing)
    assert rig.drop.begins(rig.drop.model.controls) == pytest.approx(AIR + (112 - LEG) * PSI, abs=2)
    (line,) = rigs_of(laundry())
    assert line.is_proportional
    assert line.low_share == pytest.approx(0.25)
    # A proportional one begins on its line, between full fire at 110 and low fire at 125 psi.
    assert not isinstance(line.drop, Missing)
    begin = (line.drop.begins(line.drop.model.controls) - AIR) / PSI + LEG
    assert 110 < begin < 125


def test_the_larger_of_what_is_said_of_full_fire_counts() -> None:
    def full(output: str, clocked: str) -> float:
        found = laundry({"boiler.output": output, "boiler.burner.input": None, "boiler.burner.input_clocked": clocked})
        behaviour = Behaviour(found.boiler, found.load, found.site.ambient)
        return behaviour.full_heat(found.boiler.burners[0]).value * 3600 / BTU

    # At 81 %: 8.30 MMBtu/h are 6.72, 8.00 are 6.48; 200 hp are 6.695.
    assert full("200 bhp", "8.30 MMBtu/h") == pytest.approx(8.30e6 * 0.81, rel=1e-5)
    assert full("200 bhp", "8.00 MMBtu/h") == pytest.approx(200 * 33475, rel=1e-5)


def test_a_cycle_stays_within_low_fire_only_where_its_fall_ends_above_it() -> None:
    # It falls some psi below cut-in while the burner starts: never as far as 60 psi, always below 111.9.
    behaviour = laundry().behaviour
    for low_fire, within in ((None, True), (60.0, True), (111.9, False)):
        point = None if low_fire is None else GaugePa(low_fire * PSI)
        assert behaviour.cycling(GaugePa(112 * PSI), GaugePa(120 * PSI), point).within_range is within


def test_touching_is_enough_but_where_it_has_to_stay_below() -> None:
    # A millionth of a psi either way is the noise of units.
    for margin in (*laundry().demands, *case_of(survey(plant="school")).demands):
        if margin.sense is Sense.BELOW:
            assert least_room(margin) > 0.0, margin.code
        else:
            assert -1e-5 * PSI < least_room(margin) < 0.0, margin.code


def test_what_holds_needs_no_remedy() -> None:
    case = laundry()
    seen = set()
    for margin in case.demands:
        verdict = verdict_of(margin, case)
        seen.add(verdict.holds)
        if verdict.holds:
            assert verdict.remedies == (), margin.code
    # The laundry's low fire comes too late as found.
    assert seen == {True, False}

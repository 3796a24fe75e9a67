"""How a survey becomes a case: worst corners, proved controls, what is missing."""

import tomllib
from dataclasses import replace

import pytest

from evenfire.judgement.case import facts_of, firing_at_cut_out
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.outcome import TermName
from evenfire.judgement.standing import standing_of
from evenfire.judgement.valve_facts import reseat_pressure, valve_gap
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing
from evenfire.si import PA_PER_PSI, GaugePa
from tests.surveys import EXAMPLES, case_of, survey


def psi(value: object) -> float:
    assert isinstance(value, float)
    return value / PA_PER_PSI


def test_a_control_counts_as_proved_only_in_a_set_that_says_so() -> None:
    dialled = survey()
    proved = survey({"boiler.as_found.proved": ["high_limit"]})
    assert psi(case_of(dialled).facts.off.high_limit) == pytest.approx(2.0)
    assert psi(case_of(proved).facts.off.high_limit) == pytest.approx(0.5)
    assert psi(case_of(proved).facts.off.operating_limit) == pytest.approx(2.0)


def test_an_unsure_leg_widens_the_tolerance_by_half_of_what_it_may_hold() -> None:
    # 4 ft of leg is 1.732 psi at 0.433 psi per foot (HB1919): none or all of it, so 0.866 either way about the middle.
    unsure = survey(
        {"boiler.controls.high_limit.water_leg": {"height": "4 ft", "position": "above", "filling": "unsure"}}
    )
    case = case_of(unsure)
    assert psi(case.facts.off.high_limit) == pytest.approx(2.866, abs=1e-3)
    assert psi(case.stack.trip) == pytest.approx(140.866, abs=1e-3)


def test_a_need_at_the_header_is_higher_at_the_boiler_by_the_line_drop() -> None:
    plant = survey({"load.need_at": "header", "load.line_drop": "3 psi"}).plant
    assert psi(facts_of(plant, plant.boilers[0], frozenset()).need) == pytest.approx(108.0)


def test_a_tested_lift_stands_in_for_the_set_tolerance() -> None:
    # VSH: 3 % of 150 psi is 4.5 psi; the certificate of one valve says 148.
    plant = survey().plant
    assert psi(facts_of(plant, plant.boilers[0], frozenset()).earliest_lift) == pytest.approx(145.5)
    tested = survey(
        {"boiler.safety_valve.0.tested_lift": "148 psi", "boiler.safety_valve.1.tested_lift": "149 psi"}
    ).plant
    assert psi(facts_of(tested, tested.boilers[0], frozenset()).earliest_lift) == pytest.approx(148.0)


def test_the_lowest_of_several_valves_rules() -> None:
    plant = survey({"boiler.safety_valve.1.set": "145 psi"}).plant
    facts = facts_of(plant, plant.boilers[0], frozenset())
    assert psi(facts.valve_set) == pytest.approx(145.0)
    assert psi(facts.earliest_lift) == pytest.approx(145 * 0.97)


def test_the_end_that_a_dial_shows_needs_no_differential() -> None:
    case = case_of(survey({"boiler.as_found.operating_limit_differential": None}))
    assert not isinstance(case.stack.cut_out, Missing)
    assert isinstance(case.stack.cut_in, Missing)


def test_a_band_that_a_controller_works_out_itself_is_not_on_a_dial() -> None:
    case = case_of(survey({"boiler.controls.firing_rate.action": "pid"}))
    assert isinstance(case.stack.low_fire, Missing)
    assert "low-fire-before-cut-out" in {margin.code for margin in case.demands}


def test_a_missing_tolerance_is_missing_and_not_nought() -> None:
    case = case_of(survey({"boiler.controls.high_limit.tolerance": None}))
    assert case.facts.off.of(Role.HIGH_LIMIT) == Missing(("controls.high_limit.tolerance.dial",))


def test_a_control_on_the_header_may_be_off_by_the_line_drop_as_well() -> None:
    on_header: dict[str, object] = {"boiler.controls.firing_rate.senses": "header"}
    assert case_of(survey(on_header)).facts.off.firing_rate == Missing(("load.line_drop",))
    known = case_of(survey({**on_header, "load.line_drop": "3 psi"}))
    assert psi(known.facts.off.firing_rate) == pytest.approx(5.0)


def test_on_a_shared_header_the_weakest_boiler_bounds_every_one() -> None:
    weak = {
        "name": "No. 2",
        "kind": "firetube",
        "mawp": "125 psi",
        "safety_valve": [{"name": "only", "set": "125 psi", "blowdown": "4 psi"}],
    }
    boilers = survey().plant.boilers
    alone = survey({"boiler": [*_tables(), weak], "site.boilers_share_header": False}).plant
    shared = survey({"boiler": [*_tables(), weak], "site.boilers_share_header": True}).plant
    assert len(boilers) == 1
    assert psi(facts_of(alone, alone.boilers[0], frozenset()).mawp) == pytest.approx(150)
    facts = facts_of(shared, shared.boilers[0], frozenset())
    assert psi(facts.mawp) == pytest.approx(125)
    assert psi(facts.valve_set) == pytest.approx(125)
    assert psi(facts.earliest_lift) == pytest.approx(125 * 0.97)


def test_valves_set_above_the_mawp_count_as_set_at_it() -> None:
    high = survey({"boiler.safety_valve.0.set": "160 psi", "boiler.safety_valve.1.set": "160 psi"}).plant
    facts = facts_of(high, high.boilers[0], frozenset())
    assert psi(facts.valve_set) == pytest.approx(150)
    assert psi(facts.earliest_lift) == pytest.approx(145.5)


def test_one_unknown_blowdown_leaves_unknown_where_the_valves_close() -> None:
    boiler = survey().plant.boilers[0]
    front, rear = boiler.safety_valves
    assert reseat_pressure(boiler) is not None
    assert reseat_pressure(replace(boiler, safety_valves=(front, replace(rear, blowdown=None)))) is None


@pytest.mark.parametrize(
    ("set_pressure", "gap"),
    # Recommended table of ASME VII and NBIC, from memory: 10 % and at least 7 to 300 psi, 7 % and at least 30 to 1000,
    # 5 % and at least 70 above.
    [(50, 7), (70, 7), (200, 20), (300, 30), (310, 30), (400, 30), (600, 42), (1000, 70), (1200, 70), (1600, 80)],
)
def test_the_gap_below_a_valve_grows_with_its_pressure(set_pressure: float, gap: float) -> None:
    boiler = survey().plant.boilers[0]
    assert psi(valve_gap(boiler, GaugePa(set_pressure * PA_PER_PSI))) == pytest.approx(gap)


def test_a_boiler_whose_burner_nobody_described_has_no_fire_at_cut_out_to_tell_of() -> None:
    assert standing_of(case_of(survey({"boiler.burner": []}))).share_at_cut_out == Missing(("burner",))


GAS: dict[str, object] = {"fuel": "natural gas", "firing": "modulating", "turndown": 4, "input": "8.35 MMBtu/h"}
OIL: dict[str, object] = {"fuel": "light oil", "firing": "on-off", "input": "8.35 MMBtu/h"}


def test_each_burner_is_stopped_from_the_fire_that_it_has_there() -> None:
    # The line runs from full fire at 110 psi to a quarter at 118; half way down it stands at five eighths.
    boiler = survey({"boiler.burner": [OIL, GAS]}).plant.boilers[0]
    assert firing_at_cut_out(boiler, 114.0, 110.0, 118.0, 0.0) == pytest.approx((1.0, 0.625))
    assert firing_at_cut_out(boiler, 118.0, 110.0, 118.0, 0.0) == pytest.approx((1.0, 0.25))
    assert firing_at_cut_out(boiler, 110.0, 110.0, 118.0, 0.0) == pytest.approx((1.0, 1.0))


def test_a_cut_out_that_may_act_early_stops_a_larger_fire() -> None:
    # Shown at 120, acting from 114 on: half way down the line and not at low fire.
    boiler = survey({"boiler.burner": [GAS]}).plant.boilers[0]
    assert firing_at_cut_out(boiler, 120.0, 110.0, 118.0, 6.0) == pytest.approx((0.625,))
    assert firing_at_cut_out(boiler, 112.0, 110.0, 118.0, 2.0) == pytest.approx((1.0,))


def test_one_burner_that_fires_at_more_rates_makes_a_boiler_follow_its_load() -> None:
    assert follows_the_load(survey({"boiler.burner": [OIL, GAS]}).plant.boilers[0])
    assert follows_the_load(survey({"boiler.burner": [GAS]}).plant.boilers[0])


def test_each_tolerance_is_a_term_under_its_own_name() -> None:
    # A number under the wrong name would be told of the wrong control.
    tolerances = {
        f"boiler.controls.{role}.tolerance": {"dial": f"{within} psi"}
        for role, within in (("operating_limit", 1), ("high_limit", 2), ("firing_rate", 3), ("low_fire_hold", 4))
    }
    case = case_of(survey(tolerances))
    names = (
        TermName.TOLERANCE_OF_OPERATING_LIMIT,
        TermName.TOLERANCE_OF_HIGH_LIMIT,
        TermName.TOLERANCE_OF_FIRING_RATE,
        TermName.TOLERANCE_OF_HOLD,
    )
    assert [psi(term.quantity.value) for term in case.named_terms(names)] == pytest.approx([1, 2, 3, 4])


def _tables() -> list[object]:
    document = tomllib.loads((EXAMPLES / "laundry.toml").read_text(encoding="utf-8"))
    boilers = document["boiler"]
    assert isinstance(boilers, list)
    return boilers

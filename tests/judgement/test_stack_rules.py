"""Rules on the stack where something is unknown, and what their remedies ask of each kind of dial."""

import pytest

from evenfire.judgement.outcome import Clear, Finding, NotJudged, Outcome
from evenfire.judgement.rulebook import judge
from evenfire.plant.controls import Role
from evenfire.si import PA_PER_PSI
from tests.judgement.plants_for_rules import HIGH_PRESSURE, edited
from tests.judgement.plants_for_rules import case_of as rule_case
from tests.surveys import case_of, survey

LEVEL: dict[str, object] = {"boiler.controls.high_limit.water_leg": "none"}


def outcome_of(code: str, edits: dict[str, object]) -> Outcome:
    found = [each for each in judge(case_of(survey(edits))) if each.code == code]
    assert len(found) == 1
    return found[0]


def remedies(edits: dict[str, object], code: str = "low-fire-before-cut-out") -> dict[tuple[Role, str], float]:
    finding = outcome_of(code, edits)
    assert isinstance(finding, Finding)
    return {(each.role, each.turn): each.change / PA_PER_PSI for each in finding.remedies}


def test_an_unread_firing_rate_does_not_count_as_low_fire_at_cut_out() -> None:
    # As found the burner stands at half fire at cut-out; not knowing that must not lower the run-on.
    edits: dict[str, object] = {"load.rated_max": "122.9 psi"}
    assert isinstance(outcome_of("cut-out-within-downstream-rating", edits), Finding)
    unread = {**edits, "boiler.as_found.firing_rate": None, "boiler.as_found.firing_rate_differential": None}
    assert isinstance(outcome_of("cut-out-within-downstream-rating", unread), NotJudged)


def test_a_controller_that_works_out_its_own_band_may_stop_from_full_fire() -> None:
    plain, own = case_of(survey()), case_of(survey({"boiler.controls.firing_rate.action": "pid"}))
    assert isinstance(plain.stack.run_on, float)
    assert isinstance(own.stack.run_on, float)
    assert own.stack.run_on > plain.stack.run_on


@pytest.mark.parametrize(
    ("code", "edits"),
    [
        ("high-limit-below-valve", {"boiler.as_found.high_limit": "152 psi"}),
        ("cut-out-within-downstream-rating", {"load.rated_max": "115 psi"}),
    ],
)
def test_a_stop_that_is_certain_is_found_without_a_tolerance(code: str, edits: dict[str, object]) -> None:
    no_tolerance: dict[str, object] = {
        "boiler.controls.high_limit.tolerance": None,
        "boiler.controls.operating_limit.tolerance": None,
    }
    assert isinstance(outcome_of(code, {**no_tolerance, **edits}), Finding)
    assert isinstance(outcome_of(code, no_tolerance), NotJudged)


def test_what_is_certainly_too_high_is_turned_down_by_more_than_it_is_too_high() -> None:
    # 152 psi against a valve at 150, the tolerance unknown: two psi down would only touch it.
    edits = {"boiler.controls.high_limit.tolerance": None, "boiler.as_found.high_limit": "152 psi", **LEVEL}
    turn = remedies(edits, "high-limit-below-valve")[Role.HIGH_LIMIT, "main"]
    assert -2.1 < turn < -2.0


def test_an_unsurveyed_leg_of_the_high_limit_is_not_taken_for_none() -> None:
    outcome = outcome_of("high-limit-below-valve", {"boiler.controls.high_limit.water_leg": None})
    assert isinstance(outcome, NotJudged)
    assert outcome.missing == ("controls.high_limit.water_leg",)
    assert isinstance(outcome_of("high-limit-below-valve", {}), Clear)


WIDE_RANGE: dict[str, object] = {
    "boiler.controls.firing_rate.differential_scale": {"from": "1 psi", "to": "40 psi", "division": "1 psi"},
    "boiler.as_found.operating_limit": "126 psi",
}
"""A range that can be narrowed as far as is wanted, and a cut-out that is short by 4 psi."""


def test_a_range_counted_above_is_narrowed_by_as_much_as_is_short() -> None:
    told = remedies(WIDE_RANGE)
    short = told[Role.OPERATING_LIMIT, "main"]
    assert told[Role.FIRING_RATE, "main"] == pytest.approx(-short, rel=0.02)
    assert told[Role.FIRING_RATE, "differential"] == pytest.approx(-short, rel=0.02)


def test_a_range_counted_around_has_to_be_narrowed_by_twice_as_much() -> None:
    # The set point is moved to the middle, 117.5, so that the band itself stays where it was.
    around = {"boiler.controls.firing_rate.differential_counts": "around", "boiler.as_found.firing_rate": "117.5 psi"}
    told = remedies({**WIDE_RANGE, **around})
    assert told[Role.FIRING_RATE, "differential"] == pytest.approx(-2 * told[Role.OPERATING_LIMIT, "main"], rel=0.02)


def test_a_range_counted_below_is_no_remedy_because_it_does_not_move_low_fire() -> None:
    told = remedies(
        {"boiler.controls.firing_rate.differential_counts": "below", "boiler.as_found.firing_rate": "125 psi"}
    )
    assert (Role.FIRING_RATE, "differential") not in told
    assert (Role.FIRING_RATE, "main") in told


@pytest.mark.parametrize("code", ["restart-holds-need", "low-fire-before-cut-out"])
def test_each_remedy_clears_its_finding_when_it_is_followed_and_hardly_less_would(code: str) -> None:
    found = {
        (Role.OPERATING_LIMIT, "main"): ("operating_limit", 120.0),
        (Role.OPERATING_LIMIT, "differential"): ("operating_limit_differential", 8.0),
        (Role.FIRING_RATE, "main"): ("firing_rate", 110.0),
        (Role.FIRING_RATE, "differential"): ("firing_rate_differential", 15.0),
    }
    # 2 psi less to do than the survey asks, so that the narrow differential scales can do it as well.
    base: dict[str, object] = {"load.need": "103 psi", "boiler.as_found.operating_limit": "122 psi"}
    found[Role.OPERATING_LIMIT, "main"] = ("operating_limit", 122.0)
    if code == "restart-holds-need":
        base["load.need"] = "106 psi"
    told = remedies(base, code)
    assert told
    for dial, change in told.items():
        key, reading = found[dial]
        enough = {**base, f"boiler.as_found.{key}": f"{reading + change:.10f} psi"}
        too_little = {**base, f"boiler.as_found.{key}": f"{reading + 0.98 * change:.10f} psi"}
        assert isinstance(outcome_of(code, enough), Clear), dial
        assert isinstance(outcome_of(code, too_little), Finding), dial


def test_a_dial_that_cannot_turn_so_far_is_no_remedy() -> None:
    # The differential scale ends at 6 psi: 8 psi can be lowered by 2, and 3 are wanted.
    assert (Role.OPERATING_LIMIT, "differential") not in remedies({}, "restart-holds-need")
    assert (Role.OPERATING_LIMIT, "main") in remedies({}, "restart-holds-need")


def test_a_cut_in_below_full_vacuum_is_not_judged_and_no_fault_of_the_program() -> None:
    edits: dict[str, object] = {
        "boiler.controls.operating_limit.scale": {"from": "2 psi", "to": "150 psi", "division": "2 psi"},
        "boiler.as_found.operating_limit": "4 psi",
        "boiler.as_found.operating_limit_differential": "22 psi",
    }
    assert isinstance(outcome_of("restart-holds-need", edits), Finding | NotJudged)


def test_a_remedy_says_what_it_would_break() -> None:
    # Low fire is short by 10: lowering a high-fire point of 110 by that leaves less than the 105 psi that is needed,
    # and raising a cut-out of 120 by it goes beyond the 130 that anybody wants to see.
    finding = outcome_of("low-fire-before-cut-out", {})
    assert isinstance(finding, Finding)
    broken = {(each.role, each.turn): each.breaks for each in finding.remedies}
    assert "need-at-full-load" in broken[Role.FIRING_RATE, "main"]
    assert "cut-out-within-wish" in broken[Role.OPERATING_LIMIT, "main"]


def test_a_remedy_lists_what_it_would_break_and_nothing_else() -> None:
    # So low a cut-out stops the burner from full fire, where 4 psi run on: 106 + 2 + 4 are the 112 that are wanted, 19
    # below the 125 as found. Low fire at 115 then comes after cut-out, and a restart from 96 falls below the need of
    # 100. High fire at 105 stands above that cut-in, but that is only against practice and not counted.
    outcomes = judge(rule_case(edited(HIGH_PRESSURE, {"load.wish": "112 psi"})))
    (finding,) = [each for each in outcomes if each.code == "cut-out-within-wish"]
    assert isinstance(finding, Finding)
    (remedy,) = finding.remedies
    assert remedy.change / PA_PER_PSI == pytest.approx(-19, abs=0.01)
    assert set(remedy.breaks) == {"low-fire-before-cut-out", "restart-holds-need"}

"""Every rule against the cases that were worked by hand, and what holds of the rule book as a whole."""

import re
from typing import Final

import pytest

from evenfire import sources
from evenfire.delivery.units import read
from evenfire.judgement.outcome import Basis, Clear, Finding, NotJudged, Outcome, Part, Severity
from evenfire.judgement.rule import Rule
from evenfire.judgement.rulebook import LEFT_TO_A_VISIT, RULES, judge
from evenfire.si import Dimension, Quantity
from tests.judgement.every_rule_case import CASES, ROWS
from tests.judgement.plants_for_rules import (
    BASES,
    HIGH_PRESSURE,
    TWO_BOILERS,
    Table,
    case_of,
    edited,
)
from tests.judgement.rule_cases import KINDS, CannotBe, Row

CODES: Final = [rule.code for rule in RULES]


RULE: Final = {rule.code: rule for rule in RULES}


def outcomes_of(table: Table, code: str) -> list[Outcome]:
    """What one rule says; that the book asks all of its rules is looked at by itself."""
    case, rule = case_of(table), RULE[code]
    return list(rule.judge(case)) if rule.applies_to.to(case) else []


def worst(outcomes: list[Outcome]) -> Outcome | None:
    for kind in (Finding, NotJudged, Clear):
        for outcome in outcomes:
            if isinstance(outcome, kind):
                return outcome
    return None


def ending(outcome: Outcome | None) -> str:
    match outcome:
        case None:
            return "no outcome"
        case Finding():
            return "finding"
        case Clear():
            return "clear"
        case NotJudged():
            return "not judged"


def is_text(quantity: Quantity | None, text: str) -> bool:
    """Whether a quantity is the one written, to the digits of hand arithmetic."""
    assert quantity is not None, f"{text} was expected, and there is no quantity"
    expected = read(text, quantity.dimension).value
    return quantity.value == pytest.approx(expected, rel=1e-5, abs=1e-9)


# What a rule compares, as it is asked of the part: a setting, a stamp or a scale is read from a gauge, how far two of
# them are apart is not. Of all others it is a pressure at the gauge.
COMPARED: Final = {
    "high-limit-resets-explained": {Dimension.NUMBER},
    "firing-in-automatic": {Dimension.FRACTION},
    "valve-settings-close": {Dimension.PRESSURE_DIFFERENCE},
    "second-valve": {Dimension.AREA, Dimension.POWER},
    "relieving-capacity": {Dimension.MASS_FLOW},
    "stamped-capacity-plausible": {Dimension.MASS_FLOW},
    "shared-header-relief": {Dimension.MASS_FLOW},
    "input-within-nameplate": {Dimension.POWER},
    "prepurge-air-changes": {Dimension.NUMBER},
    "prepurge-air-flow": {Dimension.FRACTION},
    "pilot-trial-time": {Dimension.TIME},
    "main-trial-time": {Dimension.TIME},
    "flame-failure-time": {Dimension.TIME},
    "heating-gauge-division": {Dimension.PRESSURE_DIFFERENCE},
    "gauge-calibration": {Dimension.NUMBER},
    "water-leg": {Dimension.PRESSURE_DIFFERENCE},
    "high-limit-gap-usual": {Dimension.PRESSURE_DIFFERENCE},
    "valve-gap-usual": {Dimension.PRESSURE_DIFFERENCE},
    "warm-up-rate": {Dimension.TEMPERATURE_RATE},
}
AT_THE_GAUGE: Final = {Dimension.GAUGE_PRESSURE}
# A plain question, or one whose answer is another thing than a number.
WITHOUT_A_NUMBER: Final = {
    "high-limit-fitted",
    "operating-limit-fitted",
    "high-limit-manual-reset",
    "high-limit-own-element",
    "high-limit-senses-boiler",
    "sensing-line-open",
    "siphon-fitted",
    "nothing-bypassed",
    "firing-in-automatic",
    "safety-valve-fitted",
}


def assert_compares_what_it_asks_about(code: str, outcome: Outcome) -> None:
    """Room and shortage are differences, and a rule that compares says with what number."""
    if isinstance(outcome, NotJudged):
        return
    wanted = COMPARED.get(code, AT_THE_GAUGE)
    assert {each.dimension for each in (outcome.observed, outcome.limit) if each is not None} <= wanted
    room = outcome.margin if isinstance(outcome, Clear) else outcome.short_by
    assert (room is None) is (outcome.observed is None)
    if room is not None:
        assert room.dimension is not Dimension.GAUGE_PRESSURE
        # That fire is held down to less than all of it needs no number.
        assert RULE[code].number or code == "firing-in-automatic"


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_a_rule_ends_as_its_page_says(row: Row) -> None:
    outcomes = outcomes_of(edited(BASES[row.base], row.edits), row.code)
    for each in outcomes:
        assert_compares_what_it_asks_about(row.code, each)
    outcome = worst(outcomes)
    assert ending(outcome) == row.ends
    if row.observed or row.limit:
        assert isinstance(outcome, Finding | Clear)
        assert not row.observed or is_text(outcome.observed, row.observed)
        assert not row.limit or is_text(outcome.limit, row.limit)
    if row.missing:
        assert isinstance(outcome, NotJudged)
        assert set(row.missing) == set(outcome.missing)
    if row.detail is not None:
        assert isinstance(outcome, Finding)
        assert outcome.detail == row.detail


@pytest.mark.parametrize("name", BASES)
def test_every_rule_is_clear_on_the_plants_that_the_cases_start_from(name: str) -> None:
    outcomes = judge(case_of(BASES[name]))
    assert [outcome for outcome in outcomes if not isinstance(outcome, Clear)] == []
    assert len(outcomes) > 40
    # Every rule is asked, in the order of the book.
    assert list(outcomes) == [outcome for code in CODES for outcome in outcomes_of(BASES[name], code)]


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("kind", KINDS)
def test_every_rule_has_its_four_cases_or_a_reason_why_one_cannot_be(code: str, kind: str) -> None:
    of_rule = [case for case in CASES if case.code == code and case.kind == kind]
    assert of_rule
    assert all(len(case.because) > 10 for case in of_rule if isinstance(case, CannotBe))


def test_every_case_is_about_a_rule_of_the_book() -> None:
    assert {case.code for case in CASES} == set(CODES)


def test_codes_are_unique_and_spelled_alike() -> None:
    assert len(set(CODES)) == len(CODES)
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)+", code) for code in CODES)


def on_every_base(rule: Rule) -> list[Outcome]:
    return [outcome for base in BASES.values() for outcome in outcomes_of(base, rule.code)]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_a_rule_says_what_it_asks_and_where_its_number_comes_from(rule: Rule) -> None:
    assert rule.question.endswith("?")
    assert all(citation.source in sources.ALL for citation in rule.citations)
    readings = {citation.source.reading for citation in rule.citations}
    if rule.basis is Basis.PUBLISHED:
        assert sources.Reading.READ in readings
    if rule.basis is Basis.FROM_MEMORY:
        assert sources.Reading.MEMORY in readings
    if rule.basis is Basis.COMMON_PRACTICE:
        assert rule.citations == ()
    assert (rule.number == "") is (rule.code in WITHOUT_A_NUMBER)
    # What it says carries what it is: a finding is told by its own weight and word.
    for outcome in on_every_base(rule):
        assert (outcome.code, outcome.basis) == (rule.code, rule.basis)


# Danger stops, a nuisance or a lost reserve warns, usual practice advises: facts of the trade, worked by hand from what
# each rule guards against (order and lockout of the limits, relief, fire and pressure beyond what was rated: danger).
STOPS: Final = {
    "high-limit-fitted",
    "operating-limit-fitted",
    "high-limit-manual-reset",
    "high-limit-own-element",
    "high-limit-senses-boiler",
    "low-pressure-high-limit-scale",
    "sensing-line-open",
    "siphon-fitted",
    "nothing-bypassed",
    "high-limit-resets-explained",
    "cut-out-below-high-limit",
    "high-limit-within-mawp",
    "high-limit-within-low-pressure",
    "high-limit-below-valve",
    "cut-out-within-downstream-rating",
    "safety-valve-fitted",
    "first-valve-within-mawp",
    "other-valves-near-mawp",
    "valve-settings-close",
    "relieving-capacity",
    "valve-accumulation",
    "shared-header-relief",
    "input-within-nameplate",
    "gauge-range",
}
ADVISES: Final = {
    "cut-in-above-high-fire",
    "gauge-range-usual",
    "setting-within-scale",
    "sensing-element-rating",
    "scale-fits-boiler",
    "high-limit-gap-usual",
    "valve-gap-usual",
    "hold-usual-low-pressure",
    "hold-usual-watertube",
}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_danger_stops_nuisance_warns_and_practice_advises(rule: Rule) -> None:
    weight = Severity.STOP if rule.code in STOPS else Severity.ADVISE if rule.code in ADVISES else Severity.WARN
    assert rule.severity is weight
    assert {outcome.severity for outcome in on_every_base(rule)} == {weight}


# What is asked of one kind alone, by hand from the question: all else is asked of every boiler.
ASKED_OF: Final = {
    "low-pressure-high-limit-scale": {"low pressure"},
    "heating-gauge-range": {"low pressure"},
    "heating-gauge-division": {"low pressure"},
    "hold-usual-low-pressure": {"low pressure"},
    "hold-usual-watertube": {"water tube"},
    "warm-up-rate": {"water tube"},
    "stamped-capacity-plausible": {"high pressure", "water tube", "two boilers"},
    "gauge-range-usual": {"high pressure", "water tube", "two boilers"},
    "scale-fits-boiler": {"high pressure", "water tube", "two boilers"},
}


@pytest.mark.parametrize("name", BASES)
def test_a_rule_is_asked_of_the_boilers_that_it_is_about(name: str) -> None:
    case = case_of(BASES[name])
    for rule in RULES:
        assert rule.applies_to.to(case) is (name in ASKED_OF.get(rule.code, set(BASES))), rule.code


def test_practice_never_stops_a_boiler() -> None:
    assert [rule.code for rule in RULES if rule.basis is Basis.COMMON_PRACTICE and rule.severity is Severity.STOP] == []


def test_what_only_a_visit_can_answer_is_listed_with_its_reason() -> None:
    assert len(LEFT_TO_A_VISIT) > 5
    assert all(left.what.endswith(".") and len(left.why) > 20 for left in LEFT_TO_A_VISIT)


def test_a_second_boiler_is_asked_for_its_heat_before_the_weaker_one_is_judged() -> None:
    table = edited(TWO_BOILERS, {})
    boilers = table["boiler"]
    assert isinstance(boilers, list)
    second = boilers[1]
    assert isinstance(second, dict)
    del second["output"]
    (outcome,) = outcomes_of(table, "shared-header-relief")
    assert isinstance(outcome, NotJudged)
    assert set(outcome.missing) == {"output", "burner.input", "burner.efficiency"}


def test_a_remedy_of_a_practice_number_never_raises_a_limit() -> None:
    for row in ROWS:
        if row.code in {"high-limit-gap-usual", "valve-gap-usual"} and row.ends == "finding":
            (outcome,) = outcomes_of(edited(BASES[row.base], row.edits), row.code)
            assert isinstance(outcome, Finding)
            assert outcome.remedies
            assert all(remedy.change < 0 for remedy in outcome.remedies)


def test_a_remedy_of_the_gap_is_large_enough_and_no_larger_than_it_must_be() -> None:
    # Cut-out 135 and trip 142 below a valve at 150: one psi down leaves 8 of the half way 8; less does not.
    row = {"boiler.as_found.operating_limit": "135 psi", "boiler.as_found.high_limit": "142 psi"}
    (outcome,) = outcomes_of(edited(HIGH_PRESSURE, dict(row)), "high-limit-gap-usual")
    assert isinstance(outcome, Finding)
    (remedy,) = outcome.remedies
    assert is_text(Quantity(-remedy.change, Dimension.PRESSURE_DIFFERENCE), "1 psi")


def test_room_and_shortage_are_differences_and_no_pressures() -> None:
    # 125 + 2 + 1 psi of a cut-out against a wish of 130 leave 2; against 120 they are 8 too much.
    (clear,) = outcomes_of(edited(HIGH_PRESSURE, {}), "cut-out-within-wish")
    assert isinstance(clear, Clear)
    assert clear.margin is not None
    assert clear.margin.dimension is Dimension.PRESSURE_DIFFERENCE
    assert is_text(clear.margin, "2 psi")
    (finding,) = outcomes_of(edited(HIGH_PRESSURE, {"load.wish": "120 psi"}), "cut-out-within-wish")
    assert isinstance(finding, Finding)
    assert finding.short_by is not None
    assert finding.short_by.dimension is Dimension.PRESSURE_DIFFERENCE
    assert is_text(finding.short_by, "8 psi")


# What each question is about, as it is asked; a finding under the wrong name sends somebody to the wrong part.
PARTS: Final = {
    "high-limit-fitted": Part.HIGH_LIMIT,
    "operating-limit-fitted": Part.OPERATING_LIMIT,
    "high-limit-manual-reset": Part.HIGH_LIMIT,
    "high-limit-own-element": Part.HIGH_LIMIT,
    "high-limit-senses-boiler": Part.HIGH_LIMIT,
    "high-limit-resets-explained": Part.HIGH_LIMIT,
    "operating-limit-not-blind": Part.OPERATING_LIMIT,
    "firing-in-automatic": Part.FIRING_RATE,
    "relieving-capacity": Part.SAFETY_VALVE,
    "valve-accumulation": Part.SAFETY_VALVE,
    "input-within-nameplate": Part.BURNER,
    "gauge-range": Part.PRESSURE_GAUGE,
    "gauge-range-usual": Part.PRESSURE_GAUGE,
    "gauge-calibration": Part.PRESSURE_GAUGE,
    "valve-gap-usual": Part.HIGH_LIMIT,
}


@pytest.mark.parametrize("code", PARTS)
def test_an_outcome_is_about_the_part_that_its_question_names(code: str) -> None:
    assert {outcome.subject.part for outcome in outcomes_of(edited(HIGH_PRESSURE, {}), code)} == {PARTS[code]}

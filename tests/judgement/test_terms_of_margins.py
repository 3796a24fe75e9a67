"""What each demand on the stack is about and is made of, written by hand from the demand's own sentence.

A finding that names the wrong control, or leaves out the run-on that it was reckoned with, sends an engineer to the
wrong dial.
"""

from typing import Final

import pytest

from evenfire.judgement.outcome import Clear, Part, TermName
from evenfire.judgement.rulebook import judge
from tests.judgement.plants_for_rules import HIGH_PRESSURE, LOW_PRESSURE, Table, case_of, edited

OPERATING, HIGH = TermName.TOLERANCE_OF_OPERATING_LIMIT, TermName.TOLERANCE_OF_HIGH_LIMIT
RATE, HOLD = TermName.TOLERANCE_OF_FIRING_RATE, TermName.TOLERANCE_OF_HOLD
RUN_ON, UNDERSHOOT = TermName.RUN_ON_AT_CUT_OUT, TermName.UNDERSHOOT

# Trade knowledge (common practice, no source): what stands between the two pressures that each demand compares.
MADE_OF: Final[dict[str, tuple[Part, set[TermName]]]] = {
    "cut-out-below-high-limit": (Part.OPERATING_LIMIT, set()),
    "high-limit-within-mawp": (Part.HIGH_LIMIT, set()),
    "high-limit-within-low-pressure": (Part.HIGH_LIMIT, set()),
    "high-limit-below-valve": (Part.HIGH_LIMIT, {HIGH}),
    "high-limit-stops-before-valve": (
        Part.HIGH_LIMIT,
        {HIGH, TermName.RUN_ON_AT_FULL_FIRE, TermName.TOLERANCE_OF_VALVE},
    ),
    "cut-out-within-downstream-rating": (Part.OPERATING_LIMIT, {OPERATING, RUN_ON}),
    "cut-out-clear-of-high-limit": (Part.OPERATING_LIMIT, {OPERATING, RUN_ON, HIGH}),
    "working-pressure-below-valve": (Part.OPERATING_LIMIT, {OPERATING, RUN_ON, TermName.VALVE_GAP}),
    "working-pressure-below-reseat": (Part.OPERATING_LIMIT, {OPERATING, RUN_ON}),
    "cut-out-within-wish": (Part.OPERATING_LIMIT, {OPERATING, RUN_ON}),
    "low-fire-before-cut-out": (Part.OPERATING_LIMIT, {RATE, TermName.OVERSHOOT_OF_DROP, OPERATING}),
    "need-at-full-load": (Part.FIRING_RATE, {RATE}),
    "restart-holds-need": (Part.OPERATING_LIMIT, {OPERATING, UNDERSHOOT}),
    "hold-below-restart": (Part.LOW_FIRE_HOLD, {HOLD, OPERATING, UNDERSHOOT}),
    "hold-below-full-load": (Part.LOW_FIRE_HOLD, {HOLD, RATE}),
    "cut-in-above-high-fire": (Part.OPERATING_LIMIT, set()),
}


def plant_of(code: str) -> Table:
    return LOW_PRESSURE if code == "high-limit-within-low-pressure" else HIGH_PRESSURE


def clear_outcome(code: str, table: Table) -> Clear:
    (outcome,) = [each for each in judge(case_of(table)) if each.code == code]
    assert isinstance(outcome, Clear)
    return outcome


@pytest.mark.parametrize("code", MADE_OF)
def test_a_demand_names_its_control_and_everything_that_it_was_reckoned_with(code: str) -> None:
    part, terms = MADE_OF[code]
    outcome = clear_outcome(code, plant_of(code))
    assert outcome.subject.part is part
    assert {term.name for term in outcome.terms} == terms


@pytest.mark.parametrize("code", ["need-at-full-load", "restart-holds-need"])
def test_a_need_at_the_header_is_told_with_the_drop_of_the_line(code: str) -> None:
    table = edited(HIGH_PRESSURE, {"load.need": "90 psi", "load.need_at": "header", "load.line_drop": "2 psi"})
    terms = {term.name for term in clear_outcome(code, table).terms}
    assert terms == MADE_OF[code][1] | {TermName.LINE_DROP}


def test_an_assumed_drop_of_the_line_is_told_as_assumed() -> None:
    table = edited(HIGH_PRESSURE, {"load.need": "80 psi", "load.need_at": "header"})
    (drop,) = [each for each in clear_outcome("need-at-full-load", table).terms if each.name is TermName.LINE_DROP]
    assert drop.assumptions == ("ASSUMED_LINE_DROP",)

"""Phrases about one control and its history, the same on the screen and beside a figure."""

from datetime import date

from evenfire.delivery.report.history_answer import ControlHistory, ControlStands
from evenfire.delivery.words import PARTS
from evenfire.delivery.words import due as due_words
from evenfire.delivery.words import history as words
from evenfire.judgement.outcome import PART_OF_ROLE
from evenfire.judgement.trip_test.drift import Drift
from evenfire.plant.known import Missing

SHORT = 8
"""Of an id that a person types [characters]."""


def name(control: ControlHistory) -> str:
    """``high limit HL-4711``."""
    return f"{PARTS[PART_OF_ROLE[control.role]]} {control.serial or words.NO_SERIAL}"


def to_do(control: ControlHistory) -> str:
    """The next action."""
    match control.stands:
        case ControlStands.UNSAFE | ControlStands.NOT_PASSED:
            return due_words.DO_AFTER.get(control.failed_with, words.NONE_PASSED)
        case ControlStands.OUTSIDE:
            return words.TEST_NOW.format(side=_side(control.drift)) + (
                words.UNSAFE_SIDE if words.ABOVE in _side(control.drift) else ""
            )
        case ControlStands.MOVED:
            return words.MOVED
        case ControlStands.OVERDUE:
            return words.TEST_OVERDUE.format(day=control.next_due)
        case ControlStands.NEVER_TESTED:
            return words.PROVE_IT
        case ControlStands.NOT_JUDGED:
            return words.SUPPLY.format(what=lacking(control)) + _when(control)
        case ControlStands.INSIDE:
            return words.NOTHING_BEFORE.format(day=control.next_due)
        case ControlStands.GONE:
            return words.KEPT


def _when(control: ControlHistory) -> str:
    return words.TEST_AT_ONCE if control.is_due_at_once else by_day(control.next_due)


def by_day(day: date | None) -> str:
    """When to test it again, where that is known."""
    return "" if day is None else words.TEST_BY.format(day=day)


def lacking(control: ControlHistory) -> str:
    """What would have to be known to judge its drift."""
    keys = control.drift.keys if isinstance(control.drift, Missing) else ()
    return "; ".join(words.missing(key) for key in keys)


def _side(drift: Drift | Missing) -> str:
    """The side on which the band is left first."""
    if isinstance(drift, Missing):
        return ""
    above, below = drift.leaves_above, drift.leaves_below
    if above is not None and below is not None and above == below:
        return f"{words.ABOVE} or {words.BELOW}"
    if below is None or (above is not None and above < below):
        return words.ABOVE
    return words.BELOW

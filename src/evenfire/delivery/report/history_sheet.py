"""The figure of a history with its words and numbers, before it is drawn."""

from datetime import date, timedelta

from evenfire.delivery.figures.history_layout import (
    HistoryPanel,
    HistorySheet,
    KeyWords,
    Mark,
    PlottedLine,
    PlottedTest,
)
from evenfire.delivery.figures.measured_text import printable
from evenfire.delivery.figures.stack_words import unit_of
from evenfire.delivery.report import history_phrases as phrases
from evenfire.delivery.report.history_answer import ControlHistory, ControlStands, History, HistoryPoint
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import history as words
from evenfire.judgement.trip_test.due import DAYS_A_YEAR
from evenfire.judgement.trip_test.stretches import Began
from evenfire.judgement.trip_test.trip import Verdict
from evenfire.plant.known import Missing

NEAR = timedelta(days=730)
"""A day on which a band is left is drawn when it is no further away than this."""
STEPS = 60
"""Points along a fitted line."""


def lay_out_history(history: History, system: UnitSystem) -> HistorySheet | None:
    """Everything that stands in the figure; nothing where no trip point is known."""
    panels = tuple(
        _panel(each, history.today)
        for each in history.controls
        if any(point.set_error is not None for point in each.points)
    )
    if not panels:
        return None
    jumps = any(each.stretches for each in panels)
    return HistorySheet(
        title=printable(words.figure_title(f"{history.boiler.site.name}/{history.boiler.name}")),
        lead=words.FIGURE_LEAD.format(unit=unit_of(system)),
        caption=f"{words.FIGURE_CAPTION} {words.FIGURE_STRETCHES}" if jumps else words.FIGURE_CAPTION,
        key=KeyWords(
            marks={
                Mark.PASSED: words.IN_KEY_PASSED,
                Mark.FAILED: words.IN_KEY_FAILED,
                Mark.NOT_COUNTED: words.IN_KEY_NOT_COUNTED,
            },
            band=words.IN_KEY_BAND,
            line=words.IN_KEY_LINE,
            stretch=words.IN_KEY_STRETCH,
            due=words.IN_KEY_DUE,
        ),
        panels=panels,
        system=system,
    )


def _panel(control: ControlHistory, today: date) -> HistoryPanel:
    shown = [each for each in control.points if each.set_error is not None]
    is_fitted = control.stands is not ControlStands.GONE
    return HistoryPanel(
        label=printable(f"{phrases.name(control)}: {control.stands.value}"),
        tests=tuple(_test(each) for each in shown),
        band=control.band,
        line=_line(control, today),
        stretches=tuple(each.on for each in shown if each.began not in {Began.FIRST, Began.GOES_ON}),
        due=control.next_due if is_fitted else None,
    )


def _test(point: HistoryPoint) -> PlottedTest:
    passed = {Verdict.PASSED, Verdict.SAFE_MAY_TRIP_LOW}
    mark = Mark.NOT_COUNTED
    if point.is_measured:
        mark = Mark.PASSED if point.verdict in passed and not point.is_other_aim else Mark.FAILED
    error = point.set_error
    assert error is not None
    return PlottedTest(
        on=point.on,
        error=error,
        half_width=0.0 if point.expanded_uncertainty is None else point.expanded_uncertainty,
        mark=mark,
    )


def _line(control: ControlHistory, today: date) -> PlottedLine | None:
    """From the begin of the last stretch to the next test, to today, and to where it leaves its band, if near."""
    drift, measured = control.drift, control.measured
    if isinstance(drift, Missing):
        return None
    last = measured[-1].on
    first = next(each.on for each in measured if each.stretch == measured[-1].stretch)
    end = max(drift.next_due, today, last + timedelta(days=1))
    leaves = control.outside_since
    if leaves is not None and leaves - end <= NEAR:
        end = max(end, leaves)
    days = tuple(first + (end - first) * step // STEPS for step in range(STEPS + 1))
    years = [_years(day, last) for day in days]
    return PlottedLine(
        days=days,
        middle=tuple(drift.line.value(each) for each in years),
        half_width=tuple(drift.line.coverage_factor * drift.line.doubt(each) for each in years),
    )


def _years(day: date, last: date) -> float:
    return (day - last).days / DAYS_A_YEAR

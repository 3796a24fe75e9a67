"""What is told of a visit as it stands, line by line: the terminal and the page of a visit say the same."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.answers import BoilerCheck
from evenfire.delivery.report.outcome_text import findings_of
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import Rounding
from evenfire.delivery.visit_answers import AtVisit, BackedUp, JudgedVisit, WantedTrip
from evenfire.delivery.visits.corrections import corrections_of
from evenfire.delivery.visits.fields import DIALS
from evenfire.delivery.visits.standing import dials_that_differ
from evenfire.delivery.visits.visit import MoveEntry, TemporaryChange
from evenfire.delivery.words.names import name_of_key
from evenfire.delivery.words.visits import (
    DIAL_NAMES,
    GAUGE_NOT_KNOWN,
    GIVEN_UP,
    HIGHEST_OUT_OF_THE_WAY,
    JUDGED_ANEW,
    NEWER_SURVEY,
    NOT_PROVED_AT_REST,
    NOTHING_AGAINST,
    OUT_OF_THE_WAY_NOT_KNOWN,
)
from evenfire.judgement.outcome import Finding, Severity
from evenfire.judgement.trip_test.out_of_the_way import out_of_the_way
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing
from evenfire.si import Dimension, Quantity

NOTHING: Final = "-"
WALL_CLOCK: Final = "%Y-%m-%d %H:%M"
SHORT: Final = 8
"""Of an id that a person types [characters]."""
OPEN: Final = "OPEN"

Row = tuple[str, str]
"""A word in the margin, and what stands beside it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DialRow:
    """One dial in the three sets, each as typed."""

    dial: str
    """Its key in the plant file"""
    name: str
    found: str
    proposed: str
    left: str
    differs: bool
    """Left elsewhere than proposed"""


def opened_line(at: AtVisit) -> str:
    """Which visit it is."""
    by = at.people.get(at.draft.opened_by, at.draft.opened_by)
    state = "" if at.draft.is_open else " SIGNED."
    return (
        f"Visit {at.draft.id[:SHORT]}, opened {at.draft.opened_at:%Y-%m-%d %H:%M} UTC by {by}. Survey "
        f"{at.survey.sha256[:12]}.{state}"
    )


def beside_lines(judged: JudgedVisit) -> Iterator[str]:
    """What has to be known of it before anything else."""
    if judged.at.visit.given_up:
        yield GIVEN_UP.format(why=judged.at.visit.given_up)
    if judged.at.newer is not None and judged.at.draft.is_open:
        yield NEWER_SURVEY.format(sha256=judged.at.newer.sha256[:12])


def bars_head(judged: JudgedVisit) -> str:
    """Whether it can be signed; judged at rest nobody can say that it can."""
    if not judged.at.draft.is_open:
        return JUDGED_ANEW.format(record=(judged.at.draft.record or "")[:SHORT])
    many = len(judged.bars)
    if many:
        return f"NOT READY TO SIGN: {many} {'thing stands' if many == 1 else 'things stand'} against it."
    return NOT_PROVED_AT_REST if judged.is_at_rest else NOTHING_AGAINST


def dial_rows(judged: JudgedVisit) -> tuple[DialRow, ...]:
    """The three sets side by side; of dials that nobody read or proposed nothing."""
    fold = judged.at.fold
    differing = set(dials_that_differ(judged.at.visit, judged.seen))
    found = []
    for dial in DIALS:
        left = fold.text(f"as_left.{dial}") or NOTHING
        row = DialRow(
            dial=dial,
            name=DIAL_NAMES[dial],
            found=fold.text(f"as_found.{dial}") or NOTHING,
            proposed=_proposed(judged, dial),
            left=left,
            differs=dial in differing and left != NOTHING,
        )
        if {row.found, row.proposed, row.left} != {NOTHING}:
            found.append(row)
    return tuple(found)


def last_check(judged: JudgedVisit) -> BoilerCheck:
    """Of what was left; of what was found as long as nothing was read as left."""
    return judged.found if judged.left is None else judged.left


def stops_of(judged: JudgedVisit) -> list[Finding]:
    """What forbids or warns, worst first."""
    return [each for each in findings_of(last_check(judged).outcomes) if each.severity is not Severity.ADVISE]


def unknown_gauges(judged: JudgedVisit) -> Iterator[str]:
    """A gauge that was written down and is not in the bag is no gauge that nobody wrote down."""
    for trip in judged.trips:
        if trip.entry.gauge and trip.test is not None and trip.test.gauge is None:
            yield GAUGE_NOT_KNOWN.format(row=trip.entry.row, gauge=trip.entry.gauge)


def wanted_still(judged: JudgedVisit) -> Iterator[WantedTrip]:
    """Tests to be made: one that failed or decided nothing is made again, and where to break it off is told again."""
    last = {each.entry.control: each for each in judged.trips}
    for wanted in judged.wanted:
        made = last.get(wanted.role)
        if made is None or not made.result.verdict.is_safe:
            yield wanted


def temporary_row(change: TemporaryChange) -> Row:
    """One temporary change: whether it is open, what it is, who opened and closed it."""
    label = OPEN if change.is_open else "TIMES" if change.is_back_to_front else "closed"
    # Of one day the hour tells enough; where the two do not fit, the day may be what is wrong.
    as_told = WALL_CLOCK if change.is_back_to_front else "%H:%M"
    when = "" if change.opened_at is None else f", opened {change.opened_at:{as_told}} by {change.opened_by or '?'}"
    shut = "" if change.closed_at is None else f", closed {change.closed_at:{as_told}} by {change.closed_by or '?'}"
    seen = f", seen by {change.verified_by}" if change.verified_by else ""
    return label, f"{change.what or 'what was not written down'}{when}{shut}{seen}."


def corrected_lines(judged: JudgedVisit) -> Iterator[str]:
    """What was overwritten, by whom and when."""
    for each in corrections_of(judged.at.entries):
        by = judged.at.people.get(each.by, each.by)
        now = repr(each.now) if each.now else "nothing"
        yield f"{each.path}: was {each.was!r}, is {now}. {by}, {each.at:%Y-%m-%d %H:%M} UTC."


def move_row(move: MoveEntry) -> Row:
    """One move and its tick."""
    box = "[ ]" if move.done_at is None else "[x]"
    done = "" if move.done_at is None else f" Done {move.done_at:%H:%M}, {move.done_by or 'nobody named'}."
    # What is to be watched while a dial is turned is of no use once it stands.
    told = move.words if move.done_at is None else f"{move.words.split('. ')[0].rstrip('.')}."
    return f"{box} {move.row}", f"{told}{done}"


def out_of_the_way_line(judged: JudgedVisit, page: Page) -> str:
    """How far the operating limit may be set up for a test of the high limit."""
    found = out_of_the_way(judged.found.case)
    if isinstance(found, Missing):
        missing = "; ".join(name_of_key(key) for key in found.keys)
        return OUT_OF_THE_WAY_NOT_KNOWN.format(missing=missing)
    return HIGHEST_OUT_OF_THE_WAY.format(
        highest=page.show(Quantity(found.highest, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN),
        below=page.show(Quantity(found.below, Dimension.GAUGE_PRESSURE)),
        off=page.show(Quantity(found.off, Dimension.PRESSURE_DIFFERENCE)),
        run_on=page.show(Quantity(found.run_on.value, Dimension.PRESSURE_DIFFERENCE)),
    )


def dials_absent(boiler: Boiler) -> Iterator[str]:
    """Keys of controls that this boiler does not have."""
    for role in Role:
        if boiler.controls.of(role) is None:
            yield from (role.value, f"{role.value}_differential")
    if boiler.controls.firing_rate is None:
        yield from ("switch", "manual_cap")


def backed_up_line(backup: BackedUp) -> str:
    """What became of the backup after a signature."""
    if backup.path is not None:
        return f"A backup of the store stands in {backup.path}."
    return (
        f"SIGNED AND KEPT, BUT NO BACKUP COULD BE MADE: {backup.why_not} Make one on another disk: evenfire store "
        "backup FILE."
    )


def _proposed(judged: JudgedVisit, dial: str) -> str:
    """The dial of a control that is to be proved is only a start, and told no finer than it can be turned to."""
    entry = judged.at.fold.entry(f"proposed.{dial}")
    proposed = judged.at.visit.proposed
    if entry is None or entry.si is None or proposed is None:
        return NOTHING
    if dial in {role.value for role in proposed.settings.proved}:
        return f"~{_as_fine_as_a_dial(entry.text)}"
    return entry.text


def _as_fine_as_a_dial(text: str) -> str:
    """In the unit of its own scale, as the entry is."""
    value, _, unit = text.partition(" ")
    if not value.replace(".", "", 1).isdigit():
        return text
    rounded = f"{float(value):.4g}" if float(value) < 1000.0 else f"{float(value):.0f}"
    return f"{rounded} {unit}"

"""How a visit stands, for a page: the lines of the terminal, each with the field that it speaks of."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.report.boiler_text import assumption_lines, made_from
from evenfire.delivery.report.outcome_text import finding_rows, not_judged_told
from evenfire.delivery.report.page import Page
from evenfire.delivery.report.trip_text import device_rows, trip_rows, wanted_text
from evenfire.delivery.report.visit_lines import (
    DialRow,
    Row,
    bars_head,
    beside_lines,
    corrected_lines,
    dial_rows,
    last_check,
    move_row,
    out_of_the_way_line,
    stops_of,
    temporary_row,
    unknown_gauges,
    wanted_still,
)
from evenfire.delivery.report.visit_steps import FAILED, StepTold, steps_told
from evenfire.delivery.units import Rounding, UnitSystem
from evenfire.delivery.visit_answers import JudgedTrip, JudgedVisit
from evenfire.delivery.visits.standing import Bar, Barred
from evenfire.delivery.words.trip_test_saying import say_abort
from evenfire.delivery.words.visit_page import (
    LABELS,
    MAKE_NO_RISE,
    NO_ABORT,
    NO_CONTROL_YET,
    NO_GAUGE_YET,
    NOT_CONNECTED,
    STOP_THERE,
    TURNED_DOWN,
)
from evenfire.delivery.words.visits import NOT_EVERY_DIAL_READ, NOT_SET_IN_MOTION, say_bar, say_flag
from evenfire.judgement.trip_test.abort import Abort, DoNotConnect
from evenfire.judgement.trip_test.trip import Method
from evenfire.si import Dimension, Quantity

UNBROKEN: Final = 1_000_000
"""A page breaks lines by itself [characters]."""
FIELD_OF_ROW: Final = {
    Bar.TEMPORARY_CHANGE_OPEN: ("temporary", "closed_by"),
    Bar.TEMPORARY_CHANGE_TIMES: ("temporary", "closed_at"),
    Bar.TEMPORARY_CHANGE_UNTOLD: ("temporary", "what"),
    Bar.LIMIT_FAILED_IN_SERVICE: ("trip", "opened"),
    Bar.DEVICE_FAILED_IN_SERVICE: ("device", "works"),
    Bar.NOBODY_AT_THE_STOP: ("trip", "at_the_stop"),
}
"""Where somebody has to go who wants to mend what stands against signing."""
BY_PROGRAM: Final = frozenset({"proposed", "words"})
"""What no field of the page holds: settling anew puts it right."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BarLine:
    """One thing that stands against signing, and the place on the page where it is mended."""

    text: str
    at: str
    """Id of an element"""


@dataclass(frozen=True, slots=True, kw_only=True)
class InSight:
    """What has to be in sight while a trip test is made."""

    number: str
    """The pressure at which the burner is stopped by hand, as the reference gauge shows it; or why there is none; or
    that the control failed"""
    short: str
    """What to do at that number, or what is lacking"""
    lines: tuple[str, ...]
    """All that is told of it"""
    control: str
    """Which is tested"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One temporary change."""

    row: int
    label: str
    text: str
    is_open: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitStands:
    """How a visit stands."""

    head: str
    """Whether it can be signed"""
    is_ready: bool
    """Whether nothing at all stands against it, proofs among it"""
    beside: tuple[str, ...]
    failed: tuple[tuple[str, str], ...]
    """Trip tests that failed towards danger and were not made good: what was seen, and what to do"""
    bars: tuple[BarLine, ...]
    """Worst first"""
    flags: tuple[str, ...]
    dials: tuple[DialRow, ...]
    findings: tuple[tuple[Row, ...], ...]
    """Stops and warnings, worst first"""
    not_judged: tuple[str, ...]
    trips: dict[int, tuple[Row, ...]]
    """How each trip test came out, by its row"""
    in_sight: dict[int, InSight]
    """By the row of the test"""
    devices: dict[int, tuple[Row, ...]]
    gauges: tuple[str, ...]
    """Gauges that were written down and are not known"""
    wanted: tuple[str, ...]
    """Trip tests to be made, with which gauge, and where each is broken off"""
    out_of_the_way: str
    """How far the operating limit may be set up for a test of the high limit"""
    changes: tuple[Change, ...]
    moves: dict[int, Row]
    """Each move with its tick, by its row"""
    corrected: tuple[str, ...]
    proofs: tuple[Row, ...]
    not_proved: str
    """Why nothing was proved; empty where it was, or where nothing was read as left"""
    steps: dict[str, StepTold]
    assumed: tuple[str, ...]
    made_from: str
    seen: str
    """Id of the newest entry that all of this tells of"""

    @property
    def open_changes(self) -> tuple[Change, ...]:
        """Those that have to stay in sight."""
        return tuple(each for each in self.changes if each.is_open)


def visit_stands(judged: JudgedVisit, system: UnitSystem) -> VisitStands:
    """How a visit stands, in the units of the reader."""
    page = Page(UNBROKEN, system)
    is_open = judged.at.draft.is_open
    return VisitStands(
        head=bars_head(judged),
        is_ready=is_open and not judged.bars and not judged.is_at_rest,
        beside=tuple(beside_lines(judged)),
        failed=tuple(
            (rows[0][1], _to_do(rows))
            for each in judged.trips
            if each.entry.row in judged.seen.unsafe
            for rows in (trip_rows(each, page),)
        ),
        bars=tuple(BarLine(text=say_bar(each), at=place_of(each)) for each in judged.bars) if is_open else (),
        flags=tuple(say_flag(each) for each in judged.flags),
        dials=dial_rows(judged),
        findings=tuple(tuple(finding_rows(each, page)) for each in stops_of(judged)),
        not_judged=tuple(not_judged_told(last_check(judged).outcomes)),
        trips={each.entry.row: tuple(trip_rows(each, page)) for each in judged.trips},
        in_sight={each.entry.row: in_sight(each, page) for each in judged.trips},
        devices={each.entry.row: tuple(device_rows(each, page)) for each in judged.devices},
        gauges=tuple(unknown_gauges(judged)),
        wanted=tuple(line for wanted in wanted_still(judged) for line in wanted_text(wanted, page)),
        out_of_the_way=out_of_the_way_line(judged, page),
        changes=tuple(_changes(judged)),
        moves={each.row: move_row(each) for each in judged.at.visit.moves},
        corrected=tuple(corrected_lines(judged)),
        proofs=tuple(_proofs(judged, page)),
        not_proved=_not_proved(judged),
        steps=steps_told(judged),
        assumed=tuple(assumption_lines(judged.at.plant_file, page)),
        made_from=made_from(judged.identity),
        seen=judged.at.newest_entry,
    )


def in_sight(trip: JudgedTrip, page: Page) -> InSight:
    """Where a trip test is broken off, or why it must not be made."""
    entry, abort = trip.entry, trip.abort
    control = "" if entry.control is None else LABELS[entry.control.value]
    if trip.result.verdict.is_unsafe:
        # A pressure to stop at tells somebody to go on.
        rows = trip_rows(trip, page)
        return InSight(number=FAILED, short=_to_do(rows), lines=(rows[0][1],), control=control)
    if entry.method is Method.TURNED_DOWN:
        return InSight(number="", short=TURNED_DOWN, lines=(), control=control)
    if abort is None:
        lacks = NO_CONTROL_YET if entry.control is None else NO_GAUGE_YET
        return InSight(number="", short=lacks, lines=(), control=control)
    told = say_abort(abort, page.show)
    if isinstance(abort, Abort):
        number = page.show(Quantity(abort.on_gauge, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN)
        return InSight(number=number, short=STOP_THERE, lines=told, control=control)
    number = NOT_CONNECTED if isinstance(abort, DoNotConnect) else NO_ABORT
    return InSight(number=number, short=MAKE_NO_RISE, lines=told, control=control)


def _to_do(rows: list[Row]) -> str:
    return next((text for label, text in rows if label == "do"), "")


def place_of(barred: Barred) -> str:
    """The element of the page where that is mended."""
    if barred.paths:
        table, *rest = barred.paths[0].split(".")
        if BY_PROGRAM & {table, *rest}:
            return "step-move"
        if table == "photo" and rest[-1] == "hash":
            return "step-photo"
        return f"f-{barred.paths[0]}"
    if barred.rows and barred.bar in FIELD_OF_ROW:
        table, key = FIELD_OF_ROW[barred.bar]
        return f"f-{table}.{barred.rows[0]}.{key}"
    return "step-as_left"


def _changes(judged: JudgedVisit) -> Iterator[Change]:
    for change in judged.at.visit.temporary_changes:
        label, text = temporary_row(change)
        yield Change(row=change.row, label=label, text=text, is_open=change.is_open)


def _not_proved(judged: JudgedVisit) -> str:
    if judged.left is None or judged.proofs is not None:
        return ""
    return NOT_SET_IN_MOTION if judged.is_at_rest else NOT_EVERY_DIAL_READ


def _proofs(judged: JudgedVisit, page: Page) -> Iterator[Row]:
    """Every scenario, worst first; of one that fails what to do."""
    if judged.left is None or judged.proofs is None:
        return
    from evenfire.delivery.report.motion_text import say_proof
    from evenfire.delivery.words.proof_saying import to_do
    from evenfire.judgement.proofs.result import Proof, Verdict
    from evenfire.judgement.proofs.weighing import worst_first

    case = judged.left.case
    for proved in worst_first(judged.proofs):
        said = say_proof(case, proved, page)
        if said is not None:
            yield said.verdict, f"{said.title}: {said.decides}"
        if isinstance(proved, Proof) and proved.verdict is Verdict.FAILS:
            yield "do", to_do(case, proved, page.show)

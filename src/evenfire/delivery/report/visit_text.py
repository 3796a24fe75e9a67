"""Visits as text: how one stands, what bars signing it, what was signed; and the sheet that is filled in."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from uuid import uuid4

from evenfire.delivery.answers import BoilerCheck, Settle
from evenfire.delivery.intake.visit_sheet import SheetHead, sheet_text
from evenfire.delivery.records.keys import grouped
from evenfire.delivery.report.boiler_text import assumption_lines, cautions, made_from, who
from evenfire.delivery.report.motion_text import proof_lines
from evenfire.delivery.report.outcome_text import finding_text, findings_of, not_judged_lines
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.report.settle_text import settle_text
from evenfire.delivery.report.trip_text import device_text, trip_text, wanted_text
from evenfire.delivery.units import Rounding, UnitSystem
from evenfire.delivery.visit_answers import (
    AmendedVisit,
    AtVisit,
    BackedUp,
    EnteredSheet,
    JudgedVisit,
    OpenedVisit,
    SettledVisit,
    SignedVisit,
)
from evenfire.delivery.visits.corrections import corrections_of
from evenfire.delivery.visits.fields import DIALS
from evenfire.delivery.visits.standing import dials_that_differ
from evenfire.delivery.words.cautions import CAUTIONS
from evenfire.delivery.words.moves import NOT_ACROSS
from evenfire.delivery.words.names import name_of_key
from evenfire.delivery.words.proof_saying import to_do
from evenfire.delivery.words.visits import (
    DIAL_NAMES,
    DO_NEXT,
    GAUGE_NOT_KNOWN,
    GIVEN_UP,
    HIGHEST_OUT_OF_THE_WAY,
    JUDGED_ANEW,
    KEPT_SINCE,
    NEWER_SURVEY,
    NOTHING_ENTERED,
    OUT_OF_THE_WAY_NOT_KNOWN,
    corrected_in_entering,
    say_bar,
    say_flag,
)
from evenfire.judgement.outcome import Finding, Severity
from evenfire.judgement.proofs.result import Proof, Verdict
from evenfire.judgement.proofs.weighing import worst_first
from evenfire.judgement.trip_test.out_of_the_way import out_of_the_way
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing
from evenfire.si import Dimension, Quantity

NOTHING = "-"
WALL_CLOCK = "%Y-%m-%d %H:%M"
SHORT = 8
"""Of an id that a person types [characters]."""


def sheet_of(judged: JudgedVisit, system: UnitSystem) -> str:
    """The sheet of a visit as it stands, to be filled in at the boiler."""
    page = Page(100, system)
    told = {
        "trip": (*(line for wanted in judged.wanted for line in wanted_text(wanted, page)),),
        "move": (NOT_ACROSS,),
        "temporary": (
            "No limit is ever bypassed: what is changed is its setting, with somebody at the stop.",
            _highest_out_of_the_way(judged, page),
        ),
    }
    title = (who(judged.at.plant_file, judged.at.surveyed), _opened(judged.at), "", *CAUTIONS)
    absent = frozenset(_dials_absent(judged.at.surveyed))
    head = SheetHead(visit=judged.at.draft.id, sheet=str(uuid4()), title=title, told=told, absent=absent)
    return sheet_text(head, judged.at.fold)


def _highest_out_of_the_way(judged: JudgedVisit, page: Page) -> str:
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


def _dials_absent(boiler: Boiler) -> Iterator[str]:
    """Keys of controls that this boiler does not have."""
    for role in Role:
        if boiler.controls.of(role) is None:
            yield from (role.value, f"{role.value}_differential")
    if boiler.controls.firing_rate is None:
        yield from ("switch", "manual_cap")


def opened_text(opened: OpenedVisit, sheet: Path, system: UnitSystem, width: int) -> str:
    """What was opened, and what comes next."""
    page = Page(width, system)
    lines = [f"{_opened(opened.at)}"]
    if opened.taken is not None and opened.taken.is_new:
        changed = len(opened.taken.differences)
        before = opened.taken.before
        kept = "its survey." if before is None else f"its new survey: {changed} keys differ from the last."
        lines.append(f"Took {opened.at.survey.origin} into the store as {kept}")
        if opened.taken.unaware_of:
            lines.append(
                "TAKEN OVER A NEWER SURVEY: somebody took another one after this file was given out. Compare them: "
                "evenfire store take."
            )
    lines += [
        f"ANOTHER VISIT IS OPEN AT THIS BOILER: {_opened(other)} If it is the same call, go on with that one: "
        f"evenfire visit show {other.draft.id[:SHORT]}"
        for other in opened.also_open
    ]
    if opened.prefilled:
        lines.append(
            f"{opened.prefilled} readings as found stand in it already: the plant file says they are of today."
        )
    lines.append(f"Wrote {sheet}. Fill it in at the boiler, then: evenfire visit enter {sheet}")
    title = page.title(who(opened.at.plant_file, opened.at.surveyed))
    return joined([title, *(page.paragraph(line) for line in lines), cautions(page)])


def entered_text(entered: EnteredSheet, system: UnitSystem, width: int) -> str:
    """How much was entered, and how the visit stands now."""
    page = Page(width, system)
    count = len(entered.new)
    head = (
        f"{count} {'field' if count == 1 else 'fields'} entered and on the disk." if count else "Nothing new to enter."
    )
    unread = [each.entry for each in entered.new if each.entry.why_not is not None]
    lines = [page.labelled("UNREAD", f"{each.path}: {each.text!r}: {each.why_not}") for each in unread]
    lines += [
        page.labelled(*corrected_in_entering(each))
        # What was taken away stands first: nobody shall overlook that.
        for each in sorted(entered.corrected, key=lambda each: (not each.is_of_jumpers, not each.is_taken_back))
    ]
    lines += [page.labelled("KEPT", line) for line in _left_alone(entered)]
    return joined([page.paragraph(head), *lines, visit_text(entered.judged, system, width)])


def _left_alone(entered: EnteredSheet) -> Iterator[str]:
    fold = entered.judged.at.fold
    for path in entered.left_alone:
        texts = " and ".join(repr(head.text) for head in fold.fields[path].heads if head.text.strip())
        yield KEPT_SINCE.format(path=path, texts=texts or "nothing")


def settled_text(settled: SettledVisit, system: UnitSystem, width: int) -> str:
    """The answer of settle, and what became of it."""
    page = Page(width, system)
    # Commands that are told below want a plant file; this visit's readings stand in none.
    answer = Settle(
        plant_file=replace(settled.at.plant_file, name="PLANT"), boilers=(settled.settle,), identity=settled.identity
    )
    told = (
        "The proposal and its moves stand in the visit now. Next: evenfire visit show --sheet FILE, and tick each move."
        if settled.is_entered
        else NOTHING_ENTERED
    )
    return joined([settle_text(answer, system, width), page.paragraph(told)])


def open_visits_text(visits: tuple[AtVisit, ...], width: int) -> str:
    """Every open visit in a line."""
    page = Page(width, UnitSystem.US)
    if not visits:
        return page.paragraph("No visit is open. Next: evenfire visit new PLANT.")
    lines = [page.item(f"{at.draft.id[:SHORT]}  {who(at.plant_file, at.surveyed)}. {_opened(at)}") for at in visits]
    return "\n".join(["Open visits", "-----------", *lines, "", "Next: evenfire visit show ID"])


def visit_text(judged: JudgedVisit, system: UnitSystem, width: int) -> str:
    """How a visit stands: what bars signing first, then what its head will say, settings, tests, moves, proofs."""
    page = Page(width, system)
    return joined(
        [
            page.title(who(judged.at.plant_file, judged.at.surveyed)),
            page.paragraph(_opened(judged.at)),
            *(page.paragraph(line) for line in _beside(judged)),
            _bars(judged, page),
            _headed("What its head will say", [page.item(say_flag(each)) for each in judged.flags], page),
            _headed("Dials", list(_dials(judged, page)), page),
            *(finding_text(each, page) for each in _stops(judged)),
            _headed("Not judged", not_judged_lines(_last_check(judged).outcomes, page), page),
            _headed("Trip tests", [trip_text(each, page) for each in judged.trips], page, apart=True),
            *(page.labelled("GAUGE", line) for line in _unknown_gauges(judged)),
            _headed("Trip tests to be made", [page.item(line) for line in _wanted(judged, page)], page),
            _headed("Other safety devices", [device_text(each, page) for each in judged.devices], page, apart=True),
            _headed("Temporary changes", list(_temporary(judged, page)), page),
            _headed("Corrected after it was entered", [page.item(each) for each in _corrected(judged)], page),
            _headed("Moves", list(_moves(judged, page)), page),
            _headed("In motion, as left", list(_proofs(judged, page)), page),
            _headed("Notes", [page.item(note) for note in judged.at.visit.notes], page),
            _headed(
                "Assumed, because the survey does not say",
                [page.item(line) for line in assumption_lines(judged.at.plant_file, page)],
                page,
            ),
            page.paragraph(_next(judged)),
            cautions(page),
            page.paragraph(made_from(judged.identity)),
        ]
    )


def signed_text(signed: SignedVisit, system: UnitSystem, width: int) -> str:
    """What was signed, by whom, under which name it stands."""
    page = Page(width, system)
    licence = signed.signer.licence or "no licence on record"
    amend = f"evenfire visit amend {signed.record.id[:SHORT]} --text ..."
    at = f"{signed.signed_at:%Y-%m-%d %H:%M:%S} UTC"
    lines = [
        f"Signed by {signed.signer.name} ({licence}) at {at}.",
        f"It cannot be changed any more; what has to be put right goes into an amendment: {amend}",
        f"Record {signed.record.id}.",
        f"Key {grouped(signed.record.fingerprint)}.",
        _backed_up(signed.backup),
    ]
    flags = [page.item(say_flag(each)) for each in signed.judged.flags]
    return joined(
        [
            page.title(who(signed.judged.at.plant_file, signed.judged.at.surveyed)),
            *(page.paragraph(line) for line in lines),
            _headed("Its head says", flags, page),
            cautions(page),
        ]
    )


def amended_text(amended: AmendedVisit, width: int) -> str:
    """What was amended, by whom."""
    page = Page(width, UnitSystem.US)
    told = (
        f"Amendment {amended.record.id} to record {amended.amends} signed by {amended.signer.name}. The record itself "
        "stays as it was signed."
    )
    return joined([page.paragraph(told), page.paragraph(_backed_up(amended.backup))])


def _backed_up(backup: BackedUp) -> str:
    if backup.path is not None:
        return f"A backup of the store stands in {backup.path}."
    return (
        f"SIGNED AND KEPT, BUT NO BACKUP COULD BE MADE: {backup.why_not} Make one on another disk: evenfire store "
        "backup FILE."
    )


def _opened(at: AtVisit) -> str:
    by = at.people.get(at.draft.opened_by, at.draft.opened_by)
    state = "" if at.draft.is_open else " SIGNED."
    return (
        f"Visit {at.draft.id[:SHORT]}, opened {at.draft.opened_at:%Y-%m-%d %H:%M} UTC by {by}. Survey "
        f"{at.survey.sha256[:12]}.{state}"
    )


def _beside(judged: JudgedVisit) -> Iterator[str]:
    if judged.at.visit.given_up:
        yield GIVEN_UP.format(why=judged.at.visit.given_up)
    if judged.at.newer is not None and judged.at.draft.is_open:
        yield NEWER_SURVEY.format(sha256=judged.at.newer.sha256[:12])


def _bars(judged: JudgedVisit, page: Page) -> str:
    if not judged.at.draft.is_open:
        return page.paragraph(JUDGED_ANEW.format(record=(judged.at.draft.record or "")[:SHORT]))
    if not judged.bars:
        return page.paragraph("Nothing stands against signing it.")
    many = len(judged.bars)
    head = f"NOT READY TO SIGN: {many} {'thing stands' if many == 1 else 'things stand'} against it."
    return "\n".join([page.paragraph(head), *(page.item(say_bar(each)) for each in judged.bars)])


def _dials(judged: JudgedVisit, page: Page) -> Iterator[str]:
    """The three sets side by side, as typed; a dial that differs from the proposal is marked."""
    fold = judged.at.fold
    differing = set(dials_that_differ(judged.at.visit, judged.seen))
    rows = [
        (
            DIAL_NAMES[dial],
            fold.text(f"as_found.{dial}") or NOTHING,
            _proposed(judged, dial),
            fold.text(f"as_left.{dial}") or NOTHING,
            dial,
        )
        for dial in DIALS
    ]
    shown = [row for row in rows if any(text != NOTHING for text in row[1:4])]
    if not shown:
        yield page.paragraph("No dial was read yet.")
        return
    widest = max(len(row[0]) for row in shown)
    yield f"{'':<{widest}}  {'as found':>10}  {'proposed':>10}  {'as left':>10}"
    for name, found, proposed, left, dial in shown:
        flag = "  <- differs from proposed" if dial in differing and left != NOTHING else ""
        yield f"{name:<{widest}}  {found:>10}  {proposed:>10}  {left:>10}{flag}".rstrip()


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


def _stops(judged: JudgedVisit) -> list[Finding]:
    return [each for each in findings_of(_last_check(judged).outcomes) if each.severity is not Severity.ADVISE]


def _last_check(judged: JudgedVisit) -> BoilerCheck:
    return judged.found if judged.left is None else judged.left


def _unknown_gauges(judged: JudgedVisit) -> Iterator[str]:
    """A gauge that was written down and is not in the bag is no gauge that nobody wrote down."""
    for trip in judged.trips:
        if trip.entry.gauge and trip.test is not None and trip.test.gauge is None:
            yield GAUGE_NOT_KNOWN.format(row=trip.entry.row, gauge=trip.entry.gauge)


def _wanted(judged: JudgedVisit, page: Page) -> Iterator[str]:
    # A test that failed or decided nothing is made again: where to break it off is told again.
    last = {each.entry.control: each for each in judged.trips}
    for wanted in judged.wanted:
        made = last.get(wanted.role)
        if made is None or not made.result.verdict.is_safe:
            yield from wanted_text(wanted, page)


def _temporary(judged: JudgedVisit, page: Page) -> Iterator[str]:
    for change in judged.at.visit.temporary_changes:
        label = "OPEN" if change.is_open else "TIMES" if change.is_back_to_front else "closed"
        # Of one day the hour tells enough; where the two do not fit, the day may be what is wrong.
        as_told = WALL_CLOCK if change.is_back_to_front else "%H:%M"
        when = "" if change.opened_at is None else f", opened {change.opened_at:{as_told}} by {change.opened_by or '?'}"
        shut = "" if change.closed_at is None else f", closed {change.closed_at:{as_told}} by {change.closed_by or '?'}"
        seen = f", seen by {change.verified_by}" if change.verified_by else ""
        yield page.labelled(label, f"{change.what or 'what was not written down'}{when}{shut}{seen}.")


def _corrected(judged: JudgedVisit) -> Iterator[str]:
    for each in corrections_of(judged.at.entries):
        by = judged.at.people.get(each.by, each.by)
        now = repr(each.now) if each.now else "nothing"
        yield f"{each.path}: was {each.was!r}, is {now}. {by}, {each.at:%Y-%m-%d %H:%M} UTC."


def _moves(judged: JudgedVisit, page: Page) -> Iterator[str]:
    for move in judged.at.visit.moves:
        box = "[ ]" if move.done_at is None else "[x]"
        done = "" if move.done_at is None else f" Done {move.done_at:%H:%M}, {move.done_by or 'nobody named'}."
        # What is to be watched while a dial is turned is of no use once it stands.
        told = move.words if move.done_at is None else f"{move.words.split('. ')[0].rstrip('.')}."
        yield page.labelled(f"{box} {move.row}", f"{told}{done}")


def _proofs(judged: JudgedVisit, page: Page) -> Iterator[str]:
    """Every scenario in a line, worst first; of one that fails what to do."""
    if judged.left is None:
        return
    if judged.proofs is None:
        yield page.item("Not proved yet: not every dial was read as left.")
        return
    case = judged.left.case
    for proved in worst_first(judged.proofs):
        yield from proof_lines(case, proved, page)
        if isinstance(proved, Proof) and proved.verdict is Verdict.FAILS:
            yield page.labelled("do", to_do(case, proved, page.show))


def _next(judged: JudgedVisit) -> str:
    visit = judged.at.visit
    if not judged.at.draft.is_open:
        return DO_NEXT["signed"].format(id=judged.at.draft.id[:SHORT])
    if not judged.bars:
        return DO_NEXT["sign"].format(id=judged.at.draft.id[:SHORT])
    if visit.proposed is None and judged.left is None and visit.as_found.settings.operating_limit is not None:
        return DO_NEXT["settle"]
    return DO_NEXT["enter"].format(id=judged.at.draft.id[:SHORT])


def _headed(text: str, lines: list[str], page: Page, *, apart: bool = False) -> str:
    between = "\n\n" if apart else "\n"
    return f"{page.heading(text)}\n{between.join(lines)}" if lines else ""

"""Visits as text: how one stands, what bars signing it, what was signed; and the sheet that is filled in."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from uuid import uuid4

from evenfire.delivery.answers import Settle
from evenfire.delivery.intake.visit_sheet import SheetHead, sheet_text
from evenfire.delivery.records.keys import grouped
from evenfire.delivery.report.boiler_text import assumption_lines, cautions, made_from, who
from evenfire.delivery.report.motion_text import proof_lines
from evenfire.delivery.report.outcome_text import finding_text, not_judged_lines
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.report.settle_text import settle_text
from evenfire.delivery.report.trip_text import device_text, trip_text, wanted_text
from evenfire.delivery.report.visit_lines import (
    SHORT,
    backed_up_line,
    bars_head,
    beside_lines,
    corrected_lines,
    dial_rows,
    dials_absent,
    last_check,
    move_row,
    opened_line,
    out_of_the_way_line,
    stops_of,
    temporary_row,
    unknown_gauges,
    wanted_still,
)
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visit_answers import (
    AmendedVisit,
    AtVisit,
    EnteredSheet,
    JudgedVisit,
    OpenedVisit,
    SettledVisit,
    SignedVisit,
)
from evenfire.delivery.words.cautions import CAUTIONS
from evenfire.delivery.words.moves import NOT_ACROSS
from evenfire.delivery.words.proof_saying import to_do
from evenfire.delivery.words.visit_page import LEADS
from evenfire.delivery.words.visits import (
    DIFFERS,
    DO_NEXT,
    KEPT_SINCE,
    NO_DIAL_READ,
    NOT_EVERY_DIAL_READ,
    NOTHING_ENTERED,
    corrected_in_entering,
    say_bar,
    say_flag,
)
from evenfire.judgement.proofs.result import Proof, Verdict
from evenfire.judgement.proofs.weighing import worst_first


def sheet_of(judged: JudgedVisit, system: UnitSystem) -> str:
    """The sheet of a visit as it stands, to be filled in at the boiler."""
    page = Page(100, system)
    told = {
        "trip": (*(line for wanted in judged.wanted for line in wanted_text(wanted, page)),),
        "move": (NOT_ACROSS,),
        "temporary": (
            LEADS["temporary"],
            out_of_the_way_line(judged, page),
        ),
    }
    title = (who(judged.at.plant_file, judged.at.surveyed), opened_line(judged.at), "", *CAUTIONS)
    absent = frozenset(dials_absent(judged.at.surveyed))
    head = SheetHead(visit=judged.at.draft.id, sheet=str(uuid4()), title=title, told=told, absent=absent)
    return sheet_text(head, judged.at.fold)


def opened_text(opened: OpenedVisit, sheet: Path, system: UnitSystem, width: int) -> str:
    """What was opened, and what comes next."""
    page = Page(width, system)
    lines = [f"{opened_line(opened.at)}"]
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
        f"ANOTHER VISIT IS OPEN AT THIS BOILER: {opened_line(other)} If it is the same call, go on with that one: "
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
    lines = [page.item(f"{at.draft.id[:SHORT]}  {who(at.plant_file, at.surveyed)}. {opened_line(at)}") for at in visits]
    return "\n".join(["Open visits", "-----------", *lines, "", "Next: evenfire visit show ID"])


def visit_text(judged: JudgedVisit, system: UnitSystem, width: int) -> str:
    """How a visit stands: what bars signing first, then what its head will say, settings, tests, moves, proofs."""
    page = Page(width, system)
    return joined(
        [
            page.title(who(judged.at.plant_file, judged.at.surveyed)),
            page.paragraph(opened_line(judged.at)),
            *(page.paragraph(line) for line in beside_lines(judged)),
            _bars(judged, page),
            _headed("What its head will say", [page.item(say_flag(each)) for each in judged.flags], page),
            _headed("Dials", list(_dials(judged, page)), page),
            *(finding_text(each, page) for each in stops_of(judged)),
            _headed("Not judged", not_judged_lines(last_check(judged).outcomes, page), page),
            _headed("Trip tests", [trip_text(each, page) for each in judged.trips], page, apart=True),
            *(page.labelled("GAUGE", line) for line in unknown_gauges(judged)),
            _headed(
                "Trip tests to be made",
                [page.item(line) for wanted in wanted_still(judged) for line in wanted_text(wanted, page)],
                page,
            ),
            _headed("Other safety devices", [device_text(each, page) for each in judged.devices], page, apart=True),
            _headed(
                "Temporary changes",
                [page.labelled(*temporary_row(each)) for each in judged.at.visit.temporary_changes],
                page,
            ),
            _headed("Corrected after it was entered", [page.item(each) for each in corrected_lines(judged)], page),
            _headed("Moves", _labelled(map(move_row, judged.at.visit.moves), page), page),
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
        backed_up_line(signed.backup),
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
    return joined([page.paragraph(told), page.paragraph(backed_up_line(amended.backup))])


def _bars(judged: JudgedVisit, page: Page) -> str:
    bars = judged.bars if judged.at.draft.is_open else ()
    return "\n".join([page.paragraph(bars_head(judged)), *(page.item(say_bar(each)) for each in bars)])


def _dials(judged: JudgedVisit, page: Page) -> Iterator[str]:
    """The three sets side by side, as typed; a dial that differs from the proposal is marked."""
    rows = dial_rows(judged)
    if not rows:
        yield page.paragraph(NO_DIAL_READ)
        return
    widest = max(len(row.name) for row in rows)
    yield f"{'':<{widest}}  {'as found':>10}  {'proposed':>10}  {'as left':>10}"
    for row in rows:
        flag = f"  <- {DIFFERS}" if row.differs else ""
        yield f"{row.name:<{widest}}  {row.found:>10}  {row.proposed:>10}  {row.left:>10}{flag}".rstrip()


def _wanted(judged: JudgedVisit, page: Page) -> Iterator[str]:
    for wanted in wanted_still(judged):
        yield from wanted_text(wanted, page)


def _labelled(rows: Iterable[tuple[str, str]], page: Page) -> list[str]:
    return [page.labelled(label, text) for label, text in rows]


def _proofs(judged: JudgedVisit, page: Page) -> Iterator[str]:
    """Every scenario in a line, worst first; of one that fails what to do."""
    if judged.left is None:
        return
    if judged.proofs is None:
        yield page.item(NOT_EVERY_DIAL_READ)
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

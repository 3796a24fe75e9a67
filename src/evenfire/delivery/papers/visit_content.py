"""The report of one visit, open or signed: always out of the body that a signature seals, never judged anew."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from evenfire.delivery.papers.content import (
    AmendmentLine,
    CorrectionLine,
    Head,
    PhotoLine,
    SignedPart,
    Signing,
    Stated,
    TemporaryChangeLine,
    Told,
    VisitContent,
)
from evenfire.delivery.papers.plain_names import in_plain_names, name_of_path
from evenfire.delivery.papers.shared_parts import code_of, signed_by
from evenfire.delivery.papers.visit_body import LENGTH_OF_A_DAY, Body, day_of_body, table_of, texts_of
from evenfire.delivery.papers.visit_entries import fold_of
from evenfire.delivery.papers.visit_settings import dials_of, moves_of, not_proved_of, proofs_of
from evenfire.delivery.papers.visit_tests import device_lines, trip_lines
from evenfire.delivery.records.searchable import rows_of, text_of
from evenfire.delivery.report.page import Page
from evenfire.delivery.visits.fields import Service
from evenfire.delivery.visits.standing import Bar, Barred
from evenfire.delivery.words import PARTS
from evenfire.delivery.words import papers as paper_words
from evenfire.delivery.words import visit_papers as words
from evenfire.delivery.words.cautions import CAUTIONS
from evenfire.delivery.words.visits import say_bar

ORDER = {"stop": 0, "warn": 1, "advise": 2}
"""Of findings, worst first."""
SHORT = 12
"""Of a hash that a person compares at a glance [characters]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A photograph of a visit: the picture, or why there is none."""

    content: bytes | None
    why_not: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SealedVisit:
    """What is known of a signed record beside its body."""

    part: SignedPart
    notices: tuple[str, ...]
    """Of a key that is not known here, or withdrawn"""
    amendments: tuple[AmendmentLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitPaper:
    """Everything that the report of a visit is made of."""

    body: Body
    site: str
    boiler: str
    plate: str
    made_from: str
    """Survey and versions that judged"""
    bars: tuple[Barred, ...]
    """What stands against signing; of an open visit"""
    sealed: SealedVisit | None
    """Nothing while it is open"""
    pictures: Mapping[str, Picture]
    """By hash"""


def visit_content(paper: VisitPaper, page: Page) -> VisitContent:
    """The report in words."""
    body = paper.body
    is_left = bool(rows_of(body, "judged_as_left"))
    last = "judged_as_left" if is_left else "judged_as_found"
    return VisitContent(
        head=_head(paper),
        left=" ".join(_left(body)),
        call=tuple(_call(body)),
        findings_title=words.AS_LEFT if is_left else words.AS_FOUND,
        verdict=_verdict(paper, last),
        findings=tuple(_findings(body, last)),
        found=tuple(_findings(body, "judged_as_found")) if is_left else (),
        not_judged=tuple(_not_judged(body, last, is_left=is_left)),
        assumed=_assumed(body),
        amendments=() if paper.sealed is None else paper.sealed.amendments,
        temporary=tuple(_temporary(row) for row in rows_of(body, "temporary_changes")),
        trips=tuple(trip_lines(body, page)),
        devices=tuple(device_lines(body, page)),
        moves=tuple(moves_of(body)),
        dials=tuple(dials_of(body, page)),
        proofs=tuple(proofs_of(body, page)),
        photographs=tuple(_photographs(paper)),
        notes=texts_of(body, "notes"),
        corrected=tuple(_corrected(body)),
        cautions=CAUTIONS,
        signing=_signing(paper),
    )


def flags_of(body: Body) -> tuple[str, ...]:
    """What the head of a visit says of it, as it was judged then."""
    return tuple(in_plain_names(said) for row in rows_of(body, "flags") if (said := text_of(row, "said")))


def _head(paper: VisitPaper) -> Head:
    sealed = paper.sealed
    if sealed is None:
        barred = tuple(words.BARS.format(bar=in_plain_names(say_bar(each))) for each in paper.bars) or (
            words.NOTHING_BARS,
        )
        notices = (*barred, *flags_of(paper.body))
    else:
        amended = (words.IS_AMENDED,) if sealed.amendments else ()
        notices = (*sealed.notices, *amended, *flags_of(paper.body))
    return Head(
        title=paper_words.VISIT,
        site=paper.site,
        boiler=paper.boiler,
        plate=paper.plate,
        state=_state(paper),
        notices=notices,
        day=_day(paper),
        made_from=paper.made_from,
    )


def _day(paper: VisitPaper) -> date | None:
    """The day of the visit, or where its body tells none, that of the signature."""
    day = day_of_body(paper.body)
    if day is not None or paper.sealed is None:
        return day
    return date.fromisoformat(paper.sealed.part.signed_at[:LENGTH_OF_A_DAY])


def _state(paper: VisitPaper) -> str:
    if paper.sealed is None:
        bars = {each.bar for each in paper.bars}
        if Bar.TEMPORARY_CHANGE_OPEN in bars:
            return words.CHANGE_OPEN
        return words.GIVEN_UP if Bar.GIVEN_UP in bars else words.NOT_SIGNED
    is_out = text_of(paper.body, "service") == Service.OUT_OF_SERVICE.value
    state = (words.SIGNED_OUT if is_out else words.SIGNED).format(day=_day(paper))
    if paper.sealed.amendments:
        state = words.AND_AMENDED.format(state=state)
    mark = paper.sealed.part.mark
    return words.AND_MARKED.format(state=state, mark=mark) if mark else state


def _left(body: Body) -> Iterator[str]:
    left, service = table_of(body, "left"), text_of(body, "service")
    yield words.LEFT.get(service, service)
    if locked := text_of(left, "locked_out_by"):
        yield words.LOCKED.format(by=locked)
    switch = text_of(left, "switch")
    yield words.SWITCH.format(switch=switch) if switch else words.NO_SWITCH
    bypasses = texts_of(left, "jumpers")
    if bypasses:
        yield words.BYPASS.format(what="; ".join(bypasses))
    else:
        yield words.NO_BYPASS if isinstance(left.get("jumpers"), list) else words.BYPASS_UNTOLD
    cycles = left.get("cycles_seen")
    yield words.CYCLES.format(count=cycles) if isinstance(cycles, int) else words.CYCLES_UNTOLD


def _call(body: Body) -> Iterator[Stated]:
    call, visit = table_of(body, "call"), table_of(body, "visit")
    for key, name in words.CALL.items():
        if text := text_of(call, key):
            yield Stated(name=name, text=text)
    at, by = text_of(visit, "opened_at")[:16].replace("T", " "), text_of(visit, "opened_by")
    if at:
        yield Stated(name=words.OPENED, text=words.OPENED_BY.format(at=at, by=by))
    if survey := text_of(visit, "survey"):
        yield Stated(name=words.SURVEY, text=survey)
    fold = fold_of(body)
    for path, name in words.FOUND.items():
        read = None if fold is None else fold.text(path)
        if read is not None:
            yield Stated(name=name, text="; ".join(read.split("\n")))


def _verdict(paper: VisitPaper, table: str) -> str:
    """Silence is never all right: how many rules were judged and are in order, or that none was."""
    outcomes = [text_of(row, "outcome") for row in rows_of(paper.body, table)]
    clear = len({text_of(row, "code") for row in rows_of(paper.body, table) if text_of(row, "outcome") == "clear"})
    if "finding" in outcomes:
        return "" if paper.sealed is None else words.QUOTED
    return words.NO_FINDING.format(count=clear) if clear else words.NO_FINDING_AT_ALL


def _findings(body: Body, table: str) -> Iterator[Told]:
    found = [row for row in rows_of(body, table) if text_of(row, "outcome") == "finding"]
    for row in sorted(found, key=lambda row: ORDER.get(text_of(row, "severity"), 0)):
        rule = words.RULE.format(subject=_subject(row), code=text_of(row, "code"))
        yield Told(label=text_of(row, "severity").upper(), text=text_of(row, "said"), beside=(rule,))


def _subject(row: Body) -> str:
    named = {part.value: name for part, name in PARTS.items()}
    part, name = text_of(row, "subject"), text_of(row, "name")
    told = named.get(part, part)
    return f'{told} "{name}"' if name else told


def _not_judged(body: Body, table: str, *, is_left: bool) -> Iterator[str]:
    rows = [row for row in rows_of(body, table) if text_of(row, "outcome") == "not judged"]
    for row in sorted(rows, key=lambda row: ORDER.get(text_of(row, "severity"), 0)):
        yield f"{text_of(row, 'severity').upper()}: {text_of(row, 'said')}"
    if not is_left:
        yield words.NOT_LEFT
    elif not rows_of(body, "proved_as_left"):
        yield words.NOT_IN_MOTION
    yield from not_proved_of(body)


def _assumed(body: Body) -> str:
    names = texts_of(body, "assumptions")
    return words.ASSUMED.format(names=", ".join(dict.fromkeys(names))) if names else ""


def _temporary(row: Body) -> TemporaryChangeLine:
    opened, closed = text_of(row, "opened_at"), text_of(row, "closed_at")
    closed_by, seen_by = text_of(row, "closed_by"), text_of(row, "verified_by")
    is_closed = bool(closed and closed_by and seen_by) and closed >= opened
    return TemporaryChangeLine(
        what=text_of(row, "what") or words.CHANGE_UNTOLD,
        reason=text_of(row, "reason"),
        opened=_who_and_when(text_of(row, "opened_by"), opened),
        closed=_who_and_when(closed_by, closed) if closed or closed_by else words.STILL_OPEN,
        verified=seen_by or words.NOT_SEEN,
        is_open=not is_closed,
    )


def _who_and_when(who: str, when: str) -> str:
    return words.WHO_AND_WHEN.format(who=who or words.WHO_NOT_TOLD, when=when or words.WHEN_NOT_TOLD)


def _corrected(body: Body) -> Iterator[CorrectionLine]:
    """What was corrected on the visit; nothing of a record that was signed before that was kept."""
    for row in rows_of(body, "corrected"):
        yield CorrectionLine(
            what=_first_up(name_of_path(text_of(row, "path"))),
            was=text_of(row, "was") or words.TAKEN_BACK,
            now=text_of(row, "is") or words.TAKEN_BACK,
            by=words.WHO_AND_WHEN.format(
                who=text_of(row, "by") or words.WHO_NOT_TOLD, when=_moment(text_of(row, "at")) or words.WHEN_NOT_TOLD
            ),
        )


def _moment(text: str) -> str:
    """A moment of the record to the minute; a clock of the record is that of the world."""
    return f"{text[:16].replace('T', ' ')} UTC" if text.endswith("Z") else text


def _first_up(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}" if text else ""


def _photographs(paper: VisitPaper) -> Iterator[PhotoLine]:
    for row in rows_of(paper.body, "photographs"):
        hash_ = text_of(row, "hash")
        picture = paper.pictures.get(hash_, Picture(content=None, why_not=words.PHOTO_LOST))
        shows = text_of(row, "shows") or words.PHOTO_UNTOLD
        yield PhotoLine(picture=picture.content, shows=shows, hash=hash_, why_not=picture.why_not)


def _signing(paper: VisitPaper) -> Signing:
    if paper.sealed is not None:
        return signed_by(paper.sealed.part)
    visit = table_of(paper.body, "visit")
    code = words.CODE.format(visit=text_of(visit, "id"), survey=text_of(visit, "survey")[:SHORT])
    return Signing(signed=None, unsigned=words.UNSIGNED, code=code_of(code), by_hand=False)

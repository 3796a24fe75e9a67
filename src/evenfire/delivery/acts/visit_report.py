"""Write the report of a visit: of an open one as it stands, of a signed one as it was signed."""

from collections.abc import Mapping
from pathlib import Path

from evenfire.delivery.acts.files import write_bytes_whole
from evenfire.delivery.acts.judging_visit import judged
from evenfire.delivery.acts.papers import Watch, Written, size_for
from evenfire.delivery.acts.visit_source import SignedSource, source_of, survey_of
from evenfire.delivery.answers import Ending
from evenfire.delivery.papers.admission import Refusal
from evenfire.delivery.papers.content import PaperSize, VisitContent
from evenfire.delivery.papers.shared_parts import page_of
from evenfire.delivery.papers.visit_body import Body, body_as_it_stands
from evenfire.delivery.papers.visit_content import Picture, VisitPaper, visit_content
from evenfire.delivery.records import attachments
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.photographs import written_anew
from evenfire.delivery.records.searchable import rows_of, text_of
from evenfire.delivery.report.boiler_text import made_from, nameplate
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visit_answers import AtVisit, JudgedVisit
from evenfire.delivery.visits.standing import Flag
from evenfire.delivery.words import papers as paper_words
from evenfire.delivery.words import visit_papers as words
from evenfire.errors import BadInput
from evenfire.judgement.outcome import Severity

SHORT = 12
"""Of a hash that a person compares at a glance [characters]."""
UNSAFE = frozenset({Flag.LIMIT_FAILED.value, Flag.UNSAFE_PROOF.value, Flag.STOP_FINDING.value})
"""Flags of a visit that ends as a stop does."""


def write_report(
    store: Store,
    visit: str | None,
    output: Path,
    *,
    system: UnitSystem,
    size: PaperSize | None = None,
    watch: Watch | None = None,
) -> Written | Refusal:
    """Write the report of a visit as PDF/A, or say why not.

    Raises
    ------
    BadInput
        There is no such visit, or the file cannot be written.
    """
    from evenfire.delivery.papers.printing import printed

    content = report_of(store, visit, system, watch)
    if isinstance(content, Refusal):
        return content
    paper, ending = content
    write_bytes_whole(output, printed(paper, size_for(system, size)))
    told = paper_words.WRITTEN.format(file=output, paper=paper.head.title.lower(), state=paper.head.state)
    return Written(ending=ending, told=told)


def report_of(
    store: Store, visit: str | None, system: UnitSystem, watch: Watch | None = None
) -> tuple[VisitContent, Ending] | Refusal:
    """The content of the report, and how the boiler was left."""
    source, page = source_of(store, visit), page_of(system)
    match source:
        case Refusal():
            return source
        case AtVisit():
            standing = judged(store, source, watch)
            return visit_content(_of_open(store, standing, page), page), standing.ending
        case SignedSource():
            return visit_content(_of_signed(store, source, page), page), ending_of_body(source.facts.body)


def ending_of_body(body: Body) -> Ending:
    """How a visit ended by what was signed: its settings as left, or as found where nothing was read as left."""
    last = rows_of(body, "judged_as_left") or rows_of(body, "judged_as_found")
    stops = {text_of(row, "outcome") for row in last if text_of(row, "severity") == Severity.STOP.value}
    is_unsafe = any(text_of(row, "flag") in UNSAFE for row in rows_of(body, "flags"))
    if is_unsafe or "finding" in stops:
        return Ending.STOP_FINDING
    return Ending.STOP_NOT_JUDGED if "not judged" in stops else Ending.CLEAR


def _of_open(store: Store, standing: JudgedVisit, page: Page) -> VisitPaper:
    body, boiler = body_as_it_stands(standing, page), standing.at.surveyed
    return VisitPaper(
        body=body,
        site=standing.at.plant_file.plant.site.name,
        boiler=boiler.name,
        plate=_plate(nameplate(boiler, page), standing.at.boiler.serial, standing.at.boiler.registration),
        made_from=f"{made_from(standing.identity)} Physics {standing.physics_version}.",
        bars=standing.bars,
        sealed=None,
        pictures=_pictures(store, body),
    )


def _of_signed(store: Store, source: SignedSource, page: Page) -> VisitPaper:
    head, body = source.facts.head, source.facts.body
    plant_file = survey_of(store, source)
    boilers = () if plant_file is None else plant_file.plant.boilers
    plates = [nameplate(each, page) for each in boilers if each.name == head.boiler["name"]]
    return VisitPaper(
        body=body,
        site=head.boiler["site"],
        boiler=head.boiler["name"],
        plate=_plate(*plates[:1], head.boiler.get("serial"), head.boiler.get("registration")),
        made_from=words.JUDGED_THEN.format(record=source.kept.record.id[:SHORT], versions=versions_of(source)),
        bars=(),
        sealed=source.sealed,
        pictures=_pictures(store, body),
    )


def versions_of(source: SignedSource) -> str:
    """What judged when the record was signed."""
    head = source.facts.head
    return words.VERSIONS.format(engine=head.engine, rule_book=head.rule_book, physics=head.physics)


def _plate(*parts: str | None) -> str:
    """Kind, size and MAWP, serial, registration, as far as they are known."""
    *kind, serial, registration = parts
    told = [each for each in kind if each]
    told += [words.SERIALS["serial"].format(text=serial)] if serial else []
    told += [words.SERIALS["registration"].format(text=registration)] if registration else []
    line = ", ".join(told)
    return f"{line[0].upper()}{line[1:]}." if line else ""


def _pictures(store: Store, body: Body) -> Mapping[str, Picture]:
    """The photographs that the body names. What came with records from elsewhere may be anything: each is decoded in a
    process of its own before a printer sees it.
    """
    hashes = dict.fromkeys(text_of(row, "hash") for row in rows_of(body, "photographs"))
    return {each: _picture(store, each) for each in hashes}


def _picture(store: Store, sha256: str) -> Picture:
    try:
        _, content = written_anew(attachments.content_of(store, sha256), sha256)
    except BadInput as error:
        return Picture(content=None, why_not=words.PHOTO_UNREADABLE.format(why=str(error).rstrip(".")))
    return Picture(content=content)

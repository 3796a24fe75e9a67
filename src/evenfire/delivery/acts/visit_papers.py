"""Write the settings sheet and the operator card of a visit: of an open one, or of a signed one as it was left."""

from dataclasses import dataclass, replace
from pathlib import Path

from evenfire.delivery.acts.judging_visit import as_left, judged
from evenfire.delivery.acts.papers import (
    PaperAsked,
    Watch,
    Written,
    card_of,
    sheet_of,
    written_card,
    written_sheet,
)
from evenfire.delivery.acts.signed_settings import settings_signed
from evenfire.delivery.acts.visit_report import versions_of
from evenfire.delivery.acts.visit_source import SignedSource, source_of
from evenfire.delivery.answers import Ending
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.papers.admission import Admission, Refusal
from evenfire.delivery.papers.content import CardContent, SheetContent
from evenfire.delivery.papers.of_visit import OfVisit
from evenfire.delivery.papers.plain_names import in_plain_names
from evenfire.delivery.papers.shared_parts import page_of
from evenfire.delivery.papers.visit_body import Body, body_as_it_stands
from evenfire.delivery.papers.visit_content import flags_of
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.searchable import rows_of, text_of
from evenfire.delivery.report.page import Page
from evenfire.delivery.visit_answers import AtVisit, JudgedVisit
from evenfire.delivery.visits.standing import Bar, Flag
from evenfire.delivery.words import visit_papers as words
from evenfire.delivery.words.visits import say_bar
from evenfire.errors import BadRequest
from evenfire.judgement.case import SettingsSet
from evenfire.plant.settings import Settings

STOPPED_BY = frozenset(
    {
        Bar.GIVEN_UP,
        Bar.TEMPORARY_CHANGE_OPEN,
        Bar.TEMPORARY_CHANGE_TIMES,
        Bar.LIMIT_FAILED_IN_SERVICE,
        Bar.DEVICE_FAILED_IN_SERVICE,
        Bar.JUMPER_IN_SERVICE,
        Bar.JUMPERS_NOT_TOLD,
    }
)
"""What bars a visit, and running the boiler as it was left: no dial tells of it."""
STOPPED_AT_ONCE = frozenset({Bar.TEMPORARY_CHANGE_OPEN, Bar.LIMIT_FAILED_IN_SERVICE, Bar.DEVICE_FAILED_IN_SERVICE})
"""The same before any dial was read as left: it is true of the boiler as it stands now."""
FLAGGED_UNFIT = frozenset(
    each.value for each in (Flag.OUT_OF_SERVICE, Flag.LIMIT_FAILED, Flag.DEVICE_FAILED, Flag.JUMPER_LEFT)
)
"""The same of a visit that left the boiler out of service."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitSettings:
    """The settings of one visit as a plant file, and what the visit says of them."""

    plant_file: PlantFile
    """With the settings as left, where any were read"""
    as_surveyed: PlantFile
    """Without them, and with the tolerances that the survey asks for: what is proposed is proposed for these"""
    boiler: str
    of_visit: OfVisit


def write_visit_sheet(
    store: Store, visit: str, output: Path, asked: PaperAsked, watch: Watch | None = None
) -> Written | Refusal:
    """Write the settings sheet of a visit as PDF/A, or say why not.

    Raises
    ------
    BadInput
        There is no such visit, or what was asked cannot be made of it.
    """
    return written_sheet(visit_sheet(store, visit, asked, watch), output, asked)


def write_visit_card(
    store: Store, visit: str, output: Path, asked: PaperAsked, watch: Watch | None = None
) -> Written | Refusal:
    """Write the operator card of a visit as PDF/A on one page, or say why not.

    Raises
    ------
    BadInput
        As :func:`write_visit_sheet`.
    """
    return written_card(visit_card(store, visit, asked, watch), output, asked)


def visit_sheet(
    store: Store, visit: str, asked: PaperAsked, watch: Watch | None = None
) -> tuple[SheetContent, Admission] | Refusal:
    """The content of the settings sheet of a visit, and how its settings stand.

    Raises
    ------
    BadInput
        As :func:`write_visit_sheet`.
    """
    found = settings_of_visit(store, visit, asked, watch)
    if isinstance(found, Refusal):
        return found
    which = which_of(found, asked.settings)
    if which is SettingsSet.AS_LEFT and found.of_visit.stops:
        return _refused(found, "settings sheet", words.OR_A_RECORD)
    own = replace(asked, boiler=found.boiler, settings=which)
    return sheet_of(file_of(found, which), own, watch, found.of_visit)


def visit_card(
    store: Store, visit: str, asked: PaperAsked, watch: Watch | None = None
) -> tuple[CardContent, Admission] | Refusal:
    """The content of the operator card of a visit, and how its settings stand.

    Raises
    ------
    BadInput
        As :func:`write_visit_sheet`.
    """
    found = settings_of_visit(store, visit, asked, watch)
    if isinstance(found, Refusal):
        return found
    if found.of_visit.stops:
        return _refused(found, "operator card", "")
    which = which_of(found, asked.settings)
    own = replace(asked, boiler=found.boiler, settings=which)
    return card_of(file_of(found, which), own, watch, found.of_visit)


def settings_of_visit(
    store: Store, visit: str, asked: PaperAsked, watch: Watch | None = None
) -> VisitSettings | Refusal:
    """The settings of a visit: those of its entries while it is open, those of its record once it is signed."""
    source, page = source_of(store, visit), page_of(asked.system)
    match source:
        case Refusal():
            return source
        case AtVisit():
            return settings_of_open(judged(store, source, watch), page)
        case SignedSource():
            return settings_of_signed(store, source)


def file_of(found: VisitSettings, which: SettingsSet) -> PlantFile:
    """The plant file that a paper of these settings is made from: what was found keeps the bypasses that were found."""
    return found.plant_file if which is SettingsSet.AS_LEFT else found.as_surveyed


def which_of(found: VisitSettings, wanted: SettingsSet | None) -> SettingsSet:
    """The settings that a paper tells of: those that are wanted, else those left, proposed, or found.

    Raises
    ------
    BadRequest
        A proposal is wanted of a visit that is signed.
    """
    if found.of_visit.signed is not None and wanted is SettingsSet.PROPOSED:
        raise BadRequest(words.NO_PROPOSAL_LEFT)
    if wanted is not None:
        return wanted
    boiler = next(each for each in found.plant_file.plant.boilers if each.name == found.boiler)
    if boiler.as_left is not None:
        return SettingsSet.AS_LEFT
    is_open = found.of_visit.signed is None
    return SettingsSet.PROPOSED if is_open and boiler.proposed is not None else SettingsSet.AS_FOUND


def _refused(found: VisitSettings, paper: str, record: str) -> Refusal:
    what = " ".join(found.of_visit.stops)
    why = words.REFUSED.format(paper=paper, boiler=repr(found.boiler), what=what, record=record)
    return Refusal(ending=Ending.STOP_FINDING, why=why)


def settings_of_open(standing: JudgedVisit, page: Page) -> VisitSettings:
    """The settings of a visit that is open, as it was judged."""
    at = standing.at
    plant_file = at.plant_file
    if at.visit.as_left != Settings():
        plant_file = as_left(at, standing.trips, standing.seen)
    stopping = STOPPED_AT_ONCE if at.visit.as_left == Settings() else STOPPED_BY
    bars = [each for each in standing.bars if each.bar in stopping]
    body = body_as_it_stands(standing, page)
    barred = [words.BARS.format(bar=in_plain_names(say_bar(each))) for each in standing.bars] or [words.NOTHING_BARS]
    of_visit = OfVisit(
        body=body,
        dials_left=replace(at.visit.as_left, proved=standing.seen.proved),
        notices=(*barred, *flags_of(body)),
        stops=(*(in_plain_names(say_bar(each)) for each in bars), *_unfit(body)),
        signed=None,
        is_amended=False,
        versions="",
    )
    return VisitSettings(plant_file=plant_file, as_surveyed=at.plant_file, boiler=at.boiler.name, of_visit=of_visit)


def settings_of_signed(store: Store, source: SignedSource) -> VisitSettings:
    """The settings of a signed visit.

    Raises
    ------
    BadRequest
        Its survey is not here, or it holds no settings.
    """
    body, found = source.facts.body, settings_signed(store, source.kept, source.facts)
    of_visit = OfVisit(
        body=body,
        dials_left=replace(found.visit.as_left, proved=frozenset(found.proved)),
        notices=(*source.sealed.notices, *flags_of(body)),
        stops=_unfit(body),
        signed=source.sealed.part,
        is_amended=bool(source.sealed.amendments),
        versions=versions_of(source),
    )
    return VisitSettings(
        plant_file=found.plant_file, as_surveyed=found.as_surveyed, boiler=found.boiler, of_visit=of_visit
    )


def _unfit(body: Body) -> tuple[str, ...]:
    return tuple(
        in_plain_names(text_of(row, "said")) for row in rows_of(body, "flags") if text_of(row, "flag") in FLAGGED_UNFIT
    )

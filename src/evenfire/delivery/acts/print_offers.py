"""What can be printed of a boiler now, and what stands in the way, told before anybody presses a button.

Nothing is set in motion for that: what is shown in motion may still refuse a paper.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from evenfire.delivery.acts.boiler_now import Whence, boiler_now, open_visits_here
from evenfire.delivery.acts.checking import check_boiler
from evenfire.delivery.acts.history import known_of
from evenfire.delivery.acts.judging_visit import judged_at_rest
from evenfire.delivery.acts.papers import PaperAsked, best_of, checked
from evenfire.delivery.acts.print_out import PaperKind
from evenfire.delivery.acts.visit_papers import VisitSettings, file_of, settings_of_open, settings_of_signed, which_of
from evenfire.delivery.acts.visit_source import SignedSource, source_of
from evenfire.delivery.answers import BoilerCheck
from evenfire.delivery.papers.admission import Refusal, admission
from evenfire.delivery.papers.shared_parts import page_of
from evenfire.delivery.records import surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.overview import newest_of
from evenfire.delivery.records.registers import KeptBoiler
from evenfire.delivery.report.boiler_rows import last_visit_line
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visit_answers import AtVisit
from evenfire.delivery.words import printing as words
from evenfire.errors import BadInput, BadRequest
from evenfire.judgement.case import SettingsSet
from evenfire.plant.settings import Settings

OF_SETTINGS: Final = (PaperKind.SHEET, PaperKind.CARD)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """One paper, and what stands in its way as far as it is quick to know."""

    kind: PaperKind
    title: str
    tells: str
    marked: str
    """How it will be marked, and of which settings it tells"""
    stops: tuple[str, ...] = ()
    """Why there is none: each a sentence"""
    unjudged: tuple[str, ...] = ()
    """What somebody has to answer for by name"""

    @property
    def is_refused(self) -> bool:
        """Whether there is no button to press."""
        return bool(self.stops)


@dataclass(frozen=True, slots=True, kw_only=True)
class PastVisit:
    """A signed visit of which papers can be had."""

    record: str
    line: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintOffers:
    """Everything that can be printed of a boiler."""

    of: str
    """As :class:`PrintAsked` wants it"""
    offers: tuple[Offer, ...]
    past: tuple[PastVisit, ...]
    """Newest first"""
    why_not: str = ""
    """Nothing can be printed at all"""


def print_offers(store: Store, kept: KeptBoiler, system: UnitSystem) -> PrintOffers:
    """The papers of the visit that is open, else of the last signed one, else of the survey."""
    past = _past(store, kept)
    try:
        of = _newest(store, kept)
        if of is None:
            return PrintOffers(of="", offers=(), past=past, why_not=words.NO_SURVEY)
        offers = tuple(_of_survey(store, kept, page_of(system)) if not of else _of_visit(store, of, page_of(system)))
    except BadInput as error:
        return PrintOffers(of="", offers=(), past=past, why_not=str(error))
    return PrintOffers(of=of, offers=offers, past=past)


def _past(store: Store, kept: KeptBoiler) -> tuple[PastVisit, ...]:
    return tuple(
        PastVisit(record=each.record, line=last_visit_line(each.on, each.signer, each.record, is_known=each.is_known))
        for each in reversed(known_of(store, kept).visits)
    )


def _newest(store: Store, kept: KeptBoiler) -> str | None:
    """Of what papers are made now: an open visit, a record, or the survey (empty)."""
    opened = open_visits_here(store, kept.id).get(kept.id, ())
    if opened:
        return opened[0].visit.opening.id
    now = boiler_now(store, kept)
    if now is None:
        return None
    last = newest_of(store, (kept.id,))[kept.id].last_visit
    return last.record.id if now.whence is Whence.SIGNED_VISIT and last is not None else ""


def _of_survey(store: Store, kept: KeptBoiler, page: Page) -> Iterator[Offer]:
    plant_file = surveys.give(store, kept.id).plant_file()
    boiler = next(each for each in plant_file.plant.boilers if each.name == kept.name)
    asked = PaperAsked(boiler=kept.name, system=page.system)
    for kind in OF_SETTINGS:
        if kind is PaperKind.SHEET and best_of(boiler) is None:
            yield _refused(kind, words.NO_OTHER_SETTINGS)
            continue
        try:
            check = checked(plant_file, asked, words.PAPERS[kind.value][0].lower())
        except BadRequest as error:
            yield _refused(kind, str(error))
            continue
        yield _weighed(kind, check, (), page, words.FROM_SURVEY)
    as_found = None if boiler.as_found is None else boiler.as_found.settings
    yield _record(as_found, words.FROM_SURVEY)
    yield _refused(PaperKind.REPORT, words.NO_VISIT)


def _of_visit(store: Store, of: str, page: Page) -> Iterator[Offer]:
    source = source_of(store, of)
    match source:
        case Refusal():
            yield from (_refused(kind, source.why) for kind in PaperKind)
            return
        case AtVisit():
            found, marked = settings_of_open(judged_at_rest(store, source), page), words.OPEN
        case SignedSource():
            found, marked = settings_of_signed(store, source), words.SIGNED
    boiler = next(each for each in found.plant_file.plant.boilers if each.name == found.boiler)
    which = which_of(found, None)
    for kind in OF_SETTINGS:
        if kind is PaperKind.SHEET and which is SettingsSet.AS_FOUND:
            yield _refused(kind, words.NO_OTHER_SETTINGS)
        elif which is SettingsSet.AS_FOUND and boiler.as_found is None:
            yield _refused(kind, words.NOTHING_READ)
        else:
            yield _weighed(kind, _checked(found), found.of_visit.stops, page, marked)
    yield _record(None if boiler.as_found is None else boiler.as_found.settings, marked)
    yield _offer(PaperKind.REPORT, marked)


def _checked(found: VisitSettings) -> BoilerCheck:
    which = which_of(found, None)
    plant_file = file_of(found, which)
    return check_boiler(plant_file, next(each for each in plant_file.plant.boilers if each.name == found.boiler), which)


def _weighed(kind: PaperKind, check: BoilerCheck, stops: tuple[str, ...], page: Page, marked: str) -> Offer:
    """As the paper itself would be weighed, without what is shown in motion."""
    if check.case.settings == Settings():
        return _refused(kind, words.NOTHING_READ)
    found = admission(check, (), None, page.show)
    told = " ".join((words.WHICH.format(which=check.case.which.value), marked, words.PROVED_FIRST))
    every = (*stops, *found.stops) if kind is PaperKind.CARD or check.case.which is not SettingsSet.AS_FOUND else ()
    return replace(_offer(kind, told), stops=every, unjudged=() if every else found.unjudged)


def _record(as_found: Settings | None, marked: str) -> Offer:
    if as_found is None or as_found == Settings():
        return _refused(PaperKind.RECORD, words.NOTHING_FOUND)
    return _offer(PaperKind.RECORD, marked)


def _offer(kind: PaperKind, marked: str) -> Offer:
    title, tells = words.PAPERS[kind.value]
    return Offer(kind=kind, title=title, tells=tells, marked=marked)


def _refused(kind: PaperKind, why: str) -> Offer:
    return replace(_offer(kind, ""), stops=(why,))

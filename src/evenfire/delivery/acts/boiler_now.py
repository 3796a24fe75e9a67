"""How a boiler of the store stands now: on the visit that is open, as the last signed visit left it, or as surveyed."""

from dataclasses import dataclass
from datetime import date
from enum import Enum
from functools import partial
from typing import Final

from evenfire.delivery.acts.checking import cases_of, check_boiler, has_stale_proposal
from evenfire.delivery.acts.remembering import Remembered
from evenfire.delivery.acts.signed_settings import is_as_signed, settings_signed
from evenfire.delivery.acts.visiting import as_this_visit_found_it
from evenfire.delivery.answers import BoilerCheck
from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_levels import StackLayout
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.records import entries, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind, KeptDraft, open_drafts_of
from evenfire.delivery.records.key_register import known_keys
from evenfire.delivery.records.overview import NewestOf, newest_entries, newest_of
from evenfire.delivery.records.record import facts_of
from evenfire.delivery.records.registers import KeptBoiler
from evenfire.delivery.records.signed import KeptRecord
from evenfire.delivery.visits.visit import Visit, visit_of
from evenfire.errors import BadRequest
from evenfire.judgement.case import Case, SettingsSet, prepare
from evenfire.plant.boiler import Boiler
from evenfire.plant.settings import Settings

_VISITS: Final[Remembered[Visit]] = Remembered(200)
"""Open visits, as they stood at their last entry."""


class Whence(Enum):
    """Where it is known from how a boiler stands."""

    OPEN_VISIT = "open visit"
    SIGNED_VISIT = "signed visit"
    SURVEY = "survey"


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenVisitHere:
    """A visit that is open at a boiler, and not given up."""

    visit: Visit
    newest_entry: str
    """Id; empty while nothing was typed"""

    @property
    def has_readings(self) -> bool:
        """Whether any dial was read as found."""
        return self.visit.as_found.settings != Settings()


@dataclass(frozen=True, slots=True, kw_only=True)
class BoilerNow:
    """A boiler as it stands, with where that is known from."""

    kept: KeptBoiler
    whence: Whence
    plant_file: PlantFile
    boiler: Boiler
    day: date | None
    """Of the visit, or on which the dials were read for the survey"""

    @property
    def check(self) -> BoilerCheck:
        """Its settings as they were read last, judged."""
        return check_boiler(self.plant_file, self.boiler, None)

    @property
    def cases(self) -> tuple[Case | None, Case | None]:
        """Two sets of settings to draw beside each other: as found and proposed, or as found and left."""
        found = self.boiler.as_found
        if self.boiler.as_left is None or found is None or found.settings == Settings():
            return cases_of(self.plant_file, self.boiler)
        plant = self.plant_file.plant
        return (
            prepare(plant, self.boiler, SettingsSet.AS_FOUND, found.settings),
            prepare(plant, self.boiler, SettingsSet.AS_LEFT, self.boiler.as_left),
        )

    @property
    def is_stale(self) -> bool:
        """Whether a proposal is drawn that was made for another survey."""
        drawn = self.cases[1]
        is_proposal = drawn is not None and drawn.which is SettingsSet.PROPOSED
        return is_proposal and has_stale_proposal(self.plant_file, self.boiler)

    @property
    def last_read(self) -> Case:
        """The settings that were read last; none of them known where nobody read a dial."""
        return self.check.case

    def stack(self) -> StackLayout | None:
        """Both sets of settings laid out; nothing where no dial was read and nothing is proposed."""
        found, proposed = self.cases
        if found is None and proposed is None:
            return None
        return lay_out(found, proposed, is_stale=self.is_stale)

    def small_layout(self) -> StackLayout | None:
        """The settings that were read last laid out by themselves; nothing where no dial was read."""
        case = self.last_read
        return None if case.settings == Settings() else lay_out(case, None)


def open_visits_here(store: Store, boiler: str | None = None) -> dict[str, tuple[OpenVisitHere, ...]]:
    """Visits that are neither signed nor given up, newest first, by the id of their boiler; or those of one boiler."""
    drafts = [each for each in open_drafts_of(store, DraftKind.VISIT) if boiler in {None, each.boiler}]
    newest = newest_entries(store, tuple(each.id for each in drafts))
    found: dict[str, tuple[OpenVisitHere, ...]] = {}
    for draft in drafts:
        last = newest.get(draft.id, "")
        visit = _VISITS.of((store.identity, draft.id, last), partial(_visit, store, draft))
        if not visit.given_up:
            found[draft.boiler] = (*found.get(draft.boiler, ()), OpenVisitHere(visit=visit, newest_entry=last))
    return found


def _visit(store: Store, draft: KeptDraft) -> Visit:
    return visit_of(draft.opening, entries.entries_of(store, draft.id))


def boiler_now(store: Store, kept: KeptBoiler) -> BoilerNow | None:
    """How a boiler stands; nothing where the store holds no survey of it.

    Raises
    ------
    BadInput
        Its survey cannot be read.
    """
    opened = open_visits_here(store, kept.id).get(kept.id, ())
    return now_of(store, kept, opened, newest_of(store, (kept.id,))[kept.id])


def now_of(store: Store, kept: KeptBoiler, opened: tuple[OpenVisitHere, ...], newest: NewestOf) -> BoilerNow | None:
    """As :func:`boiler_now`, of what was fetched for several boilers at once.

    The readings of an open visit come first; then a signed visit, until a survey is taken after it, and only where
    its record is what was signed.
    """
    for each in opened:
        if each.has_readings:
            return _on_visit(store, kept, each.visit)
    return _as_signed(store, kept, newest) or _as_surveyed(kept, newest)


def _on_visit(store: Store, kept: KeptBoiler, visit: Visit) -> BoilerNow | None:
    survey = surveys.give(store, kept.id, sha256=visit.opening.survey).plant_file()
    plant_file = as_this_visit_found_it(survey, kept.name, visit)
    return _now(kept, kept.name, Whence.OPEN_VISIT, plant_file, visit.day)


def _as_signed(store: Store, kept: KeptBoiler, newest: NewestOf) -> BoilerNow | None:
    """Only where its signer is known here: a record from elsewhere makes no boiler look well."""
    last, survey = newest.last_visit, newest.survey
    if last is None or (survey is not None and min(last.signed_at, last.held_since) < survey.taken_at):
        return None
    if not _is_known(store, last) or not is_as_signed(last):
        return None
    try:
        found = settings_signed(store, last, facts_of(last.record.content))
    except BadRequest:
        # Its survey is not here, or what was typed cannot be read: the newest survey tells then.
        return None
    now = _now(kept, found.boiler, Whence.SIGNED_VISIT, found.plant_file, found.day)
    return None if now is None or now.last_read.settings == Settings() else now


def _is_known(store: Store, last: KeptRecord) -> bool:
    key = known_keys(store).get(last.record.fingerprint)
    return key is not None and (key.withdrawn is None or last.held_since <= key.withdrawn.at)


def _as_surveyed(kept: KeptBoiler, newest: NewestOf) -> BoilerNow | None:
    if newest.survey is None:
        return None
    return _now(kept, kept.name, Whence.SURVEY, newest.survey.plant_file(), None)


def _now(kept: KeptBoiler, name: str, whence: Whence, plant_file: PlantFile, day: date | None) -> BoilerNow | None:
    boiler = next((each for each in plant_file.plant.boilers if each.name == name), None)
    if boiler is None:
        return None
    if day is None:
        read = boiler.as_left or (None if boiler.as_found is None else boiler.as_found.settings)
        day = None if read is None else read.read_on
    return BoilerNow(kept=kept, whence=whence, plant_file=plant_file, boiler=boiler, day=day)

"""How a boiler of the store stands now: on the visit that is open, as the last signed visit left it, or as surveyed."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from enum import Enum

from evenfire.delivery.acts.checking import cases_of, check_boiler, has_stale_proposal
from evenfire.delivery.acts.visit_papers import settings_of_signed
from evenfire.delivery.acts.visit_source import SignedSource, source_of_record
from evenfire.delivery.acts.visiting import as_this_visit_found_it
from evenfire.delivery.answers import BoilerCheck
from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_levels import StackLayout
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.records import entries, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind, open_drafts_of
from evenfire.delivery.records.overview import NewestOf, newest_of
from evenfire.delivery.records.registers import KeptBoiler
from evenfire.delivery.visits.visit import Visit, visit_of
from evenfire.errors import BadRequest
from evenfire.judgement.case import Case, SettingsSet, prepare
from evenfire.plant.boiler import Boiler
from evenfire.plant.settings import Settings


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


def open_visits_here(store: Store, boilers: Collection[str] | None = None) -> dict[str, tuple[OpenVisitHere, ...]]:
    """Visits that are neither signed nor given up, newest first, by the id of their boiler."""
    found: dict[str, tuple[OpenVisitHere, ...]] = {}
    for draft in open_drafts_of(store, DraftKind.VISIT):
        if boilers is not None and draft.boiler not in boilers:
            continue
        typed_in = entries.entries_of(store, draft.id)
        visit = visit_of(draft.opening, typed_in)
        if not visit.given_up:
            here = OpenVisitHere(visit=visit, newest_entry=typed_in[-1].id if typed_in else "")
            found[draft.boiler] = (*found.get(draft.boiler, ()), here)
    return found


def boiler_now(store: Store, kept: KeptBoiler) -> BoilerNow | None:
    """How a boiler stands; nothing where the store holds no survey of it.

    Raises
    ------
    BadInput
        Its survey cannot be read.
    """
    opened = open_visits_here(store, (kept.id,)).get(kept.id, ())
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


def tells_a_signed_visit(newest: NewestOf) -> bool:
    """Whether a signed visit is younger here than the newest survey."""
    last, survey = newest.last_visit, newest.survey
    return last is not None and (survey is None or last.held_since >= survey.taken_at)


def _on_visit(store: Store, kept: KeptBoiler, visit: Visit) -> BoilerNow | None:
    survey = surveys.give(store, kept.id, sha256=visit.opening.survey).plant_file()
    plant_file = as_this_visit_found_it(survey, kept.name, visit)
    return _now(kept, Whence.OPEN_VISIT, plant_file, visit.day)


def _as_signed(store: Store, kept: KeptBoiler, newest: NewestOf) -> BoilerNow | None:
    if newest.last_visit is None or not tells_a_signed_visit(newest):
        return None
    source = source_of_record(store, newest.last_visit)
    if not isinstance(source, SignedSource):
        return None
    try:
        found = settings_of_signed(store, source)
    except BadRequest:
        # Its survey is not here, or it holds no settings: the survey tells then.
        return None
    signed = next(each for each in found.plant_file.plant.boilers if each.name == found.boiler)
    day = None if signed.as_left is None else signed.as_left.read_on
    return BoilerNow(kept=kept, whence=Whence.SIGNED_VISIT, plant_file=found.plant_file, boiler=signed, day=day)


def _as_surveyed(kept: KeptBoiler, newest: NewestOf) -> BoilerNow | None:
    if newest.survey is None:
        return None
    return _now(kept, Whence.SURVEY, newest.survey.plant_file(), None)


def _now(kept: KeptBoiler, whence: Whence, plant_file: PlantFile, day: date | None) -> BoilerNow | None:
    boiler = next((each for each in plant_file.plant.boilers if each.name == kept.name), None)
    if boiler is None:
        return None
    if day is None:
        read = boiler.as_left or (None if boiler.as_found is None else boiler.as_found.settings)
        day = None if read is None else read.read_on
    return BoilerNow(kept=kept, whence=whence, plant_file=plant_file, boiler=boiler, day=day)

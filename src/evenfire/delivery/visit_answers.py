"""What the acts of a visit and of its records answer: whole, frozen, complete at birth."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from evenfire.delivery.answers import BoilerCheck, BoilerSettle, Ending, Identity, Verified, ending_of
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.records.drafts import KeptDraft
from evenfire.delivery.records.entries import Recorded
from evenfire.delivery.records.record import SignedRecord, Signer
from evenfire.delivery.records.registers import KeptBoiler, Person
from evenfire.delivery.records.surveys import SurveyRevision, Taken
from evenfire.delivery.records.verification import Verification
from evenfire.delivery.visits.corrections import Corrected
from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.folding import Draft, folded
from evenfire.delivery.visits.standing import Barred, Flagged, TripsSeen
from evenfire.delivery.visits.visit import DeviceEntry, TripEntry, Visit
from evenfire.judgement.settle.result import Fits
from evenfire.judgement.trip_test.abort import AbortAnswer
from evenfire.judgement.trip_test.devices import DeviceResult
from evenfire.judgement.trip_test.planning import TripPlan
from evenfire.judgement.trip_test.trip import TripResult, TripTest
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.si import DiffPa, GaugePa

if TYPE_CHECKING:
    # A proof loads arrays and a compiler; a visit that proves nothing yet starts without them.
    from evenfire.judgement.proofs.result import Proved


@dataclass(frozen=True, slots=True, kw_only=True)
class AtVisit:
    """A visit with what it stands on."""

    draft: KeptDraft
    boiler: KeptBoiler
    survey: SurveyRevision
    plant_file: PlantFile
    """The survey, with the boiler as this visit found it"""
    entries: tuple[Entry, ...]
    visit: Visit
    people: dict[str, str]
    """Names of those who typed, by their ids"""
    newer: SurveyRevision | None = None
    """The newest survey of the boiler, where that is another one than this visit stands on"""

    @property
    def surveyed(self) -> Boiler:
        """The boiler in the plant file."""
        return next(each for each in self.plant_file.plant.boilers if each.name == self.boiler.name)

    @property
    def newest_entry(self) -> str:
        """Id of the entry that was received last; empty for a visit without any."""
        return self.entries[-1].id if self.entries else ""

    @property
    def fold(self) -> Draft:
        """What stands in each field."""
        return folded(self.entries)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedVisit:
    """A visit that was opened."""

    at: AtVisit
    taken: Taken | None
    """What taking the plant file did; ``None`` where the store held the survey"""
    prefilled: int
    """Readings of today that the plant file held"""
    also_open: tuple[AtVisit, ...] = ()
    """Other visits that are open at this boiler"""


@dataclass(frozen=True, slots=True, kw_only=True)
class EnteredSheet:
    """What a filled-in sheet did."""

    judged: "JudgedVisit"
    new: tuple[Recorded, ...]
    corrected: tuple[Corrected, ...] = ()
    """Fields of the new entries in which something else stood before"""
    left_alone: tuple[str, ...] = ()
    """Fields in which something was entered since this sheet was written, and of which it changes nothing"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SettledVisit:
    """Settings proposed on a visit."""

    at: AtVisit
    settle: BoilerSettle
    is_entered: bool
    """Whether there was a proposal to enter"""
    identity: Identity

    @property
    def ending(self) -> Ending:
        """As a settle of that boiler alone would end."""
        if self.is_entered and isinstance(self.settle.answer, Fits):
            return ending_of(self.settle.answer.chosen.outcomes)
        return Ending.STOP_FINDING if self.settle.is_unsafe else Ending.NOTHING_FITS


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedTrip:
    """A trip test and how it came out."""

    entry: TripEntry
    test: TripTest | None
    """Nothing where not even the control was written down"""
    abort: AbortAnswer | None
    """Where it was to be broken off; nothing without a gauge or a setting"""
    result: TripResult
    calibration: str = ""
    """Certificate of the gauge"""
    is_other_aim: bool = False
    """Made against another pressure, or a wider band, than the control is to act at"""


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedDevice:
    """A test of another safety device and how it came out."""

    entry: DeviceEntry
    result: DeviceResult | None
    """Nothing where the device was not written down"""


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedTrip:
    """A trip test that is to be made, told beforehand."""

    role: Role
    set_pressure: GaugePa
    """[Pa gauge]"""
    band: DiffPa
    """[Pa]"""
    plan: TripPlan
    """Which gauge can decide it"""
    aborts: tuple[tuple[str, AbortAnswer], ...]
    """By the serial of each gauge in the bag"""


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedVisit:
    """A visit as it stands, judged."""

    at: AtVisit
    found: BoilerCheck
    left: BoilerCheck | None
    """Nothing where no dial was read as left"""
    proofs: "tuple[Proved, ...] | None"
    """Of the settings as left, worst first; nothing where not every dial was read, or at rest"""
    trips: tuple[JudgedTrip, ...]
    devices: tuple[JudgedDevice, ...]
    wanted: tuple[WantedTrip, ...]
    seen: TripsSeen
    bars: tuple[Barred, ...]
    flags: tuple[Flagged, ...]
    is_stale: bool
    """The proposal was made for other readings"""
    identity: Identity
    physics_version: str
    """Empty at rest"""
    is_at_rest: bool = False
    """Nothing was set in motion, so that it proves nothing and cannot be signed"""

    @property
    def ending(self) -> Ending:
        """Of what a person left; of what was found as long as nothing was read as left."""
        from evenfire.judgement.proofs.weighing import settings_are_unsafe

        judged = self.found if self.left is None else self.left
        ending = ending_of(judged.outcomes)
        unsafe = self.seen.unsafe or (self.proofs is not None and settings_are_unsafe(self.proofs))
        return Ending.STOP_FINDING if unsafe else ending


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedVisit:
    """A visit that was signed."""

    judged: JudgedVisit
    record: SignedRecord
    signer: Signer
    person: Person
    signed_at: datetime
    """UTC"""
    backup: "BackedUp"


@dataclass(frozen=True, slots=True, kw_only=True)
class AmendedVisit:
    """An amendment that was signed."""

    record: SignedRecord
    amends: str
    """Id of the record that it amends"""
    signer: Signer
    backup: "BackedUp"


@dataclass(frozen=True, slots=True, kw_only=True)
class BackedUp:
    """What became of the backup after a signature: one of the two."""

    path: Path | None = None
    why_not: str = ""
    """What stood in its way; the record is kept all the same"""


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedOn:
    """A file of records that was written."""

    file: Path
    boiler: KeptBoiler
    verification: Verification
    """Of what was written"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """A file of records that was judged, and taken in where it verifies."""

    verified: Verified
    new: tuple[str, ...]
    """Ids of the records that were not here before"""
    is_taken: bool
    heads: int = 0
    """Of the boiler, now; more than one where histories were made apart"""

    @property
    def ending(self) -> Ending:
        """As verifying ends: what does not verify is not taken."""
        return self.verified.ending

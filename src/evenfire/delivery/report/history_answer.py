"""What is known of the controls of a boiler from its signed records: whole, frozen, complete at birth."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import Enum

from evenfire.delivery.answers import Ending
from evenfire.delivery.records.registers import KeptBoiler
from evenfire.delivery.report.due_answer import Ask
from evenfire.judgement.trip_test.drift import Drift
from evenfire.judgement.trip_test.stretches import Began
from evenfire.judgement.trip_test.trip import Verdict
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing
from evenfire.si import DiffPa, GaugePa


@dataclass(frozen=True, slots=True, kw_only=True)
class AmendmentOfTest:
    """What somebody signed beside a record that holds a test."""

    record: str
    text: str
    signer: str
    signed_at: datetime
    """UTC"""


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryPoint:
    """A trip test of a control, as its signed record holds it."""

    record: str
    signer: str
    on: date
    method: str
    verdict: Verdict | None
    """Nothing where the record knows one that this program does not"""
    dial: GaugePa | None
    """[Pa gauge]"""
    set_pressure: GaugePa | None
    """Where it shall act [Pa gauge]"""
    band: DiffPa | None
    """[Pa]"""
    trip: GaugePa | None
    """[Pa gauge]"""
    standard_uncertainty: DiffPa | None
    """Of the trip point [Pa]"""
    expanded_uncertainty: DiffPa | None
    """The same at 95 % [Pa]"""
    stretch: int
    began: Began
    is_known: bool
    """Signed by a key that this store knows, and held here before it was withdrawn; from others nothing follows"""
    is_other_aim: bool
    """Made against another pressure, or a wider band, than it was to act at: passing that is no pass"""
    is_measured: bool
    """Whether it counts for the drift: known, a true rise with a trip point, its doubt, and where it should act"""
    amendments: tuple[AmendmentOfTest, ...]

    @property
    def set_error(self) -> DiffPa | None:
        """Trip point less where it shall act [Pa]."""
        if self.trip is None or self.set_pressure is None:
            return None
        return DiffPa(self.trip - self.set_pressure)


class ControlStands(Enum):
    """How a control stands by its history, worst first."""

    UNSAFE = "failed its last test"
    OUTSIDE = "may act outside its band"
    MOVED = "its dial was moved since its last test"
    NOT_PASSED = "did not pass its last test"
    OVERDUE = "its test is overdue"
    NEVER_TESTED = "never tested here"
    NOT_JUDGED = "its drift cannot be judged"
    INSIDE = "inside its band"
    GONE = "not in the newest survey"


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlHistory:
    """One control by its serial number and the work it does."""

    role: Role
    serial: str
    """Empty where nobody wrote it down"""
    before: str
    """Serial number of the control that did this work before it; empty where none is known"""
    stands: ControlStands
    failed_with: str
    """Verdict of the last test, where it did not pass; empty where it did"""
    is_moved: bool
    """Whether its dial was seen elsewhere after the last test that counts: where it acts now is not known"""
    points: tuple[HistoryPoint, ...]
    """Oldest first"""
    drift: Drift | Missing
    asked: Ask | None
    """The strictest interval that anybody asks for, the drift aside"""
    outside_since: date | None
    """The first day on which it may act outside its band, at 95 %, where its drift can be gone by"""
    due_as_asked: date | None
    """The day that follows from it and from the last test that it passed; nothing before a first pass"""
    is_due_at_once: bool = False
    """Its last test that decided anything did not pass, or none ever did"""

    @property
    def band(self) -> DiffPa | None:
        """How far it may act from where it shall, by the last test that was made for that [Pa]."""
        return next((each.band for each in reversed(self.points) if each.band and not each.is_other_aim), None)

    @property
    def measured(self) -> tuple[HistoryPoint, ...]:
        """The tests that count for the drift."""
        return tuple(each for each in self.points if each.is_measured)

    @property
    def next_due(self) -> date | None:
        """When it is to be tested again, drift included; nothing where that is at once or not known."""
        if self.is_due_at_once or self.due_as_asked is None:
            return None
        return self.due_as_asked if isinstance(self.drift, Missing) else min(self.due_as_asked, self.drift.next_due)


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """The controls of a boiler in its signed records, worst first."""

    boiler: KeptBoiler
    today: date
    visits: int
    """Signed visits that it comes from"""
    not_verified: str
    """Why they are not what was signed, so that nothing that passed counts; empty where they verify"""
    controls: tuple[ControlHistory, ...]
    without_survey: str
    """Why it is not known which controls are fitted; empty where it is"""
    unread: tuple[str, ...]
    """Records that hold a test which cannot be read"""

    @property
    def ending(self) -> Ending:
        """Changed records come first.

        A control that may be unsafe is a stop finding; one that was not shown to be safe is told apart.
        """
        if self.not_verified:
            return Ending.DOES_NOT_VERIFY
        stands = {each.stands for each in self.controls}
        if stands & {ControlStands.UNSAFE, ControlStands.OUTSIDE}:
            return Ending.STOP_FINDING
        unsure = {
            ControlStands.MOVED,
            ControlStands.NOT_PASSED,
            ControlStands.OVERDUE,
            ControlStands.NEVER_TESTED,
            ControlStands.NOT_JUDGED,
        }
        is_unsure = bool(stands & unsure) or bool(self.without_survey) or bool(self.unread)
        return Ending.STOP_NOT_JUDGED if is_unsure else Ending.CLEAR

"""Everything that comes due at the boilers of a store: whole, frozen, complete at birth."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import Enum
from typing import Final

from evenfire.delivery.records.registers import KeptBoiler
from evenfire.judgement.trip_test.due import Interval
from evenfire.judgement.trip_test.intervals import Item

LONGEST_ROUND: Final = 31
"""[day]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """Who wants something done how often."""

    whose: str
    """``code``, ``insurer``, ``certificate``, or what somebody wrote"""
    every: Interval
    source: str = ""
    """Key of the publication"""
    is_from_memory: bool = False
    """The publication was not open when this was written down"""


class Urgency(Enum):
    """How much something presses, worst first."""

    FAILED = "failed"
    """The last test did not pass: it is due before anything else"""
    OVERDUE = "overdue"
    NEVER_RECORDED = "never recorded here"
    """Nothing known is no pass: it is due at once"""
    COMES_DUE = "comes due"


class Told(Enum):
    """Where it is known from that something was done."""

    SIGNED_VISIT = "signed visit"
    BY_HAND = "set by hand"
    SURVEY = "survey"
    CERTIFICATE = "certificate"


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """A day on which something was done."""

    on: date
    told: Told
    result: str = ""
    """What came of it; the number of a certificate"""
    record: str = ""
    """Id of the signed visit"""


@dataclass(frozen=True, slots=True, kw_only=True)
class DueRow:
    """One thing that comes due."""

    urgency: Urgency
    on: date
    """The day to do it: that on which it comes due, today where it failed, is overdue or was never recorded"""
    due: date | None
    """The day that follows from the last time; nothing where nobody knows of one"""
    boiler: KeptBoiler | None
    """Nothing for a reference gauge"""
    item: str
    part: str
    """Which of several: a serial number, a safety valve, a device"""
    calendar: Item | None
    """Nothing for what somebody set for a boiler on his own"""
    last: Done | None
    failed: Done | None
    """A later test that did not pass"""
    is_moved: bool
    """The dial of a limit was moved after its last test that counts"""
    asks: tuple[Ask, ...]
    """Strictest first: the first one is used"""
    key: str
    """Names it for good: the same thing has the same key in every list"""

    @property
    def is_round(self) -> bool:
        """Whether whoever attends the boiler does it, once a month or more often."""
        every = self.asks[0].every
        return every.months == 1 or (every.days is not None and every.days <= LONGEST_ROUND)

    @property
    def codes_differ(self) -> bool:
        """Whether publications disagree over how often."""
        return len({each.every for each in self.asks if each.source}) > 1


@dataclass(frozen=True, slots=True, kw_only=True)
class NotListed:
    """A boiler whose calendar is not known in full, and why."""

    boiler: KeptBoiler
    why: str
    items: tuple[Item, ...]
    """Not listed for it"""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotCounted:
    """A boiler with visits signed by keys that nobody here knows: what passed there counts for nothing."""

    boiler: KeptBoiler
    visits: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NotVerified:
    """A boiler whose records are not what was signed: nothing that passed counts, and everything is due at once."""

    boiler: KeptBoiler
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread:
    """A record with a trip test that cannot be read."""

    boiler: KeptBoiler
    record: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenVisit:
    """A visit that nobody signed yet: what was done on it counts for nothing."""

    boiler: KeptBoiler
    visit: str
    since: date


@dataclass(frozen=True, slots=True, kw_only=True)
class OutOfService:
    """A boiler that was left out of service on its last signed visit."""

    boiler: KeptBoiler
    since: date


@dataclass(frozen=True, slots=True, kw_only=True)
class DueList:
    """Everything that comes due, worst first, then by day."""

    today: date
    changed_at: datetime
    """Of the last change of the store, UTC"""
    store: str
    """Identity of the store"""
    boilers: int
    until: date | None
    rows: tuple[DueRow, ...]
    later: int
    """How many more come due after ``until``"""
    not_listed: tuple[NotListed, ...]
    not_counted: tuple[NotCounted, ...]
    unread: tuple[Unread, ...]
    open_visits: tuple[OpenVisit, ...]
    out_of_service: tuple[OutOfService, ...]
    not_verified: tuple[NotVerified, ...] = ()

    def of(self, *urgencies: Urgency) -> tuple[DueRow, ...]:
        """The rows that press so."""
        return tuple(each for each in self.rows if each.urgency in urgencies)


@dataclass(frozen=True, slots=True, kw_only=True)
class HandItem:
    """What somebody set to come due at a boiler."""

    id: str
    name: str
    calendar: Item | None
    """Nothing for one that the calendar does not know"""
    every: Interval
    whose: str
    last: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemSet:
    """An item that was set or ended."""

    boiler: KeptBoiler
    item: HandItem
    near: tuple[str, ...]
    """Items of the calendar with nearly the same name, where it is not one of them"""

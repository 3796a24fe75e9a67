"""Writing what somebody typed: the one function that the command line and the web write through."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from evenfire.delivery.records.database import Store
from evenfire.delivery.visits.entry import Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """An entry that is on the disk."""

    entry: Entry
    number: int
    """Place in the order in which this store received entries"""
    received_at: datetime
    """UTC, by the clock of the store"""
    is_new: bool
    """False when this very entry was here already"""


def record(store: Store, entry: Entry) -> Recorded:
    """Keep one entry; when this returns, it is on the disk. Sending the same entry again is harmless.

    Raises
    ------
    BadEntry
        Another entry has its id; it replaces an entry that this draft does not have; its author is not known or may
        only read.
    BadRequest
        There is no such draft, or it is closed.
    BadStore
        It could not be written: it is not kept.
    """
    raise NotImplementedError


def record_all(store: Store, entries: Iterable[Entry]) -> tuple[Recorded, ...]:
    """Keep all of these entries or none, in their order.

    Raises
    ------
    BadEntry, BadRequest, BadStore
        As :func:`record`, for the first that cannot be kept.
    """
    raise NotImplementedError


def entries_of(store: Store, draft: str) -> tuple[Entry, ...]:
    """Every entry of a draft in the order received; nothing for a draft that is not here."""
    raise NotImplementedError

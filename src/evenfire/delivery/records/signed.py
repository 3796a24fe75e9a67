"""Signed records as rows: kept as they were signed, with their parents, and the draft that each closes."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import Connection

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.record import RecordKind, SignedRecord


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRecord:
    """A signed record as the store holds it; nothing here judges whether the signature is good."""

    record: SignedRecord
    boiler: str
    visit: str | None
    """The visit that it closed; nothing for an amendment, and for a record that was signed elsewhere"""
    kind: RecordKind
    signed_at: datetime
    parents: tuple[str, ...]
    """Sorted"""
    held_since: datetime
    """UTC, by the clock of this store"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TripResult:
    """What a trip test came to, repeated from signed content so that it can be searched. Numbers are decimal text."""

    role: str
    serial: str | None
    method: str
    set_pa_gauge: str | None
    trip_pa_gauge: str | None
    standard_uncertainty_pa: str | None
    degrees_of_freedom: str | None
    verdict: str
    tested_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSetting:
    """A dial as found, proposed or left, repeated from signed content."""

    which: str
    dial: str
    text: str
    si: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptFinding:
    """A finding, repeated from signed content."""

    which: str
    code: str
    severity: str
    subject: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Searchable:
    """What can be searched of one record."""

    trips: tuple[TripResult, ...] = ()
    settings: tuple[KeptSetting, ...] = ()
    findings: tuple[KeptFinding, ...] = ()


def heads_of(store: Store, boiler: str) -> tuple[str, ...]:
    """Records of a boiler that are nobody's parent, sorted: the parents of the next one."""
    raise NotImplementedError


def records_of(store: Store, boiler: str) -> tuple[KeptRecord, ...]:
    """All records of a boiler, by time and id."""
    raise NotImplementedError


def record_by_id(store: Store, record: str) -> KeptRecord:
    """One record by its id, or the beginning of it.

    Raises
    ------
    BadRequest
        There is none, or several.
    """
    raise NotImplementedError


def keep_visit(
    store: Store, record: SignedRecord, searchable: Searchable, *, visit: str, entries: Iterable[str]
) -> None:
    """Keep a record that was just signed here and close its visit, in one transaction.

    ``entries`` are the ids that the signer saw.

    Raises
    ------
    BadRequest
        The visit is closed, has other entries than the signer saw, or the boiler has other heads than the record
        names: somebody was quicker, and it has to be looked at and signed again.
    BadContent
        The content is no content of a record.
    """
    raise NotImplementedError


def keep_amendment(store: Store, record: SignedRecord) -> None:
    """Keep an amendment that was just signed here.

    Raises
    ------
    BadRequest
        The boiler has other heads than the record names, or the record that it amends is not here.
    BadContent
        The content is no content of a record.
    """
    raise NotImplementedError


def keep_imported(connection: Connection, records: Iterable[tuple[SignedRecord, Searchable]]) -> tuple[str, ...]:
    """Keep records from elsewhere within a transaction of the caller; those held already are left. Ids of the new ones.

    The boiler of each must be in the store, by its id.

    Raises
    ------
    BadRequest
        A record of that id is held with another content or signature.
    BadContent
        The content is no content of a record.
    """
    raise NotImplementedError


def trip_results_of(store: Store, *, boiler: str | None = None, serial: str | None = None) -> tuple[TripResult, ...]:
    """Trip results of a boiler or of one control, oldest first."""
    raise NotImplementedError


def last_visit_on(store: Store, boiler: str) -> date | None:
    """Day of the last signed visit."""
    raise NotImplementedError

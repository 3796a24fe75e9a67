"""Signed records as rows: kept as they were signed, with their parents, and the draft that each closes."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Final

from sqlalchemy import Connection, Row, insert, select, update

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import draft_by_id
from evenfire.delivery.records.finding import one_of
from evenfire.delivery.records.record import RecordFacts, RecordKind, SignedRecord, facts_of, record_id
from evenfire.delivery.records.registers import boiler_by_id
from evenfire.delivery.records.tables import (
    drafts,
    entries,
    kept_findings,
    kept_settings,
    record_parents,
    records,
    trip_results,
)
from evenfire.errors import BadRequest


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
class KeptTrip:
    """A trip result, and the record that it stands in."""

    record: str
    boiler: str
    result: TripResult


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
    with store.read() as connection:
        return heads_within(connection, boiler)


def records_of(store: Store, boiler: str) -> tuple[KeptRecord, ...]:
    """All records of a boiler, by time and id."""
    with store.read() as connection:
        return records_within(connection, boiler)


def record_by_id(store: Store, record: str) -> KeptRecord:
    """One record by its id, or the beginning of it.

    Raises
    ------
    BadRequest
        There is none, or several.
    """
    with store.read() as connection:
        ids = connection.execute(select(records.c.id).order_by(records.c.signed_at, records.c.id)).scalars().all()
        found = one_of(ids, record, what="record", names=lambda each: (each,))
        row = connection.execute(_RECORDS.where(records.c.id == found)).one()
        return _kept(connection, (row,))[0]


def records_named(store: Store, names: Collection[str]) -> tuple[KeptRecord, ...]:
    """The records of these whole ids that are here, by time and id."""
    with store.read() as connection:
        asked = _RECORDS.where(records.c.id.in_(names)).order_by(records.c.signed_at, records.c.id)
        return _kept(connection, connection.execute(asked).all())


def keep_visit(store: Store, record: SignedRecord, searchable: Searchable, *, visit: str, seen: Iterable[str]) -> None:
    """Keep a record that was just signed here and close its visit, in one transaction.

    ``seen`` are the ids of the entries that the signer saw. Keeping the same record again is harmless.

    Raises
    ------
    BadRequest
        The visit is closed, has other entries than the signer saw, or the boiler has other heads than the record
        names: somebody was quicker, and it has to be looked at and signed again.
    BadContent
        The content is no content of a record.
    """
    facts = facts_of(record.content)
    with store.write() as connection:
        draft = draft_by_id(connection, visit)
        if draft.record == record.id:
            return
        if not draft.is_open or facts.head.kind is not RecordKind.VISIT:
            raise BadRequest("This visit is signed already; what has to be put right goes into an amendment.")
        if facts.head.boiler["id"] != draft.boiler:
            raise BadRequest("The record is of another boiler than the visit.")
        now_there = connection.execute(select(entries.c.id).where(entries.c.draft == visit)).scalars()
        if set(now_there) != set(seen):
            raise BadRequest("Something was entered while it was being signed; look at the visit and sign again.")
        _require_heads(connection, facts)
        now = store.clock()
        _add(connection, record, facts, searchable, visit=visit, now=now)
        connection.execute(update(drafts).where(drafts.c.id == visit).values(closed_at=now, record=record.id))


def keep_amendment(store: Store, record: SignedRecord) -> None:
    """Keep an amendment that was just signed here.

    Raises
    ------
    BadRequest
        The boiler has other heads than the record names, or the record that it amends is not here.
    BadContent
        The content is no content of a record.
    """
    facts = facts_of(record.content)
    with store.write() as connection:
        if _is_held(connection, record):
            return
        boiler_by_id(connection, facts.head.boiler["id"])
        if connection.execute(select(records.c.id).where(records.c.id == facts.amends)).first() is None:
            raise BadRequest("The record that it amends is not in this store.")
        _require_heads(connection, facts)
        _add(connection, record, facts, Searchable(), visit=None, now=store.clock())


def keep_imported(
    connection: Connection, came: Iterable[tuple[SignedRecord, Searchable]], now: datetime
) -> tuple[str, ...]:
    """Keep records from elsewhere within a transaction of the caller; those held already are left. Ids of the new ones.

    The boiler of each must be in the store, by its id.

    Raises
    ------
    BadRequest
        A record of that id is held with another content or signature.
    BadContent
        The content is no content of a record.
    """
    new = []
    for record, searchable in came:
        facts = facts_of(record.content)
        boiler_by_id(connection, facts.head.boiler["id"])
        if not _is_held(connection, record):
            _add(connection, record, facts, searchable, visit=None, now=now)
            new.append(record.id)
    return tuple(new)


def trip_results_of(store: Store, *, boiler: str | None = None, serial: str | None = None) -> tuple[KeptTrip, ...]:
    """Trip results of a boiler or of one control, oldest first."""
    asked = _TRIPS
    if boiler is not None:
        asked = asked.where(records.c.boiler == boiler)
    if serial is not None:
        asked = asked.where(trip_results.c.serial == serial)
    in_order = (trip_results.c.tested_at, trip_results.c.record, trip_results.c.place)
    with store.read() as connection:
        rows = connection.execute(asked.order_by(*in_order)).all()
    return tuple(_trip(row) for row in rows)


def heads_within(connection: Connection, boiler: str) -> tuple[str, ...]:
    """As :func:`heads_of`, within a transaction of the caller."""
    is_parent = select(record_parents.c.parent).where(record_parents.c.parent == records.c.id).exists()
    found = connection.execute(select(records.c.id).where(records.c.boiler == boiler, ~is_parent)).scalars()
    return tuple(sorted(found))


def records_within(connection: Connection, boiler: str) -> tuple[KeptRecord, ...]:
    """As :func:`records_of`, within a transaction of the caller."""
    asked = _RECORDS.where(records.c.boiler == boiler).order_by(records.c.signed_at, records.c.id)
    return _kept(connection, connection.execute(asked).all())


_RECORDS: Final = select(
    records.c.id,
    records.c.boiler,
    records.c.draft,
    records.c.kind,
    records.c.content,
    records.c.signature,
    records.c.key,
    records.c.signed_at,
    records.c.kept_at,
)
_TRIPS: Final = select(
    trip_results.c.record,
    records.c.boiler,
    trip_results.c.role,
    trip_results.c.serial,
    trip_results.c.method,
    trip_results.c.set_pa_gauge,
    trip_results.c.trip_pa_gauge,
    trip_results.c.standard_uncertainty_pa,
    trip_results.c.degrees_of_freedom,
    trip_results.c.verdict,
    trip_results.c.tested_at,
).join_from(trip_results, records, records.c.id == trip_results.c.record)


def _kept(
    connection: Connection, rows: Iterable[Row[str, str, str | None, str, str, str, str, datetime, datetime]]
) -> tuple[KeptRecord, ...]:
    kept = []
    for id_, boiler, draft, kind, content, signature, key, signed_at, kept_at in rows:
        asked = select(record_parents.c.parent).where(record_parents.c.record == id_)
        kept.append(
            KeptRecord(
                record=SignedRecord(id=id_, content=content.encode(), fingerprint=key, signature=signature),
                boiler=boiler,
                visit=draft,
                kind=RecordKind(kind),
                signed_at=signed_at,
                parents=tuple(sorted(connection.execute(asked).scalars())),
                held_since=kept_at,
            )
        )
    return tuple(kept)


def _trip(
    row: Row[str, str, str, str | None, str, str | None, str | None, str | None, str | None, str, datetime],
) -> KeptTrip:
    record, boiler, role, serial, method, set_, trip, uncertainty, degrees, verdict, tested_at = row
    result = TripResult(
        role=role,
        serial=serial,
        method=method,
        set_pa_gauge=set_,
        trip_pa_gauge=trip,
        standard_uncertainty_pa=uncertainty,
        degrees_of_freedom=degrees,
        verdict=verdict,
        tested_at=tested_at,
    )
    return KeptTrip(record=record, boiler=boiler, result=result)


def _is_held(connection: Connection, record: SignedRecord) -> bool:
    row = connection.execute(_RECORDS.where(records.c.id == record.id)).one_or_none()
    if row is None:
        return False
    if (row.content.encode(), row.signature, row.key) != (record.content, record.signature, record.fingerprint):
        raise BadRequest(f"Another record of the id {record.id} is in this store; verify both.")
    return True


def _require_heads(connection: Connection, facts: RecordFacts) -> None:
    heads = heads_within(connection, facts.head.boiler["id"])
    if heads != facts.head.parents:
        raise BadRequest("Other records of this boiler came in while it was being signed; look at them and sign again.")


def _add(
    connection: Connection,
    record: SignedRecord,
    facts: RecordFacts,
    searchable: Searchable,
    *,
    visit: str | None,
    now: datetime,
) -> None:
    if record_id(record.content) != record.id:
        raise BadRequest(f"The content is not that of the record {record.id}; nothing of it was kept.")
    row = {
        "id": record.id,
        "boiler": facts.head.boiler["id"],
        "draft": visit,
        "kind": facts.head.kind.value,
        "content": record.content.decode(),
        "signature": record.signature,
        "key": record.fingerprint,
        "signed_at": facts.head.signed_at,
        "kept_at": now,
    }
    connection.execute(insert(records).values(row))
    for parent in facts.head.parents:
        connection.execute(insert(record_parents).values(record=record.id, parent=parent))
    _add_searchable(connection, record.id, searchable)


def _add_searchable(connection: Connection, record: str, searchable: Searchable) -> None:
    for place, trip in enumerate(searchable.trips):
        connection.execute(insert(trip_results).values({"record": record, "place": place, **_row(trip)}))
    for setting in searchable.settings:
        connection.execute(insert(kept_settings).values({"record": record, **_row(setting)}))
    for place, finding in enumerate(searchable.findings):
        connection.execute(insert(kept_findings).values({"record": record, "place": place, **_row(finding)}))


def _row(value: TripResult | KeptSetting | KeptFinding) -> dict[str, object]:
    """The fields of these values are named as the columns are."""
    return {field.name: getattr(value, field.name) for field in fields(value)}

"""Writing what somebody typed: the one function that the command line and the web write through."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sqlalchemy import Connection, Row, insert, select

from evenfire.delivery.intake.survey_fields import field_of
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind, draft_by_id
from evenfire.delivery.records.registers import May
from evenfire.delivery.records.tables import entries, entry_bases, people
from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.fields import kind_of
from evenfire.errors import BadEntry, BadRequest


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
    (recorded,) = record_all(store, (entry,))
    return recorded


def record_all(store: Store, typed: Iterable[Entry]) -> tuple[Recorded, ...]:
    """Keep all of these entries or none, in their order.

    Raises
    ------
    BadEntry, BadRequest, BadStore
        As :func:`record`, for the first that cannot be kept.
    """
    with store.write() as connection:
        return tuple(_keep(connection, entry, store.clock()) for entry in typed)


def entries_of(store: Store, draft: str) -> tuple[Entry, ...]:
    """Every entry of a draft in the order received; nothing for a draft that is not here."""
    with store.read() as connection:
        return entries_within(connection, draft)


def entries_at(store: Store, draft: str, path: str) -> tuple[Entry, ...]:
    """Every entry of one field of a draft in the order received."""
    with store.read() as connection:
        asked = _ENTRIES.where(entries.c.draft == draft, entries.c.path == path).order_by(entries.c.number)
        return tuple(kept.entry for kept in _with_bases(connection, connection.execute(asked).all()))


def entries_within(connection: Connection, draft: str) -> tuple[Entry, ...]:
    """As :func:`entries_of`, within a transaction of the caller."""
    rows = connection.execute(_ENTRIES.where(entries.c.draft == draft).order_by(entries.c.number)).all()
    return tuple(kept.entry for kept in _with_bases(connection, rows))


_ENTRIES: Final = select(
    entries.c.number,
    entries.c.received_at,
    entries.c.id,
    entries.c.draft,
    entries.c.path,
    entries.c.text,
    entries.c.unit,
    entries.c.si,
    entries.c.why_not,
    entries.c.author,
    entries.c.device,
    entries.c.at,
)
_Row = Row[int, datetime, str, str, str, str, str | None, str | None, str | None, str, str, datetime]
_MOST_AT_ONCE: Final = 500
"""Ids in one question; databases bound it."""


def _with_bases(connection: Connection, rows: Iterable[_Row]) -> tuple[Recorded, ...]:
    rows = tuple(rows)
    bases = _bases_of(connection, [row[2] for row in rows])
    return tuple(_recorded(row, tuple(bases.get(row[2], ()))) for row in rows)


def _bases_of(connection: Connection, ids: list[str]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for start in range(0, len(ids), _MOST_AT_ONCE):
        asked = select(entry_bases.c.entry, entry_bases.c.base).where(
            entry_bases.c.entry.in_(ids[start : start + _MOST_AT_ONCE])
        )
        for entry, base in connection.execute(asked.order_by(entry_bases.c.entry, entry_bases.c.place)):
            found.setdefault(entry, []).append(base)
    return found


def _recorded(row: _Row, bases: tuple[str, ...]) -> Recorded:
    number, received_at, id_, draft, path, text, unit, si, why_not, author, device, at = row
    entry = Entry(
        id=id_,
        draft=draft,
        path=path,
        text=text,
        unit=unit,
        si=si,
        why_not=why_not,
        author=author,
        device=device,
        at=at,
        based_on=bases,
    )
    return Recorded(entry=entry, number=number, received_at=received_at, is_new=False)


def _keep(connection: Connection, entry: Entry, now: datetime) -> Recorded:
    known = connection.execute(_ENTRIES.where(entries.c.id == entry.id)).one_or_none()
    if known is not None:
        # Asked before anything else: a device may send again what arrived before the visit was signed.
        return _same(_with_bases(connection, (known,))[0], entry)
    _require_open(connection, entry)
    _require_author(connection, entry)
    _require_bases(connection, entry)
    row = {
        "id": entry.id,
        "draft": entry.draft,
        "path": entry.path,
        "text": entry.text,
        "unit": entry.unit,
        "si": entry.si,
        "why_not": entry.why_not,
        "author": entry.author,
        "device": entry.device,
        "at": entry.at,
        "received_at": now,
    }
    number = connection.execute(insert(entries).values(row).returning(entries.c.number)).scalar_one()
    bases = [{"entry": entry.id, "place": place, "base": base} for place, base in enumerate(entry.based_on)]
    if bases:
        connection.execute(insert(entry_bases), bases)
    return Recorded(entry=entry, number=number, received_at=now, is_new=True)


def _same(known: Recorded, entry: Entry) -> Recorded:
    if known.entry != entry:
        raise BadEntry(what="id", found=entry.id, must_be="an id of its own: another entry has it")
    return known


def _require_open(connection: Connection, entry: Entry) -> None:
    draft = draft_by_id(connection, entry.draft)
    if not draft.is_open:
        done = "signed" if draft.kind is DraftKind.VISIT else "finished"
        raise BadRequest(
            f"This {draft.kind.value} is {done} and takes no more entries; {entry.path} was not kept. "
            f"What has to be put right after that goes into an amendment or a new {draft.kind.value}."
        )
    if draft.kind is DraftKind.VISIT:
        kind_of(entry.path)
    else:
        field_of(entry.path)


def _require_author(connection: Connection, entry: Entry) -> None:
    may = connection.execute(select(people.c.may).where(people.c.id == entry.author)).scalar_one_or_none()
    if may is None:
        raise BadEntry(what="author", found=entry.author, must_be="a person that this store knows, by id")
    if May(may) is May.READ:
        raise BadEntry(what="author", found=entry.author, must_be="a person who may write in this store")


def _require_bases(connection: Connection, entry: Entry) -> None:
    if not entry.based_on:
        return
    asked = select(entries.c.id).where(
        entries.c.draft == entry.draft, entries.c.path == entry.path, entries.c.id.in_(entry.based_on)
    )
    held = set(connection.execute(asked).scalars())
    for base in entry.based_on:
        if base not in held:
            raise BadEntry(what="based_on", found=base, must_be=f"an entry of {entry.path} that this draft has")
    if len(held) != len(entry.based_on):
        raise BadEntry(what="based_on", found=entry.based_on[0], must_be="each entry once")

"""The audit trail: who asked for what over the web, and what became of it. Rows are only added."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sqlalchemy import insert, select

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.tables import audit

LONGEST: Final = 400
"""Of what was asked [characters]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A request that changes something, or a login."""

    person: str | None
    """Whole id; nothing when nobody was let in"""
    session: str
    """Short id, empty without one"""
    address: str
    """Of the network, where it came from"""
    what: str
    """Method and form of the path, with the ids in it; never anything that was typed"""
    status: int
    """Of the answer, as HTTP counts"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Audited:
    """A row of the trail."""

    number: int
    at: datetime
    asked: Asked


def write_down(store: Store, asked: Asked) -> None:
    """Add a row; what cannot be printed, or is longer than any honest path, is cut."""
    row = {
        "at": store.clock(),
        "person": asked.person,
        "session": asked.session,
        "address": _plain(asked.address),
        "what": _plain(asked.what),
        "status": asked.status,
    }
    with store.write() as connection:
        connection.execute(insert(audit).values(row))


def trail(store: Store) -> tuple[Audited, ...]:
    """The whole trail, oldest first."""
    asked = select(
        audit.c.number,
        audit.c.at,
        audit.c.person,
        audit.c.session,
        audit.c.address,
        audit.c.what,
        audit.c.status,
    ).order_by(audit.c.number)
    with store.read() as connection:
        rows = connection.execute(asked).all()
    return tuple(
        Audited(
            number=number,
            at=at,
            asked=Asked(person=person, session=session, address=address, what=what, status=status),
        )
        for number, at, person, session, address, what, status in rows
    )


def _plain(text: str) -> str:
    """Text that a terminal and a table can show."""
    shown = "".join(each if each.isprintable() else "?" for each in text)
    return shown if len(shown) <= LONGEST else shown[:LONGEST]

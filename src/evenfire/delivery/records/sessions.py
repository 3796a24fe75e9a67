"""Sessions: browsers that were let in. The store keeps the hash of a token, so that a copy of it lets nobody in."""

import hashlib
import hmac
import secrets
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import delete, insert, select, update

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import Person, person_by_id
from evenfire.delivery.records.tables import sessions

TOKEN_BYTES: Final = 32
SHORT: Final = 12
"""Of the hash, for the audit trail [characters]"""
ASSUMED_IDLE: Final = timedelta(hours=12)
"""A session ends after so long unused. One shift: nobody types a passphrase with gloves on twice a day, and a telephone
that was lost in the morning opens nothing in the evening."""
ASSUMED_LONGEST: Final = timedelta(days=7)
"""A session ends after so long however much it is used, so that what somebody took from a browser grows worthless."""
ASSUMED_SEEN_EVERY: Final = timedelta(minutes=5)
"""How often it is written down that a session is in use: a commit for every page read would slow every entry."""
ASSUMED_KEPT: Final = timedelta(days=90)
"""How long an ended session stays, beside the audit trail that names it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """A browser that was let in."""

    token_sha256: str = field(repr=False)
    person: Person
    device: str
    made_at: datetime
    last_seen: datetime

    @property
    def short(self) -> str:
        """How the audit trail calls it."""
        return self.token_sha256[:SHORT]


def new_token() -> str:
    """What a browser keeps, by chance."""
    return secrets.token_urlsafe(TOKEN_BYTES)


def hash_of(token: str) -> str:
    """What the store keeps of a token. It is chance of 256 bits, so that a plain hash is enough."""
    return hashlib.sha256(token.encode()).hexdigest()


def csrf_of(token: str) -> str:
    """What forms of this session carry: it follows from the token and leads to no other."""
    return hmac.new(token.encode(), b"evenfire form", hashlib.sha256).hexdigest()


def begin(store: Store, *, person: str, device: str) -> tuple[Session, str]:
    """A new session of a person (by whole id), with its token, which is never to be had again.

    Raises
    ------
    BadRequest
        There is no such person.
    """
    token, now = new_token(), store.clock()
    row = {"token_sha256": hash_of(token), "person": person, "device": device, "made_at": now, "last_seen": now}
    with store.write() as connection:
        who = person_by_id(connection, person)
        connection.execute(delete(sessions).where(sessions.c.last_seen < now - ASSUMED_KEPT))
        connection.execute(insert(sessions).values(row))
    made = Session(token_sha256=hash_of(token), person=who, device=device, made_at=now, last_seen=now)
    return made, token


def session_of(store: Store, token: str) -> Session | None:
    """The session of a token, as long as it stands."""
    now, key = store.clock(), hash_of(token)
    asked = select(sessions.c.person, sessions.c.device, sessions.c.made_at, sessions.c.last_seen)
    with store.read() as connection:
        row = connection.execute(
            asked.where(
                sessions.c.token_sha256 == key,
                sessions.c.ended_at.is_(None),
                sessions.c.last_seen > now - ASSUMED_IDLE,
                sessions.c.made_at > now - ASSUMED_LONGEST,
            )
        ).one_or_none()
        if row is None:
            return None
        person, device, made_at, last_seen = row
        who = person_by_id(connection, person)
    return Session(token_sha256=key, person=who, device=device, made_at=made_at, last_seen=last_seen)


def seen(store: Store, session: Session) -> None:
    """Write down that a session is in use, where that was not done lately."""
    now = store.clock()
    if now - session.last_seen < ASSUMED_SEEN_EVERY:
        return
    used = update(sessions).where(sessions.c.token_sha256 == session.token_sha256, sessions.c.last_seen < now)
    with store.write() as connection:
        connection.execute(used.values(last_seen=now))


def end(store: Store, token: str) -> None:
    """End the session of a token; harmless where it has ended, or there is none."""
    standing = update(sessions).where(sessions.c.token_sha256 == hash_of(token), sessions.c.ended_at.is_(None))
    with store.write() as connection:
        connection.execute(standing.values(ended_at=store.clock()))

"""Logins: what tells the right passphrase of a person from a wrong one, as Argon2id keeps it (RFC 9106)."""

import unicodedata
from dataclasses import dataclass
from typing import Final

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlalchemy import delete, insert, select, update

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.key_files import SHORTEST_PASSPHRASE
from evenfire.delivery.records.registers import UNNAMED, person_by_id, spelled
from evenfire.delivery.records.tables import logins, people, sessions
from evenfire.errors import BadKey

ASSUMED_MEMORY: Final = 65_536
"""Of one hash, 64 MiB, three times over in four lanes: the second choice of RFC 9106 [KiB]. The first one takes 2 GiB,
which a laptop in a boiler room does not have to spare."""
ASSUMED_PASSES: Final = 3
ASSUMED_LANES: Final = 4

HASHER: Final = PasswordHasher(time_cost=ASSUMED_PASSES, memory_cost=ASSUMED_MEMORY, parallelism=ASSUMED_LANES)
"""Argon2id with a salt of 16 bytes and a tag of 32, new salt every time."""


@dataclass(frozen=True, slots=True)
class Hashed:
    """A passphrase as it is kept."""

    argon2: str


def hashed(passphrase: str, hasher: PasswordHasher = HASHER) -> Hashed:
    """The passphrase as it is kept; this takes about a tenth of a second on purpose.

    Raises
    ------
    BadKey
        It is too short.
    """
    if len(passphrase) < SHORTEST_PASSPHRASE:
        raise BadKey(
            f"The passphrase has {len(passphrase)} characters; it needs at least {SHORTEST_PASSPHRASE}. "
            "Four words that belong to nobody's sentence are easy to keep."
        )
    return Hashed(hasher.hash(_same_letters(passphrase)))


def is_right(kept: Hashed, passphrase: str, hasher: PasswordHasher = HASHER) -> bool:
    """Whether it is the passphrase; takes as long as making it did."""
    try:
        return hasher.verify(kept.argon2, _same_letters(passphrase))
    except (VerificationError, InvalidHashError):
        return False


def set_login(store: Store, person: str, kept: Hashed) -> None:
    """Give a person (by whole id) a login, in place of an earlier one, and end every session that he or she has.

    Raises
    ------
    BadRequest
        There is no such person.
    """
    now = store.clock()
    with store.write() as connection:
        person_by_id(connection, person)
        connection.execute(delete(logins).where(logins.c.person == person))
        connection.execute(insert(logins).values({"person": person, "argon2": kept.argon2, "set_at": now}))
        standing = update(sessions).where(sessions.c.person == person, sessions.c.ended_at.is_(None))
        connection.execute(standing.values(ended_at=now))


def has_login(store: Store, person: str) -> bool:
    """Whether a person (by whole id) can log in."""
    with store.read() as connection:
        return connection.execute(select(logins.c.person).where(logins.c.person == person)).first() is not None


def login_named(store: Store, name: str) -> tuple[str, Hashed] | None:
    """Whole id and login of the person of that name, as people type names; nothing where there is none of either.

    The same rows are read whoever is asked for, so that the answer takes no longer for one who is here.
    """
    wanted = spelled(name)
    asked = select(people.c.id, people.c.name, logins.c.argon2).join_from(people, logins)
    with store.read() as connection:
        rows = connection.execute(asked.where(people.c.id != UNNAMED)).all()
    found = [(id_, Hashed(argon2)) for id_, known, argon2 in rows if spelled(known) == wanted]
    return found[0] if found else None


def anybody_can_log_in(store: Store) -> bool:
    """Whether there is a login at all."""
    with store.read() as connection:
        return connection.execute(select(logins.c.person).limit(1)).first() is not None


def _same_letters(passphrase: str) -> str:
    """The same text for the same letters, whichever way a keyboard composes them."""
    return unicodedata.normalize("NFC", passphrase)

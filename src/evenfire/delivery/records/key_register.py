"""The register of keys: whose they are, how they came in, and which were withdrawn."""

from dataclasses import dataclass
from typing import Final

from sqlalchemy import Connection, insert, select, update

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.keys import KnownKey, PublicKey, Withdrawal, public_key
from evenfire.delivery.records.registers import May, person_by_id
from evenfire.delivery.records.tables import keys, people
from evenfire.errors import BadRequest

MADE_HERE: Final = "made here"
FINGERPRINT_COMPARED: Final = "fingerprint compared"


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptKey:
    """A key that the store knows."""

    known: KnownKey
    person: str
    """Id of the person"""
    came_in: str
    """By which act: made here, or its fingerprint compared"""
    private_pem: bytes | None
    """Encrypted by a passphrase; nothing when the key was made elsewhere"""


def keep_own_key(store: Store, *, person: str, key: PublicKey, private_pem: bytes) -> KeptKey:
    """Keep a key that was made here.

    Raises
    ------
    BadRequest
        There is no such person, he or she may not sign, or the key is here already.
    """
    with store.write() as connection:
        who = person_by_id(connection, person)
        if who.may is not May.SIGN:
            raise BadRequest(f"{who.name} may not sign in this store, and gets no key.")
        _add(connection, KnownKey(key=key, name=who.name, entered=store.clock()), person, MADE_HERE, private_pem)
    return _key(store, key.fingerprint)


def keep_entered_key(store: Store, known: KnownKey, *, person: str, came_in: str = FINGERPRINT_COMPARED) -> KeptKey:
    """Keep a public key whose fingerprint somebody compared.

    Raises
    ------
    BadRequest
        There is no such person, or the key is here already.
    """
    with store.write() as connection:
        person_by_id(connection, person)
        _add(connection, known, person, came_in, None)
    return _key(store, known.key.fingerprint)


def keep_withdrawal(store: Store, known: KnownKey) -> KeptKey:
    """Keep that a key is withdrawn; it is never taken back.

    Raises
    ------
    BadRequest
        The key is not here, or was withdrawn before.
    """
    withdrawal = known.withdrawn
    if withdrawal is None:
        raise BadRequest("This key was not withdrawn.")
    with store.write() as connection:
        kept = update(keys).where(keys.c.fingerprint == known.key.fingerprint, keys.c.withdrawn_at.is_(None))
        kept = kept.values(withdrawn_at=withdrawal.at, withdrawn_why=withdrawal.reason)
        if connection.execute(kept).rowcount != 1:
            raise BadRequest(f"There is no key {known.key.fingerprint} in this store that is still in use.")
    return _key(store, known.key.fingerprint)


def keys_of(store: Store, person: str | None = None) -> tuple[KeptKey, ...]:
    """All keys, or those of one person, oldest first."""
    asked = _KEYS if person is None else _KEYS.where(keys.c.person == person)
    with store.read() as connection:
        rows = connection.execute(asked.order_by(keys.c.added_at, keys.c.fingerprint)).all()
    return tuple(
        KeptKey(
            known=KnownKey(
                key=public_key(digits),
                name=name,
                entered=added_at,
                withdrawn=None if at is None else Withdrawal(at=at, reason=why or ""),
            ),
            person=whose,
            came_in=came_in,
            private_pem=None if pem is None else pem.encode("ascii"),
        )
        for digits, name, added_at, at, why, whose, came_in, pem in rows
    )


def known_keys(store: Store) -> dict[str, KnownKey]:
    """What verifying asks: every known key by its fingerprint."""
    return {each.known.key.fingerprint: each.known for each in keys_of(store)}


_KEYS: Final = select(
    keys.c.public_key,
    people.c.name,
    keys.c.added_at,
    keys.c.withdrawn_at,
    keys.c.withdrawn_why,
    keys.c.person,
    keys.c.came_in,
    keys.c.private_pem,
).join_from(keys, people, people.c.id == keys.c.person)


def _add(connection: Connection, known: KnownKey, person: str, came_in: str, private_pem: bytes | None) -> None:
    fingerprint = known.key.fingerprint
    if connection.execute(select(keys.c.fingerprint).where(keys.c.fingerprint == fingerprint)).first() is not None:
        raise BadRequest(f"The key {fingerprint} is in this store already.")
    row = {
        "fingerprint": fingerprint,
        "person": person,
        "public_key": known.key.hex,
        "private_pem": None if private_pem is None else private_pem.decode("ascii"),
        "came_in": came_in,
        "added_at": known.entered,
    }
    connection.execute(insert(keys).values(row))


def _key(store: Store, fingerprint: str) -> KeptKey:
    return next(each for each in keys_of(store) if each.known.key.fingerprint == fingerprint)

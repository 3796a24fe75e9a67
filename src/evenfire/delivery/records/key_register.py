"""The register of keys: whose they are, how they came in, and which were withdrawn."""

from dataclasses import dataclass

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.keys import KnownKey, PublicKey


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
    raise NotImplementedError


def keep_entered_key(store: Store, known: KnownKey, *, person: str, came_in: str) -> KeptKey:
    """Keep a public key whose fingerprint somebody compared.

    Raises
    ------
    BadRequest
        There is no such person, or the key is here already.
    """
    raise NotImplementedError


def keep_withdrawal(store: Store, known: KnownKey) -> KeptKey:
    """Keep that a key is withdrawn; it is never taken back.

    Raises
    ------
    BadRequest
        The key is not here.
    """
    raise NotImplementedError


def keys_of(store: Store, person: str | None = None) -> tuple[KeptKey, ...]:
    """All keys, or those of one person, oldest first."""
    raise NotImplementedError


def known_keys(store: Store) -> dict[str, KnownKey]:
    """What verifying asks: every known key by its fingerprint."""
    raise NotImplementedError

"""The keys of the people who sign: Ed25519, one for each person; a public one enters by an explicit act."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

SHORTEST_PASSPHRASE: Final = 12
"""[characters]"""
FEWEST_DIGITS_COMPARED: Final = 32
"""Of a fingerprint that a person types: 128 bits, which nobody can meet by trying keys."""


@dataclass(frozen=True, slots=True)
class PublicKey:
    """What verifies the signatures of one person."""

    raw: bytes
    """32 bytes, as RFC 8032 encodes them"""

    @property
    def hex(self) -> str:
        """The key as 64 small hexadecimal digits."""
        raise NotImplementedError

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the raw key, as 64 small hexadecimal digits."""
        raise NotImplementedError

    def verifies(self, signature: bytes, message: bytes) -> bool:
        """Whether the signature is of this message by this key."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True)
class PrivateKey:
    """What signs; it is never shown."""

    secret: Ed25519PrivateKey

    @property
    def public(self) -> PublicKey:
        """The key that verifies what this one signs."""
        raise NotImplementedError

    def sign(self, message: bytes) -> bytes:
        """The signature, 64 bytes."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal:
    """From when on a key signs nothing that counts."""

    at: datetime
    """UTC"""
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownKey:
    """A public key that somebody entered by an explicit act."""

    key: PublicKey
    name: str
    """Of the person; empty where only a key file was given"""
    entered: datetime
    """UTC"""
    withdrawn: Withdrawal | None = None


def new_key() -> PrivateKey:
    """A key made by chance."""
    raise NotImplementedError


def sealed_key(key: PrivateKey, passphrase: str) -> bytes:
    """The private key as an encrypted PKCS #8 file (PEM); refuses a short passphrase with ``BadKey``."""
    raise NotImplementedError


def opened_key(pem: bytes, passphrase: str) -> PrivateKey:
    """The private key of a file; ``BadKey`` for a wrong passphrase or a file that holds no such key."""
    raise NotImplementedError


def public_file(key: PublicKey) -> bytes:
    """The public key as a file (PEM, SubjectPublicKeyInfo) to hand to others."""
    raise NotImplementedError


def read_public(pem: bytes) -> PublicKey:
    """The public key of a file; ``BadKey`` for anything else."""
    raise NotImplementedError


def public_key(digits: str) -> PublicKey:
    """The public key of 64 small hexadecimal digits; ``BadKey`` for anything else."""
    raise NotImplementedError


def grouped(fingerprint: str) -> str:
    """A fingerprint in groups of four, for people to compare."""
    raise NotImplementedError


def entered(key: PublicKey, typed: str, name: str, at: datetime) -> KnownKey:
    """A key known from now on, if the fingerprint that a person typed is its own; ``BadKey`` if not.

    What is typed comes from the person whose key it is, by another way than the file. At least the first eight groups
    are asked for; spaces, hyphens and capitals do not count.
    """
    raise NotImplementedError


def withdrawn(known: KnownKey, at: datetime, reason: str) -> KnownKey:
    """The key, withdrawn; ``BadKey`` without a reason or when it was withdrawn before."""
    raise NotImplementedError

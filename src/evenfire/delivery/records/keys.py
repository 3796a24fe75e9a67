"""The keys of the people who sign: Ed25519, one for each person; a public one enters by an explicit act."""

import hashlib
import re
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Final

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from evenfire.errors import BadKey

RAW_LENGTH: Final = 32
"""Of a public key [bytes]."""
GROUP: Final = 4
FEWEST_DIGITS_COMPARED: Final = 32
"""Of a fingerprint that a person types: 128 bits, which nobody can meet by trying keys."""

_HEX: Final = re.compile(r"[0-9a-f]*")
_NOBODY: Final = b"\x01" + bytes(63)
"""A signature that needs no private key: the neutral point, and nought."""
_TRIALS: Final = 256
"""Each lets a key of small order through with at most 7/8."""


@dataclass(frozen=True, slots=True)
class PublicKey:
    """What verifies the signatures of one person."""

    raw: bytes
    """32 bytes, as RFC 8032 encodes them"""

    def __post_init__(self) -> None:
        if len(self.raw) != RAW_LENGTH:
            raise BadKey(f"A public key is {RAW_LENGTH} bytes long; this one is {len(self.raw)}.")

    @property
    def hex(self) -> str:
        """The key as 64 small hexadecimal digits."""
        return self.raw.hex()

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the raw key, as 64 small hexadecimal digits."""
        return hashlib.sha256(self.raw).hexdigest()

    def verifies(self, signature: bytes, message: bytes) -> bool:
        """Whether the signature is of this message by this key."""
        try:
            Ed25519PublicKey.from_public_bytes(self.raw).verify(signature, message)
        except (InvalidSignature, ValueError):
            return False
        return True


@dataclass(frozen=True, slots=True)
class PrivateKey:
    """What signs; it is never shown."""

    secret: Ed25519PrivateKey = field(repr=False)

    @property
    def public(self) -> PublicKey:
        """The key that verifies what this one signs."""
        return PublicKey(self.secret.public_key().public_bytes_raw())

    def sign(self, message: bytes) -> bytes:
        """The signature, 64 bytes."""
        return self.secret.sign(message)


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
    return PrivateKey(Ed25519PrivateKey.generate())


def public_key(digits: str) -> PublicKey:
    """The public key of 64 small hexadecimal digits; ``BadKey`` for anything else."""
    if len(digits) != 2 * RAW_LENGTH or _HEX.fullmatch(digits) is None:
        raise BadKey(f"A public key is {2 * RAW_LENGTH} small hexadecimal digits; this is something else.")
    return PublicKey(bytes.fromhex(digits))


def grouped(fingerprint: str) -> str:
    """A fingerprint in groups of four, for people to compare."""
    return " ".join(fingerprint[place : place + GROUP] for place in range(0, len(fingerprint), GROUP))


def entered(key: PublicKey, typed: str, name: str, at: datetime) -> KnownKey:
    """A key known from now on, if the fingerprint that a person typed is its own.

    What is typed comes from the person whose key it is, by another way than the file. At least the first eight groups
    are asked for; spaces, hyphens and capitals do not count.

    Raises
    ------
    BadKey
        Too little was typed, it is another fingerprint, the name is missing, or the key accepts what nobody signed.
    """
    digits = re.sub(r"[\s-]", "", typed).lower()
    if not name.strip():
        raise BadKey("A key belongs to a person: give the name.")
    if _HEX.fullmatch(digits) is None or not FEWEST_DIGITS_COMPARED <= len(digits) <= len(key.fingerprint):
        raise BadKey(
            f"That is no fingerprint: type at least the first {FEWEST_DIGITS_COMPARED // GROUP} groups of four "
            "(digits 0 to 9, letters a to f), as the person whose key it is reads them to you."
        )
    if not key.fingerprint.startswith(digits):
        raise BadKey(
            f"The fingerprint that was typed is not that of this key, which is {grouped(key.fingerprint)}. "
            "Do not enter it: ask the person for the key again."
        )
    if _accepts_what_nobody_signed(key):
        raise BadKey("This key accepts signatures that nobody made. Do not enter it.")
    return KnownKey(key=key, name=name.strip(), entered=at)


def withdrawn(known: KnownKey, at: datetime, reason: str) -> KnownKey:
    """The key, withdrawn; ``BadKey`` without a reason or when it was withdrawn before."""
    if not reason.strip():
        raise BadKey("A key is withdrawn for a reason: say why, for those who ask in ten years.")
    if known.withdrawn is not None:
        raise BadKey(
            f"The key of {known.name} was withdrawn on {known.withdrawn.at:%Y-%m-%d} already: {known.withdrawn.reason}"
        )
    return replace(known, withdrawn=Withdrawal(at=at, reason=reason.strip()))


def _accepts_what_nobody_signed(key: PublicKey) -> bool:
    """Whether it is a point of small order, under which one signature that needs no private key fits many texts."""
    return any(key.verifies(_NOBODY, bytes([trial])) for trial in range(_TRIALS))

"""A signed record: content, who sealed it, and what a reader may rely on in its shape."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from typing import Final

from evenfire.delivery.records.canonical import Content, Plain
from evenfire.delivery.records.keys import PublicKey

RECORD_FORMAT: Final = "evenfire.record/1"
DOMAIN: Final = b"evenfire.record/1 signature\n"
"""Stands before the content when it is signed, so that no other text signed with the same key is taken for a record."""
MOST_PARENTS: Final = 50


class RecordKind(Enum):
    """What a record tells of."""

    VISIT = "visit"
    AMENDMENT = "amendment"


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedRecord:
    """A record as it is kept and handed on: nothing in it ever changes."""

    id: str
    """SHA-256 of the content bytes, 64 small hexadecimal digits; as claimed, until verified"""
    content: bytes
    """Canonical bytes"""
    fingerprint: str
    """Of the key that signed"""
    signature: str
    """Ed25519 over the domain and the content, 128 small hexadecimal digits"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signer:
    """Who signs, as he or she is named in the record."""

    name: str
    licence: str
    role: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordHead:
    """Everything about a record but what happened."""

    kind: RecordKind
    boiler: Mapping[str, str]
    """``id``, ``site`` and ``name`` at least, and whatever else names it"""
    parents: tuple[str, ...]
    """Ids of all heads that the store held for this boiler, sorted"""
    signed_at: datetime
    """UTC, whole seconds"""
    signer: Signer
    engine: str
    """Version of this program"""
    rule_book: str
    physics: str
    attachments: tuple[str, ...] = ()
    """SHA-256 of every file that the body names, sorted"""
    surveys: tuple[str, ...] = ()
    """SHA-256 of every survey revision that the body names, sorted"""
    amends: str | None = None
    """Of an amendment: the record that it amends"""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordFacts:
    """What the content of a record says of itself."""

    head: RecordHead
    key: PublicKey
    """That the signer claims"""
    body: Mapping[str, Plain]


def content_of(head: RecordHead, key: PublicKey, body: Mapping[str, Content]) -> bytes:
    """The canonical content of a record; ``BadContent`` names what cannot be signed."""
    raise NotImplementedError


def facts_of(content: bytes) -> RecordFacts:
    """What a content says of itself; ``BadContent`` names what is wrong with its shape."""
    raise NotImplementedError


def record_id(content: bytes) -> str:
    """The name of a content."""
    raise NotImplementedError

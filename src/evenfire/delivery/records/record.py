"""A signed record: content, who sealed it, and what a reader may rely on in its shape."""

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import Enum
from typing import Final

from evenfire.delivery.records.canonical import Content, Plain, canonical_bytes, read_canonical
from evenfire.delivery.records.keys import PublicKey
from evenfire.errors import BadContent

RECORD_FORMAT: Final = "evenfire.record/1"
DOMAIN: Final = b"evenfire.record/1 signature\n"
"""Stands before the content when it is signed, so that no other text signed with the same key is taken for a record."""
MOST_PARENTS: Final = 50
DEEPEST_CONTENT: Final = 32
"""Levels; less than a file may have, so that what could be signed can also be handed on."""
MOST_VALUES_IN_CONTENT: Final = 100_000
LONGEST_TEXT: Final = 200
"""Of a name, a licence, a version [characters]."""
TIME: Final = "%Y-%m-%dT%H:%M:%SZ"
HEX_64: Final = re.compile(r"[0-9a-f]{64}")

_TIME: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z")
_NAME: Final = re.compile(r"[a-z][a-z0-9_]*")
_TEXTS: Final = ("engine", "rule_book", "physics")
_KEYS: Final = frozenset(
    {"format", "kind", "boiler", "parents", "signed_at", "signer", "attachments", "surveys", "body", *_TEXTS}
)
_OF_SIGNER: Final = frozenset({"name", "licence", "role", "key"})
_OF_BOILER: Final = frozenset({"id", "site", "name"})


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
    """Empty where there is none"""
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
    """Version"""
    physics: str
    """Version"""
    attachments: tuple[str, ...] = ()
    """SHA-256 of every file that the body names, sorted"""
    surveys: tuple[str, ...] = ()
    """SHA-256 of every survey revision that the body names, sorted"""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordFacts:
    """What the content of a record says of itself."""

    head: RecordHead
    key: PublicKey
    """That the signer claims"""
    body: Mapping[str, Plain]

    @property
    def amends(self) -> str | None:
        """Id of the record that an amendment amends; nothing for a visit."""
        named = self.body.get("amends")
        return named if isinstance(named, str) and self.head.kind is RecordKind.AMENDMENT else None


def content_of(head: RecordHead, key: PublicKey, body: Mapping[str, Content]) -> bytes:
    """The canonical content of a record.

    Raises
    ------
    BadContent
        Something in it cannot be signed; the error carries the path to it.
    """
    if head.signed_at.utcoffset() != UTC.utcoffset(None) or head.signed_at.microsecond:
        raise BadContent(path="signed_at", found=head.signed_at.isoformat(), must_be="a time in UTC, in whole seconds")
    signer = {"name": head.signer.name, "licence": head.signer.licence, "role": head.signer.role, "key": key.hex}
    content = canonical_bytes(
        {
            "format": RECORD_FORMAT,
            "kind": head.kind.value,
            "boiler": head.boiler,
            "parents": head.parents,
            "signed_at": head.signed_at.strftime(TIME),
            "signer": signer,
            "engine": head.engine,
            "rule_book": head.rule_book,
            "physics": head.physics,
            "attachments": head.attachments,
            "surveys": head.surveys,
            "body": body,
        }
    )
    facts_of(content)
    return content


def facts_of(content: bytes) -> RecordFacts:
    """What a content says of itself.

    Raises
    ------
    BadContent
        It is not canonical, or it has not the shape of a record; the error carries the path to what is wrong.
    """
    read = read_canonical(content, deepest=DEEPEST_CONTENT, most_values=MOST_VALUES_IN_CONTENT)
    whole = _object(read, "", None)
    if whole.get("format") != RECORD_FORMAT:
        raise BadContent(path="format", found=ascii(whole.get("format")), must_be=f"{RECORD_FORMAT!r} for this program")
    _object(whole, "", _KEYS)
    signer = _object(whole["signer"], "signer", _OF_SIGNER)
    kind = _kind(whole["kind"])
    body = _object(whole["body"], "body", None)
    _see_amends(kind, body)
    head = RecordHead(
        kind=kind,
        boiler=_boiler(whole["boiler"]),
        parents=_hashes(whole["parents"], "parents", MOST_PARENTS),
        signed_at=_time(whole["signed_at"]),
        signer=Signer(
            name=_named(signer["name"], "signer.name"),
            licence=_named(signer["licence"], "signer.licence", may_be_empty=True),
            role=_named(signer["role"], "signer.role"),
        ),
        engine=_named(whole["engine"], "engine"),
        rule_book=_named(whole["rule_book"], "rule_book"),
        physics=_named(whole["physics"], "physics"),
        attachments=_hashes(whole["attachments"], "attachments", None),
        surveys=_hashes(whole["surveys"], "surveys", None),
    )
    return RecordFacts(head=head, key=_key(signer["key"]), body=body)


def record_id(content: bytes) -> str:
    """The name of a content."""
    return hashlib.sha256(content).hexdigest()


def signed_message(content: bytes) -> bytes:
    """The bytes that are signed."""
    return DOMAIN + content


def _object(value: Plain, path: str, keys: frozenset[str] | None) -> dict[str, Plain]:
    if not isinstance(value, dict):
        raise BadContent(path=path, found=_shown(value), must_be="an object")
    if keys is not None and value.keys() != keys:
        lacking, strange = sorted(keys - value.keys()), sorted(value.keys() - keys)
        found = f"without {', '.join(lacking)}" if lacking else f"with the key {strange[0]!a}"
        raise BadContent(path=path, found=found, must_be=f"an object with {', '.join(sorted(keys))} and nothing else")
    return value


def _named(value: Plain, path: str, *, may_be_empty: bool = False) -> str:
    """A short text that any screen can show: nothing invisible, nothing that turns the direction of writing."""
    if not isinstance(value, str) or len(value) > LONGEST_TEXT or not value.isprintable():
        raise BadContent(path=path, found=_shown(value), must_be=f"a printable text of at most {LONGEST_TEXT} signs")
    if not value.strip() and not may_be_empty:
        raise BadContent(path=path, found="empty", must_be="filled in")
    return value


def _kind(value: Plain) -> RecordKind:
    known = [kind.value for kind in RecordKind]
    if value not in known:
        raise BadContent(path="kind", found=_shown(value), must_be=" or ".join(known))
    return RecordKind(value)


def _boiler(value: Plain) -> dict[str, str]:
    boiler = _object(value, "boiler", None)
    if not boiler.keys() >= _OF_BOILER or not all(_NAME.fullmatch(key) for key in boiler):
        found = f"an object with {', '.join(ascii(key) for key in sorted(boiler)) or 'nothing'}"
        raise BadContent(path="boiler", found=found, must_be="one with id, site and name, its keys in small letters")
    return {key: _named(text, f"boiler.{key}", may_be_empty=key not in _OF_BOILER) for key, text in boiler.items()}


def _hashes(value: Plain, path: str, most: int | None) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise BadContent(path=path, found=_shown(value), must_be="a list")
    for place, item in enumerate(value):
        if not isinstance(item, str) or HEX_64.fullmatch(item) is None:
            raise BadContent(path=f"{path}[{place}]", found=_shown(item), must_be="64 small hexadecimal digits")
    hashes = tuple(str(item) for item in value)
    if list(hashes) != sorted(set(hashes)):
        raise BadContent(path=path, found="out of order", must_be="sorted, each once")
    if most is not None and len(hashes) > most:
        raise BadContent(path=path, found=f"{len(hashes)} of them", must_be=f"at most {most}")
    return hashes


def _time(value: Plain) -> datetime:
    if isinstance(value, str) and _TIME.fullmatch(value):
        try:
            return datetime.strptime(value, TIME).replace(tzinfo=UTC)
        except ValueError:
            pass
    raise BadContent(path="signed_at", found=_shown(value), must_be="a time such as 2026-05-04T13:20:00Z")


def _key(value: Plain) -> PublicKey:
    if not isinstance(value, str) or HEX_64.fullmatch(value) is None:
        raise BadContent(path="signer.key", found=_shown(value), must_be="64 small hexadecimal digits")
    return PublicKey(bytes.fromhex(value))


def _see_amends(kind: RecordKind, body: dict[str, Plain]) -> None:
    amends = body.get("amends")
    if kind is RecordKind.VISIT and "amends" in body:
        raise BadContent(path="body.amends", found="in a visit", must_be="in an amendment only")
    if kind is RecordKind.AMENDMENT and not (isinstance(amends, str) and HEX_64.fullmatch(amends)):
        raise BadContent(path="body.amends", found=_shown(amends), must_be="the id of the record that is amended")


def _shown(value: Plain) -> str:
    """A value of a stranger's file, short and in plain letters."""
    match value:
        case None:
            return "null"
        case str():
            text = ascii(value)
            return text if len(text) <= LONGEST_TEXT else f"a text of {len(value)} signs"
        case bool():
            return "true" if value else "false"
        case int():
            return str(value)
        case list():
            return f"a list of {len(value)}"
        case dict():
            return f"an object of {len(value)}"

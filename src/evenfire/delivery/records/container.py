"""A boiler's records in one file, which has exactly one accepted encoding."""

import base64
import binascii
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.records.canonical import Content, Plain, canonical_bytes, parsed, require_same
from evenfire.delivery.records.json_places import MOST_VALUES, measure
from evenfire.delivery.records.record import HEX_64, SignedRecord, facts_of
from evenfire.delivery.records.verification import Flaw, Problem
from evenfire.errors import BadContent

CONTAINER_FORMAT: Final = "evenfire.records/1"
LARGEST_FILE: Final = 200_000_000
"""[bytes]"""
MOST_RECORDS: Final = 10_000

_KEYS: Final = ("attachments", "boiler", "format", "keys", "records", "surveys")
_OF_RECORD: Final = frozenset({"content", "id", "signature"})
_OF_SIGNATURE: Final = frozenset({"key", "value"})
_HEX_128: Final = re.compile(r"[0-9a-f]{128}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Container:
    """What one file holds: everything that somebody needs to verify the records of a boiler."""

    boiler: str
    """Id"""
    records: tuple[SignedRecord, ...]
    attachments: Mapping[str, bytes]
    """By SHA-256"""
    surveys: Mapping[str, str]
    """Canonical text of each survey revision, by SHA-256"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """What a file holds as far as it could be read, and what is wrong with the file itself."""

    container: Container | None
    problems: tuple[Problem, ...]


def container_bytes(container: Container) -> bytes:
    """The file.

    Raises
    ------
    BadContent
        It would be larger than anybody accepts, or a record in it has no shape of a record.
    """
    if len(container.records) > MOST_RECORDS:
        raise BadContent(path="records", found=f"{len(container.records)} records", must_be=f"at most {MOST_RECORDS}")
    data = canonical_bytes(_content(container, signers_keys(container.records)))
    if len(data) > LARGEST_FILE:
        raise BadContent(path="", found=f"{len(data)} bytes", must_be=f"at most {LARGEST_FILE} bytes")
    measure(data, most_values=MOST_VALUES)
    return data


def signers_keys(records: Sequence[SignedRecord]) -> tuple[str, ...]:
    """The public key of everybody who signed one of these, sorted; ``BadContent`` where a record names none."""
    return tuple(sorted({facts_of(record.content).key.hex for record in records}))


def opened_container(data: bytes) -> Opened:
    """Read a file as far as it can be read; nothing that it holds raises."""
    if len(data) > LARGEST_FILE:
        return _closed(Flaw.BEYOND_LIMIT, f"{len(data)} bytes; at most {LARGEST_FILE} are read", "the whole")
    try:
        content = parsed(data)
        encoded = canonical_bytes(content)
    except BadContent as error:
        return _closed(Flaw.NOT_READABLE, f"{error.found}; it must be {error.must_be}", error.path)
    if not isinstance(content, dict) or content.get("format") != CONTAINER_FORMAT:
        return _closed(Flaw.NOT_READABLE, f"no file of the format {CONTAINER_FORMAT}", "format")
    if tuple(sorted(content)) != _KEYS:
        found = f"the keys {', '.join(ascii(key) for key in sorted(content))}; they must be {', '.join(_KEYS)}"
        return _closed(Flaw.MALFORMED, found, "the outermost object")
    return _opened(data, encoded, content)


def _opened(data: bytes, encoded: bytes, content: dict[str, Plain]) -> Opened:
    problems: list[Problem] = []
    boiler, keys = content["boiler"], content["keys"]
    if not isinstance(boiler, str):
        problems.append(Problem(flaw=Flaw.MALFORMED, place="boiler", found="no text"))
    container = Container(
        boiler=boiler if isinstance(boiler, str) else "",
        records=_records(content["records"], problems),
        attachments=_attachments(content["attachments"], problems),
        surveys=_texts(content["surveys"], "surveys", problems),
    )
    problems += _strange_keys(keys, container.records)
    try:
        require_same(data, encoded if problems else canonical_bytes({**content, **_ordered(container)}))
    except BadContent as error:
        found = f"{error.found}; it must be {error.must_be}"
        problems.append(Problem(flaw=Flaw.NOT_ONE_ENCODING, place=error.path, found=found))
    return Opened(container=container, problems=tuple(problems))


def _content(container: Container, keys: Sequence[str]) -> dict[str, Content]:
    return {"format": CONTAINER_FORMAT, "boiler": container.boiler, "keys": keys, **_ordered(container)}


def _ordered(container: Container) -> dict[str, Content]:
    """What a file holds, each part in its one order and its one way of writing."""
    return {
        "records": [_record_content(record) for record in sorted(container.records, key=lambda each: each.id)],
        "attachments": {name: base64.b64encode(data).decode() for name, data in container.attachments.items()},
        "surveys": container.surveys,
    }


def _record_content(record: SignedRecord) -> dict[str, Content]:
    return {
        "content": parsed(record.content),
        "id": record.id,
        "signature": {"key": record.fingerprint, "value": record.signature},
    }


def _records(value: Plain, problems: list[Problem]) -> tuple[SignedRecord, ...]:
    if not isinstance(value, list):
        problems.append(Problem(flaw=Flaw.MALFORMED, place="records", found="no list"))
        return ()
    if len(value) > MOST_RECORDS:
        found = f"{len(value)} records; at most {MOST_RECORDS} are read"
        problems.append(Problem(flaw=Flaw.BEYOND_LIMIT, place="records", found=found))
        return ()
    read = [_record(item, f"records[{place}]", problems) for place, item in enumerate(value)]
    return tuple(record for record in read if record is not None)


def _record(value: Plain, place: str, problems: list[Problem]) -> SignedRecord | None:
    if isinstance(value, dict) and value.keys() == _OF_RECORD:
        name, signature = value["id"], value["signature"]
        if (
            isinstance(name, str)
            and HEX_64.fullmatch(name)
            and isinstance(signature, dict)
            and signature.keys() == _OF_SIGNATURE
        ):
            key, digits = signature["key"], signature["value"]
            if isinstance(key, str) and isinstance(digits, str) and _is_signature(key, digits):
                content = canonical_bytes(value["content"])
                return SignedRecord(id=name, content=content, fingerprint=key, signature=digits)
    found = "no record with content, id and signature as the format has them"
    problems.append(Problem(flaw=Flaw.MALFORMED, place=place, found=found))
    return None


def _is_signature(key: str, digits: str) -> bool:
    return HEX_64.fullmatch(key) is not None and _HEX_128.fullmatch(digits) is not None


def _attachments(value: Plain, problems: list[Problem]) -> dict[str, bytes]:
    """The files; one that is written in no base64, or in more than one way, keeps its name and is told."""
    files: dict[str, bytes] = {}
    for name, text in _texts(value, "attachments", problems).items():
        try:
            files[name] = base64.b64decode(text.encode(), validate=True)
        except (binascii.Error, ValueError):
            files[name] = b""
        if base64.b64encode(files[name]).decode() != text:
            problems.append(Problem(flaw=Flaw.ATTACHMENT_CHANGED, other=name, found="not the one way of base64"))
    return files


def _texts(value: Plain, place: str, problems: list[Problem]) -> dict[str, str]:
    if not isinstance(value, dict):
        problems.append(Problem(flaw=Flaw.MALFORMED, place=place, found="no object"))
        return {}
    for name, text in value.items():
        if HEX_64.fullmatch(name) is None or not isinstance(text, str):
            problems.append(Problem(flaw=Flaw.MALFORMED, place=place, found=f"{name!a} is no hash with a text"))
    return {name: text for name, text in value.items() if isinstance(text, str) and HEX_64.fullmatch(name)}


def _strange_keys(keys: Plain, records: Sequence[SignedRecord]) -> list[Problem]:
    """Whether the keys beside the records are those of their signers; they are a convenience, and no word of trust."""
    try:
        expected = list(signers_keys(records))
    except BadContent:
        # A record without the shape of one is told where the records are verified.
        return []
    return [] if keys == expected else [Problem(flaw=Flaw.OTHER_KEYS, place="keys")]


def _closed(flaw: Flaw, found: str, place: str) -> Opened:
    return Opened(container=None, problems=(Problem(flaw=flaw, place=place, found=found),))

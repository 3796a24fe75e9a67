"""A boiler's records in one file, which has exactly one accepted encoding."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.records.record import SignedRecord
from evenfire.delivery.records.verification import Problem

CONTAINER_FORMAT: Final = "evenfire.records/1"
LARGEST_FILE: Final = 200_000_000
"""[bytes]"""


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
    """The file; ``BadContent`` when it would be larger than anybody accepts."""
    raise NotImplementedError


def opened_container(data: bytes) -> Opened:
    """Read a file as far as it can be read; nothing that it holds raises."""
    raise NotImplementedError

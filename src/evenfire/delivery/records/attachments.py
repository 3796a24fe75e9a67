"""Photographs, certificates and logs: files beside the database, each named by the hash of its content."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from evenfire.delivery.records.database import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Attachment:
    """A file that is attached to something."""

    sha256: str
    kind: str
    """``image/jpeg``, ``image/png``, ``application/pdf``, ``text/csv``, ``application/octet-stream``"""
    size: int
    """[bytes]"""
    name: str
    """As it was called when it came"""
    added_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Orphans:
    """What does not fit between the rows and the files."""

    files: tuple[Path, ...]
    """Files without a row: left by a crash between file and row, of no use to anybody"""
    missing: tuple[str, ...]
    """Hashes of rows without a file: lost"""
    damaged: tuple[str, ...]
    """Hashes of rows whose file has another content"""


def attach_photograph(store: Store, content: bytes, name: str) -> Attachment:
    """Keep a photograph: decoded within limits in a process of its own, written anew without whatever it said beside.

    Raises
    ------
    BadAttachment
        It is no image, has too many bytes or pixels, or cannot be decoded within the limits.
    """
    raise NotImplementedError


def attach_file(store: Store, content: bytes, name: str, kind: str) -> Attachment:
    """Keep a file as it is; it is never opened by the store.

    Raises
    ------
    BadAttachment
        It is too large, or the kind is none that is kept.
    """
    raise NotImplementedError


def attachment(store: Store, sha256: str) -> Attachment:
    """What is known of an attachment.

    Raises
    ------
    BadRequest
        There is none.
    """
    raise NotImplementedError


def content_of(store: Store, sha256: str) -> bytes:
    """The content, with its hash checked.

    Raises
    ------
    BadRequest
        There is none.
    BadStore
        Its file is missing or has another content.
    """
    raise NotImplementedError


def orphans(store: Store) -> Orphans:
    """Every file and row compared."""
    raise NotImplementedError


def sweep(store: Store) -> int:
    """Remove files without a row that have stood for a day; how many."""
    raise NotImplementedError

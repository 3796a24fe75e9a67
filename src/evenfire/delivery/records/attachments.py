"""Photographs, certificates and logs: files beside the database, each named by the hash of its content."""

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Row, insert, select

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.failing import bad_store, files_told_plainly
from evenfire.delivery.records.photographs import written_anew
from evenfire.delivery.records.tables import attachments
from evenfire.delivery.records.whole_files import write_whole
from evenfire.delivery.words.store import lost_attachment, too_many_bytes, unknown_kind
from evenfire.errors import BadAttachment, BadRequest

LARGEST_ATTACHMENT: Final = 100_000_000
"""[bytes]"""
KINDS: Final = frozenset(
    {"application/pdf", "text/csv", "text/plain", "application/octet-stream", "image/jpeg", "image/png"}
)
"""Of files that are kept as they are. A picture is one of them only where its hash is signed already, in a record from
elsewhere; what somebody brings comes in as a photograph."""

_SWEPT_AFTER: Final = timedelta(days=1)
"""A file without a row may be one whose row is being written."""
_LONGEST_NAME: Final = 200


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
    kind, anew = written_anew(content, name)
    return _attach(store, anew, name, kind)


def attach_file(store: Store, content: bytes, name: str, kind: str) -> Attachment:
    """Keep a file as it is; it is never opened by the store.

    Raises
    ------
    BadAttachment
        It is too large, or the kind is none that is kept.
    """
    if kind not in KINDS:
        told = unknown_kind(kind, ", ".join(sorted(KINDS)))
        raise BadAttachment(name=name, found=told.found, do=told.do)
    if len(content) > LARGEST_ATTACHMENT:
        told = too_many_bytes(len(content), LARGEST_ATTACHMENT)
        raise BadAttachment(name=name, found=told.found, do=told.do)
    return _attach(store, content, name, kind)


def attachment(store: Store, sha256: str) -> Attachment:
    """What is known of an attachment.

    Raises
    ------
    BadRequest
        There is none.
    """
    with store.read() as connection:
        row = connection.execute(_ATTACHMENTS.where(attachments.c.sha256 == sha256)).one_or_none()
    if row is None:
        raise BadRequest(f"There is no attachment {sha256} in this store.")
    return _attachment(row)


def content_of(store: Store, sha256: str) -> bytes:
    """The content, with its hash checked.

    Raises
    ------
    BadRequest
        There is none.
    BadStore
        Its file is missing or has another content.
    """
    attachment(store, sha256)
    path = file_of(store, sha256)
    with files_told_plainly(str(path)):
        content = path.read_bytes() if path.is_file() else b""
    if _hash(content) != sha256:
        raise bad_store(str(path), lost_attachment(sha256))
    return content


def orphans(store: Store) -> Orphans:
    """Every file and row compared."""
    with store.read() as connection:
        known = set(connection.execute(select(attachments.c.sha256)).scalars())
    with files_told_plainly(str(store.folder)):
        files = {path.name: path for path in _files(store)}
        damaged = sorted(name for name in known & files.keys() if _hash(files[name].read_bytes()) != name)
    missing = sorted(known - files.keys())
    stray = sorted(path for name, path in files.items() if name not in known)
    return Orphans(files=tuple(stray), missing=tuple(missing), damaged=tuple(damaged))


def sweep(store: Store) -> int:
    """Remove files without a row that have stood for a day; how many."""
    old = (store.clock() - _SWEPT_AFTER).timestamp()
    swept = 0
    for path in _files(store):
        # Asked anew for each: while one file is looked at, the row of another may come in.
        with store.read() as connection:
            row = connection.execute(_ATTACHMENTS.where(attachments.c.sha256 == path.name)).one_or_none()
        if row is None and path.stat().st_mtime < old:
            path.unlink(missing_ok=True)
            swept += 1
    return swept


def file_of(store: Store, sha256: str) -> Path:
    """Where the content of an attachment is kept."""
    return store.folder / "attachments" / sha256[:2] / sha256


def content_is_whole(file: Path, sha256: str) -> bool:
    """Whether a file is there and is what its name says."""
    return file.is_file() and _hash(file.read_bytes()) == sha256


def attachments_within(connection: Connection) -> tuple[Attachment, ...]:
    """All attachments, by hash, within a transaction of the caller."""
    rows = connection.execute(_ATTACHMENTS.order_by(attachments.c.sha256)).all()
    return tuple(_attachment(row) for row in rows)


_ATTACHMENTS: Final = select(
    attachments.c.sha256,
    attachments.c.kind,
    attachments.c.size,
    attachments.c.name,
    attachments.c.added_at,
)


def _attachment(row: Row[str, str, int, str, datetime]) -> Attachment:
    sha256, kind, size, name, added_at = row
    return Attachment(sha256=sha256, kind=kind, size=size, name=name, added_at=added_at)


def _attach(store: Store, content: bytes, name: str, kind: str) -> Attachment:
    """The file first, then its row: a crash between the two leaves a file that nobody names, and never the reverse."""
    sha256 = _hash(content)
    path = file_of(store, sha256)
    with files_told_plainly(str(path), writing=True):
        if not content_is_whole(path, sha256):
            write_whole(path, content)
    shown = "".join(sign for sign in name if sign.isprintable())[:_LONGEST_NAME]
    row = {"sha256": sha256, "kind": kind, "size": len(content), "name": shown, "added_at": store.clock()}
    with store.write() as connection:
        known = connection.execute(_ATTACHMENTS.where(attachments.c.sha256 == sha256)).one_or_none()
        if known is not None:
            return _attachment(known)
        connection.execute(insert(attachments).values(row))
        return _attachment(connection.execute(_ATTACHMENTS.where(attachments.c.sha256 == sha256)).one())


def _files(store: Store) -> tuple[Path, ...]:
    """Every file among the attachments, also one that was never finished."""
    folder = store.folder / "attachments"
    return tuple(sorted(path for path in folder.glob("*/*") if path.is_file()))


def _hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()

"""Backup to one plain tar file: the database, the attachments and a manifest of hashes, verified after writing."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from evenfire.delivery.records.database import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What a backup says of itself."""

    identity: str
    counter: int
    layout: str
    """Of the tables: ``0002``"""
    made_at: datetime
    program: str
    rows: dict[str, int]
    """By table"""
    attachments: dict[str, int]
    """Size by hash [bytes]"""
    carries_attachments: bool
    """False for an automatic backup, which stands beside the attachments themselves"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupDone:
    """A backup that was written, read again and found good."""

    path: Path
    size: int
    """[bytes]"""
    manifest: Manifest


def backup(store: Store, file: Path) -> BackupDone:
    """Write everything into a new file and read it again; the file has its name only when it is good.

    Raises
    ------
    BadRequest
        There is something at ``file`` already.
    BadStore
        It cannot be written, an attachment is lost, or what was read again differs.
    """
    raise NotImplementedError


def automatic_backup(store: Store, why: str) -> BackupDone:
    """A backup of the database in the folder ``backups`` beside it, of which the last ones are kept.

    Raises
    ------
    BadStore
        As :func:`backup`.
    """
    raise NotImplementedError


def examine(file: Path) -> Manifest:
    """Read a backup and check every hash, the database and the rows in it.

    Raises
    ------
    BadStore
        It is no backup, or not the one that was written.
    """
    raise NotImplementedError

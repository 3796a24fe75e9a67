"""Backup: one file that was written, forced to disk, read again and found good before it gets its name.

A PostgreSQL store is written into the same form: all its rows of one moment as an SQLite file. So a backup of either
can be restored to either, and looked into without a server. Besides it, a server's own dump stays a good habit.
"""

import os
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from evenfire.delivery.records.attachments import content_is_whole, file_of
from evenfire.delivery.records.backup_file import Manifest, examined, write_backup
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.failing import bad_store, files_told_plainly
from evenfire.delivery.records.snapshot import copy_out
from evenfire.delivery.records.whole_files import growing
from evenfire.delivery.words.store import FILE_THERE

KEPT_AUTOMATIC: Final = 10
"""Older automatic backups are removed when a new one is good; those made before a change of layout stay."""
BEFORE_LAYOUT: Final = "before-layout-"
"""How the reason of those begins."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupDone:
    """A backup that was written, read again and found good."""

    path: Path
    size: int
    """[bytes]"""
    manifest: Manifest


def backup(store: Store, file: Path) -> BackupDone:
    """Write everything into a new file. An attachment whose file is lost is named in it, and hinders nothing.

    Raises
    ------
    BadStore
        There is something at ``file`` already, it cannot be written, or what was read again differs.
    """
    path = file.absolute()
    if path.exists():
        raise bad_store(str(path), FILE_THERE)
    return _written(store, path, carries=True)


def automatic_backup(store: Store, why: str) -> BackupDone:
    """A backup of the database in the folder ``backups`` of the store, beside its attachments, which never change.

    ``why`` is a word for its name: ``signature``.

    Raises
    ------
    BadStore
        It cannot be written, or what was read again differs.
    """
    done = _written(store, _folder(store) / f"{store.clock():%Y%m%dT%H%M%SZ}-{store.counter}-{why}.tar", carries=False)
    made = [path for path in automatic_backups(store) if BEFORE_LAYOUT not in path.name]
    for old in made[:-KEPT_AUTOMATIC]:
        old.unlink(missing_ok=True)
    return done


def examine(file: Path) -> Manifest:
    """Read a backup and check every hash, the database and the rows in it.

    Raises
    ------
    BadStore
        It is no backup, or not the one that was written.
    """
    with examined(file.absolute()) as found:
        return found.manifest


def automatic_backups(store: Store) -> tuple[Path, ...]:
    """Those that are there, oldest first."""
    return tuple(sorted(_folder(store).glob("*.tar"), key=_age))


def _folder(store: Store) -> Path:
    return store.folder / "backups"


def _age(path: Path) -> tuple[str, int]:
    """Day and time, then the counter: two within a second are told apart."""
    time, counter, *_ = path.stem.split("-")
    return time, int(counter) if counter.isdigit() else 0


def _written(store: Store, path: Path, *, carries: bool) -> BackupDone:
    with files_told_plainly(str(path)), tempfile.TemporaryDirectory(prefix="evenfire-") as folder:
        database = Path(folder) / "store.sqlite"
        snapshot = copy_out(store, database)
        files = {sha256: file_of(store, sha256) for sha256 in snapshot.attachments}
        # What stays beside the store is only looked for: reading every photograph after each signature takes too long.
        is_there = content_is_whole if carries else _is_file
        lost = tuple(sorted(sha256 for sha256, file in files.items() if not is_there(file, sha256)))
        carried = {sha256: file for sha256, file in files.items() if carries and sha256 not in lost}
        with growing(path) as (file, part):
            write_backup(file, snapshot, database, carried, lost=lost, at=store.clock())
            file.flush()
            os.fsync(file.fileno())
            _forget(file.fileno())
            with examined(part) as found:
                manifest = found.manifest
        return BackupDone(path=path, size=path.stat().st_size, manifest=manifest)


def _is_file(file: Path, _sha256: str) -> bool:
    return file.is_file()


def _forget(descriptor: int) -> None:
    """Ask the system to read the file from the disk when it is read again, and not from memory."""
    if hasattr(os, "posix_fadvise"):
        os.posix_fadvise(descriptor, 0, 0, os.POSIX_FADV_DONTNEED)

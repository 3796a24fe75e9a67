"""From a backup to a store: never over a newer one, and what stood there is set aside, not destroyed."""

import contextlib
import os
import shutil
import sqlite3
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from sqlalchemy import inspect

from evenfire.delivery.records.backup_file import Examined, Manifest, carried_content, examined
from evenfire.delivery.records.clock import Clock, utc_now
from evenfire.delivery.records.connecting import is_fresh, postgresql_engine, reading_only, shown_url, take_turn
from evenfire.delivery.records.failing import bad_store, files_told_plainly, told_plainly
from evenfire.delivery.records.migrating import migrate
from evenfire.delivery.records.place import data_folder, is_url, make_private_folder, sync_folder
from evenfire.delivery.records.snapshot import copy_rows, file_connection, snapshot_of
from evenfire.delivery.records.whole_files import growing
from evenfire.delivery.words.store import (
    DAMAGED,
    NO_DATABASE,
    NOT_EMPTY,
    OPEN_ELSEWHERE,
    OTHER_STORE,
    bad_backup,
    newer_store,
)
from evenfire.errors import BadStore

_UNREADABLE: Final = frozenset({DAMAGED.found, NO_DATABASE.found})
_BESIDE: Final = ("-wal", "-shm", "-journal")
"""Files of SQLite's own beside a database."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """A store that came from a backup."""

    place: str
    manifest: Manifest
    set_aside: Path | None
    """Where the store is that stood there"""
    missing: tuple[str, ...]
    """Hashes of attachments that the backup did not carry and that are not beside the store"""


def restore(file: Path, place: str | Path, *, folder: Path | None = None, clock: Clock = utc_now) -> Restored:
    """Make the store at ``place`` from a backup; ``folder`` as in :meth:`Store.open`.

    Raises
    ------
    BadStore
        The backup is not good; or at ``place`` stands a store that is newer than the backup, another store, one that a
        program has open, or a database that is not empty.
    """
    with examined(file.absolute()) as backup:
        if isinstance(place, str) and is_url(place):
            at = folder or data_folder() / f"store-{backup.manifest.snapshot.identity}.files"
            shown, aside = _into_server(backup, place), None
        else:
            path = Path(place).expanduser().resolve()
            at = folder or path.with_name(f"{path.name}.files")
            shown, aside = str(path), _into_file(backup, path, f"{clock():%Y%m%dT%H%M%SZ}")
        with files_told_plainly(str(at)):
            missing = _attachments(backup, at / "attachments")
        return Restored(place=shown, manifest=backup.manifest, set_aside=aside, missing=missing)


def _into_file(backup: Examined, path: Path, stamp: str) -> Path | None:
    with files_told_plainly(str(path)):
        make_private_folder(path.parent)
        aside = None
        if path.exists() and path.stat().st_size > 0:
            _require_older(path, backup.manifest)
            aside = _free(path.with_name(f"{path.name}.before-restore-{stamp}"))
        with growing(path) as (new, _):
            with backup.database.open("rb") as database:
                shutil.copyfileobj(database, new)
            new.flush()
            os.fsync(new.fileno())
            if aside is not None:
                _set_aside(path, aside)
        sync_folder(path.parent)
    return aside


def _set_aside(path: Path, aside: Path) -> None:
    """With what a damaged store may have beside it: another database would take that for its own."""
    for beside in _BESIDE:
        old = path.with_name(path.name + beside)
        if old.exists():
            old.rename(aside.with_name(aside.name + beside))
    path.rename(aside)


def _require_older(path: Path, manifest: Manifest) -> None:
    """Refuse over what goes on where the backup ends; a store that cannot be read any more is no such thing."""
    there = _identity_and_counter(path)
    if there is None:
        return
    identity, counter = there
    if identity != manifest.snapshot.identity:
        raise bad_store(str(path), OTHER_STORE)
    if counter > manifest.snapshot.counter:
        raise bad_store(str(path), newer_store(counter, manifest.snapshot.counter))


def _identity_and_counter(path: Path) -> tuple[str, int] | None:
    """What a store says of itself, once nothing of it is left in a log; nothing of a file that cannot be read."""
    try:
        with told_plainly(str(path)):
            if is_fresh(path):
                return None
            with contextlib.closing(reading_only(path)) as connection:
                identity, counter = connection.execute("SELECT identity, counter FROM store").fetchone()
    except BadStore as error:
        if error.found in _UNREADABLE:
            return None
        raise
    _end_log(path)
    return str(identity), int(counter)


def _end_log(path: Path) -> None:
    """Bring everything into the one file, which only the last program that has it open can do."""
    try:
        with contextlib.closing(sqlite3.connect(path, timeout=1, isolation_level=None)) as connection:
            (mode,) = connection.execute("PRAGMA journal_mode=DELETE").fetchone()
    except sqlite3.OperationalError as error:
        raise bad_store(str(path), OPEN_ELSEWHERE) from error
    if mode != "delete":
        raise bad_store(str(path), OPEN_ELSEWHERE)


def _into_server(backup: Examined, place: str) -> str:
    shown = shown_url(place)
    engine = postgresql_engine(place, shown)
    try:
        with told_plainly(shown, connected=False), engine.begin() as target:
            take_turn(target)
            if inspect(target).get_table_names():
                raise bad_store(shown, NOT_EMPTY)
            migrate(target, backup.manifest.snapshot.layout)
            with file_connection(backup.database) as source:
                copy_rows(source, target)
            if snapshot_of(target) != backup.manifest.snapshot:
                raise bad_store(shown, bad_backup("the database does not hold what was written into it"))
    finally:
        engine.dispose()
    return shown


def _attachments(backup: Examined, folder: Path) -> tuple[str, ...]:
    """Write the attachments that are not there, and say which are nowhere."""
    for sha256 in backup.manifest.carried:
        path = folder / sha256[:2] / sha256
        if not path.exists():
            with carried_content(backup, sha256) as content, growing(path) as (file, _):
                shutil.copyfileobj(content, file)
    return tuple(sorted(sha for sha in backup.manifest.snapshot.attachments if not (folder / sha[:2] / sha).is_file()))


def _free(path: Path) -> Path:
    """A name that nothing has."""
    found, number = path, 1
    while found.exists():
        number += 1
        found = path.with_name(f"{path.name}-{number}")
    return found

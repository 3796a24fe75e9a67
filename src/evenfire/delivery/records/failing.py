"""What a database or a disk says when it fails, as one error that a person can act on."""

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from sqlalchemy.exc import DBAPIError

from evenfire.delivery.words.store import (
    BUSY,
    CANNOT_OPEN,
    DAMAGED,
    DISK_FAILED,
    FULL,
    NO_DATABASE,
    NO_SERVER,
    NOT_KEPT,
    READ_ONLY,
    SERVER_GONE,
    Told,
)
from evenfire.errors import BadStore

_BY_SQLITE_NAME: Final[tuple[tuple[str, Told], ...]] = (
    ("SQLITE_FULL", FULL),
    ("SQLITE_READONLY", READ_ONLY),
    ("SQLITE_PERM", READ_ONLY),
    ("SQLITE_AUTH", READ_ONLY),
    ("SQLITE_IOERR", DISK_FAILED),
    ("SQLITE_BUSY", BUSY),
    ("SQLITE_LOCKED", BUSY),
    ("SQLITE_CANTOPEN", CANNOT_OPEN),
    ("SQLITE_CORRUPT", DAMAGED),
    ("SQLITE_NOTADB", NO_DATABASE),
)
"""By the beginning of the name of the code; what is refined behind it does not matter to a person."""

_BY_SQLSTATE: Final[tuple[tuple[str, Told], ...]] = (
    ("53100", FULL),
    ("25006", READ_ONLY),
    ("42501", READ_ONLY),
    ("55P03", BUSY),
    ("40P01", BUSY),
    ("58", DISK_FAILED),
    ("XX001", DAMAGED),
    ("XX002", DAMAGED),
    ("28", NO_SERVER),
    ("3D000", NO_SERVER),
    ("08", SERVER_GONE),
    ("57P", SERVER_GONE),
)
"""By the beginning of the code of the SQL standard and of PostgreSQL."""


def told_by(error: BaseException | None, *, connected: bool) -> Told | None:
    """What to say of an error of a database driver; nothing when it is a fault of this program."""
    if isinstance(error, sqlite3.Error):
        name = getattr(error, "sqlite_errorname", "")
        return next((told for start, told in _BY_SQLITE_NAME if name.startswith(start)), None)
    state = getattr(error, "sqlstate", None)
    if isinstance(state, str):
        return next((told for start, told in _BY_SQLSTATE if state.startswith(start)), None)
    # Without a code the server has not answered at all.
    return SERVER_GONE if connected else NO_SERVER


def bad_store(place: str, told: Told, *, writing: bool = False) -> BadStore:
    """The error about a place; ``writing`` adds that nothing was kept."""
    return BadStore(place=place, found=told.found, do=f"{NOT_KEPT} {told.do}" if writing else told.do)


@contextmanager
def told_plainly(place: str, *, connected: bool = True, writing: bool = False) -> Iterator[None]:
    """Turn what a database says within the block into :class:`BadStore`, where a person can do something about it."""
    try:
        yield
    except (DBAPIError, sqlite3.Error) as error:
        cause = error.orig if isinstance(error, DBAPIError) else error
        told = None if _is_slip(cause) else told_by(cause, connected=connected)
        if told is None:
            raise
        raise bad_store(place, told, writing=writing) from error


def _is_slip(error: BaseException | None) -> bool:
    """Whether this program did what it should not; a row that breaks a rule of the tables has the states 22 and 23."""
    return isinstance(error, sqlite3.IntegrityError) or str(getattr(error, "sqlstate", None)).startswith(("22", "23"))


@contextmanager
def files_told_plainly(place: str, *, writing: bool = False) -> Iterator[None]:
    """As :func:`told_plainly`, for what the system says of a file."""
    try:
        yield
    except OSError as error:
        raise bad_store(place, _BY_ERRNO.get(error.errno or 0, CANNOT_OPEN), writing=writing) from error


_BY_ERRNO: Final = {
    errno.ENOSPC: FULL,
    errno.EDQUOT: FULL,
    errno.EROFS: READ_ONLY,
    errno.EACCES: READ_ONLY,
    errno.EPERM: READ_ONLY,
    errno.EIO: DISK_FAILED,
}

"""Engines: every connection to SQLite and PostgreSQL is set so that a commit is on the disk when it returns."""

import sqlite3
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import ArgumentError, NoSuchModuleError
from sqlalchemy.pool import ConnectionPoolEntry

from evenfire.delivery.records.failing import bad_store
from evenfire.delivery.words.store import NO_DRIVER, NO_SUCH_KIND, OTHER_PROGRAM, server_does_not_sync

APPLICATION: Final = 0x45564E46
"""Marks an SQLite file as a store of this program."""
LONGEST_WAIT: Final = 10_000
"""For another program that writes [ms]"""

_PRAGMAS: Final = (
    f"busy_timeout={LONGEST_WAIT}",
    "journal_mode=WAL",
    "synchronous=FULL",
    # Only on a Mac do these two differ: there a plain sync leaves the data in the drive.
    "fullfsync=ON",
    "checkpoint_fullfsync=ON",
    "foreign_keys=ON",
    "trusted_schema=OFF",
)
_WRITES: Final = "evenfire_writes"
_LOCK: Final = 0x45564E46495245
"""Of a PostgreSQL database: whoever writes holds it, so that one writes at a time, as in SQLite."""


def sqlite_engine(path: str) -> Engine:
    """The engine of a file that is an empty database or a store."""
    engine = create_engine(URL.create("sqlite", database=path))
    event.listen(engine, "connect", _set_up)
    event.listen(engine, "begin", _begin)
    return engine


def postgresql_engine(place: str, shown: str) -> Engine:
    """The engine of a database server.

    Raises
    ------
    BadStore
        The URL names no PostgreSQL database, or the driver is not installed.
    """
    try:
        url = make_url(place)
        if url.get_backend_name() != "postgresql":
            raise bad_store(shown, NO_SUCH_KIND)
        settings = f"-c synchronous_commit=on -c lock_timeout={LONGEST_WAIT}"
        return create_engine(
            url.set(drivername="postgresql+psycopg"), connect_args={"options": settings}, pool_pre_ping=True
        )
    except (ArgumentError, NoSuchModuleError, ValueError) as error:
        raise bad_store(shown, NO_SUCH_KIND) from error
    except ImportError as error:
        raise bad_store(shown, NO_DRIVER) from error


def shown_url(place: str) -> str:
    """A URL without its password."""
    try:
        return make_url(place).render_as_string(hide_password=True)
    except (ArgumentError, ValueError):
        return "the database that was named"


def is_server(bound: Engine | Connection) -> bool:
    """Whether it is a database server and no file."""
    return bound.dialect.name == "postgresql"


def for_reading(engine: Engine) -> Engine:
    """The same engine, whose transactions see one moment; in SQLite every transaction does."""
    return engine.execution_options(isolation_level="REPEATABLE READ") if is_server(engine) else engine


def for_writing(engine: Engine) -> Engine:
    """The same engine, whose transactions begin by taking the one place of a writer."""
    return engine.execution_options(**{_WRITES: True})


def take_turn(connection: Connection) -> None:
    """Wait until nobody else writes. SQLite has waited when the transaction began."""
    if is_server(connection):
        connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})


def server_warnings(connection: Connection) -> tuple[str, ...]:
    """What a server has switched off that its disk needs."""
    settings = ("fsync", "full_page_writes")
    found = {name: connection.execute(text(f"SHOW {name}")).scalar_one() for name in settings}
    return tuple(server_does_not_sync(name) for name, value in found.items() if value == "off")


def reading_only(path: Path) -> sqlite3.Connection:
    """A connection that changes nothing: SQLite throws away the log beside a file which it cannot read."""
    return sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True, timeout=LONGEST_WAIT / 1000)


def is_fresh(path: Path) -> bool:
    """Whether a file is an empty database; asked before anything is set, so that another program's file stays as it is.

    Raises
    ------
    BadStore
        It is a database of another program.
    """
    connection = reading_only(path)
    try:
        (mark,) = connection.execute("PRAGMA application_id").fetchone()
        (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    finally:
        connection.close()
    if mark == APPLICATION:
        return False
    if mark != 0 or tables != 0:
        raise bad_store(str(path), OTHER_PROGRAM)
    return True


def mark_as_store(connection: Connection) -> None:
    """Write into an SQLite file whose it is, within the transaction that makes its tables."""
    if not is_server(connection):
        connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION}")


def _set_up(connection: DBAPIConnection, _entry: ConnectionPoolEntry) -> None:
    assert isinstance(connection, sqlite3.Connection)
    # The driver begins no transaction of its own: it would begin too late, and never for a change of tables.
    connection.isolation_level = None
    for pragma in _PRAGMAS:
        connection.execute(f"PRAGMA {pragma}").close()


def _begin(connection: Connection) -> None:
    # A transaction that reads first and writes later cannot wait for another writer: it must ask for its turn at once.
    writes = connection.get_execution_options().get(_WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

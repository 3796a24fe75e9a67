"""A copy of all rows at one moment, as an SQLite file, with what tells whether another copy is equal."""

import hashlib
import sqlite3
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, MetaData, Table, create_engine, event, insert, select, text
from sqlalchemy.engine import URL
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.pool import ConnectionPoolEntry, NullPool

from evenfire.delivery.records.connecting import is_server, mark_as_store
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.migrating import VERSION_TABLE, layout_of, migrate

_IN_PARTS: Final = {"yield_per": 500}
"""Rows that are held in memory at once."""
_WRAP: Final = 2**256


@dataclass(frozen=True, slots=True, kw_only=True)
class TableSum:
    """What the rows of one table come to, in whatever order a database gives them."""

    rows: int
    digest: str
    """Sum of the SHA-256 of each row, as 64 hexadecimal digits"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """What a copy holds."""

    identity: str
    counter: int
    layout: str
    tables: dict[str, TableSum]
    """By name"""
    attachments: dict[str, int]
    """Size by hash, as the rows say [bytes]"""


def copy_out(store: Store, file: Path) -> Snapshot:
    """Write all rows of one moment into a new SQLite file."""
    with store.read() as connection:
        before = snapshot_of(connection)
        if is_server(connection):
            copy_rows_into_file(connection, file, before.layout)
        else:
            _copy_pages(connection, file)
    return before


def snapshot_of(connection: Connection) -> Snapshot:
    """What a database holds within this transaction; its layout may be an older one."""
    layout = layout_of(connection)
    assert layout is not None, "a store has a layout"
    tables = tables_of(connection)
    first = tables["store"]
    identity, counter = connection.execute(select(first.c.identity, first.c.counter)).one()
    kept = tables["attachments"]
    sizes = connection.execute(select(kept.c.sha256, kept.c.size)).all()
    return Snapshot(
        identity=str(identity),
        counter=int(counter),
        layout=layout,
        tables={name: _sum(connection, table) for name, table in sorted(tables.items())},
        attachments={str(sha256): int(size) for sha256, size in sizes},
    )


def file_connection(file: Path) -> Connection:
    """A connection to a copy, for one after the other; the caller closes it."""
    engine = create_engine(URL.create("sqlite", database=str(file)), poolclass=NullPool)
    event.listen(engine, "connect", _distrust)
    return engine.connect()


def tables_of(connection: Connection) -> dict[str, Table]:
    """The tables that are there, as the database describes them, those without foreign keys first."""
    found = MetaData()
    found.reflect(connection)
    return {table.name: table for table in found.sorted_tables if table.name != VERSION_TABLE}


def copy_rows(source: Connection, target: Connection) -> None:
    """All rows into the empty tables of another database of the same layout."""
    there = tables_of(source)
    for name, table in tables_of(target).items():
        columns = [there[name].c[column.name] for column in table.c]
        found = source.execute(select(*columns), execution_options=_IN_PARTS)
        for part in found.mappings().partitions():
            target.execute(insert(table), [dict(row) for row in part])
        _count_on(target, table)


def copy_rows_into_file(source: Connection, file: Path, layout: str) -> None:
    """All rows into a new SQLite file with tables of that layout."""
    with file_connection(file) as target, target.begin():
        migrate(target, layout)
        mark_as_store(target)
        copy_rows(source, target)


def _copy_pages(connection: Connection, file: Path) -> None:
    """The database's own way: page by page, at the moment of the transaction that is open on the connection."""
    source = connection.connection.driver_connection
    assert isinstance(source, sqlite3.Connection)
    target = sqlite3.connect(file)
    try:
        source.backup(target)
        # One file and no log beside it.
        target.execute("PRAGMA journal_mode=DELETE").close()
    finally:
        target.close()


def _sum(connection: Connection, table: Table) -> TableSum:
    columns = [table.c[name] for name in sorted(table.c.keys())]
    rows = total = 0
    for row in connection.execute(select(*columns), execution_options=_IN_PARTS):
        rows += 1
        total += int.from_bytes(hashlib.sha256(repr(tuple(row)).encode()).digest())
    return TableSum(rows=rows, digest=f"{total % _WRAP:064x}")


def _count_on(connection: Connection, table: Table) -> None:
    """Rows that came with their numbers leave a server's own counter behind."""
    column = table.autoincrement_column
    if column is None or not is_server(connection):
        return
    connection.execute(
        text(
            f"SELECT setval(pg_get_serial_sequence('{table.name}', '{column.name}'), "
            f"(SELECT max({column.name}) FROM {table.name}))"
        )
    )


def _distrust(connection: DBAPIConnection, _entry: ConnectionPoolEntry) -> None:
    """A copy may come from a stranger: nothing that its tables say is executed."""
    assert isinstance(connection, sqlite3.Connection)
    connection.execute("PRAGMA trusted_schema=OFF").close()
    connection.execute("PRAGMA foreign_keys=ON").close()

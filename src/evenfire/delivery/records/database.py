"""The store as a whole: opened by a path or a URL, read and written in transactions."""

import os
import stat
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Final, Self

from sqlalchemy import Connection, Engine, insert, inspect, select, update

from evenfire.delivery.records.clock import Clock, utc_now
from evenfire.delivery.records.connecting import (
    for_reading,
    for_writing,
    is_fresh,
    is_server,
    mark_as_store,
    postgresql_engine,
    server_warnings,
    shown_url,
    sqlite_engine,
    take_turn,
)
from evenfire.delivery.records.failing import bad_store, told_plainly
from evenfire.delivery.records.migrating import LAYOUT, is_newer, layout_of, migrate
from evenfire.delivery.records.place import (
    data_folder,
    is_url,
    make_private_file,
    make_private_folder,
    network_drive,
)
from evenfire.delivery.records.tables import store as store_table
from evenfire.delivery.words.store import (
    CANNOT_OPEN,
    DISK_FAILED,
    NO_FILE,
    OTHER_PROGRAM,
    READ_ONLY,
    STOPPED,
    cannot_be_made,
    newer,
    on_network_drive,
)
from evenfire.errors import BadStore

_FIRST: Final = 1


class Store:
    """Everything that is kept of the boilers of one company, in one SQLite file or one PostgreSQL database."""

    def __init__(self, engine: Engine, *, place: str, path: Path | None, clock: Clock) -> None:
        self._engine = engine
        self._reader = for_reading(engine)
        self._writer = for_writing(engine)
        self._failed = False
        self.place = place
        """The path, or the URL without its password"""
        self.path = path
        """Of the SQLite file; nothing for a database server"""
        self.clock = clock
        self.identity = ""
        """A UUID that this store has had since it was made; its backups carry it"""
        self.warnings: tuple[str, ...] = ()
        """What somebody should know about the place: a network drive, a server that does not wait for its disk"""
        self.folder = Path()
        """Folder of the attached files and of the automatic backups"""

    @classmethod
    def open(cls, place: str | Path, *, clock: Clock = utc_now, folder: Path | None = None) -> Self:
        """The store at a path or a URL (``postgresql://...``).

        It is made where there is none, and brought up to the present layout where it is older, after a backup.
        ``folder`` holds attachments and automatic backups; beside an SQLite file, and among the user's data for a
        database server, unless it is named.

        Raises
        ------
        BadStore
            It is newer than this program, no store, damaged, or its place cannot be reached or written.
        """
        if isinstance(place, str) and is_url(place):
            store = cls._of_server(place, clock)
        else:
            store = cls._of_file(Path(place), clock)
        try:
            store.make_ready(folder)
        except BaseException:
            store.close()
            raise
        return store

    @classmethod
    def _of_server(cls, place: str, clock: Clock) -> Self:
        shown = shown_url(place)
        return cls(postgresql_engine(place, shown), place=shown, path=None, clock=clock)

    @classmethod
    def _of_file(cls, path: Path, clock: Clock) -> Self:
        path = path.expanduser().resolve()
        _make_file(path)
        with told_plainly(str(path)):
            is_fresh(path)
        return cls(sqlite_engine(str(path)), place=str(path), path=path, clock=clock)

    def make_ready(self, folder: Path | None) -> None:
        """Bring the tables up to date, and learn what is to be known of the place; :meth:`open` has done it."""
        with told_plainly(self.place, connected=False), self._engine.connect() as connection:
            layout = self._known_layout(connection)
            if is_server(connection):
                self.warnings = server_warnings(connection)
        if self.path is not None:
            kind = network_drive(self.path)
            self.warnings = (on_network_drive(self.place, kind),) if kind is not None else ()
        if layout is None:
            self._make_tables()
        self.identity = self._row()[0]
        self.folder = folder if folder is not None else self._own_folder()
        if layout is not None and layout != LAYOUT:
            self._bring_up(layout)

    def _known_layout(self, connection: Connection) -> str | None:
        layout = layout_of(connection)
        if layout is not None and is_newer(layout):
            raise bad_store(self.place, newer(layout, LAYOUT))
        if layout is None and inspect(connection).get_table_names():
            raise bad_store(self.place, OTHER_PROGRAM)
        return layout

    def _make_tables(self) -> None:
        """Everything in one transaction: two programs that open a new place at once make one store."""
        with self._transaction() as connection:
            if layout_of(connection) is not None:
                return
            mark_as_store(connection)
            migrate(connection)
            first = {"one": _FIRST, "identity": str(uuid.uuid4()), "counter": 0, "changed_at": self.clock()}
            connection.execute(insert(store_table).values(first))

    def _bring_up(self, layout: str) -> None:
        # The backup needs the store, which needs its tables brought up: the two are taken apart here.
        from evenfire.delivery.records.backup import BEFORE_LAYOUT, automatic_backup

        automatic_backup(self, f"{BEFORE_LAYOUT}{LAYOUT}")
        with self.write() as connection:
            if self._known_layout(connection) == layout:
                migrate(connection)

    def _own_folder(self) -> Path:
        if self.path is not None:
            return self.path.with_name(f"{self.path.name}.files")
        return data_folder() / f"store-{self.identity}.files"

    def _row(self) -> tuple[str, int]:
        with self.read() as connection:
            identity, counter = connection.execute(select(store_table.c.identity, store_table.c.counter)).one()
        return identity, counter

    @property
    def counter(self) -> int:
        """Grows with every transaction that writes."""
        return self._row()[1]

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A transaction that sees one moment of the store.

        Raises
        ------
        BadStore
            It could not be read.
        """
        with told_plainly(self.place), self._reader.begin() as connection:
            yield connection

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """The one transaction that may write at a time; on the disk when the block ends, undone when it raises.

        Raises
        ------
        BadStore
            It could not be written; nothing of the block is acknowledged. After an error of the disk nothing more is
            written until the store is opened again: what the disk then says cannot be relied on.
        """
        with self._transaction() as connection:
            yield connection
            counted = {"counter": store_table.c.counter + 1, "changed_at": self.clock()}
            connection.execute(update(store_table).values(counted))

    @contextmanager
    def _transaction(self) -> Iterator[Connection]:
        if self._failed:
            raise bad_store(self.place, STOPPED, writing=True)
        try:
            with told_plainly(self.place, writing=True), self._writer.begin() as connection:
                take_turn(connection)
                yield connection
        except BadStore as error:
            if error.found == DISK_FAILED.found:
                self._failed = True
            raise

    def close(self) -> None:
        """Let go of the files and connections."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def _make_file(path: Path) -> None:
    """An empty file for a new store; refuses what is no file, or cannot be written."""
    try:
        make_private_folder(path.parent)
        make_private_file(path)
        if not stat.S_ISREG(path.stat().st_mode):
            raise bad_store(str(path), NO_FILE)
    except OSError as error:
        raise bad_store(str(path), cannot_be_made((error.strerror or "unknown reason").lower())) from error
    if not os.access(path, os.R_OK):
        raise bad_store(str(path), CANNOT_OPEN)
    # The folder too: SQLite writes its log beside the file.
    if not (os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)):
        raise bad_store(str(path), READ_ONLY)

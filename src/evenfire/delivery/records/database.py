"""The store as a whole: opened by a path or a URL, read and written in transactions."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Self

from sqlalchemy import Connection

from evenfire.delivery.records.clock import Clock, utc_now


class Store:
    """Everything that is kept of the boilers of one company, in one SQLite file or one PostgreSQL database."""

    place: str
    """The path, or the URL without its password"""
    identity: str
    """A UUID that this store has had since it was made; its backups carry it"""
    warnings: tuple[str, ...]
    """What somebody should know about the place: a network drive, a server that does not wait for its disk"""
    clock: Clock
    attachments: Path
    """Folder of the attached files"""

    @classmethod
    def open(cls, place: str | Path, *, clock: Clock = utc_now, attachments: Path | None = None) -> Self:
        """The store at a path or URL (``postgresql://...``); made where there is none, brought up to date where it is older.

        Raises
        ------
        BadStore
            It is newer than this program, no store, damaged, or its place cannot be reached or written.
        """
        raise NotImplementedError

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A transaction that sees one moment of the store."""
        raise NotImplementedError

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """The one transaction that may write at a time; committed to disk when the block ends, undone when it raises.

        Raises
        ------
        BadStore
            It could not be written; nothing of the block is kept.
        """
        raise NotImplementedError

    @property
    def counter(self) -> int:
        """Grows with every transaction that writes."""
        raise NotImplementedError

    def close(self) -> None:
        """Let go of the files and connections."""
        raise NotImplementedError

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

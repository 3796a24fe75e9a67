"""A log that has been read: what its columns are, when it was taken, and what was left out or mended on the way."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Final

from evenfire.delivery.intake.logs.wishes import Role
from evenfire.si import Dimension

if TYPE_CHECKING:
    import polars as pl

TIME: Final = "time"
"""Name of the column of times in the kept file; the others are named by their roles."""
METADATA_KEY: Final = "evenfire.log"
MOST_PLACES: Final = 3
"""First examples of what was left out or mended, of each reason."""


class Basis(Enum):
    """How a column came to its role."""

    STATED = "plant file"
    GUESSED = "guess"


class Reason(Enum):
    """Why a row was left out, why a cell was emptied, or what was mended."""

    WRONG_COUNT = "another number of cells than the header has"
    UNCLOSED_QUOTE = "a quotation mark that is never closed"
    TOO_LONG = "a line longer than any of a log"
    HEADER_AGAIN = "the header once more"
    NO_TIME = "no time that can be read"
    REPEATED_ROW = "a row that stands there already"
    SAME_TIME = "other values at a time that stands there already"
    TWICE_ON_THE_CLOCK = "an hour that the clock showed twice, and nobody can tell which"
    NEVER_ON_THE_CLOCK = "a time that the clock of its zone never showed"
    MISSING = "no value"
    STAND_IN = "a number that stands in for a missing value"
    NO_NUMBER = "a text that is no number"
    IMPOSSIBLE = "a value that cannot be"
    NUL_BYTES = "NUL bytes, taken out"
    BAD_BYTES = "bytes that are no text, replaced"
    OTHER_FORMAT = "a time written in another way than most, read all the same"
    OUT_OF_ORDER = "earlier than the row before it, sorted in"
    CLOCK_CHANGED = "after the clock was set by an hour, counted on as if it had not been"
    JOINED = "two rows of one time with different columns, joined"


DROPPED: Final = (
    Reason.WRONG_COUNT,
    Reason.UNCLOSED_QUOTE,
    Reason.TOO_LONG,
    Reason.HEADER_AGAIN,
    Reason.NO_TIME,
    Reason.REPEATED_ROW,
    Reason.SAME_TIME,
    Reason.TWICE_ON_THE_CLOCK,
    Reason.NEVER_ON_THE_CLOCK,
)
"""Rows that were left out."""
EMPTIED: Final = (Reason.MISSING, Reason.STAND_IN, Reason.NO_NUMBER, Reason.IMPOSSIBLE)
"""Cells without a value."""
REPAIRED: Final = (
    Reason.NUL_BYTES,
    Reason.BAD_BYTES,
    Reason.OTHER_FORMAT,
    Reason.OUT_OF_ORDER,
    Reason.CLOCK_CHANGED,
    Reason.JOINED,
)
"""Rows that were mended and kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where something stood in an original, and what."""

    file: str
    line: int | None
    """Counted from 1; nothing in a Parquet file, and of rows that were looked at after they were sorted"""
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """How often one thing happened, with the first places."""

    reason: Reason
    role: Role | None
    """Of the column, for cells"""
    count: int
    places: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of the log that has a role; its values are SI."""

    role: Role
    header: str
    """As it stands in the original; of several files, in the first that has it"""
    unit: str
    """In which the original has it"""
    dimension: Dimension
    says_datum: bool
    """Of a pressure: whether its unit says gauge or absolute; one that does not counts as gauge, and may be wrong"""
    basis: Basis
    why: str
    """Why it has this role and this unit"""
    values: int
    """Rows that have a value"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unused:
    """A column that was not taken in, and why."""

    header: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampling:
    """How often the log was written."""

    median: float
    """Between rows [s]"""
    is_mixed: bool
    """Whether less than nine of ten rows follow at the commonest interval"""
    commonest: tuple[tuple[float, int], ...]
    """Intervals [s] with how many rows followed at each, commonest first"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A time without rows."""

    begin: datetime
    """Of the last row before it"""
    lasting: float
    """[s]"""


class Clock(Enum):
    """What the times of a log count."""

    UTC = "UTC"
    """The log says how far its clock is from UTC, or the plant file says its zone"""
    LOCAL = "the log's own clock"
    """Nobody said the zone: kept as if the clock had shown UTC"""
    ELAPSED = "seconds from a beginning that nobody knows"
    """Kept as if it had begun with 1970"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Log:
    """One log, of one or several originals."""

    files: tuple[str, ...]
    """The originals, as messages name them"""
    parquet: Path
    """The kept file: ``time`` in UTC microseconds, rising; a column for each role, SI"""
    rows: int
    begin: datetime
    end: datetime
    columns: tuple[Column, ...]
    unused: tuple[Unused, ...]
    open_roles: tuple[str, ...]
    """What somebody has to say before more of the log can be used, one sentence each"""
    sampling: Sampling
    gaps: tuple[Gap, ...]
    """The longest, in the order of time"""
    gap_count: int
    clock: Clock
    zone: str
    """One sentence on what the times count"""
    time_format: str
    """How times were read, and why so"""
    layout: str
    """One sentence on how the file is laid out"""
    tallies: tuple[Tally, ...]

    def column(self, role: Role) -> Column | None:
        """The column of a role."""
        return next((column for column in self.columns if column.role is role), None)

    def count(self, reasons: Sequence[Reason]) -> int:
        """How often any of some things happened."""
        return sum(tally.count for tally in self.tallies if tally.reason in reasons)

    def frame(self) -> "pl.LazyFrame":
        """The rows: ``time``, then a column named by each role; nothing is loaded before it is asked for."""
        import polars as pl

        return pl.scan_parquet(self.parquet)

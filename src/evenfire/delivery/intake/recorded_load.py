"""Reading a recorded load: a CSV of two columns, headed by what they are and in which unit.

::

    time [min], steam [lb/h]
    0, 2400
    15, 3100
    30, 900

Each row holds until the time of the next one, the last as long as the row before it. The file is read line by line, so
that neither its size nor one endless line fills the memory.
"""

import math
import re
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Final, NoReturn

from evenfire.delivery.intake.opening import shown_path
from evenfire.delivery.intake.tables.quantities import described
from evenfire.delivery.units import read
from evenfire.errors import BadRecordedLoad, UnreadableQuantity
from evenfire.plant.load import Steps
from evenfire.si import Dimension

MOST_ROWS: Final = 2_000_000
"""Three weeks by the second, or nearly four years by the minute; what is longer belongs to a reading of logs."""
LONGEST_LINE: Final = 200
"""Two numbers need a few dozen [bytes]."""
GREATEST_NUMBER: Final = 1e15
"""The greatest that is read anywhere as a quantity of a boiler; a clock that counts milliseconds stays below it."""
HEADER: Final = "time [min], steam [lb/h]"

_FORM: Final = f'Accepted is a CSV whose first line is "{HEADER}" (other units may stand in the brackets).'
_ROWS: Final = "Accepted are two plain numbers a row, time and steam, such as 15, 3100.5."
_POINT: Final = "Write decimals with a point and no marks for thousands: 1234.5."
_TEXT: Final = "Save it as CSV text in UTF-8."
_COLUMN: Final = re.compile(r"(?P<name>[^\[\]]*)\[(?P<unit>[^\[\]]*)\]")
_OTHER_MARK: Final = re.compile(r"[;\t]")
_NUMBER: Final = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")


def read_recorded_load(path: Path, *, most_rows: int = MOST_ROWS) -> Steps:
    """The load in a recording; its first time is the beginning of the run.

    Parameters
    ----------
    path
        The file.
    most_rows
        A longer recording is refused.

    Raises
    ------
    BadRecordedLoad
        The file cannot be read, or says something that is no load: one error about the first place.
    """
    name = shown_path(path)
    with _opened(path, name) as file:
        lines = _Lines(name, file)
        seconds, flow = _units(lines)
        return Steps(steps=tuple(_lasting(lines, _rows(lines, seconds, flow), most_rows)))


@dataclass(slots=True)
class _Lines:
    """The lines of one file that are not blank, and the number of the last one, for messages."""

    name: str
    file: BinaryIO
    number: int = 0

    def __iter__(self) -> Iterator[str]:
        """Each line without its end, decoded."""
        while line := self.file.readline(LONGEST_LINE + 1):
            self.number += 1
            if len(line) > LONGEST_LINE:
                self.refuse(f"a line of more than {LONGEST_LINE} characters stands there", _FORM)
            try:
                text = line.decode("utf-8-sig" if self.number == 1 else "utf-8").strip()
            except UnicodeDecodeError:
                self.refuse("what stands there is no UTF-8 text", f"{_TEXT} {_FORM}")
            if text:
                yield text

    def refuse(self, found: str, accepted: str) -> NoReturn:
        """The error at the line that was read last."""
        raise BadRecordedLoad(file=self.name, line=max(1, self.number), found=found, accepted=accepted)


def _opened(path: Path, name: str) -> BinaryIO:
    """The file, when it is a plain one that may be read."""

    def refused(found: str, accepted: str) -> BadRecordedLoad:
        return BadRecordedLoad(file=name, line=None, found=found, accepted=accepted)

    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise refused("it is no plain file", f"Name a recording. {_FORM}")
        return path.open("rb")
    except FileNotFoundError as error:
        raise refused("there is no such file", f"Check the name. {_FORM}") from error
    except OSError as error:
        why = (error.strerror or "it cannot be read").lower()
        raise refused(f"it cannot be read: {why}", "Check the name, and who may read it.") from error
    except ValueError as error:
        raise refused("its name holds a character that no file name can", "Check the name.") from error


def _units(lines: _Lines) -> tuple[float, float]:
    """One unit of each column: of time [s] and of steam [kg/s]."""
    header = next(iter(lines), None)
    if header is None:
        lines.refuse("it is empty", _FORM)
    columns = _split(header)
    if _OTHER_MARK.search(header):
        lines.refuse(f"the header is {described(header)}", f"Part columns with commas. {_POINT} {_FORM}")
    if len(columns) != 2:
        lines.refuse(f"the header is {described(header)}, and two columns are wanted", _FORM)
    return (
        _unit(lines, columns[0], "time", Dimension.TIME),
        _unit(lines, columns[1], "steam", Dimension.MASS_FLOW),
    )


def _unit(lines: _Lines, column: str, name: str, dimension: Dimension) -> float:
    """SI value of one unit of a column."""
    found = _COLUMN.fullmatch(column)
    if found is None or found["name"].strip().casefold() != name:
        lines.refuse(f"the header has {described(column)} where {name} with its unit in brackets is wanted", _FORM)
    unit = found["unit"].strip()
    try:
        return read(f"1 {unit}", dimension).value
    except UnreadableQuantity as error:
        lines.refuse(f"{described(unit)} is no unit of {dimension.value} that is known here", error.accepted)


def _rows(lines: _Lines, seconds: float, flow: float) -> Iterator[tuple[float, float]]:
    """(time [s], steam [kg/s]) of each row, times rising."""
    before = -math.inf
    for text in lines:
        cells = _split(text)
        if len(cells) != 2 or _OTHER_MARK.search(text):
            lines.refuse(*_not_two(text, cells))
        time = _number(lines, cells[0], "time") * seconds
        steam = _number(lines, cells[1], "steam") * flow
        if time <= before:
            lines.refuse(f"the time {described(cells[0])} is not later than that of the row before", "Times must rise.")
        if steam < 0:
            lines.refuse(f"the steam {described(cells[1])} is below nought", "Accepted is nought or more.")
        before = time
        yield time, steam


def _split(text: str) -> list[str]:
    """The cells of a line; quotes around a cell say nothing."""
    cells = (cell.strip() for cell in text.split(","))
    return [cell[1:-1].strip() if len(cell) > 1 and cell[0] == cell[-1] == '"' else cell for cell in cells]


def _not_two(text: str, cells: list[str]) -> tuple[str, str]:
    """What is wrong with a row that has not two cells: most often a comma that is meant for a decimal point."""
    if _OTHER_MARK.search(text):
        return f"the columns of {described(text)} are not parted by a comma", f"Part them with commas. {_POINT}"
    if len(cells) > 2 and all(_NUMBER.fullmatch(cell.strip('"')) for cell in cells):
        return f"{described(text)} has {len(cells)} columns, since a comma parts columns", f"{_POINT} {_ROWS}"
    return f"{described(text)} has {len(cells)} columns, and two are wanted", _ROWS


def _number(lines: _Lines, cell: str, name: str) -> float:
    """The number in a cell."""
    if _NUMBER.fullmatch(cell) is None:
        lines.refuse(f"the {name} {described(cell)} is no plain number", f"{_ROWS} {_POINT}")
    value = float(cell)
    if abs(value) > GREATEST_NUMBER:
        lines.refuse(f"the {name} {described(cell)} is larger than any of a boiler", _ROWS)
    return value


def _lasting(lines: _Lines, rows: Iterator[tuple[float, float]], most_rows: int) -> Iterator[tuple[float, float]]:
    """(how long [s], steam [kg/s]) of each row; the last lasts as long as the one before it."""
    duration, count = 0.0, 0
    began, steam = 0.0, 0.0
    for count, (time, following) in enumerate(rows, start=1):
        if count > most_rows:
            lines.refuse(f"it has more than {most_rows:,} rows", "Give a shorter part of it, or one with longer steps.")
        if count > 1:
            duration = time - began
            yield duration, steam
        began, steam = time, following
    if count < 2:
        found = "it has one row, and nobody can tell how long that holds" if count else "it has a header and no rows"
        lines.refuse(found, f'{_ROWS} Two rows at least; for a load that stands still use shape = "constant".')
    yield duration, steam

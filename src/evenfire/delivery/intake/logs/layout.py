"""How a text file is laid out: what parts its cells, where its header stands, which row has units, which decimals."""

import csv
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, NoReturn

from evenfire.delivery.intake.logs.blocks import HEAD, LONGEST_LINE, Encoding, encoding_of, head_lines, sampled_lines
from evenfire.delivery.intake.logs.cells import decimals_of, is_nothing, number_of, switch_of
from evenfire.delivery.intake.logs.refusing import quoted, refuse
from evenfire.delivery.intake.logs.time_shapes import is_time
from evenfire.delivery.intake.logs.wishes import Decimals

SEPARATORS: Final = (",", ";", "\t", "|", " ")
BLANKS: Final = " "
"""Columns parted by any number of blanks."""
NAMES: Final = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "upright strokes", " ": "blanks"}
MOST_COLUMNS: Final = 20_000
LOOKED_AT: Final = 200
"""Lines from which the layout is learnt."""
MOST_CELLS: Final = 200_000
"""Looked at for one separator; a file of very many columns shows its layout in fewer lines."""
_MOSTLY: Final = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """One text file."""

    path: Path
    name: str
    encoding: Encoding
    separator: str
    decimals: Decimals
    headers: tuple[str, ...]
    """One for each cell of a row; made up where the file has none"""
    has_header: bool
    units: tuple[str, ...]
    """Of the row with units, or empty"""
    header_line: int
    """Counted from 1; 0 where there is none"""
    data_line: int
    """First line that may hold data"""
    samples: tuple[tuple[tuple[str, ...], ...], ...]
    """Rows from places all over the file, in its order"""

    @property
    def described(self) -> str:
        """One sentence."""
        header = f"its header stands in line {self.header_line}" if self.has_header else "it has no header"
        units = ", the units below it" if self.units else ""
        return (
            f"{len(self.headers)} columns parted by {NAMES[self.separator]}, decimals with a {self.decimals.value}, "
            f"{self.encoding.name}; {header}{units}."
        )


def cells_of(line: str, separator: str) -> list[str]:
    """The cells of one line."""
    if separator == BLANKS:
        line = " ".join(line.split())
    try:
        return next(csv.reader([line], delimiter=separator), [])
    except csv.Error:
        return line.split(separator)


def layout_of(path: Path, name: str, wished: Decimals | None) -> Layout:
    """The layout of a text file.

    Raises
    ------
    BadLog
        It is empty, binary, or no table.
    """
    encoding = encoding_of(path)
    lines = head_lines(path, encoding)
    _require_text(lines, name)
    separator, count = _separator(lines, name)
    header_at, data_at = _header(lines, separator, count)
    if data_at is None:
        refuse(name, "it has a header and no rows", "Export the log again.", line=max(1, (header_at or 0) + 1))
    _require_header_that_fits(lines, separator, count, data_at, name)
    headers, units = _headers(lines, separator, count, header_at, data_at)
    if len(headers) > MOST_COLUMNS:
        refuse(
            name,
            f"it has {len(headers):,} columns, and at most {MOST_COLUMNS:,} are read",
            "Export fewer columns.",
            line=data_at + 1,
        )
    samples = tuple(
        tuple(
            tuple(cells)
            for line in (place if index else place[data_at:])
            if line.strip() and len(line) <= LONGEST_LINE and len(cells := cells_of(line, separator)) == count
        )
        for index, place in enumerate(sampled_lines(path, encoding))
    )
    texts = (cell for place in samples for row in place[:40] for cell in row[:40])
    return Layout(
        path=path,
        name=name,
        encoding=encoding,
        separator=separator,
        decimals=wished or decimals_of((text for text in texts if not is_time(text)), separator),
        headers=headers,
        has_header=header_at is not None,
        units=units,
        header_line=0 if header_at is None else header_at + 1,
        data_line=data_at + 1,
        samples=samples,
    )


def _require_text(lines: Sequence[str], name: str) -> None:
    if not any(line.strip() for line in lines):
        refuse(name, "it is empty", "Name a log: a table of text with a time in every row, or Parquet.", line=1)
    if len(lines[0]) > LONGEST_LINE // 4 and len(lines) < 2:
        refuse(
            name,
            "its first line is longer than any of a log",
            "Name a log: a table of text with one line for each time.",
            line=1,
        )
    text = "".join(lines[:LOOKED_AT])[:20_000]
    strange = sum(1 for each in text if not each.isprintable() and each != "\t") + text.count(
        "\N{REPLACEMENT CHARACTER}"
    )
    if strange > 0.1 * len(text):
        refuse(name, "it is no text but a binary file", "Export the log as CSV or as Parquet.", line=1)


def _separator(lines: Sequence[str], name: str) -> tuple[str, int]:
    """What parts the cells, and how many a row has: what makes most cells of the later lines plain ones."""
    full = [line for line in lines[:LOOKED_AT] if line.strip()]
    later = full[len(full) // 2 :] if len(full) > 3 else full[-2:] if len(full) > 2 else full[-1:]
    best = max(
        ((_fit(later, separator), separator) for separator in SEPARATORS),
        key=lambda found: (found[0][0], found[1] != BLANKS, found[0][1]),
    )
    (score, count), separator = best
    if score <= 0.3 or count < 2:
        header = full[0]
        if len(full) == 1 and not any(_is_value(cell) for cell in cells_of(header, best[1])) and len(header) < HEAD:
            refuse(name, "it has a header and no rows", "Export the log again.", line=1)
        if _has_comma_twice(full):
            _refuse_commas(name, lines.index(full[-1]) + 1)
        refuse(
            name,
            f"no columns with times and numbers are seen in it; it begins with {quoted(header[:40])}",
            "Name a table of text with a time in every row, its columns parted by commas, semicolons or tabs.",
            line=1,
        )
    return separator, count


def _has_comma_twice(lines: Sequence[str]) -> bool:
    """A header with fewer commas than its rows have, where every cell of a row is a number or a time."""
    if len(lines) < 2:
        return False
    row = lines[-1].split(",")
    return len(row) > len(lines[0].split(",")) and all(_is_plain(cell) for cell in row)


def _fit(lines: Sequence[str], separator: str) -> tuple[float, int]:
    """Share of plain cells among lines that agree in their number of cells, and that number."""
    rows: list[list[str]] = []
    cells = 0
    for line in lines:
        rows.append(cells_of(line, separator))
        cells += len(rows[-1])
        if cells > MOST_CELLS:
            break
    count, agreeing = Counter(len(row) for row in rows).most_common(1)[0]
    if count < 2:
        return 0.0, count
    alike = [row for row in rows if len(row) == count]
    plain = sum(_is_plain(cell) for row in alike for cell in row) / (count * len(alike))
    has_value = any(_is_reading(cell) for row in alike for cell in row)
    return (plain * agreeing / len(rows) if has_value else 0.0), count


def _is_plain(cell: str) -> bool:
    text = cell.strip()
    return (
        is_nothing(text)
        or any(number_of(text, decimals) is not None for decimals in Decimals)
        or is_time(text)
        or switch_of(text) is not None
    )


def _is_reading(cell: str) -> bool:
    """A number, or a word for on or off."""
    return any(number_of(cell, decimals) is not None for decimals in Decimals) or switch_of(cell) is not None


def _header(lines: Sequence[str], separator: str, count: int) -> tuple[int | None, int | None]:
    """Places of the header and of the first row of data in the lines, counted from 0."""
    header: int | None = None
    for place, line in enumerate(lines):
        if not line.strip():
            continue
        cells = cells_of(line, separator)
        filled = [cell for cell in cells if cell.strip()]
        numbers = sum(_is_value(cell) for cell in filled)
        if len(cells) == count and filled and (numbers >= _MOSTLY * len(filled) or is_time(cells[0].strip())):
            return header, place
        # A header may lack the empty cell that a separator at the end of each row makes.
        if header is None and count - 1 <= len(cells) <= count and len(filled) >= 2 and not numbers:
            header = place
    return header, None


def _require_header_that_fits(lines: Sequence[str], separator: str, count: int, data_at: int, name: str) -> None:
    """A header with fewer cells than the rows below it, unless the last one of them all is empty."""
    above = [cells_of(line, separator) for line in lines[:data_at] if line.strip()]
    header = above[-1] if above else []
    if not 2 <= len(header) < count or any(_is_value(cell) for cell in header):
        return
    below = [cells for line in lines[data_at:LOOKED_AT] if len(cells := cells_of(line, separator)) == count]
    if len(header) == count - 1 and not any(cells[-1].strip() for cells in below):
        return
    if separator == "," and all(_is_plain(cell) for cells in below for cell in cells):
        _refuse_commas(name, data_at + 1)
    refuse(
        name,
        f"its header has {len(header)} columns, and its rows have {count}",
        "Export it again with a header for each column.",
        line=data_at,
    )


def _refuse_commas(name: str, line: int) -> NoReturn:
    refuse(
        name,
        "commas part its columns and mark its decimals, so that nobody can tell them apart",
        "Export it with semicolons or tabs between the columns, or with decimal points.",
        line=line,
    )


def _is_value(cell: str) -> bool:
    text = cell.strip()
    return is_time(text) or any(number_of(text, decimals) is not None for decimals in Decimals)


def _headers(
    lines: Sequence[str], separator: str, count: int, header_at: int | None, data_at: int
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The header and the row of units; where there is no header, the columns are numbered."""
    numbered = [f"column {place + 1}" for place in range(count)]
    if header_at is None:
        return tuple(numbered), ()
    cells = [" ".join(cell.split()) for cell in cells_of(lines[header_at], separator)]
    cells += [""] * (count - len(cells))
    headers = tuple(cell or number for cell, number in zip(cells, numbered, strict=True))
    between = [line for line in lines[header_at + 1 : data_at] if line.strip()]
    below = [cell.strip() for cell in cells_of(between[0], separator)] if between else []
    if len(below) < count - 1 or len(below) > count:
        return headers, ()
    return headers, tuple(below + [""] * (count - len(below)))

"""From the blocks of a text file to rows with a time and readings: what is no row is left out and counted."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
import polars as pl
from numpy.typing import NDArray

from evenfire.delivery.intake.logs.blocks import Block, blocks
from evenfire.delivery.intake.logs.cells import folded, stand_ins
from evenfire.delivery.intake.logs.layout import BLANKS, Layout, cells_of
from evenfire.delivery.intake.logs.log import TIME, Place, Reason
from evenfire.delivery.intake.logs.refusing import quoted, refuse
from evenfire.delivery.intake.logs.roles import Taken
from evenfire.delivery.intake.logs.tallying import Tallies, place
from evenfire.delivery.intake.logs.times import Sampled, TimeReader, TimeRule
from evenfire.delivery.intake.logs.values import Read, Rows, plain_numbers, si_values

Places = NDArray[np.int64]

NEWLINE: Final = 10
QUOTE: Final = 34
TEXT: Final = "text of the time"


@dataclass(frozen=True, slots=True)
class _Lines:
    """Rows as text, each of the right number of cells, and the line of each."""

    text: bytes
    numbers: Places
    """Line numbers"""

    def text_of(self, row: int) -> str:
        """The line of a row."""
        start = 0
        for _ in range(row):
            start = self.text.index(b"\n", start) + 1
        return self.text[start : self.text.index(b"\n", start)].decode("utf-8", errors="replace")


def text_rows(layout: Layout, rule: TimeRule, taken: tuple[Taken, ...], tallies: Tallies) -> Iterator[Rows]:
    """The rows of a text file, block by block."""
    reader = TimeReader(rule, layout.decimals)
    sentinels = {each.role: sentinels_of(layout, each) for each in taken}
    wanted = sorted({*rule.columns, *(each.place for each in taken)})
    for block in blocks(layout.path, layout.encoding):
        cells, lines = _cells(_lines(block, layout, tallies), layout, wanted, tallies)
        if not cells.height:
            continue
        # Times and numbers in one go, so that the columns are read side by side.
        read = cells.select(
            _time_text(rule).alias(TEXT),
            reader.expression(_time_text(rule)).alias(TIME),
            *(plain_numbers(pl.col(str(each.place)), layout.decimals).alias(each.role.value) for each in taken),
        )
        texts = read.get_column(TEXT)
        times, others = reader.finished(texts, read.get_column(TIME))
        tallies.add(Reason.OTHER_FORMAT, others)
        read = read.with_columns(times.alias(TIME))
        has_time = times.is_not_null()
        rows = None
        if not has_time.all():
            _left_out(~has_time, texts, cells, lines, layout, rule, tallies)
            rows = has_time.arg_true().to_numpy()
            read, cells = read.filter(has_time), cells.filter(has_time)
        where = _where(layout.name, lines, rows)
        values = []
        for each in taken:
            column = Read(cells.get_column(str(each.place)), read.get_column(each.role.value))
            values.append(si_values(column, each, layout.decimals, sentinels[each.role], tallies, where))
        named = [series.alias(each.role.value) for series, each in zip(values, taken, strict=True)]
        yield Rows(pl.DataFrame([read.get_column(TIME), *named]), where)


def _time_text(rule: TimeRule) -> pl.Expr:
    """The text of the time, of one column or of two."""
    first, *others = (pl.col(str(at)) for at in rule.columns)
    for also in others:
        first = first.str.strip_chars() + " " + also.str.strip_chars()
    return first


def sentinels_of(source: "Layout | Sampled", taken: Taken) -> frozenset[float]:
    """Numbers in a column that stand in for missing ones, as seen in the samples."""
    places = source.samples if isinstance(source, Layout) else source.places
    texts = pl.DataFrame({"c": [row[taken.place] for each in places for row in each]}, schema={"c": pl.String})
    return stand_ins(texts.select(plain_numbers(pl.col("c"), source.decimals)).to_series().drop_nulls().to_list())


def _where(name: str, lines: _Lines, rows: Places | None) -> Callable[[pl.Series], Callable[[int], Iterable[Place]]]:
    """From a mask of rows that have a time to their first places."""

    def first(mask: pl.Series) -> Callable[[int], Iterable[Place]]:
        def places(most: int) -> Iterator[Place]:
            for at in mask.arg_true().head(most).to_list():
                row = int(at if rows is None else rows[at])
                yield place(name, int(lines.numbers[row]), lines.text_of(row))

        return places

    return first


def _lines(block: Block, layout: Layout, tallies: Tallies) -> _Lines:
    """The lines of a block that hold data, with what was mended in them counted."""
    for reason, found in (
        (Reason.NUL_BYTES, block.nul_lines),
        (Reason.BAD_BYTES, block.bad_lines),
        (Reason.TOO_LONG, block.too_long),
    ):
        tallies.add(reason, len(found), None, _at(layout.name, found))
    numbers = (
        np.arange(block.first, block.first + block.rows) if block.lines is None else np.array(block.lines, dtype=int)
    )
    skipped = int(np.searchsorted(numbers, layout.data_line)) if block.first < layout.data_line else 0
    text = block.text
    for _ in range(skipped):
        text = text[text.index(b"\n") + 1 :]
    if layout.separator == BLANKS:
        text = b"\n".join(b" ".join(line.split()) for line in text.split(b"\n"))
    return _Lines(text, numbers[skipped:])


def _at(name: str, lines: tuple[int, ...]) -> Callable[[int], Iterable[Place]]:
    return lambda most: (place(name, line, "") for line in lines[:most])


def _cells(lines: _Lines, layout: Layout, wanted: list[int], tallies: Tallies) -> tuple[pl.DataFrame, _Lines]:
    """The wanted columns as text, of the lines that have as many cells as the header."""
    count = len(layout.headers)
    if not _is_even(lines, layout.separator, count):
        lines = _even_ones(lines, layout, tallies)
    if not lines.text:
        return pl.DataFrame(), lines
    try:
        table = pl.read_csv(
            lines.text,
            has_header=False,
            infer_schema=False,
            separator=layout.separator,
            columns=wanted,
            quote_char='"' if b'"' in lines.text else None,
            new_columns=[str(at) for at in wanted],
        )
    except pl.exceptions.PolarsError:
        table = None
    if table is None or table.height != len(lines.numbers):
        return _one_by_one(lines, layout, wanted, tallies)
    return table, lines


def _is_even(lines: _Lines, separator: str, count: int) -> bool:
    """Whether all lines surely have the same number of cells: too many in one are refused by the reader itself."""
    marks = (count - 1) * len(lines.numbers)
    return b'"' not in lines.text and lines.text.count(separator.encode()) == marks


def _even_ones(lines: _Lines, layout: Layout, tallies: Tallies) -> _Lines:
    """The lines with the right number of cells and with quotation marks that are closed; the rest is counted."""
    raw = np.frombuffer(lines.text, dtype=np.uint8)
    ends = np.flatnonzero(raw == NEWLINE)
    marks = np.flatnonzero(raw == ord(layout.separator))
    quotes = np.flatnonzero(raw == QUOTE)
    opened = np.diff(np.searchsorted(quotes, ends), prepend=0) % 2 == 1
    if len(quotes):
        marks = marks[np.searchsorted(quotes, marks) % 2 == 0] if not opened.any() else _outside(marks, quotes, ends)
    found = np.diff(np.searchsorted(marks, ends), prepend=0) + 1
    count = len(layout.headers)
    good = (found == count) & ~opened
    if good.all():
        return lines
    starts = np.concatenate(([0], ends[:-1] + 1))
    for reason, bad in (
        (Reason.UNCLOSED_QUOTE, np.flatnonzero(opened)),
        (Reason.WRONG_COUNT, np.flatnonzero(~good & ~opened)),
    ):
        tallies.add(reason, len(bad), None, _bad_places(layout.name, lines, bad, starts, ends))
    text = b"".join(lines.text[start : end + 1] for start, end in _runs(good, starts, ends))
    return _Lines(text, lines.numbers[good])


def _outside(marks: Places, quotes: Places, ends: Places) -> Places:
    """Separators outside of quotation marks, where each line begins outside of them."""
    line = np.searchsorted(ends, marks)
    before = np.concatenate(([0], np.searchsorted(quotes, ends)))[line]
    is_outside = (np.searchsorted(quotes, marks) - before) % 2 == 0
    outside: Places = marks[is_outside]
    return outside


def _runs(good: NDArray[np.bool_], starts: Places, ends: Places) -> Iterator[tuple[int, int]]:
    """First and last byte of each stretch of good lines."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], good.astype(np.int8), [0]))))
    for first, behind in zip(edges[::2], edges[1::2], strict=True):
        yield int(starts[first]), int(ends[behind - 1])


def _bad_places(
    name: str, lines: _Lines, bad: Places, starts: Places, ends: Places
) -> Callable[[int], Iterable[Place]]:
    def places(most: int) -> Iterator[Place]:
        for row in bad[:most]:
            text = lines.text[int(starts[row]) : min(int(ends[row]), int(starts[row]) + 400)]
            yield place(name, int(lines.numbers[row]), text.decode("utf-8", errors="replace"))

    return places


def _one_by_one(lines: _Lines, layout: Layout, wanted: list[int], tallies: Tallies) -> tuple[pl.DataFrame, _Lines]:
    """The same, slowly: for lines whose quotation marks stand where they should not."""
    texts = lines.text.decode("utf-8", errors="replace").split("\n")[:-1]
    rows = [cells_of(text, layout.separator) for text in texts]
    good = np.array([len(row) == len(layout.headers) for row in rows], dtype=bool)
    bad = np.flatnonzero(~good)
    tallies.add(
        Reason.WRONG_COUNT,
        len(bad),
        None,
        lambda most: (place(layout.name, int(lines.numbers[row]), texts[row]) for row in bad[:most]),
    )
    kept = [row for row, is_good in zip(rows, good, strict=True) if is_good]
    text = "".join(f"{text}\n" for text, is_good in zip(texts, good, strict=True) if is_good).encode()
    return (
        pl.DataFrame({str(at): pl.Series([row[at] or None for row in kept], dtype=pl.String) for at in wanted}),
        _Lines(text, lines.numbers[good]),
    )


def _left_out(
    mask: pl.Series,
    texts: pl.Series,
    cells: pl.DataFrame,
    lines: _Lines,
    layout: Layout,
    rule: TimeRule,
    tallies: Tallies,
) -> None:
    """Count rows without a time; a second header with other columns begins another table, which is refused."""
    header = " ".join(layout.headers[at] for at in rule.columns)
    again = mask & (texts.str.strip_chars() == header).fill_null(value=False)
    for row in again.arg_true().to_list()[:100]:
        for column in cells.get_columns():
            at = int(column.name)
            if folded(column[row] or "") not in {folded(layout.headers[at]), ""}:
                refuse(
                    layout.name,
                    f"another header stands there, with {quoted(column[row])} where {quoted(layout.headers[at])} was",
                    "Part it into a file for each header; several files are read as one log.",
                    line=int(lines.numbers[row]),
                )
    where = _where(layout.name, lines, None)
    without = mask & ~again
    tallies.add(Reason.HEADER_AGAIN, int(again.sum()), None, where(again))
    tallies.add(Reason.NO_TIME, int(without.sum()), None, where(without))

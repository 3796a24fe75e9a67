"""The pressure stack in plain characters, for a terminal as narrow as a telephone's."""

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from evenfire.delivery.figures.firing_line import FiringLine
from evenfire.delivery.figures.measured_text import cells, shorten_to_cells
from evenfire.delivery.figures.stack_labels import COLUMNS, SHORT_COLUMNS
from evenfire.delivery.figures.stack_levels import Column, Label, SetOfSettings, StackLayout
from evenfire.delivery.figures.stack_words import (
    NO_BREAK,
    longest_fraction,
    missing_fraction,
    name_that_fits,
    number_of,
    sentences,
    table_of,
    title_of,
    tolerance_of,
    unit_of,
)
from evenfire.delivery.units import UnitSystem

LEAST_WIDTH = 44
"""No narrower terminal is served [cells]."""
LEAST_BAR, MOST_BARS = 6, 24
"""Shortest bar, and length of all bars together where there is room [cells]."""
CELL = 10
"""Width of a cell of the table [cells]."""
ROOMY_FROM = 64
"""From this width on names are written out and bars are longer [cells]."""
FAR_APART = 0.08
"""Levels further apart than this share of the scale have a line between them [1]."""
FIRE, PLANT_LEVEL, OWN_LEVEL, OWN_MARK, WALL, BREAK = "#", ".", "-", "<", "|", "~"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """Where the columns of characters stand."""

    width: int
    """[cells]"""
    before_point: int
    """Widest whole part of a pressure [cells]"""
    after_point: int
    """Widest rest of a pressure, its point included [cells]"""
    bar: int
    """[cells]"""

    @property
    def is_roomy(self) -> bool:
        return self.width >= ROOMY_FROM

    def row(self, number: str, bars: str, words: str) -> str:
        whole, point, rest = number.partition(".")
        aligned = f"{whole:>{self.before_point}}{point + rest:<{self.after_point}}"
        left = f" {aligned} {bars} "
        return left + shorten_to_cells(words, self.width - len(left))


def stack_text(layout: StackLayout, system: UnitSystem, width: int = 72) -> str:
    """The stack as lines of plain characters, none wider than ``width`` (at least 44) [cells].

    One line for each level, from the highest pressure down. The bar of a set of settings is the fire with which the
    burner goes through that pressure while it rises; a mark at the end of a bar says whose level it is.
    """
    frame = _frame(layout, system, max(width, LEAST_WIDTH))
    lines = [shorten_to_cells(f"Pressure stack: {title_of(layout)}", frame.width), ""]
    lines += [_head(layout, system, frame), *_levels(layout, system, frame), "", *_key(layout, frame), ""]
    lines += _table(layout, system, frame)
    for sentence in sentences(layout, system):
        lines += textwrap.wrap(sentence, frame.width, subsequent_indent="  ", break_on_hyphens=False)
    return "\n".join(line.rstrip().replace(NO_BREAK, " ") for line in lines) + "\n"


def _frame(layout: StackLayout, system: UnitSystem, width: int) -> _Frame:
    """Bars take the room that names and tolerances leave; valves may have long names and are not asked."""
    numbers = [number_of(label.pressure, system).partition(".") for label in layout.labels]
    frame = _Frame(
        width=width,
        before_point=max(len(whole) for whole, _, _ in numbers),
        after_point=max(len(point + rest) for _, point, rest in numbers),
        bar=0,
    )
    unnamed = [label for label in layout.labels if not label.valves]
    widest = max(cells(_words(label, layout, system, frame, width)) for label in unnamed)
    room = width - widest - cells(frame.row("", WALL * (len(layout.sets) + 1), ""))
    return replace(frame, bar=max(LEAST_BAR, min(MOST_BARS, room) // len(layout.sets)))


def _words(label: Label, layout: StackLayout, system: UnitSystem, frame: _Frame, room: int) -> str:
    """Name and tolerance; it is the name that is shortened."""
    tolerance = tolerance_of(label, system, sign="+-")
    left = room - cells(tolerance) - 1 if tolerance else room
    name = name_that_fits(label, layout, lambda name: cells(name) <= left, full=frame.is_roomy)
    return f"{shorten_to_cells(name, left)} {tolerance}".rstrip()


def _head(layout: StackLayout, system: UnitSystem, frame: _Frame) -> str:
    names = COLUMNS if frame.bar >= max(map(len, COLUMNS.values())) else SHORT_COLUMNS
    heads = " ".join(f"{names[each.column]:^{frame.bar}}" for each in layout.sets)
    return frame.row(unit_of(system), f" {heads} ", "")


def _levels(layout: StackLayout, system: UnitSystem, frame: _Frame) -> Iterator[str]:
    """A line for each level, lines for distances between, and one for what lies under the lowest."""
    for label, below in zip(layout.labels, (*layout.labels[1:], None), strict=True):
        left = (number_of(label.pressure, system), _bars(layout, frame, label, label.pressure))
        room = frame.width - cells(frame.row(*left, ""))
        yield frame.row(*left, _words(label, layout, system, frame, room))
        if below is not None:
            yield from _between(layout, frame, label.pressure, below.pressure)
    yield frame.row("", _bars(layout, frame, None, layout.scale.lowest), "")


def _between(layout: StackLayout, frame: _Frame, above: float, below: float) -> Iterator[str]:
    """A line for the distance where two levels lie far apart, and for a break of the scale."""
    pieces = layout.scale.pieces
    if any(low.highest < above and below < high.lowest for low, high in pairwise(pieces)):
        yield frame.row("", WALL + WALL.join(BREAK * frame.bar for _ in layout.sets) + WALL, "")
    elif layout.scale.height_of(above) - layout.scale.height_of(below) > FAR_APART:
        yield frame.row("", _bars(layout, frame, None, (above + below) / 2), "")


def _bars(layout: StackLayout, frame: _Frame, label: Label | None, pressure: float) -> str:
    text = WALL
    for each in layout.sets:
        own = label is not None and each.column in label.columns
        plant = label is not None and Column.PLANT in label.columns
        fire = FIRE * _fire(each, pressure, frame.bar)
        fill = OWN_LEVEL if own else PLANT_LEVEL if plant else " "
        text += f"{fire:{fill}<{frame.bar}}{OWN_MARK if own else WALL}"
    return text


def _fire(each: SetOfSettings, pressure: float, bar: int) -> int:
    """Length of the bar; the least fire is still seen, and less than full fire never looks full."""
    share = each.line.rising(pressure) if isinstance(each.line, FiringLine) else 0.0
    if share <= 0.0:
        return 0
    return bar if share >= 1.0 else min(max(1, round(share * bar)), bar - 1)


def _key(layout: StackLayout, frame: _Frame) -> Iterator[str]:
    signs = []
    if any(isinstance(each.line, FiringLine) for each in layout.sets):
        signs += [f"{FIRE} fire as the pressure rises", "full bar = full fire"]
    signs += [f"{OWN_LEVEL}{OWN_MARK} level of these settings", f"{PLANT_LEVEL} plant"]
    line = ""
    for sign in signs:
        if line and cells(line) + 2 + cells(sign) > frame.width:
            yield line
            line = sign
        else:
            line = f"{line}  {sign}".strip()
    yield line


def _table(layout: StackLayout, system: UnitSystem, frame: _Frame) -> list[str]:
    rows = table_of(layout, system)
    if not rows:
        return []
    heads = (f"Pressure, {unit_of(system)}", *(COLUMNS[each.column] for each in layout.sets))
    first = min(frame.width - CELL * len(layout.sets), max(len(row.words) for row in rows) + 2)
    longest = longest_fraction(cell for row in rows for cell in row.cells)
    table = [heads, *((row.words, *(_under_the_point(cell, longest) for cell in row.cells)) for row in rows)]
    return [f"{words:<{first}}" + "".join(f"{cell:>{CELL}}" for cell in cells) for words, *cells in table] + [""]


def _under_the_point(cell: str, longest: int) -> str:
    return cell + " " * len(missing_fraction(cell, longest))

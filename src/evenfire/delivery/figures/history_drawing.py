"""The history of limits as a figure: a panel for each control, error against time, its band and its drift.

Sizes are in the pixels of a screen of 96 to the inch. There is no colour: marks differ by shape and filling.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from evenfire.delivery.figures import trace_looks as looks
from evenfire.delivery.figures.history_layout import HistoryPanel, HistorySheet, Mark
from evenfire.delivery.figures.measured_text import width, wrap
from evenfire.delivery.figures.stack_words import unit_of
from evenfire.delivery.figures.trace_panel import (
    EDGE,
    LARGE,
    LINE,
    PHONE,
    PX_PER_INCH,
    PX_PER_POINT,
    SMALL,
    draw_key,
    write_line,
)
from evenfire.delivery.units import number_in
from evenfire.si import Dimension, Quantity

TALL: Final = 190.0
"""Height of a panel [px]."""
GAP: Final = 16.0
AXIS: Final = 40.0
"""Room for the numbers of the scale [px]."""
FEET: Final = 20.0
"""Room for the days [px]."""
BOLD: Final = 1.15
"""How much wider bold type runs [1]."""
ROOM: Final = 1.25
"""Of the scale, beyond what has to be seen [1]."""
MARKS: Final[dict[Mark, tuple[str, bool]]] = {
    Mark.PASSED: ("o", True),
    Mark.FAILED: ("s", False),
    Mark.NOT_COUNTED: ("x", True),
}
"""Symbol, and whether it is filled."""
_MARK: Final = 6.0
_LONGEST_IN_MONTHS: Final = 900
"""A shorter time is marked by months [day]."""
_SPARE: Final = 0.04
"""Of the time, before the first and behind the last [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Days:
    """The time that all panels show, as ordinals."""

    first: float
    last: float

    @property
    def span(self) -> float:
        return self.last - self.first


def draw_history(sheet: HistorySheet, wide: int) -> Figure:
    """The figure, so many pixels wide and as high as it needs to be."""
    title, lead, caption = (
        wrap(text, wide - 2 * EDGE, size)
        for text, size in ((sheet.title, LARGE * BOLD), (sheet.lead, SMALL), (sheet.caption, SMALL))
    )
    columns = 2 if wide < PHONE else 4
    key = tuple(_key(sheet))
    rows = -(-len(key) // columns)
    labels = [wrap(panel.label, wide - 2 * EDGE, SMALL * BOLD) for panel in sheet.panels]
    head = EDGE + len(title) * LARGE * LINE + len(lead) * SMALL * LINE + GAP
    body = sum(len(lines) * SMALL * LINE + TALL + FEET + GAP for lines in labels)
    foot = rows * SMALL * LINE * 1.15 + GAP + len(caption) * SMALL * LINE + EDGE
    high = head + body + foot
    figure = Figure(figsize=(wide / PX_PER_INCH, high / PX_PER_INCH), dpi=PX_PER_INCH, facecolor="white")
    top = _write(figure, title, EDGE, LARGE, bold=True)
    _write(figure, lead, top, SMALL)
    top, days = head, _days(sheet)
    for panel, lines in zip(sheet.panels, labels, strict=True):
        top = _write(figure, lines, top, SMALL, bold=True)
        place = ((EDGE + AXIS) / wide, 1 - (top + TALL) / high, 1 - (2 * EDGE + AXIS) / wide, TALL / high)
        _panel(figure.add_axes(place), panel, sheet, days, wide - 2 * EDGE - AXIS)
        top += TALL + FEET + GAP
    draw_key(figure, key, top, columns)
    _write(figure, caption, top + rows * SMALL * LINE * 1.15 + GAP, SMALL)
    return figure


def _write(figure: Figure, lines: tuple[str, ...], top: float, size: float, *, bold: bool = False) -> float:
    """Lines from so far below the top; where the next may begin."""
    for line in lines:
        write_line(figure, line, EDGE, top, size, bold=bold)
        top += size * LINE
    return top


def _days(sheet: HistorySheet) -> _Days:
    seen = [
        day
        for panel in sheet.panels
        for day in (
            *(test.on for test in panel.tests),
            *(() if panel.line is None else panel.line.days),
            *(() if panel.due is None else (panel.due,)),
        )
    ]
    first, last = min(seen).toordinal(), max(seen).toordinal()
    spare = max(10.0, _SPARE * (last - first))
    return _Days(first=first - spare, last=last + spare)


def _panel(axes: Axes, panel: HistoryPanel, sheet: HistorySheet, days: _Days, across: float) -> None:
    factor = number_in(Quantity(1e6, Dimension.PRESSURE_DIFFERENCE), unit_of(sheet.system)) / 1e6
    reach = _reach(panel) * factor
    axes.set_ylim(-reach, reach)
    axes.set_xlim(days.first, days.last)
    axes.axhline(0.0, color=looks.SOFT, linewidth=0.6, zorder=1)
    if panel.line is not None:
        ordinals = [day.toordinal() for day in panel.line.days]
        middle = [value * factor for value in panel.line.middle]
        width_ = [value * factor for value in panel.line.half_width]
        low = [centre - half for centre, half in zip(middle, width_, strict=True)]
        above = [centre + half for centre, half in zip(middle, width_, strict=True)]
        axes.fill_between(ordinals, low, above, color=looks.GRID, linewidth=0, zorder=0.5)
        axes.plot(ordinals, middle, color=looks.INK, linewidth=1.3, zorder=2)
    if panel.band is not None:
        for side in (-1.0, 1.0):
            axes.axhline(
                side * panel.band * factor, color=looks.INK, linewidth=1.6, linestyle=(0.0, (8, 2)), zorder=1.5
            )
    for day in panel.stretches:
        axes.axvline(day.toordinal(), color=looks.SOFT, linewidth=0.9, linestyle=(0.0, (1, 2)), zorder=1)
    if panel.due is not None:
        axes.axvline(panel.due.toordinal(), color=looks.INK, linewidth=1.1, linestyle=(0.0, (5, 2, 1, 2)), zorder=1)
    _tests(axes, panel, factor)
    places, names = _ticks(days, across)
    axes.set_xticks(places, names)
    axes.tick_params(length=3, labelsize=SMALL / PX_PER_POINT, colors=looks.INK)
    axes.set_axisbelow(True)


def _tests(axes: Axes, panel: HistoryPanel, factor: float) -> None:
    for test in panel.tests:
        symbol, filled = MARKS[test.mark]
        axes.errorbar(
            [test.on.toordinal()],
            [test.error * factor],
            yerr=[test.half_width * factor] if test.half_width else None,
            fmt=symbol,
            markersize=_MARK,
            markerfacecolor=looks.INK if filled else "white",
            markeredgecolor=looks.INK,
            ecolor=looks.INK,
            elinewidth=0.9,
            capsize=3,
            zorder=4,
        )


def _reach(panel: HistoryPanel) -> float:
    """How far the scale goes either way; the doubt of a line through two points would go far beyond any paper [Pa]."""
    seen = [abs(test.error) + test.half_width for test in panel.tests]
    if panel.line is not None:
        seen += [abs(value) for value in panel.line.middle]
    if panel.band is not None:
        seen.append(panel.band)
    return ROOM * max(seen)


def _ticks(days: _Days, across: float) -> tuple[list[int], list[str]]:
    """First days of years, or of months where the time is short, as many as there is room for."""
    first, last = date.fromordinal(int(days.first)), date.fromordinal(int(days.last))
    by_month = days.span < _LONGEST_IN_MONTHS
    months = range(first.year * 12 + first.month - 1, last.year * 12 + last.month)
    marked = [date(month // 12, month % 12 + 1, 1) for month in months if by_month or month % 12 == 0]
    inside = [day for day in marked if days.first <= day.toordinal() <= days.last]
    form = "%Y-%m" if by_month else "%Y"
    room = max(1, int(across / (width("2026-06" if by_month else "2026", SMALL) + 14)))
    step = max(1, -(-len(inside) // room))
    kept = inside[::step]
    return [day.toordinal() for day in kept], [day.strftime(form) for day in kept]


def _key(sheet: HistorySheet) -> Iterator[tuple[Artist, str]]:
    """What each thing stands for, of what is there."""
    seen = {test.mark for panel in sheet.panels for test in panel.tests}
    for mark, (symbol, filled) in MARKS.items():
        if mark in seen:
            look = Line2D(
                [],
                [],
                linestyle="none",
                marker=symbol,
                markersize=_MARK,
                markerfacecolor=looks.INK if filled else "white",
                markeredgecolor=looks.INK,
            )
            yield look, sheet.key.marks[mark]
    if any(panel.band is not None for panel in sheet.panels):
        yield Line2D([], [], color=looks.INK, linewidth=1.6, linestyle=(0.0, (8, 2))), sheet.key.band
    if any(panel.line is not None for panel in sheet.panels):
        yield Patch(facecolor=looks.GRID, edgecolor=looks.INK, linewidth=1.3), sheet.key.line
    if any(panel.stretches for panel in sheet.panels):
        yield Line2D([], [], color=looks.SOFT, linewidth=0.9, linestyle=(0.0, (1, 2))), sheet.key.stretch
    if any(panel.due is not None for panel in sheet.panels):
        yield Line2D([], [], color=looks.INK, linewidth=1.1, linestyle=(0.0, (5, 2, 1, 2))), sheet.key.due

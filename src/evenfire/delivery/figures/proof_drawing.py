"""The sheet of a proof: a panel for each run, pressure over the levels of the stack and a strip of the firing.

Sizes are in the pixels of a screen of 96 to the inch; on a phone the panels stand in one column.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from evenfire.delivery.figures import trace_looks as looks
from evenfire.delivery.figures.measured_text import width, wrap
from evenfire.delivery.figures.proof_layout import Panel, ProofSheet
from evenfire.delivery.figures.spread_labels import spread_labels
from evenfire.delivery.figures.stack_words import number_of, unit_of
from evenfire.delivery.figures.trace_layout import TraceLevel, level_name
from evenfire.delivery.figures.trace_points import Points, envelope, thinned
from evenfire.delivery.units import number_in
from evenfire.delivery.words.clock import clock
from evenfire.physics.motion.happenings import Happening
from evenfire.si import Dimension, Quantity

PX_PER_INCH: Final = 96.0
PX_PER_POINT: Final = PX_PER_INCH / 72.0
PHONE: Final = 600
"""A narrower drawing has one column of panels [px]."""
SMALL: Final = 11.0
"""Type: smaller cannot be read on a phone held at arm's length [px]."""
LARGE: Final = 14.0
LINE: Final = 1.35
"""Height of a line of type, per its size [1]."""
EDGE: Final = 8.0
GAP: Final = 14.0
AXIS: Final = 34.0
"""Room for the numbers of the pressure scale [px]."""
FEET: Final = 18.0
"""Room for the times [px]."""
STRIP: Final = 26.0
"""Height of the strip of the firing [px]."""
BETWEEN: Final = 10.0
"""Between the pressure and the strip [px]."""
TALL: Final = 210.0
TALL_OF_MANY: Final = 150.0
"""Height of the pressure scale where there are many panels [px]."""
DENSE: Final = 6.0
"""Starts closer together than this are drawn as a band from the lowest to the highest pressure [px]."""
MINUTE: Final = 60.0
_MARK: Final = 34.0
"""Area of a mark [square points]."""
_TICKS: Final = (1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440)
"""Steps between times [min]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """Where everything stands [px]."""

    figure: Figure
    sheet: ProofSheet
    wide: float
    high: float
    column: float
    """Width of a column of panels"""
    labels: float
    """Room for the names of levels"""
    tall: float

    @property
    def across(self) -> float:
        return self.column - AXIS - self.labels

    @property
    def panel(self) -> float:
        return SMALL * LINE + self.tall + BETWEEN + STRIP + FEET + GAP

    def axes(self, left: float, top: float, height: float) -> Axes:
        return self.figure.add_axes(
            (left / self.wide, 1 - (top + height) / self.high, self.across / self.wide, height / self.high)
        )

    def write(self, text: str, left: float, top: float, size: float, *, bold: bool = False) -> None:
        self.figure.text(
            left / self.wide,
            1 - top / self.high,
            text,
            va="top",
            fontsize=size / PX_PER_POINT,
            fontweight="bold" if bold else "normal",
            color=looks.INK,
            parse_math=False,
        )


def draw_sheet(sheet: ProofSheet, wide: int) -> Figure:
    """The sheet, so many pixels wide and as high as it needs to be."""
    columns = 1 if wide < PHONE or len(sheet.panels) == 1 else 2
    column = (wide - 2 * EDGE - (columns - 1) * GAP) / columns
    title, lead, caption = (
        [line for text in texts for line in wrap(text, wide - 2 * EDGE, size)]
        for texts, size in (((sheet.title,), LARGE), (sheet.lead, SMALL), (sheet.caption, SMALL))
    )
    key = tuple(_key(sheet, column))
    rows = -(-len(key) // columns)
    tall = TALL_OF_MANY if sheet.is_small_multiples else TALL
    head = EDGE + len(title) * LARGE * LINE + len(lead) * SMALL * LINE + GAP
    foot = rows * SMALL * LINE * 1.15 + GAP + len(caption) * SMALL * LINE + EDGE
    body = -(-len(sheet.panels) // columns) * (SMALL * LINE + tall + BETWEEN + STRIP + FEET + GAP)
    high = head + body + foot
    levels = sheet.panels[0].trace.levels
    frame = _Frame(
        figure=Figure(figsize=(wide / PX_PER_INCH, high / PX_PER_INCH), dpi=PX_PER_INCH, facecolor="white"),
        sheet=sheet,
        wide=float(wide),
        high=high,
        column=column,
        labels=max(width(_label(sheet, level), SMALL) for level in levels) + 12 if levels else 0.0,
        tall=tall,
    )
    _write(frame, title, lead)
    for place, panel in enumerate(sheet.panels):
        row, across = divmod(place, columns)
        _panel(frame, panel, EDGE + across * (column + GAP), head + row * frame.panel)
    top = head + body
    _draw_key(frame, key, top, columns)
    top += rows * SMALL * LINE * 1.15 + GAP
    for place, line in enumerate(caption):
        frame.write(line, EDGE, top + place * SMALL * LINE, SMALL)
    return frame.figure


def _write(frame: _Frame, title: list[str], lead: list[str]) -> None:
    top = EDGE
    for line in title:
        frame.write(line, EDGE, top, LARGE, bold=True)
        top += LARGE * LINE
    for line in lead:
        frame.write(line, EDGE, top, SMALL)
        top += SMALL * LINE


def _panel(frame: _Frame, panel: Panel, left: float, top: float) -> None:
    sheet = frame.sheet
    label = f"{panel.label}: " if panel.label else ""
    frame.write(f"{label}pressure, {unit_of(sheet.system)}; firing below", left, top, SMALL, bold=bool(panel.label))
    above = frame.axes(left + AXIS, top + SMALL * LINE, frame.tall)
    below = frame.axes(left + AXIS, top + SMALL * LINE + frame.tall + BETWEEN, STRIP)
    above.set_ylim(_in_unit(sheet, sheet.lowest), _in_unit(sheet, sheet.highest))
    _levels(frame, above, panel.trace.levels)
    dense = _is_dense(sheet, panel, frame.across)
    _pressure(frame, above, panel, dense=dense)
    _marks(sheet, above, panel)
    _firing(frame, below, panel, dense=dense)
    places = _ticks(sheet, frame.across)
    for axes in (above, below):
        axes.set_xlim(sheet.window.begin, sheet.window.end)
        axes.set_xticks(places, [])
        axes.tick_params(length=3, labelsize=SMALL / PX_PER_POINT, colors=looks.INK)
        axes.grid(axis="x", color=looks.GRID, linewidth=0.6)
        axes.set_axisbelow(True)
    below.set_xticks(places, [clock(place, days=False) for place in places])


def _levels(frame: _Frame, axes: Axes, levels: tuple[TraceLevel, ...]) -> None:
    """Every level as a line with its name beside the panel; those beyond the scale by name and arrow."""
    sheet = frame.sheet
    wanted = []
    for level in levels:
        place = min(max(level.pressure, sheet.lowest), sheet.highest)
        wanted.append((place - sheet.lowest) / (sheet.highest - sheet.lowest) * frame.tall)
        if _is_shown(sheet, level):
            stroke = looks.LEVELS[level.kind]
            style = (0.0, stroke.dashes) if stroke.dashes else "solid"
            axes.axhline(_in_unit(sheet, place), color=looks.INK, linewidth=stroke.width, linestyle=style, zorder=1.5)
    heights = [SMALL * 1.15] * len(wanted)
    stop, begin = 1.0 + 7.0 / frame.across, 1.0 + 9.0 / frame.across
    for level, at, centre in zip(levels, wanted, spread_labels(wanted, heights, 0.0, frame.tall), strict=True):
        ends = ([1.0, stop], [at / frame.tall, centre / frame.tall])
        axes.plot(*ends, transform=axes.transAxes, color=looks.SOFT, linewidth=0.6, clip_on=False)
        axes.text(
            begin,
            centre / frame.tall,
            _label(sheet, level),
            transform=axes.transAxes,
            va="center_baseline",
            fontsize=SMALL / PX_PER_POINT,
            color=looks.INK,
            parse_math=False,
        )


def _pressure(frame: _Frame, axes: Axes, panel: Panel, *, dense: bool) -> None:
    points = _within(panel.trace.pressure, frame.sheet)
    if len(points.time) == 0:
        return
    factor, pieces = _in_unit(frame.sheet, 1e6) / 1e6, max(2, int(frame.across))
    if dense:
        middle, low, high = envelope(points, max(2, int(frame.across / (3 * DENSE))))
        axes.fill_between(middle, low * factor, high * factor, color=looks.SWING, linewidth=0, zorder=2)
        for edge in (low, high):
            axes.plot(middle, edge * factor, color=looks.INK, linewidth=0.9, zorder=3)
        return
    line = thinned(points, pieces)
    axes.plot(line.time, line.value * factor, color=looks.INK, linewidth=1.5, zorder=3, solid_joinstyle="round")


def _marks(sheet: ProofSheet, axes: Axes, panel: Panel) -> None:
    factor = _in_unit(sheet, 1e6) / 1e6
    for kind, events in panel.trace.marks:
        look = looks.MARKS[kind]
        # A valve that chatters is marked where it lifts first: more would hide the line.
        seen = [event for event in events if event.time <= sheet.window.end][:1]
        axes.scatter(
            [event.time for event in seen],
            [event.pressure * factor for event in seen],
            marker=look.symbol,
            s=_MARK,
            facecolors=looks.INK if look.filled else "white",
            edgecolors=looks.INK,
            linewidths=1.0,
            zorder=5,
            clip_on=False,
        )


def _firing(frame: _Frame, axes: Axes, panel: Panel, *, dense: bool) -> None:
    axes.set_ylim(0.0, 1.08)
    axes.set_yticks([0.0, 1.0], ["0", "full"])
    points = _within(panel.trace.firing, frame.sheet)
    if len(points.time) == 0:
        return
    if dense:
        middle, _, high = envelope(points, max(2, int(frame.across / (3 * DENSE))))
        axes.fill_between(middle, 0.0, high, color=looks.SWING, linewidth=0)
        axes.plot(middle, high, color=looks.INK, linewidth=0.9)
        return
    line = thinned(points, max(2, int(frame.across)))
    axes.fill_between(line.time, 0.0, line.value, color=looks.FIRE, linewidth=0)
    axes.plot(line.time, line.value, color=looks.INK, linewidth=0.9)


def _within(points: Points, sheet: ProofSheet) -> Points:
    kept = points.time <= sheet.window.end * 1.02
    return Points(time=points.time[kept], value=points.value[kept])


def _is_dense(sheet: ProofSheet, panel: Panel, across: float) -> bool:
    return sum(time <= sheet.window.end for time in panel.trace.lit) > across / DENSE


def _is_shown(sheet: ProofSheet, level: TraceLevel) -> bool:
    return sheet.lowest <= level.pressure <= sheet.highest


def _in_unit(sheet: ProofSheet, pressure: float) -> float:
    return number_in(Quantity(float(pressure), Dimension.GAUGE_PRESSURE), unit_of(sheet.system))


def _label(sheet: ProofSheet, level: TraceLevel) -> str:
    beyond = "" if _is_shown(sheet, level) else "\u2191 " if level.pressure > sheet.highest else "\u2193 "
    return f"{beyond}{level_name(level, short=True)} {number_of(level.pressure, sheet.system)}"


def _ticks(sheet: ProofSheet, across: float) -> list[float]:
    """Round times, as many as there is room for."""
    room, span = max(2, int(across / 50)), sheet.window.end - sheet.window.begin
    step = MINUTE * next((each for each in _TICKS if span / (MINUTE * each) <= room), _TICKS[-1])
    return [step * place for place in range(int(span // step) + 1)]


def _key(sheet: ProofSheet, column: float) -> Iterator[tuple[Artist, str]]:
    """What each thing stands for."""
    dense = [_is_dense(sheet, panel, column - AXIS) for panel in sheet.panels]
    yield Line2D([], [], color=looks.INK, linewidth=1.5), "pressure in the boiler"
    if any(dense):
        yield Patch(facecolor=looks.SWING, edgecolor=looks.INK, linewidth=0.9), "band it swings in, start by start"
    if not all(dense):
        yield Patch(facecolor=looks.FIRE, edgecolor=looks.INK, linewidth=0.9), "firing"
    seen = dict.fromkeys(Happening, 0)
    for panel in sheet.panels:
        for kind, events in panel.trace.marks:
            count = sum(event.time <= sheet.window.end for event in events)
            seen[kind] = max(seen[kind], count)
    for kind, look in looks.MARKS.items():
        if not seen[kind]:
            continue
        face = looks.INK if look.filled else "white"
        symbol = Line2D([], [], linestyle="none", marker=look.symbol, markersize=6)
        symbol.set_markerfacecolor(face)
        symbol.set_markeredgecolor(looks.INK)
        yield symbol, look.words if seen[kind] == 1 else f"{look.words}, the first time"


def _draw_key(frame: _Frame, key: tuple[tuple[Artist, str], ...], top: float, columns: int) -> None:
    frame.figure.legend(
        [artist for artist, _ in key],
        [words for _, words in key],
        loc="upper left",
        bbox_to_anchor=(EDGE / frame.wide, 1 - top / frame.high),
        borderaxespad=0.0,
        borderpad=0.0,
        frameon=False,
        ncols=columns,
        fontsize=SMALL / PX_PER_POINT,
        labelspacing=0.35,
        handlelength=2.2,
    )

"""The trace of a run as a drawing: pressure over the levels of the stack, a strip of the firing, marks and their key.

Sizes are in the pixels of a screen of 96 to the inch; a phone shows the drawing 360 of them wide.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from evenfire.delivery.figures import trace_looks as looks
from evenfire.delivery.figures.measured_text import shorten_to_width, width, wrap
from evenfire.delivery.figures.spread_labels import spread_labels
from evenfire.delivery.figures.stack_words import number_of, unit_of
from evenfire.delivery.figures.trace_layout import TraceLayout, TraceLevel, Window, level_name
from evenfire.delivery.figures.trace_points import Points, envelope, thinned
from evenfire.delivery.units import number_in
from evenfire.delivery.words.clock import DAY, HOUR, clock
from evenfire.physics.motion.records import Floats
from evenfire.si import Dimension, Quantity

PX_PER_INCH: Final = 96.0
PX_PER_POINT: Final = PX_PER_INCH / 72.0
PHONE: Final = 600
"""A narrower drawing has short names and a single column [px]."""
SMALL: Final = 11.0
"""Type: smaller cannot be read on a phone held at arm's length [px]."""
LARGE: Final = 14.0
LINE: Final = 1.35
"""Height of a line of type, per its size [1]."""
EDGE: Final = 8.0
GAP: Final = 12.0
AXIS: Final = 44.0
"""Room for the numbers of the pressure scale [px]."""
FEET: Final = 20.0
"""Room for the hours [px]."""
UNDER: Final = 8.0
"""Between the foot of the pressures and the head of the firing [px]."""
DENSE: Final = 6.0
"""Starts closer together than this are drawn as a band from the lowest to the highest pressure [px]."""
_TICK: Final = 52.0
_LONG_TICK: Final = 60.0
_MARK: Final = 42.0
"""Area of a mark [square points]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """The drawing while it grows downwards from the top."""

    figure: Figure
    layout: TraceLayout
    width: float
    height: float
    labels: float
    """Room for the names of levels [px]"""

    def axes(self, top: float, height: float) -> Axes:
        """A panel whose upper edge stands so far below the top of the sheet [px]."""
        left, across = EDGE + AXIS, self.width - EDGE - AXIS - self.labels - EDGE
        return self.figure.add_axes(
            (left / self.width, 1 - (top + height) / self.height, across / self.width, height / self.height)
        )

    @property
    def across(self) -> float:
        """Width of a panel [px]."""
        return self.width - 2 * EDGE - AXIS - self.labels

    def write(self, text: str, top: float, size: float, *, bold: bool = False) -> None:
        """One line of text, its upper edge so far below the top of the sheet [px]."""
        self.figure.text(
            EDGE / self.width,
            1 - top / self.height,
            text,
            va="top",
            fontsize=size / PX_PER_POINT,
            fontweight="bold" if bold else "normal",
            color=looks.INK,
            parse_math=False,
        )


def draw_trace(layout: TraceLayout, wide: int) -> Figure:
    """The drawing, so many pixels wide and as high as it needs to be."""
    is_phone = wide < PHONE
    most = wide - 2 * EDGE
    title = wrap(layout.title, most, LARGE)
    caption = [line for each in layout.caption for line in wrap(each, most, SMALL)]
    key = tuple(_key(layout, wide))
    tall = 250.0 if is_phone else 300.0
    strip = 52.0 if is_phone else 60.0
    panel = tall + UNDER + FEET + strip + GAP + 2 * SMALL * LINE
    head = EDGE + len(title) * LARGE * LINE + 4
    columns = 1 if is_phone else 3
    rows = -(-len(key) // columns)
    height = head + len(layout.windows) * panel + (rows * LINE * SMALL * 1.15 + GAP) + len(caption) * SMALL * LINE
    height += 2 * EDGE
    labels = max(width(_label(layout, level, short=is_phone), SMALL) for level in layout.levels) + 12
    sheet = _Sheet(
        figure=Figure(figsize=(wide / PX_PER_INCH, height / PX_PER_INCH), dpi=PX_PER_INCH, facecolor="white"),
        layout=layout,
        width=float(wide),
        height=height,
        labels=labels,
    )
    for place, line in enumerate(title):
        sheet.write(line, EDGE + place * LARGE * LINE, LARGE, bold=True)
    top = head
    for place, window in enumerate(layout.windows):
        _panel(sheet, window, top, (tall, strip), is_close=place > 0)
        top += panel
    _draw_key(sheet, key, top, columns)
    top += rows * LINE * SMALL * 1.15 + GAP
    for line in caption:
        sheet.write(line, top, SMALL)
        top += SMALL * LINE
    return sheet.figure


def _panel(sheet: _Sheet, window: Window, top: float, heights: tuple[float, float], *, is_close: bool) -> None:
    """Pressure above, firing below, hours at the foot."""
    unit = unit_of(sheet.layout.system)
    days = sheet.layout.windows[0].end > DAY
    begin = clock(window.begin, days=days)
    head = f"A closer look from {begin} on: pressure, {unit}" if is_close else f"Pressure, {unit}"
    sheet.write(shorten_to_width(head, sheet.width - 2 * EDGE, SMALL), top, SMALL)
    tall, strip = heights
    above = sheet.axes(top + SMALL * LINE, tall)
    middle = top + SMALL * LINE + tall + UNDER
    sheet.write("Firing, share of full fire", middle, SMALL)
    below = sheet.axes(middle + SMALL * LINE, strip)
    dense = _is_dense(sheet.layout, window, sheet.across)
    _levels(sheet, above, tall)
    _pressure(sheet, above, window, dense=dense)
    _marks(sheet, above, window)
    _firing(sheet, below, window, dense=dense)
    places = _ticks(window, sheet.across, _LONG_TICK if days and not is_close else _TICK)
    for axes in (above, below):
        axes.set_xlim(window.begin, window.end)
        axes.set_xticks(places, [])
        axes.tick_params(length=3, labelsize=SMALL / PX_PER_POINT, colors=looks.INK)
        axes.grid(axis="x", color=looks.GRID, linewidth=0.6)
        axes.set_axisbelow(True)
    below.set_xticks(places, [_hour(place, window, days=days and not is_close) for place in places])


def _hour(place: float, window: Window, *, days: bool) -> str:
    """The hour at a tick; in a run of days the day as well, in a close look the hour of its day."""
    if not days:
        return clock(place % DAY if window.begin >= DAY else place, days=False)
    text = clock(place, days=True)
    return text.removesuffix(" 00:00") if text.endswith(" 00:00") else text.split(" ")[-1]


def _is_dense(layout: TraceLayout, window: Window, across: float) -> bool:
    starts = sum(window.begin <= time <= window.end for time in layout.lit)
    return starts > across / DENSE


def _in_unit(layout: TraceLayout, pressure: float) -> float:
    return number_in(Quantity(float(pressure), Dimension.GAUGE_PRESSURE), unit_of(layout.system))


def _per_unit(layout: TraceLayout) -> float:
    return _in_unit(layout, 1e6) / 1e6


def _levels(sheet: _Sheet, axes: Axes, tall: float) -> None:
    """Every level as a line with its name beside the panel; those beyond the scale by name and arrow."""
    layout = sheet.layout
    low, high = (_in_unit(layout, each) for each in (layout.lowest, layout.highest))
    axes.set_ylim(low, high)
    short = sheet.width < PHONE
    wanted = []
    for level in layout.levels:
        place = min(max(_in_unit(layout, level.pressure), low), high)
        wanted.append((place - low) / (high - low) * tall)
        if layout.is_shown(level):
            stroke = looks.LEVELS[level.kind]
            style = (0.0, stroke.dashes) if stroke.dashes else "solid"
            axes.axhline(place, color=looks.INK, linewidth=stroke.width, linestyle=style, zorder=1.5)
    heights = [SMALL * 1.15] * len(wanted)
    for level, at, centre in zip(layout.levels, wanted, spread_labels(wanted, heights, 0.0, tall), strict=True):
        text = _label(layout, level, short=short)
        _name(axes, text, at / tall, centre / tall, across=sheet.across)


def _name(axes: Axes, text: str, at: float, centre: float, *, across: float) -> None:
    """The name of a level, with a line to where it stands."""
    stop, begin = 1.0 + 7.0 / across, 1.0 + 9.0 / across
    axes.plot([1.0, stop], [at, centre], transform=axes.transAxes, color=looks.SOFT, linewidth=0.6, clip_on=False)
    axes.text(
        begin,
        centre,
        text,
        transform=axes.transAxes,
        va="center_baseline",
        fontsize=SMALL / PX_PER_POINT,
        color=looks.INK,
        parse_math=False,
    )


def _label(layout: TraceLayout, level: TraceLevel, *, short: bool) -> str:
    beyond = "" if layout.is_shown(level) else "\u2191 " if level.pressure > layout.highest else "\u2193 "
    return f"{beyond}{level_name(level, short=short)} {number_of(level.pressure, layout.system)}"


def _pressure(sheet: _Sheet, axes: Axes, window: Window, *, dense: bool) -> None:
    points = _within(sheet.layout.pressure, window)
    if len(points.time) == 0:
        return
    factor, pieces = _per_unit(sheet.layout), max(2, int(sheet.across))
    if dense:
        middle, low, high = envelope(points, pieces)
        low, high = _steadied(low, high, _pieces_of_a_cycle(sheet, window))
        axes.fill_between(middle, low * factor, high * factor, color=looks.SWING, linewidth=0, zorder=1.2)
        for edge in (low, high):
            axes.plot(middle, edge * factor, color=looks.INK, linewidth=0.9, zorder=3)
        return
    line = thinned(points, pieces)
    axes.plot(line.time, line.value * factor, color=looks.INK, linewidth=1.2, zorder=3, solid_joinstyle="round")


def _pieces_of_a_cycle(sheet: _Sheet, window: Window) -> int:
    """How many pixels two cycles take, so that each piece of a band sees a whole one."""
    starts = sum(window.begin <= time <= window.end for time in sheet.layout.lit)
    return max(3, round(2 * sheet.across / max(1, starts)))


def _steadied(low: Floats, high: Floats, pieces: int) -> tuple[Floats, Floats]:
    """The lowest and highest of a few neighbours: a band, not a saw, and no peak is lost by it."""
    places = range(len(low))
    half = pieces // 2
    lows = [low[max(0, place - half) : place + half + 1].min() for place in places]
    highs = [high[max(0, place - half) : place + half + 1].max() for place in places]
    return np.array(lows), np.array(highs)


def _within(points: Points, window: Window) -> Points:
    """The points of a window, and the one on either side of it."""
    first = max(0, int(np.searchsorted(points.time, window.begin)) - 1)
    last = min(len(points.time), int(np.searchsorted(points.time, window.end, side="right")) + 1)
    return Points(time=points.time[first:last], value=points.value[first:last])


def _marks(sheet: _Sheet, axes: Axes, window: Window) -> None:
    factor = _per_unit(sheet.layout)
    for kind, events in sheet.layout.marks:
        look = looks.MARKS[kind]
        seen = [event for event in events if window.begin <= event.time <= window.end]
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


def _firing(sheet: _Sheet, axes: Axes, window: Window, *, dense: bool) -> None:
    points, pieces = _within(sheet.layout.firing, window), max(2, int(sheet.across))
    finite = np.isfinite(points.value)
    points = Points(time=points.time[finite], value=points.value[finite])
    axes.set_ylim(0.0, 1.05)
    axes.set_yticks([0.0, 0.5, 1.0], ["0", "50 %", "100 %"])
    if len(points.time) == 0:
        return
    if dense:
        middle, _, high = envelope(points, pieces)
        _, top = _steadied(high, high, _pieces_of_a_cycle(sheet, window))
        axes.fill_between(middle, 0.0, top, color=looks.SWING, linewidth=0)
        axes.plot(middle, top, color=looks.INK, linewidth=0.9)
        return
    line = thinned(points, pieces)
    axes.fill_between(line.time, 0.0, line.value, color=looks.FIRE, linewidth=0)
    axes.plot(line.time, line.value, color=looks.INK, linewidth=0.9)
    for span in sheet.layout.starting:
        if span.end > window.begin and span.begin < window.end:
            axes.axvspan(
                span.begin, span.end, ymax=0.45, facecolor="none", edgecolor=looks.INK, hatch=looks.START_HATCH, lw=0
            )


def _ticks(window: Window, across: float, each: float) -> list[float]:
    """Round times, as many as there is room for when one takes so many pixels."""
    room = max(2, int(across / each))
    steps = (60, 300, 600, 900, 1800, *(HOUR * hours for hours in (1, 2, 3, 6, 12, 24, 48, 72, 168, 336, 720, 2160)))
    span = window.end - window.begin
    step = next((step for step in steps if span / step <= room), span / room)
    first = -(-window.begin // step)
    return [float(place * step) for place in np.arange(first, window.end // step + 1)]


def _key(layout: TraceLayout, wide: int) -> Iterator[tuple[Artist, str]]:
    """What each thing stands for."""
    across = wide - 2 * EDGE - AXIS - 90
    dense = [_is_dense(layout, window, across) for window in layout.windows]
    yield Line2D([], [], color=looks.INK, linewidth=1.2), "pressure in the boiler"
    if any(dense):
        swing = Patch(facecolor=looks.SWING, edgecolor=looks.INK, linewidth=0.9)
        yield swing, f"band it swings in ({len(layout.lit):,} starts)"
    if not all(dense):
        yield Patch(facecolor=looks.FIRE, edgecolor=looks.INK, linewidth=0.9), "firing"
        if layout.starting:
            yield Patch(facecolor="white", edgecolor=looks.INK, hatch=looks.START_HATCH, lw=0), "starting, no flame yet"
    for kind, events in layout.marks:
        look = looks.MARKS[kind]
        symbol = Line2D(
            [],
            [],
            linestyle="none",
            marker=look.symbol,
            markersize=6.5,
            markerfacecolor=looks.INK if look.filled else "white",
            markeredgecolor=looks.INK,
        )
        yield symbol, look.words if len(events) == 1 else f"{look.words} ({len(events):,} times)"


def _draw_key(sheet: _Sheet, key: tuple[tuple[Artist, str], ...], top: float, columns: int) -> None:
    sheet.figure.legend(
        [artist for artist, _ in key],
        [words for _, words in key],
        loc="upper left",
        bbox_to_anchor=(EDGE / sheet.width, 1 - top / sheet.height),
        borderaxespad=0.0,
        borderpad=0.0,
        frameon=False,
        ncols=columns,
        fontsize=SMALL / PX_PER_POINT,
        labelspacing=0.35,
        handlelength=2.4,
        columnspacing=1.6,
    )

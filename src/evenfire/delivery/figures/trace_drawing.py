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
from evenfire.delivery.figures.measured_text import shorten_to_width, wrap
from evenfire.delivery.figures.stack_words import unit_of
from evenfire.delivery.figures.trace_layout import TraceLayout, Window
from evenfire.delivery.figures.trace_panel import (
    DENSE,
    EDGE,
    LARGE,
    LINE,
    PHONE,
    PX_PER_INCH,
    SMALL,
    PanelSize,
    PressureScale,
    draw_key,
    draw_levels,
    draw_marks,
    draw_time_axis,
    mark_in_key,
    write_line,
)
from evenfire.delivery.figures.trace_points import Points, envelope, thinned
from evenfire.delivery.words.clock import DAY, HOUR, clock
from evenfire.physics.motion.records import Floats

GAP: Final = 12.0
AXIS: Final = 44.0
"""Room for the numbers of the pressure scale [px]."""
FEET: Final = 20.0
"""Room for the hours [px]."""
UNDER: Final = 8.0
"""Between the foot of the pressures and the head of the firing [px]."""
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

    @property
    def scale(self) -> PressureScale:
        """Of every panel."""
        return scale_of(self.layout)

    def write(self, text: str, top: float, size: float, *, bold: bool = False) -> None:
        """One line of text, its upper edge so far below the top of the sheet [px]."""
        write_line(self.figure, text, EDGE, top, size, bold=bold)


def scale_of(layout: TraceLayout) -> PressureScale:
    """The pressures of a layout."""
    return PressureScale(system=layout.system, lowest=layout.lowest, highest=layout.highest)


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
    sheet = _Sheet(
        figure=Figure(figsize=(wide / PX_PER_INCH, height / PX_PER_INCH), dpi=PX_PER_INCH, facecolor="white"),
        layout=layout,
        width=float(wide),
        height=height,
        labels=scale_of(layout).room_for(layout.levels, short=is_phone),
    )
    for place, line in enumerate(title):
        sheet.write(line, EDGE + place * LARGE * LINE, LARGE, bold=True)
    top = head
    for place, window in enumerate(layout.windows):
        _panel(sheet, window, top, (tall, strip), is_close=place > 0)
        top += panel
    draw_key(sheet.figure, key, top, columns)
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
    size = PanelSize(across=sheet.across, tall=tall)
    draw_levels(above, sheet.layout.levels, sheet.scale, size, short=sheet.width < PHONE)
    _pressure(sheet, above, window, dense=dense)
    _marks(sheet, above, window)
    _firing(sheet, below, window, dense=dense)
    places = _ticks(window, sheet.across, _LONG_TICK if days and not is_close else _TICK)
    for axes in (above, below):
        draw_time_axis(axes, window.begin, window.end, places)
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


def _pressure(sheet: _Sheet, axes: Axes, window: Window, *, dense: bool) -> None:
    points = _within(sheet.layout.pressure, window)
    if len(points.time) == 0:
        return
    factor, pieces = sheet.scale.per_pascal, max(2, int(sheet.across))
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
    for kind, events in sheet.layout.marks:
        seen = (event for event in events if window.begin <= event.time <= window.end)
        draw_marks(axes, kind, seen, sheet.scale, area=_MARK)


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
        yield mark_in_key(kind), look.words if len(events) == 1 else f"{look.words} ({len(events):,} times)"

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
from evenfire.delivery.figures.measured_text import wrap
from evenfire.delivery.figures.proof_layout import Panel, ProofSheet
from evenfire.delivery.figures.stack_words import unit_of
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
from evenfire.delivery.words.clock import clock
from evenfire.physics.motion.happenings import Happening

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

    @property
    def scale(self) -> PressureScale:
        return scale_of(self.sheet)

    def write(self, text: str, left: float, top: float, size: float, *, bold: bool = False) -> None:
        write_line(self.figure, text, left, top, size, bold=bold)


def scale_of(sheet: ProofSheet) -> PressureScale:
    """The pressures of every panel."""
    return PressureScale(system=sheet.system, lowest=sheet.lowest, highest=sheet.highest)


def draw_sheet(sheet: ProofSheet, wide: int) -> Figure:
    """The sheet, so many pixels wide and as high as it needs to be."""
    columns = 1 if wide < PHONE or len(sheet.panels) == 1 else 2
    column = (wide - 2 * EDGE - (columns - 1) * GAP) / columns
    title, lead, caption = (
        [line for text in texts if text for line in wrap(text, wide - 2 * EDGE, size)]
        for texts, size in (((sheet.title,), LARGE), (sheet.lead, SMALL), (sheet.caption, SMALL))
    )
    key = tuple(_key(sheet, column))
    rows = -(-len(key) // columns)
    tall = TALL_OF_MANY if sheet.is_small_multiples else TALL
    head = EDGE + len(title) * LARGE * LINE + len(lead) * SMALL * LINE + GAP
    foot = rows * SMALL * LINE * 1.15 + GAP + len(caption) * SMALL * LINE + EDGE
    body = -(-len(sheet.panels) // columns) * (SMALL * LINE + tall + BETWEEN + STRIP + FEET + GAP)
    high = head + body + foot
    frame = _Frame(
        figure=Figure(figsize=(wide / PX_PER_INCH, high / PX_PER_INCH), dpi=PX_PER_INCH, facecolor="white"),
        sheet=sheet,
        wide=float(wide),
        high=high,
        column=column,
        labels=scale_of(sheet).room_for(sheet.panels[0].trace.levels, short=True),
        tall=tall,
    )
    _write(frame, title, lead)
    for place, panel in enumerate(sheet.panels):
        row, across = divmod(place, columns)
        _panel(frame, panel, EDGE + across * (column + GAP), head + row * frame.panel)
    top = head + body
    draw_key(frame.figure, key, top, columns)
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
    draw_levels(above, panel.trace.levels, frame.scale, PanelSize(across=frame.across, tall=frame.tall), short=True)
    dense = _is_dense(sheet, panel, frame.across)
    _pressure(frame, above, panel, dense=dense)
    _marks(frame, above, panel)
    _firing(frame, below, panel, dense=dense)
    places = _ticks(sheet, frame.across)
    for axes in (above, below):
        draw_time_axis(axes, sheet.window.begin, sheet.window.end, places)
    below.set_xticks(places, [clock(place, days=False) for place in places])


def _pressure(frame: _Frame, axes: Axes, panel: Panel, *, dense: bool) -> None:
    points = _within(panel.trace.pressure, frame.sheet)
    if len(points.time) == 0:
        return
    factor, pieces = frame.scale.per_pascal, max(2, int(frame.across))
    if dense:
        middle, low, high = envelope(points, max(2, int(frame.across / (3 * DENSE))))
        axes.fill_between(middle, low * factor, high * factor, color=looks.SWING, linewidth=0, zorder=2)
        for edge in (low, high):
            axes.plot(middle, edge * factor, color=looks.INK, linewidth=0.9, zorder=3)
        return
    line = thinned(points, pieces)
    axes.plot(line.time, line.value * factor, color=looks.INK, linewidth=1.5, zorder=3, solid_joinstyle="round")


def _marks(frame: _Frame, axes: Axes, panel: Panel) -> None:
    for kind, events in panel.trace.marks:
        # A valve that chatters is marked where it lifts first: more would hide the line.
        first = [event for event in events if event.time <= frame.sheet.window.end][:1]
        draw_marks(axes, kind, first, frame.scale, area=_MARK)


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
        yield mark_in_key(kind), look.words if seen[kind] == 1 else f"{look.words}, the first time"

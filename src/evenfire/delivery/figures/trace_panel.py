"""What every panel of pressure over time has: levels with their names, marks, and the key that explains them.

Sizes are in the pixels of a screen of 96 to the inch.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from evenfire.delivery.figures import trace_looks as looks
from evenfire.delivery.figures.measured_text import width
from evenfire.delivery.figures.spread_labels import spread_labels
from evenfire.delivery.figures.stack_words import number_of, unit_of
from evenfire.delivery.figures.trace_layout import TraceLevel, level_name
from evenfire.delivery.units import UnitSystem, number_in
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.run import Event
from evenfire.si import Dimension, Quantity

PX_PER_INCH: Final = 96.0
PX_PER_POINT: Final = PX_PER_INCH / 72.0
PHONE: Final = 600
"""A narrower drawing has a single column [px]."""
SMALL: Final = 11.0
"""Type: smaller cannot be read on a phone held at arm's length [px]."""
LARGE: Final = 14.0
LINE: Final = 1.35
"""Height of a line of type, per its size [1]."""
EDGE: Final = 8.0
DENSE: Final = 6.0
"""Starts closer together than this are drawn as a band from the lowest to the highest pressure [px]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureScale:
    """The pressures that a panel shows, and how the reader counts them."""

    system: UnitSystem
    lowest: float
    """[Pa gauge]"""
    highest: float
    """[Pa gauge]"""

    def in_unit(self, pressure: float) -> float:
        """A gauge pressure [Pa] in the reader's unit."""
        return number_in(Quantity(float(pressure), Dimension.GAUGE_PRESSURE), unit_of(self.system))

    @property
    def per_pascal(self) -> float:
        """What a pascal is in the reader's unit."""
        return self.in_unit(1e6) / 1e6

    def shows(self, level: TraceLevel) -> bool:
        """Whether a level stands within the panel."""
        return self.lowest <= level.pressure <= self.highest

    def label(self, level: TraceLevel, *, short: bool) -> str:
        """Name and pressure of a level, with an arrow when it stands beyond the panel."""
        beyond = "" if self.shows(level) else "\u2191 " if level.pressure > self.highest else "\u2193 "
        return f"{beyond}{level_name(level, short=short)} {number_of(level.pressure, self.system)}"

    def room_for(self, levels: Iterable[TraceLevel], *, short: bool) -> float:
        """Width that the names of levels take beside a panel [px]."""
        return max((width(self.label(level, short=short), SMALL) for level in levels), default=-12.0) + 12


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelSize:
    """[px]"""

    across: float
    tall: float


def draw_levels(
    axes: Axes, levels: tuple[TraceLevel, ...], scale: PressureScale, size: PanelSize, *, short: bool
) -> None:
    """Every level as a line with its name beside the panel; those beyond the scale by name and arrow."""
    axes.set_ylim(scale.in_unit(scale.lowest), scale.in_unit(scale.highest))
    wanted = []
    for level in levels:
        place = min(max(level.pressure, scale.lowest), scale.highest)
        wanted.append((place - scale.lowest) / (scale.highest - scale.lowest) * size.tall)
        if scale.shows(level):
            stroke = looks.LEVELS[level.kind]
            style = (0.0, stroke.dashes) if stroke.dashes else "solid"
            line = scale.in_unit(place)
            axes.axhline(line, color=looks.INK, linewidth=stroke.width, linestyle=style, zorder=1.5)
    heights = [SMALL * 1.15] * len(wanted)
    for level, at, centre in zip(levels, wanted, spread_labels(wanted, heights, 0.0, size.tall), strict=True):
        _name(axes, scale.label(level, short=short), at / size.tall, centre / size.tall, across=size.across)


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


def draw_marks(axes: Axes, kind: Happening, events: Iterable[Event], scale: PressureScale, *, area: float) -> None:
    """A mark where each event happened; ``area`` is in square points."""
    look, seen = looks.MARKS[kind], tuple(events)
    axes.scatter(
        [event.time for event in seen],
        [event.pressure * scale.per_pascal for event in seen],
        marker=look.symbol,
        s=area,
        facecolors=looks.INK if look.filled else "white",
        edgecolors=looks.INK,
        linewidths=1.0,
        zorder=5,
        clip_on=False,
    )


def mark_in_key(kind: Happening) -> Line2D:
    """The mark of an event as the key shows it."""
    look = looks.MARKS[kind]
    return Line2D(
        [],
        [],
        linestyle="none",
        marker=look.symbol,
        markersize=6.5,
        markerfacecolor=looks.INK if look.filled else "white",
        markeredgecolor=looks.INK,
    )


def draw_time_axis(axes: Axes, begin: float, end: float, places: list[float]) -> None:
    """Times from begin to end [s] with a faint line at each place; only the lowest panel writes them."""
    axes.set_xlim(begin, end)
    axes.set_xticks(places, [])
    axes.tick_params(length=3, labelsize=SMALL / PX_PER_POINT, colors=looks.INK)
    axes.grid(axis="x", color=looks.GRID, linewidth=0.6)
    axes.set_axisbelow(True)


def write_line(figure: Figure, text: str, left: float, top: float, size: float, *, bold: bool = False) -> None:
    """One line of text, its upper left corner so far from that of the figure [px]."""
    wide, high = (inches * PX_PER_INCH for inches in figure.get_size_inches())
    figure.text(
        left / wide,
        1 - top / high,
        text,
        va="top",
        fontsize=size / PX_PER_POINT,
        fontweight="bold" if bold else "normal",
        color=looks.INK,
        parse_math=False,
    )


def draw_key(figure: Figure, key: tuple[tuple[Artist, str], ...], top: float, columns: int) -> None:
    """What each thing stands for, from so far below the top of the figure [px]."""
    wide, high = (inches * PX_PER_INCH for inches in figure.get_size_inches())
    figure.legend(
        [artist for artist, _ in key],
        [words for _, words in key],
        loc="upper left",
        bbox_to_anchor=(EDGE / wide, 1 - top / high),
        borderaxespad=0.0,
        borderpad=0.0,
        frameon=False,
        ncols=columns,
        fontsize=SMALL / PX_PER_POINT,
        labelspacing=0.35,
        handlelength=2.4,
        columnspacing=1.6,
    )

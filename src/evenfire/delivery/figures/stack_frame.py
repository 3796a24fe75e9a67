"""Where everything of the drawn pressure stack stands [px]; no drawing, so that it can be tested by itself."""

from dataclasses import dataclass
from typing import Final

from evenfire.delivery.figures.measured_text import shorten_to_width, width
from evenfire.delivery.figures.pressure_scale import ticks
from evenfire.delivery.figures.spread_labels import spread_labels
from evenfire.delivery.figures.stack_levels import Label, SetOfSettings, StackLayout
from evenfire.delivery.figures.stack_words import (
    longest_fraction,
    missing_fraction,
    name_that_fits,
    number_of,
    tolerance_of,
    unit_of,
)
from evenfire.delivery.units import UnitSystem, number_in
from evenfire.si import Dimension, Quantity

NARROWEST: Final = 340
"""No narrower drawing is made: type would be too small to read [px]."""
ROOMY_FROM: Final = 560
"""From this width on the roomy sizes are used [px]."""
MOST_TICKS: Final = 14
TICK: Final = 4.0
"""Length of a tick [px]."""
LABEL_AIR: Final = 1.25
"""Height for labels where they fill the scale, as a share of what they need [1]."""
BOLD: Final = 1.08
"""Width of bold type as a share of usual type [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """Sizes that depend on how wide the drawing is [px]."""

    margin: float
    small: float
    """Type of ticks and remarks"""
    usual: float
    """Type of labels"""
    large: float
    """Type of the title"""
    row: float
    """Height of a label"""
    ticks: float
    """Least width of the column of tick numbers"""
    panels: float
    """Width of all panels together"""
    gap: float
    """Between two panels"""
    leader: float
    """Width of the column of leaders"""
    least_height: float
    """Of the scale"""


NARROW: Final = Sizes(
    margin=7, small=11, usual=12, large=15, row=16, ticks=26, panels=112, gap=6, leader=14, least_height=470
)
ROOMY: Final = Sizes(
    margin=16, small=12, usual=13.5, large=18, row=19, ticks=36, panels=320, gap=12, leader=28, least_height=500
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A rectangle."""

    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedLabel:
    """A label with its place."""

    label: Label
    level_y: float
    """Where the pressure stands on the scale"""
    box: Box
    number: str
    unseen: str
    """Digits that are not shown but keep their place, so that numbers stand under each other by the point"""
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedTick:
    """A round pressure on the scale."""

    y: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelColumns:
    """Where the parts of every label stand."""

    left: float
    number_right: float
    """End of the numbers"""
    mark: float
    """Middle of the mark that says whose level it is"""
    words: float
    """Start of the words"""
    right: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """The drawn stack: scale, panels and labels."""

    layout: StackLayout
    sizes: Sizes
    width: float
    plot: Box
    """All panels together, from the foot of the scale to its head"""
    panels: tuple[tuple[SetOfSettings, Box], ...]
    ticks: tuple[PlacedTick, ...]
    columns: LabelColumns
    labels: tuple[PlacedLabel, ...]

    def y_of(self, pressure: float) -> float:
        """Where a pressure [Pa gauge] stands."""
        return _y_of(self.layout, self.plot, pressure)


def frame_of(layout: StackLayout, system: UnitSystem, total_width: float, top: float) -> Frame:
    """Place panels and labels under ``top`` in a drawing of this width [px]; many labels make it taller."""
    sizes = sizes_for(total_width)
    height = max(sizes.least_height, LABEL_AIR * sizes.row * len(layout.labels))
    round_pressures = _round_pressures(layout, system)
    widest = max((width(number_of(pressure, system), sizes.small) for pressure in round_pressures), default=0.0)
    left = sizes.margin + max(sizes.ticks, widest + TICK + 2)
    plot = Box(left=left, top=top, right=left + sizes.panels, bottom=top + height)
    columns = _columns(layout, system, plot, sizes, total_width - sizes.margin)
    return Frame(
        layout=layout,
        sizes=sizes,
        width=total_width,
        plot=plot,
        panels=_panels(layout, plot, sizes.gap),
        ticks=tuple(
            PlacedTick(y=_y_of(layout, plot, pressure), words=number_of(pressure, system))
            for pressure in round_pressures
        ),
        columns=columns,
        labels=_placed(layout, system, plot, sizes, columns),
    )


def sizes_for(total_width: float) -> Sizes:
    """The sizes for a drawing of this width [px]."""
    return ROOMY if total_width >= ROOMY_FROM else NARROW


def _round_pressures(layout: StackLayout, system: UnitSystem) -> tuple[float, ...]:
    """Pressures [Pa gauge] that are round in the reader's unit, on the piece that carries the working pressures."""
    unit = 1.0 / number_in(Quantity(1.0, Dimension.GAUGE_PRESSURE), unit_of(system))
    return ticks(layout.scale.main, unit, MOST_TICKS)


def _columns(layout: StackLayout, system: UnitSystem, plot: Box, sizes: Sizes, right: float) -> LabelColumns:
    left = plot.right + sizes.leader
    numbers = [number_of(label.pressure, system) for label in layout.labels]
    longest = longest_fraction(numbers)
    widest = max(width(number + missing_fraction(number, longest), sizes.usual) for number in numbers)
    number_right = left + BOLD * widest
    mark = number_right + 0.85 * sizes.usual
    return LabelColumns(left=left, number_right=number_right, mark=mark, words=mark + 0.8 * sizes.usual, right=right)


def _panels(layout: StackLayout, plot: Box, gap: float) -> tuple[tuple[SetOfSettings, Box], ...]:
    count = len(layout.sets)
    each_width = (plot.right - plot.left - gap * (count - 1)) / count
    panels = []
    for index, each in enumerate(layout.sets):
        left = plot.left + index * (each_width + gap)
        panels.append((each, Box(left=left, top=plot.top, right=left + each_width, bottom=plot.bottom)))
    return tuple(panels)


def _placed(
    layout: StackLayout, system: UnitSystem, plot: Box, sizes: Sizes, columns: LabelColumns
) -> tuple[PlacedLabel, ...]:
    wanted = [_y_of(layout, plot, label.pressure) for label in layout.labels]
    centres = spread_labels(wanted, [sizes.row] * len(wanted), plot.top, plot.bottom)
    longest = longest_fraction(number_of(label.pressure, system) for label in layout.labels)
    placed = []
    for label, level_y, centre in zip(layout.labels, wanted, centres, strict=True):
        box = Box(left=columns.left, top=centre - sizes.row / 2, right=columns.right, bottom=centre + sizes.row / 2)
        words = _words(label, layout, system, sizes, columns.right - columns.words)
        number = number_of(label.pressure, system)
        unseen = missing_fraction(number, longest)
        placed.append(PlacedLabel(label=label, level_y=level_y, box=box, number=number, unseen=unseen, words=words))
    return tuple(placed)


def _words(label: Label, layout: StackLayout, system: UnitSystem, sizes: Sizes, room: float) -> str:
    """Name and tolerance; where there is no room it is the name that is shortened."""
    tolerance = tolerance_of(label, system)
    left = room - width(f" {tolerance}", sizes.usual) if tolerance else room
    name = name_that_fits(label, layout, lambda name: width(name, sizes.usual) <= left, full=sizes is ROOMY)
    return f"{shorten_to_width(name, left, sizes.usual)} {tolerance}".rstrip()


def _y_of(layout: StackLayout, plot: Box, pressure: float) -> float:
    return plot.bottom - (plot.bottom - plot.top) * layout.scale.height_of(pressure)

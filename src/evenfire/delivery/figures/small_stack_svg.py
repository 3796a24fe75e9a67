"""The small pressure stack as a drawing: a gauge glass filled with fire, its levels named beside it."""

from collections.abc import Iterator
from typing import Final
from xml.sax.saxutils import escape

from evenfire.delivery.figures import stack_looks as looks
from evenfire.delivery.figures.measured_text import shorten_to_width, width
from evenfire.delivery.figures.small_stack import (
    BOTTOM,
    HEIGHT,
    TOP,
    WIDTH,
    SmallLabel,
    SmallStack,
    small_stack,
    small_stack_in_words,
)
from evenfire.delivery.figures.stack_labels import COLUMNS, LEVELS
from evenfire.delivery.figures.stack_levels import StackLayout
from evenfire.delivery.figures.svg_elements import Type, element, line, number, polygon, polyline, rectangle, text
from evenfire.delivery.units import UnitSystem

LEFT, RIGHT = 3.0, 31.0
"""Walls of the gauge [px]."""
BEND, NUMBER, SMALL = 34.0, 12.0, 11.0
"""Where leaders leave the gauge, and sizes of type [px]."""
GAP: Final = 4.0
"""Between a leader and a number, and a number and a name [px]."""
BOLD = 1.08
"""How much wider bold type is [1]."""


def small_stack_svg(layout: StackLayout, system: UnitSystem) -> str:
    """The small stack as one self-contained SVG document."""
    small = small_stack(layout, system)
    attributes: dict[str, str | float] = {
        "xmlns": "http://www.w3.org/2000/svg",
        "viewBox": f"0 0 {number(WIDTH)} {number(HEIGHT)}",
        "width": WIDTH,
        "height": HEIGHT,
        "role": "img",
        "font-family": "system-ui, sans-serif",
    }
    title = element("title", {}, escape(small_stack_in_words(layout, system)))
    page = element("rect", {"width": WIDTH, "height": HEIGHT} | looks.PAGE.attributes)
    head = text(LEFT, SMALL, f"{small.unit}, {COLUMNS[small.column]}", Type(size=SMALL))
    body = [*_gauge(small), *(part for label in small.labels for part in _label(label, _words_at(small)))]
    return element("svg", attributes, title, element("style", {}, looks.style_sheet()), page, head, *body) + "\n"


def _gauge(small: SmallStack) -> Iterator[str]:
    yield rectangle(LEFT, TOP, RIGHT - LEFT, BOTTOM - TOP, looks.PANEL)
    path = [(LEFT + firing * (RIGHT - LEFT), y) for firing, y in small.fire]
    if path:
        yield polygon([(LEFT, path[0][1]), *path, (LEFT, path[-1][1])], looks.FIRE[small.column])
        yield polyline([*path, (LEFT, path[-1][1])], looks.LEADER)
    for upper, lower in small.breaks:
        yield rectangle(LEFT - 2, upper, RIGHT - LEFT + 4, lower - upper, looks.BREAK)
        yield from (line(LEFT - 2, y + 1, RIGHT + 2, y - 1, looks.BREAK_EDGE) for y in (upper, lower))


def _words_at(small: SmallStack) -> float:
    """Where all the names begin: after the widest number."""
    widest = max((width(label.number, NUMBER) for label in small.labels), default=0.0)
    return BEND + 2 * GAP + BOLD * widest + GAP


def _label(label: SmallLabel, words_at: float) -> Iterator[str]:
    baseline = label.y + 0.36 * NUMBER
    if label.level_y is not None:
        yield line(LEFT, label.level_y, RIGHT, label.level_y, looks.LEVEL_LOOKS[label.kind])
        yield polyline(
            [(RIGHT, label.level_y), (BEND, label.level_y), (BEND + GAP, label.y), (BEND + 2 * GAP - 2, label.y)],
            looks.LEADER,
        )
    yield text(words_at - GAP, baseline, label.number, Type(size=NUMBER, bold=True, anchor="end"))
    name = shorten_to_width(LEVELS[label.kind].least, WIDTH - words_at, SMALL)
    yield text(words_at, baseline, name, Type(size=SMALL))

"""What lies under the drawn stack: steady loads, sentences, and what each sign means in plain words."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from evenfire.delivery.figures import stack_looks as looks
from evenfire.delivery.figures.firing_line import FiringLine, Steady
from evenfire.delivery.figures.firing_path import falling_path
from evenfire.delivery.figures.measured_text import wrap
from evenfire.delivery.figures.stack_frame import Sizes
from evenfire.delivery.figures.stack_labels import COLUMNS
from evenfire.delivery.figures.stack_levels import LevelKind, StackLayout
from evenfire.delivery.figures.stack_panels import AT_LEAST, AT_MOST, arrow, bound_sign, diamond, working_sign
from evenfire.delivery.figures.stack_words import longest_fraction, missing_fraction, table_of, unit_of
from evenfire.delivery.figures.svg_elements import Look, Type, line, padded_number, rectangle, text
from evenfire.delivery.units import UnitSystem

LEADING = 1.35
"""From one line of text to the next, as a share of the size of its type [1]."""
SWATCH = 24.0
"""Width of a sign in the key [px]."""

FIRST_CELL, CELL = 14.0, 6.0
"""Widths of the columns of the table, as multiples of the size of its type [1]."""

Draw = Callable[[float, float], str]


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the drawing, and where the next one may begin."""

    markup: str
    bottom: float
    """[px]"""


@dataclass(frozen=True, slots=True)
class _Sign:
    draw: Draw
    """From the left end of the sign and its middle [px]"""
    words: str


def table_part(layout: StackLayout, system: UnitSystem, sizes: Sizes, right: float, top: float) -> Part:
    """Steady loads and how far the pressure goes; nothing where no such number is known."""
    rows = table_of(layout, system)
    if not rows:
        return Part("", top)
    step, cell = LEADING * sizes.usual, CELL * sizes.usual
    first = min(FIRST_CELL * sizes.usual, right - sizes.margin - cell * len(layout.sets))
    longest = longest_fraction(cell for row in rows for cell in row.cells)
    heads = (f"Pressure, {unit_of(system)}", *(COLUMNS[each.column] for each in layout.sets))
    markup = []
    y = top
    for index, (words, *cells) in enumerate([heads, *((row.words, *row.cells) for row in rows)]):
        y += step
        bold = index == 0
        markup.append(text(sizes.margin, y, words, Type(size=sizes.usual, bold=bold)))
        for place, each in enumerate(cells, start=1):
            x = sizes.margin + first + place * cell
            unseen = "" if bold else missing_fraction(each, longest)
            markup.append(padded_number(x, y, each, unseen, Type(size=sizes.usual, bold=bold)))
    return Part("".join(markup), y + 0.4 * step)


def table_right(layout: StackLayout, sizes: Sizes) -> float:
    """Right end of the table where it has room [px]."""
    return sizes.margin + (FIRST_CELL + CELL * len(layout.sets)) * sizes.usual


def sentence_part(told: Iterable[str], size: float, left: float, right: float, top: float) -> Part:
    """Sentences between two edges [px]."""
    markup = []
    y = top
    for sentence in told:
        for words in wrap(sentence, right - left, size):
            y += LEADING * size
            markup.append(text(left, y, words, Type(size=size)))
        y += 0.35 * size
    return Part("".join(markup), y)


def key_part(layout: StackLayout, sizes: Sizes, right: float, top: float, columns: int) -> Part:
    """The signs and what they mean, in so many columns."""
    step = LEADING * sizes.small
    each_width = (right - sizes.margin) / columns
    words_width = each_width - SWATCH - 14
    signs = [(sign, wrap(sign.words, words_width, sizes.small)) for sign in _signs(layout)]
    share = -(-len(signs) // columns)
    markup = [text(sizes.margin, top + step, "What the signs mean", Type(size=sizes.small, bold=True))]
    bottom = top
    for column in range(columns):
        y, x = top + 1.5 * step, sizes.margin + column * each_width
        for sign, words in signs[column * share : (column + 1) * share]:
            markup.append(sign.draw(x, y + 0.62 * step))
            for index, each in enumerate(words):
                markup.append(text(x + SWATCH + 6, y + step * (index + 0.9), each, Type(size=sizes.small)))
            y += step * len(words) + 0.35 * step
        bottom = max(bottom, y)
    return Part("".join(markup), bottom)


def _signs(layout: StackLayout) -> Iterator[_Sign]:
    kinds = {level.kind for level in layout.levels}
    lines = [each.line for each in layout.sets if isinstance(each.line, FiringLine)]
    if len(layout.sets) > 1:
        for each in layout.sets:
            yield _Sign(_mark(looks.MARK[each.column]), f"a level of the settings {COLUMNS[each.column]}")
    if lines:
        column = layout.sets[0].column
        yield _Sign(_patch(looks.FIRE[column]), "fire while the pressure rises: full width is full fire")
    if any(firing.stops_before_low_fire for firing in lines):
        yield _Sign(_stroke(looks.BEYOND), "line above the stop: the burner is off before")
    if any(falling_path(firing) for firing in lines):
        yield _Sign(_stroke(looks.BACK), "the way back down to full fire")
    if any(level.tolerance is not None for level in layout.levels):
        yield _Sign(_patch(looks.TOLERANCE), "where a control may act by its tolerance")
    if {LevelKind.CUT_OUT, LevelKind.CUT_IN} <= kinds:
        yield _Sign(_upright(looks.OFF), "the burner stays off, from cut-out down to cut-in")
    if any(level.reach is not None for level in layout.levels):
        yield _Sign(_reach, "how far the pressure goes on, at worst")
    steady = {point.steady for firing in lines for point in firing.working}
    if Steady.STANDS in steady:
        yield _Sign(_dot(stands=True), "where the pressure stands at a steady load")
    if steady - {Steady.STANDS}:
        yield _Sign(_dot(stands=False), "a steady load that the burner cannot follow")
    if LevelKind.SAFETY_VALVE in kinds:
        yield _Sign(_patch(looks.VALVE_ZONE), "a safety valve may lift here")
    yield _Sign(_patch(looks.FORBIDDEN), "above MAWP")
    for bounds, words in ((AT_LEAST, "pressure belongs above this"), (AT_MOST, "pressure belongs below this")):
        for kind in [kind for kind in LevelKind if kind in bounds & kinds][-1:]:
            yield _Sign(_bound(kind), words)


def _patch(look: Look) -> Draw:
    return lambda x, y: rectangle(x, y - 5, SWATCH, 10, look) + rectangle(x, y - 5, SWATCH, 10, looks.PATCH_EDGE)


def _stroke(look: Look) -> Draw:
    return lambda x, y: line(x, y, x + SWATCH, y, look)


def _upright(look: Look) -> Draw:
    return lambda x, y: line(x + SWATCH / 2, y - 6, x + SWATCH / 2, y + 6, look)


def _mark(look: Look) -> Draw:
    return lambda x, y: diamond(x + SWATCH / 2, y, look)


def _reach(x: float, y: float) -> str:
    return "".join(arrow(x + SWATCH / 2, y + 6, y - 6))


def _dot(*, stands: bool) -> Draw:
    return lambda x, y: "".join(working_sign(x + SWATCH / 2, y, stands=stands))


def _bound(kind: LevelKind) -> Draw:
    return lambda x, y: line(x, y, x + SWATCH, y, looks.LEVEL_LOOKS[kind]) + bound_sign(kind, x + SWATCH / 2, y)

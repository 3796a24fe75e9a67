"""The pressure stack as a drawing: SVG for a telephone at a boiler and for a page in a binder."""

from collections.abc import Iterator
from xml.sax.saxutils import escape

from evenfire.delivery.figures import stack_looks as looks
from evenfire.delivery.figures.measured_text import printable, shorten_to_width, width
from evenfire.delivery.figures.stack_frame import (
    BOLD,
    NARROWEST,
    ROOMY,
    TICK,
    Frame,
    PlacedLabel,
    Sizes,
    frame_of,
    sizes_for,
)
from evenfire.delivery.figures.stack_key import LEADING, Part, key_part, sentence_part, table_part, table_right
from evenfire.delivery.figures.stack_labels import COLUMNS
from evenfire.delivery.figures.stack_levels import Column, Label, StackLayout
from evenfire.delivery.figures.stack_panels import bound_sign, diamond, panels
from evenfire.delivery.figures.stack_words import names_of, number_of, sentences, title_of, tolerance_of, unit_of
from evenfire.delivery.figures.svg_elements import Type, element, line, number, padded_number, polyline, text
from evenfire.delivery.units import UnitSystem


def stack_svg(layout: StackLayout, system: UnitSystem, width: float = 360) -> str:
    """The stack as one self-contained SVG document.

    Parameters
    ----------
    layout
        What to draw.
    system
        Units of the reader.
    width
        Of the drawing [px], at least 340; from 560 on sizes are roomy and names written out. The height follows.
    """
    width = max(width, NARROWEST)
    sizes = sizes_for(width)
    right = width - sizes.margin
    head_bottom = sizes.margin + 1.25 * sizes.large + LEADING * sizes.usual
    frame = frame_of(layout, system, width, head_bottom + 2.7 * LEADING * sizes.small)
    below = frame.plot.bottom + 3.2 * sizes.small
    table = table_part(layout, system, sizes, right, below)
    told = _told(layout, system, sizes, right, below, table)
    key_top = max(table.bottom, told.bottom) + 0.8 * sizes.usual
    key = key_part(layout, sizes, right, key_top, columns=2 if sizes is ROOMY else 1)
    body = [*_title(layout, sizes, right), *_heads(frame, system, head_bottom), *_axis(frame)]
    body += [*panels(frame), *_shares(frame), *(part for label in frame.labels for part in _label(frame, label))]
    return _document(layout, system, width, key.bottom + sizes.margin, [*body, table.markup, told.markup, key.markup])


def _told(layout: StackLayout, system: UnitSystem, sizes: Sizes, right: float, top: float, table: Part) -> Part:
    """The sentences: under the table, or beside it where there is room."""
    words = sentences(layout, system)
    if sizes is not ROOMY or not table.markup:
        return sentence_part(words, sizes.usual, sizes.margin, right, table.bottom)
    return sentence_part(words, sizes.small, table_right(layout, sizes) + 2 * sizes.usual, right, top)


def _document(layout: StackLayout, system: UnitSystem, width: float, height: float, body: list[str]) -> str:
    attributes: dict[str, str | float] = {
        "xmlns": "http://www.w3.org/2000/svg",
        "viewBox": f"0 0 {number(width)} {number(height)}",
        "width": width,
        "height": height,
        "role": "img",
        "font-family": "system-ui, sans-serif",
    }
    page = element("rect", {"width": width, "height": height} | looks.PAGE.attributes)
    title = element("title", {}, escape(f"Pressure stack of {title_of(layout)}"))
    description = element("desc", {}, escape(_description(layout, system)))
    style = element("style", {}, looks.style_sheet())
    return element("svg", attributes, title, description, style, looks.patterns(), page, *body) + "\n"


def _description(layout: StackLayout, system: UnitSystem) -> str:
    """The levels in words, for whoever cannot see the drawing."""
    levels = "; ".join(_described(label, layout, system) for label in layout.labels)
    return " ".join((f"From the highest pressure down, in {unit_of(system)}: {levels}.", *sentences(layout, system)))


def _described(label: Label, layout: StackLayout, system: UnitSystem) -> str:
    owners = [COLUMNS[column] for column in label.columns if column is not Column.PLANT]
    parts = (
        names_of(label, layout, full=True)[0],
        " and ".join(owners),
        number_of(label.pressure, system),
        tolerance_of(label, system),
    )
    return " ".join(part for part in parts if part)


def _title(layout: StackLayout, sizes: Sizes, right: float) -> Iterator[str]:
    room = right - sizes.margin
    y = sizes.margin + sizes.large
    boiler = shorten_to_width(printable(layout.boiler), room / BOLD, sizes.large)
    yield text(sizes.margin, y, boiler, Type(size=sizes.large, bold=True))
    site = shorten_to_width(printable(layout.site), room, sizes.usual)
    yield text(sizes.margin, y + LEADING * sizes.usual, site, Type(size=sizes.usual))


def _heads(frame: Frame, system: UnitSystem, top: float) -> Iterator[str]:
    """Unit above the ticks, names of the sets above their panels, what the labels are above these."""
    sizes = frame.sizes
    y = top + 1.3 * LEADING * sizes.small
    yield text(frame.plot.left - 5, frame.plot.top - 6, unit_of(system), Type(size=sizes.small, anchor="end"))
    for each, box in frame.panels:
        middle = (box.left + box.right) / 2
        yield text(middle, y, COLUMNS[each.column], Type(size=sizes.small, bold=True, anchor="middle"))
        if len(frame.panels) > 1:
            yield diamond(middle, frame.plot.top - 9, looks.MARK[each.column])
    yield text(frame.columns.left, y, "pressure at the boiler", Type(size=sizes.small))


def _axis(frame: Frame) -> Iterator[str]:
    left, size = frame.plot.left, frame.sizes.small
    for tick in frame.ticks:
        yield line(left - TICK, tick.y, left, tick.y, looks.AXIS)
        yield text(left - TICK - 2, tick.y + 0.36 * size, tick.words, Type(size=size, anchor="end"))


def _shares(frame: Frame) -> Iterator[str]:
    """What the width of a panel means."""
    y = frame.plot.bottom + 1.25 * frame.sizes.small
    size = frame.sizes.small
    for _, box in frame.panels:
        yield text(box.left, y, "0", Type(size=size))
        yield text(box.right, y, "100 %", Type(size=size, anchor="end"))
    yield text(frame.plot.left, y + LEADING * size, "share of full fire", Type(size=size))


def _label(frame: Frame, placed: PlacedLabel) -> Iterator[str]:
    columns, sizes, plot = frame.columns, frame.sizes, frame.plot
    middle = (placed.box.top + placed.box.bottom) / 2
    baseline = middle + 0.36 * sizes.usual
    start = columns.number_right - BOLD * width(placed.number + placed.unseen, sizes.usual) - 2
    yield from _carry(frame, placed)
    bend = plot.right + 0.25 * sizes.leader, columns.left - 0.2 * sizes.leader
    corners = [(plot.right, placed.level_y), (bend[0], placed.level_y), (bend[1], middle), (start, middle)]
    yield polyline(corners, looks.LEADER)
    bold = Type(size=sizes.usual, bold=True)
    yield padded_number(columns.number_right, baseline, placed.number, placed.unseen, bold)
    yield from _sign(frame, placed, middle)
    yield text(columns.words, baseline, placed.words, Type(size=sizes.usual))


def _carry(frame: Frame, placed: PlacedLabel) -> Iterator[str]:
    """A faint line from the panel that has the level across those to its right that have not."""
    for (each, box), (following, _) in zip(frame.panels, frame.panels[1:], strict=False):
        if each.column in placed.label.columns and following.column not in placed.label.columns:
            yield line(box.right, placed.level_y, frame.plot.right, placed.level_y, looks.CARRY)


def _sign(frame: Frame, placed: PlacedLabel, y: float) -> Iterator[str]:
    """Whose level it is where there are two sets; else, and for the plant, a piece of the level's own line."""
    kind, x = placed.label.kind, frame.columns.mark
    owners = [column for column in placed.label.columns if column is not Column.PLANT]
    if len(frame.panels) == 1 or not owners:
        half = 0.5 * frame.sizes.usual
        yield line(x - half, y, x + half, y, looks.LEVEL_LOOKS[kind])
        yield bound_sign(kind, x, y)
        return
    for index, column in enumerate(owners):
        yield diamond(x + 5.5 * (index - (len(owners) - 1) / 2), y, looks.MARK[column])

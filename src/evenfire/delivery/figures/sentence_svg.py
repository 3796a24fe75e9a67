"""A sentence where a drawing would stand, in the colours of the drawing."""

from xml.sax.saxutils import escape

from evenfire.delivery.figures import stack_looks as looks
from evenfire.delivery.figures.measured_text import wrap
from evenfire.delivery.figures.svg_elements import Type, element, text

MARGIN, LINE = 8.0, 1.4


def sentence_svg(words: str, width: float, size: float = 14.0) -> str:
    """A picture so wide that says only this [px]."""
    lines = wrap(words, width - 2 * MARGIN, size)
    height = 2 * MARGIN + LINE * size * len(lines)
    attributes: dict[str, str | float] = {
        "xmlns": "http://www.w3.org/2000/svg",
        "width": width,
        "height": height,
        "role": "img",
        "font-family": "system-ui, sans-serif",
    }
    told = [
        text(MARGIN, MARGIN + size + LINE * size * place, each, Type(size=size)) for place, each in enumerate(lines)
    ]
    page = element("rect", {"width": width, "height": height} | looks.PAGE.attributes)
    style = element("style", {}, looks.style_sheet())
    return element("svg", attributes, element("title", {}, escape(words)), style, page, *told) + "\n"

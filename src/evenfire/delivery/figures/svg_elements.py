"""Small pieces of SVG, written by hand: escaped text, short numbers, and looks that hold without colour."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How a shape looks in print; a style sheet may colour its class on a screen."""

    name: str
    """Class for the style sheet"""
    fill: str = "none"
    stroke: str = "none"
    width: float = 0.0
    """Of the stroke [px]"""
    dash: str = ""
    """Lengths of dash and gap [px], empty for an unbroken stroke"""

    @property
    def attributes(self) -> dict[str, str | float]:
        """As attributes of an element."""
        found: dict[str, str | float] = {"class": self.name, "fill": self.fill}
        if self.stroke != "none":
            found |= {"stroke": self.stroke, "stroke-width": self.width}
        return found | ({"stroke-dasharray": self.dash} if self.dash else {})


@dataclass(frozen=True, slots=True, kw_only=True)
class Type:
    """How a text looks."""

    size: float
    """[px]"""
    bold: bool = False
    anchor: Anchor = "start"


def number(value: float) -> str:
    """A coordinate to a hundredth, without needless noughts."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def element(name: str, attributes: Mapping[str, str | float], *inside: str) -> str:
    """An element with its attributes escaped; what is inside is markup already."""
    parts = [name]
    for key, value in attributes.items():
        parts.append(f"{key}={quoteattr(value if isinstance(value, str) else number(value))}")
    start = " ".join(parts)
    return f"<{start}>{''.join(inside)}</{name}>" if inside else f"<{start}/>"


def text(x: float, y: float, words: str, look: Type) -> str:
    """A line of text, its baseline at ``y``."""
    return element("text", _text_attributes(x, y, look), escape(words))


def padded_number(x: float, y: float, shown: str, unseen: str, look: Type) -> str:
    """A number that ends at ``x`` less the width of unseen digits, so that numbers stand under each other by the point.

    The digits are there but not painted: their width is right in whatever font the reader has.
    """
    inside = escape(shown) + (element("tspan", {"class": "ps-unseen", "fill": "none"}, unseen) if unseen else "")
    return element("text", _text_attributes(x, y, look) | {"text-anchor": "end"}, inside)


def line(x1: float, y1: float, x2: float, y2: float, look: Look) -> str:
    """A straight line."""
    return element("line", {"x1": x1, "y1": y1, "x2": x2, "y2": y2} | look.attributes)


def rectangle(x: float, y: float, width: float, height: float, look: Look) -> str:
    """A rectangle from its upper left corner."""
    return element("rect", {"x": x, "y": y, "width": width, "height": height} | look.attributes)


def circle(x: float, y: float, radius: float, look: Look) -> str:
    """A circle round its centre."""
    return element("circle", {"cx": x, "cy": y, "r": radius} | look.attributes)


def polyline(corners: Iterable[tuple[float, float]], look: Look) -> str:
    """A line through corners; nothing where there are fewer than two."""
    return _through("polyline", list(corners), look)


def polygon(corners: Iterable[tuple[float, float]], look: Look) -> str:
    """A closed shape; nothing where there are fewer than two corners."""
    return _through("polygon", list(corners), look)


def _through(name: str, corners: list[tuple[float, float]], look: Look) -> str:
    if len(corners) < 2:
        return ""
    points = " ".join(f"{number(x)},{number(y)}" for x, y in corners)
    return element(name, {"points": points} | look.attributes)


def _text_attributes(x: float, y: float, look: Type) -> dict[str, str | float]:
    attributes: dict[str, str | float] = {"class": "ps-ink", "x": x, "y": y, "font-size": look.size, "fill": "#000"}
    if look.bold:
        attributes["font-weight"] = "700"
    if look.anchor != "start":
        attributes["text-anchor"] = look.anchor
    return attributes

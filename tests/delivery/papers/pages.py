"""What stands where on the pages of a PDF, read back by an independent library."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from itertools import combinations, groupby
from pathlib import Path
from typing import Any

import matplotlib as mpl
from matplotlib.ft2font import FT2Font, LoadFlags
from pypdf import PageObject, PdfReader

SLACK = 0.5
"""Boxes may share so much [pt]."""
KERN = 0.2
"""Letters on one line may be drawn together by so much, as a T and an a are, in units of the size of the type."""
SIZE = 100.0
"""At which type is measured [pt]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """One run of text."""

    page: int
    text: str
    size: float
    base: float
    left: float
    right: float
    foot: float
    head: float

    def overlaps(self, other: "Box") -> bool:
        across = min(self.right, other.right) - max(self.left, other.left)
        upright = min(self.head, other.head) - max(self.foot, other.foot)
        is_neighbour = abs(self.base - other.base) < SLACK and self.size == other.size
        kerned = KERN * self.size if is_neighbour else 0.0
        return self.page == other.page and across > SLACK + kerned and upright > SLACK


def reader(content: bytes) -> PdfReader:
    return PdfReader(BytesIO(content))


def text_of(content: bytes) -> str:
    """All of it on one line, without the places where a word may be broken."""
    pages = (page.extract_text() for page in reader(content).pages)
    return " ".join(" ".join(pages).replace("\u200b", "").split())


def boxes(content: bytes) -> tuple[Box, ...]:
    return tuple(box for number, page in enumerate(reader(content).pages) for box in _boxes(page, number))


def outside(content: bytes) -> list[Box]:
    """Runs of text that leave their page."""
    pages = reader(content).pages
    return [
        box
        for box in boxes(content)
        if box.left < 0
        or box.right > float(pages[box.page].mediabox.width)
        or box.foot < 0
        or box.head > float(pages[box.page].mediabox.height)
    ]


def overlapping(content: bytes) -> list[tuple[str, str]]:
    by_page = groupby(boxes(content), key=lambda box: box.page)
    pairs = (pair for _, group in by_page for pair in combinations(group, 2))
    return [(one.text, other.text) for one, other in pairs if one.overlaps(other)]


def size_in_points(content: bytes) -> tuple[float, float]:
    box = reader(content).pages[0].mediabox
    return float(box.width), float(box.height)


def _boxes(page: PageObject, number: int) -> Iterator[Box]:
    found: list[Box] = []

    def visit(text: str, cm: list[float], tm: list[float], font: dict[str, Any] | None, size: float) -> None:
        plain = text.strip().replace("\u200b", "")
        if not plain or font is None:
            return
        scale = abs(cm[0] * tm[0])
        left = cm[0] * tm[4] + cm[4]
        base = cm[3] * tm[5] + cm[5]
        real = size * scale
        bold = "Bold" in font["/BaseFont"]
        wide, lowest, highest = _extent(bold, plain)
        found.append(
            Box(
                page=number,
                text=plain,
                size=real,
                base=base,
                left=left,
                right=left + real * wide,
                foot=base + real * lowest,
                head=base + real * highest,
            )
        )

    page.extract_text(visitor_text=visit)
    yield from found


def _extent(bold: bool, text: str) -> tuple[float, float, float]:
    """Width, kerned, and reach below and above the line, in units of the size of the type."""
    font = _font(bold)
    font.set_size(SIZE, 72)
    font.set_text(text, 0.0, flags=LoadFlags.NO_HINTING)
    wide, high = (each / 64 / SIZE for each in font.get_width_height())
    below = font.get_descent() / 64 / SIZE
    return wide, -below, high - below


@cache
def _font(bold: bool) -> FT2Font:
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return FT2Font(str(Path(mpl.get_data_path()) / "fonts" / "ttf" / name))

"""A paper as the bytes of a PDF/A file, or as pictures of its pages: the same content gives the same bytes."""

import json
import tempfile
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from datetime import UTC, date, datetime
from enum import Enum
from importlib import resources
from pathlib import Path
from typing import Final, Literal

import matplotlib as mpl
import typst

from evenfire.delivery.papers.content import (
    CardContent,
    Drawing,
    DueContent,
    Paper,
    PaperSize,
    SheetContent,
    VisitContent,
)
from evenfire.delivery.papers.printable import Letters, breakable
from evenfire.delivery.words.papers import REPLACED

STANDARDS: Final[list[Literal["a-2a", "ua-1"]]] = ["a-2a", "ua-1"]
"""An archive file whose text can be read aloud."""
UNDATED: Final = date(2000, 1, 1)
"""The file needs a date of making; where the content has none it gets this one, and the paper shows none."""
SCREEN_FONT: Final = 'font-family="system-ui, sans-serif"'
PAPER_FONT: Final = 'font-family="DejaVu Sans"'
COARSE: Final = 8.0
"""Enough to count pages [dots per inch]."""
_TEMPLATES: Final = "evenfire.delivery.papers.templates"
_COMMON: Final = "paper.typ"

Json = str | bool | None | list["Json"] | dict[str, "Json"]


def printed(paper: Paper, size: PaperSize) -> bytes:
    """The paper as a PDF/A file."""
    found = _compiled(paper, size, _pdf)
    assert isinstance(found, bytes)
    return found


def pictured(paper: Paper, size: PaperSize, per_inch: float) -> tuple[bytes, ...]:
    """Every page as a PNG, so many dots per inch."""

    def drawn(template: Path, data: str, paper: Paper) -> bytes | list[bytes]:
        return _asked(template, data, paper, "png", per_inch)

    found = _compiled(paper, size, drawn)
    return tuple(found) if isinstance(found, list) else (found,)


def pages_of(paper: Paper, size: PaperSize) -> int:
    """How many pages the paper has."""
    return len(pictured(paper, size, COARSE))


def template_of(paper: Paper) -> str:
    """Name of the template that places this content."""
    match paper:
        case SheetContent():
            return "sheet.typ"
        case CardContent():
            return "card.typ"
        case VisitContent():
            return "visit.typ"
        case DueContent():
            return "due.typ"


def _compiled(
    paper: Paper, size: PaperSize, compile_: Callable[[Path, str, Paper], bytes | list[bytes]]
) -> bytes | list[bytes]:
    """The template sees its own folder and nothing else of the machine."""
    with tempfile.TemporaryDirectory(prefix="evenfire-paper-") as folder:
        root = Path(folder)
        for name in (_COMMON, template_of(paper)):
            (root / name).write_bytes(resources.files(_TEMPLATES).joinpath(name).read_bytes())
        pictures: list[bytes] = []
        letters = Letters()
        content = _plain(paper, letters, pictures)
        data = {"paper": content, "size": size.value, "replaced": REPLACED if letters.replaced else ""}
        for number, picture in enumerate(pictures):
            (root / _picture_name(number)).write_bytes(picture)
        return compile_(root / template_of(paper), json.dumps(data), paper)


def _pdf(template: Path, data: str, paper: Paper) -> bytes | list[bytes]:
    return _asked(template, data, paper, "pdf", None)


def _asked(
    template: Path, data: str, paper: Paper, kind: Literal["pdf", "png"], per_inch: float | None
) -> bytes | list[bytes]:
    day = paper.head.day or UNDATED
    fonts = Path(mpl.get_data_path()) / "fonts" / "ttf"
    return typst.compile(
        template,
        root=template.parent,
        font_paths=[fonts],
        ignore_system_fonts=True,
        format=kind,
        ppi=per_inch,
        sys_inputs={"data": data},
        pdf_standards=list(STANDARDS) if kind == "pdf" else [],
        timestamp=datetime(day.year, day.month, day.day, tzinfo=UTC),
        # Nothing is fetched: there is no package in these folders, and none is named.
        package_path=template.parent,
        package_cache_path=template.parent,
    )


def _plain(value: object, letters: Letters, pictures: list[bytes]) -> Json:
    """The content as JSON; pictures become names of files beside the template."""
    match value:
        case None | bool():
            return value
        case str():
            return breakable(letters.printable(value))
        case bytes():
            pictures.append(value)
            return _picture_name(len(pictures) - 1)
        case date():
            return value.isoformat()
        case Enum():
            return str(value.value)
        case Drawing():
            svg = letters.printable(value.svg.replace(SCREEN_FONT, PAPER_FONT))
            return {"svg": svg, "says": letters.printable(value.says), "wide": value.wide}
        case tuple():
            return [_plain(each, letters, pictures) for each in value]
        case _:
            return _plain_fields(value, letters, pictures)


def _plain_fields(value: object, letters: Letters, pictures: list[bytes]) -> Json:
    assert is_dataclass(value), type(value)
    return {each.name.replace("_", "-"): _plain(getattr(value, each.name), letters, pictures) for each in fields(value)}


def _picture_name(number: int) -> str:
    return f"picture-{number}"

"""One paper of a boiler as the bytes of a PDF file with a name that any computer can keep."""

import re
import unicodedata
from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import Final

from evenfire.delivery.acts.due_asks import today
from evenfire.delivery.acts.papers import PaperAsked, Watch, card_of, on_one_page, sheet_of, size_for
from evenfire.delivery.acts.visit_papers import visit_card, visit_sheet
from evenfire.delivery.acts.visit_report import report_of
from evenfire.delivery.papers.admission import Refusal
from evenfire.delivery.papers.content import Paper, PaperSize
from evenfire.delivery.records import surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import KeptBoiler
from evenfire.delivery.units import UnitSystem
from evenfire.judgement.case import SettingsSet

LONGEST_PART: Final = 40
"""Of the name of a site or boiler in the name of a file [characters]."""


class PaperKind(Enum):
    """What can be printed of a boiler."""

    SHEET = "sheet"
    RECORD = "record"
    """A sheet of the settings as found"""
    CARD = "card"
    REPORT = "report"


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintAsked:
    """One paper that somebody asks for."""

    kind: PaperKind
    boiler: KeptBoiler
    of: str
    """Id of an open visit, or of the record of a signed one; empty for the newest survey"""
    system: UnitSystem
    size: PaperSize | None
    """Without it as the units go"""
    countersigned_by: str | None = None
    """Name and licence"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedOut:
    """A paper."""

    content: bytes
    name: str
    """Of its file: ASCII letters, digits and hyphens"""
    state: str
    """What stands on every page"""
    kind: PaperKind
    boiler: str
    """Its id"""


def print_out(store: Store, asked: PrintAsked, watch: Watch | None = None) -> PrintedOut | Refusal:
    """Make a paper, or say why not.

    Raises
    ------
    BadInput
        There is no such visit or survey, or what was asked cannot be made of it.
    """
    # A printer is loaded by whoever prints.
    from evenfire.delivery.papers.printing import printed

    paper = _paper(store, asked, watch)
    if isinstance(paper, Refusal):
        return paper
    return PrintedOut(
        content=printed(paper, size_for(asked.system, asked.size)),
        name=file_name(asked.boiler, asked.kind, today(store)),
        state=paper.head.state,
        kind=asked.kind,
        boiler=asked.boiler.id,
    )


def file_name(boiler: KeptBoiler, kind: PaperKind, day: date) -> str:
    """``gull-quay-laundry-no-1-card-2026-11-25.pdf``."""
    parts = [_plain(boiler.site.name), _plain(boiler.name)]
    named = "-".join(part for part in parts if part) or f"boiler-{boiler.id[:8]}"
    return f"{named}-{kind.value}-{day}.pdf"


def _plain(text: str) -> str:
    letters = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", letters)[:LONGEST_PART].strip("-")


def _paper(store: Store, asked: PrintAsked, watch: Watch | None) -> Paper | Refusal:
    wanted = SettingsSet.AS_FOUND if asked.kind is PaperKind.RECORD else None
    paper_asked = PaperAsked(
        boiler=asked.boiler.name,
        settings=wanted,
        system=asked.system,
        size=asked.size,
        countersigned_by=asked.countersigned_by,
    )
    if asked.kind is PaperKind.REPORT:
        report = report_of(store, asked.of, asked.system, watch)
        return report if isinstance(report, Refusal) else report[0]
    make = _card if asked.kind is PaperKind.CARD else _sheet
    return make(store, asked, paper_asked, watch)


def _card(store: Store, asked: PrintAsked, paper_asked: PaperAsked, watch: Watch | None) -> Paper | Refusal:
    if asked.of:
        made = visit_card(store, asked.of, paper_asked, watch)
    else:
        made = card_of(surveys.give(store, asked.boiler.id).plant_file(), paper_asked, watch)
    kept = on_one_page(made, paper_asked)
    return kept if isinstance(kept, Refusal) else kept[0]


def _sheet(store: Store, asked: PrintAsked, paper_asked: PaperAsked, watch: Watch | None) -> Paper | Refusal:
    if asked.of:
        made = visit_sheet(store, asked.of, paper_asked, watch)
    else:
        made = sheet_of(surveys.give(store, asked.boiler.id).plant_file(), paper_asked, watch)
    return made if isinstance(made, Refusal) else made[0]

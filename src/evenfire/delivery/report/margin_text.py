"""Margins as lines: room, in tolerances, and a bar whose length is the room in tolerances."""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from evenfire.delivery.report.page import Page
from evenfire.delivery.units import Rounding, show_signed
from evenfire.delivery.words.demands import DEMANDS
from evenfire.judgement.settle.result import Room
from evenfire.si import Dimension, Quantity

BAR_TOLERANCES = 5.0
"""A full bar; more room than this is simply plenty [1]."""
BAR_LENGTH = 10
"""[characters]"""
MARGINS = "Margins, narrowest first; a full bar is five tolerances"
NOT_MET = "NOT MET"


@dataclass(frozen=True, slots=True, kw_only=True)
class Margin:
    """How much room a demand has."""

    shown: str
    """With its sign"""
    demand: str
    share: float
    """Of a full bar: none where it is not met [1]"""
    is_met: bool


def margin_lines(margins: Sequence[Margin], page: Page) -> str:
    """The narrowest margin first."""
    return "\n".join(_line(margin, page) for margin in margins)


def margin_of(room: Room, page: Page) -> Margin:
    """One margin in words."""
    return Margin(
        shown=show_signed(Quantity(room.room, Dimension.PRESSURE_DIFFERENCE), page.system, rounding=Rounding.DOWN),
        demand=DEMANDS[room.code],
        share=min(max(room.weight / BAR_TOLERANCES, 0.0), 1.0),
        is_met=room.met,
    )


def _line(margin: Margin, page: Page) -> str:
    filled = round(BAR_LENGTH * margin.share)
    bar = "#" * filled + "." * (BAR_LENGTH - filled) if margin.is_met else NOT_MET.ljust(BAR_LENGTH)
    head = f"{bar}  {margin.shown:>10}  "
    return textwrap.fill(
        margin.demand, page.width, initial_indent=head, subsequent_indent=" " * len(head), break_on_hyphens=False
    )

"""Margins as lines: room, in tolerances, and a bar whose length is the room in tolerances."""

import textwrap
from collections.abc import Sequence

from evenfire.delivery.report.page import Page
from evenfire.delivery.units import Rounding, show_signed
from evenfire.delivery.words.demands import DEMANDS
from evenfire.judgement.settle.result import Room
from evenfire.si import Dimension, Quantity

BAR_TOLERANCES = 5.0
"""A full bar; more room than this is simply plenty [1]."""
BAR_LENGTH = 10
"""[characters]"""


def margin_lines(rooms: Sequence[Room], page: Page) -> str:
    """The narrowest margin first."""
    return "\n".join(_line(room, page) for room in rooms)


def _line(room: Room, page: Page) -> str:
    shown = show_signed(Quantity(room.room, Dimension.PRESSURE_DIFFERENCE), page.system, rounding=Rounding.DOWN)
    filled = round(BAR_LENGTH * min(max(room.weight / BAR_TOLERANCES, 0.0), 1.0))
    bar = "#" * filled + "." * (BAR_LENGTH - filled) if room.met else "NOT MET".ljust(BAR_LENGTH)
    head = f"{bar}  {shown:>10}  "
    return textwrap.fill(
        DEMANDS[room.code], page.width, initial_indent=head, subsequent_indent=" " * len(head), break_on_hyphens=False
    )

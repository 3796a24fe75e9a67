"""What pressure costs in starts, and which value of the survey is worth another look, as text."""

from collections.abc import Sequence

from evenfire.delivery.answers import BoilerCheck
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import Rounding, show_signed
from evenfire.delivery.words import name_of_key
from evenfire.delivery.words.demands import DEMANDS
from evenfire.judgement.settle.result import Chosen, Pull, Room, TradePoint
from evenfire.judgement.standing import Standing
from evenfire.plant.known import Missing
from evenfire.si import Dimension, Quantity

NARROWEST = 5
"""Margins whose deciding value is told."""
Line = tuple[float, float, str, bool]
"""Lowest pressure [Pa gauge], starts [1/s], what stands there, whether the starts are a least number"""


def trade_text(trade: Sequence[TradePoint], now: BoilerCheck, chosen: Chosen, page: Page) -> str:
    """The fewest starts an hour for each lowest pressure, as found and proposed among them."""
    if not trade:
        return ""
    lines: list[Line] = [(point.lowest, point.starts, "", False) for point in trade]
    lines += _marked(now.standing, now.case.which.value) + _marked(chosen.standing, "proposed")
    most = max(starts for _, starts, _, _ in lines)
    room = max(8, page.width - 36)
    shown = [_line(line, most, room, page) for line in sorted(lines, key=lambda line: -line[0])]
    head = page.heading("Starts an hour (+: or more) against the lowest pressure of a restart")
    return "\n".join([head, *shown])


def pulls_text(pulls: Sequence[Pull], rooms: Sequence[Room], page: Page) -> str:
    """For the narrowest margins, the value of the survey of which a tenth moves it most."""
    by_code = {pull.code: pull for pull in pulls}
    told = [by_code[room.code] for room in rooms[:NARROWEST] if room.code in by_code]
    if not told:
        return ""
    lines = [
        page.item(
            f"{DEMANDS[pull.code]}: {name_of_key(pull.key)}; a tenth more is worth "
            f"{show_signed(Quantity(pull.change, Dimension.PRESSURE_DIFFERENCE), page.system)}."
        )
        for pull in told
    ]
    return "\n".join([page.heading("What decides the narrowest margins: look there again"), *lines])


def _marked(standing: Standing, name: str) -> list[Line]:
    if isinstance(standing.cycling, Missing) or isinstance(standing.lowest, Missing):
        return []
    return [(standing.lowest, standing.cycling.starts, f"<- {name}", not standing.cycling.within_range)]


def _line(line: Line, most: float, room: int, page: Page) -> str:
    lowest, starts, mark, at_least = line
    pressure = page.show(Quantity(lowest, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN)
    bar = "#" * max(1, round(room * starts / most)) if most > 0 else ""
    return f"{pressure:>10} {3600 * starts:5.1f}{'+' if at_least else ' '} {bar} {mark}".rstrip()

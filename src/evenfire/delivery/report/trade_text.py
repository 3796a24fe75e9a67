"""What pressure costs in starts, and which value of the survey is worth another look, as text."""

from collections.abc import Sequence
from dataclasses import dataclass

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
TRADE = "Starts an hour (+: or more) against the lowest pressure of a restart"
PULLS = "What decides the narrowest margins: look there again"
Line = tuple[float, float, str, bool]
"""Lowest pressure [Pa gauge], starts [1/s], what stands there, whether the starts are a least number"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TradeRow:
    """What one lowest pressure costs."""

    lowest: str
    starts: str
    """An hour; with a plus where it may be more"""
    share: float | None
    """Of the most starts of all rows, the length of its bar; none where nothing starts at any pressure [1]"""
    mark: str
    """Which settings stand there; empty for what is only possible"""


def trade_text(rows: Sequence[TradeRow], page: Page) -> str:
    """The fewest starts an hour for each lowest pressure, as found and proposed among them."""
    room = max(8, page.width - 36)
    return "\n".join([page.heading(TRADE), *(_line(row, room) for row in rows)]) if rows else ""


def trade_rows(trade: Sequence[TradePoint], now: BoilerCheck, chosen: Chosen, page: Page) -> tuple[TradeRow, ...]:
    """The rows of that curve, from the highest pressure down."""
    if not trade:
        return ()
    lines: list[Line] = [(point.lowest, point.starts, "", False) for point in trade]
    lines += _marked(now.standing, now.case.which.value) + _marked(chosen.standing, "proposed")
    most = max(starts for _, starts, _, _ in lines)
    return tuple(
        TradeRow(
            lowest=page.show(Quantity(lowest, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN),
            starts=f"{3600 * starts:.1f}{'+' if at_least else ''}",
            share=starts / most if most > 0 else None,
            mark=mark,
        )
        for lowest, starts, mark, at_least in sorted(lines, key=lambda line: -line[0])
    )


def pulls_text(lines: Sequence[str], page: Page) -> str:
    """For the narrowest margins, the value of the survey of which a tenth moves it most."""
    return "\n".join([page.heading(PULLS), *(page.item(line) for line in lines)]) if lines else ""


def pull_lines(pulls: Sequence[Pull], rooms: Sequence[Room], page: Page) -> list[str]:
    """The lines of that list."""
    by_code = {pull.code: pull for pull in pulls}
    told = [by_code[room.code] for room in rooms[:NARROWEST] if room.code in by_code]
    return [
        f"{DEMANDS[pull.code]}: {name_of_key(pull.key)}; a tenth more is worth "
        f"{show_signed(Quantity(pull.change, Dimension.PRESSURE_DIFFERENCE), page.system)}."
        for pull in told
    ]


def _marked(standing: Standing, name: str) -> list[Line]:
    if isinstance(standing.cycling, Missing) or isinstance(standing.lowest, Missing):
        return []
    return [(standing.lowest, standing.cycling.starts, name, not standing.cycling.within_range)]


def _line(row: TradeRow, room: int) -> str:
    number = f"{row.starts.removesuffix('+'):>5}{'+' if row.starts.endswith('+') else ' '}"
    bar = "#" * max(1, round(room * row.share)) if row.share is not None else ""
    mark = f"<- {row.mark}" if row.mark else ""
    return f"{row.lowest:>10} {number} {bar} {mark}".rstrip()

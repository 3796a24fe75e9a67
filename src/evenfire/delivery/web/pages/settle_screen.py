"""What the page of a settle shows around its answer: what the boiler is to hold, and what may be done with it."""

from dataclasses import dataclass
from typing import Final

from evenfire.delivery.acts.boiler_now import Whence
from evenfire.delivery.acts.checking import has_stale_proposal
from evenfire.delivery.acts.settling_here import SettledHere, Step, ToSettle
from evenfire.delivery.answers import BoilerSettle
from evenfire.delivery.report import settle_text
from evenfire.delivery.report.boiler_text import nameplate, who
from evenfire.delivery.report.margin_text import MARGINS
from evenfire.delivery.report.moves_text import LOOK_FIRST, MOVES, THEN
from evenfire.delivery.report.page import Page
from evenfire.delivery.report.settings_text import reading_text
from evenfire.delivery.report.settle_page import (
    NO_DIVISIONS,
    STALE,
    UNBROKEN,
    SettlePage,
    StepTold,
    chosen_of,
    settle_page,
    step_told,
)
from evenfire.delivery.report.settle_told import CURE_FIRST, LOCKED_OUT, OPEN_STOPS, SHOWN_IN_MOTION
from evenfire.delivery.report.trade_text import PULLS, TRADE
from evenfire.delivery.units import UnitSystem
from evenfire.judgement.settle.result import Fits
from evenfire.plant.controls import Role
from evenfire.si import Dimension, Quantity

WHENCE: Final = {
    Whence.OPEN_VISIT: "From the survey and the dials as the open visit read them.",
    Whence.SIGNED_VISIT: "From the dials as the last signed visit left them.",
    Whence.SURVEY: "From the survey and the dials as it read them.",
}


WORDS: Final[dict[str, object]] = {
    "heads": {
        "margins": MARGINS,
        "motion": SHOWN_IN_MOTION,
        "where": settle_text.WHERE,
        "unweighed": settle_text.UNWEIGHED,
        "on_dials": settle_text.ON_DIALS,
        "others": settle_text.BESIDE,
        "trade": TRADE,
        "pulls": PULLS,
        "moves": MOVES,
        "assumed": settle_text.ASSUMED,
    },
    "cure_first": CURE_FIRST,
    "open_stops": OPEN_STOPS,
    "locked_out": LOCKED_OUT,
    "look_first": LOOK_FIRST,
    "then": THEN,
    "stale": STALE,
    "no_divisions": NO_DIVISIONS,
}
"""What the terminal says in the same places."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SettleScreen:
    """One boiler to be settled, or settled."""

    boiler: str
    """Its id"""
    title: str
    plate: str
    whence: str
    need: str
    """Empty where nobody said"""
    wish: str
    held: str
    """What the answer is for"""
    visit: str
    """Id of the open visit; empty where none is open"""
    is_of_visit: bool
    is_of_survey: bool
    is_beside_stale: bool
    page: SettlePage | None
    up: StepTold | None
    down: StepTold | None
    now_called: str
    """Which settings stand beside those that were settled"""
    is_put_in: bool
    """The very settings stand in the open visit as proposed"""
    may_be_used: bool
    """Settings that fit and are not unsafe: they may be put into a visit"""
    may_be_written: bool
    """They hold in motion as well: they may be written into a plant file"""


def screen_of(asked: ToSettle, settled: SettledHere | None, system: UnitSystem) -> SettleScreen:
    """The screen of what is asked for, with its answer where there is one."""
    now, page = asked.now, Page(UNBROKEN, system)
    load, plate = now.plant_file.plant.load, nameplate(now.boiler, page)
    boiler = None if settled is None else settled.done.boilers[0]
    is_usable = boiler is not None and isinstance(boiler.answer, Fits) and not boiler.is_unsafe
    return SettleScreen(
        boiler=now.kept.id,
        title=who(now.plant_file, now.boiler),
        plate=f"{plate[0].upper()}{plate[1:]}.",
        whence=WHENCE[now.whence],
        need=_pressure(load.need, page),
        wish=_pressure(load.wish, page),
        held="" if settled is None else _pressure(settled.held, page),
        visit=asked.visit or "",
        is_of_visit=asked.is_of_visit,
        is_of_survey=now.whence is Whence.SURVEY,
        is_beside_stale=has_stale_proposal(now.plant_file, now.boiler),
        page=None if settled is None else settle_page(settled.done, system),
        up=None if settled is None else _step(settled.up, system),
        down=None if settled is None else _step(settled.down, system),
        now_called="as found" if boiler is None else boiler.now.case.which.value,
        is_put_in=boiler is not None and _is_proposed(asked, boiler, page),
        may_be_used=is_usable,
        may_be_written=is_usable and boiler is not None and not boiler.falls_short,
    )


def _pressure(value: float | None, page: Page) -> str:
    return "" if value is None else page.show(Quantity(value, Dimension.GAUGE_PRESSURE))


def _is_proposed(asked: ToSettle, boiler: BoilerSettle, page: Page) -> bool:
    """Whether the proposal that stands says the same, as it is read, and was made for these readings."""
    proposed, chosen = asked.now.boiler.proposed, chosen_of(boiler.answer)
    if proposed is None or chosen is None or has_stale_proposal(asked.now.plant_file, asked.now.boiler):
        return False
    pairs = ((proposed.settings.of(role), chosen.settings.of(role)) for role in Role)
    return all(
        a is b or (a is not None and b is not None and reading_text(a, page) == reading_text(b, page)) for a, b in pairs
    )


def _step(step: Step | None, system: UnitSystem) -> StepTold | None:
    return None if step is None else step_told(step.target, step.pressure, step.answer, system)

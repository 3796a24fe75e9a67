"""What is to be tested how often: the intervals of the codes, and which of several counts."""

from dataclasses import dataclass, replace
from datetime import date
from enum import Enum
from typing import Final

from evenfire.judgement.outcome import Basis
from evenfire.judgement.trip_test.due import DAYS_A_MONTH, Interval, due_on
from evenfire.si import LOW_PRESSURE_LIMIT_PA, PA_PER_PSI, ROUNDING_PA, GaugePa
from evenfire.sources import CSD_1, NATIONAL_BOARD_ADVICE, UFC_3_430, Citation, Reading

OLDER: Final = "older"
NEWER: Final = "newer"
"""Two sources that disagree over how often a safety valve is lifted."""


class Item(Enum):
    """Something that comes due."""

    SETTINGS_COMPARED = "settings compared with the card"
    PRESSURE_AND_LEVEL_LOGGED = "pressure and level logged"
    LOW_WATER_CUTOFF = "low-water cutoff"
    LOW_WATER_CUTOFF_SLOW_DRAIN = "low-water cutoff, slow drain"
    FLAME_FAILURE = "flame failure"
    IGNITER = "igniter"
    FIRING_RATE_LOOKED_AT = "firing-rate control looked at"
    FIRING_RATE_BY_TECHNICIAN = "firing-rate control by technician"
    AIR_INTERLOCK = "air interlock"
    FUEL_PRESSURE_INTERLOCKS = "fuel-pressure interlocks"
    LOW_FIRE_START = "low-fire start"
    FUEL_VALVE_LEAKAGE = "fuel valve leakage"
    GAUGES_RECALIBRATED = "gauges recalibrated"
    HIGH_LIMIT = "high limit"
    OPERATING_LIMIT = "operating limit"
    COMBUSTION = "combustion"
    CONTROLS = "controls"
    SAFETY_VALVE_BY_HAND = "safety valve by hand"
    SAFETY_VALVE_BY_PRESSURE = "safety valve by pressure"


class Whose(Enum):
    """Who asks for an interval."""

    CODE = "code"
    JURISDICTION = "jurisdiction"
    INSURER = "insurer"
    MAKER = "maker"
    OWNER = "owner"
    DRIFT = "drift of the control"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Who wants what how often."""

    item: Item
    every: Interval
    whose: Whose
    basis: Basis | None = None
    """Of the code; nobody but the reader knows it of the others"""
    citation: Citation | None = None
    edition: str = ""
    """Tells rows of one item apart whose sources disagree: ``older``, ``newer``"""
    above: GaugePa | None = None
    """Only for boilers whose MAWP lies above [Pa gauge]; nothing is no restriction"""
    up_to: GaugePa | None = None
    """Only for boilers whose MAWP lies at or below [Pa gauge]"""

    def applies_to(self, mawp: GaugePa) -> bool:
        """Whether a boiler of this MAWP is meant [Pa gauge]."""
        is_above = self.above is None or mawp > self.above + ROUNDING_PA
        return is_above and (self.up_to is None or mawp <= self.up_to + ROUNDING_PA)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The interval that counts, and what was set aside for it."""

    wanted: Wanted
    others: tuple[Wanted, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """When one thing comes due."""

    chosen: Chosen
    last: date | None
    on: date | None
    """Nothing where nobody knows that it was ever done: it is due at once"""


_CSD_1: Final = Citation(CSD_1)
_UFC: Final = Citation(UFC_3_430)
_ADVICE: Final = Citation(NATIONAL_BOARD_ADVICE)


def _code(item: Item, every: Interval, citation: Citation = _CSD_1, edition: str = "") -> Wanted:
    return Wanted(
        item=item,
        every=every,
        whose=Whose.CODE,
        basis=Basis.PUBLISHED if citation.source.reading is Reading.READ else Basis.FROM_MEMORY,
        citation=citation,
        edition=edition,
    )


def _low(wanted: Wanted) -> Wanted:
    return replace(wanted, up_to=GaugePa(LOW_PRESSURE_LIMIT_PA))


def _high(wanted: Wanted, up_to: GaugePa | None = None) -> Wanted:
    return replace(wanted, above=GaugePa(LOW_PRESSURE_LIMIT_PA), up_to=up_to)


LIFTED_BY_HAND_UP_TO: Final = GaugePa(400 * PA_PER_PSI)
"""UFC asks for the monthly lift by hand up to here [Pa gauge]."""

_DAY, _WEEK = Interval(days=1), Interval(days=7)
_MONTH, _QUARTER, _HALF_YEAR, _YEAR = Interval(months=1), Interval(months=3), Interval(months=6), Interval(months=12)

CALENDAR: Final[tuple[Wanted, ...]] = (
    _code(Item.SETTINGS_COMPARED, _DAY),
    _code(Item.PRESSURE_AND_LEVEL_LOGGED, _DAY),
    _high(_code(Item.LOW_WATER_CUTOFF, _DAY)),
    _low(_code(Item.LOW_WATER_CUTOFF, _WEEK)),
    _code(Item.FLAME_FAILURE, _WEEK),
    _code(Item.IGNITER, _WEEK),
    _code(Item.FIRING_RATE_LOOKED_AT, _WEEK),
    _code(Item.AIR_INTERLOCK, _MONTH),
    _code(Item.FUEL_PRESSURE_INTERLOCKS, _MONTH),
    _code(Item.LOW_FIRE_START, _MONTH),
    _code(Item.FUEL_VALVE_LEAKAGE, _MONTH),
    _code(Item.LOW_WATER_CUTOFF_SLOW_DRAIN, _HALF_YEAR),
    _code(Item.GAUGES_RECALIBRATED, _HALF_YEAR),
    _code(Item.GAUGES_RECALIBRATED, _YEAR, _UFC),
    _code(Item.FIRING_RATE_BY_TECHNICIAN, _HALF_YEAR),
    _code(Item.HIGH_LIMIT, _YEAR),
    _code(Item.OPERATING_LIMIT, _YEAR),
    _code(Item.COMBUSTION, _YEAR),
    _code(Item.CONTROLS, _YEAR),
    _low(_code(Item.SAFETY_VALVE_BY_HAND, _WEEK, _UFC, OLDER)),
    _high(_code(Item.SAFETY_VALVE_BY_HAND, _MONTH, _UFC, OLDER), LIFTED_BY_HAND_UP_TO),
    _low(_code(Item.SAFETY_VALVE_BY_HAND, _QUARTER, _ADVICE, NEWER)),
    _high(_code(Item.SAFETY_VALVE_BY_HAND, _HALF_YEAR, _ADVICE, NEWER), LIFTED_BY_HAND_UP_TO),
    _code(Item.SAFETY_VALVE_BY_PRESSURE, _YEAR, _UFC, OLDER),
    _code(Item.SAFETY_VALVE_BY_PRESSURE, _YEAR, _ADVICE, NEWER),
)
"""What the codes want how often. Where two disagree both stand here, and the strictest counts unless one is chosen."""


def chosen_for(
    item: Item,
    *,
    mawp: GaugePa,
    more: tuple[Wanted, ...] = (),
    editions: frozenset[str] = frozenset({OLDER, NEWER}),
) -> Chosen | None:
    """The strictest interval of code, jurisdiction, insurer, maker and owner; nothing where nobody wants it done.

    Parameters
    ----------
    item
        What comes due.
    mawp
        Of the boiler [Pa gauge].
    more
        What jurisdiction, insurer, maker, owner or the drift of a control ask for.
    editions
        Which of two codes that disagree counts; both, and so the stricter, where nothing is chosen.
    """
    asked = [
        each
        for each in (*CALENDAR, *more)
        if each.item is item and each.applies_to(mawp) and (not each.edition or each.edition in editions)
    ]
    if not asked:
        return None
    ranked = sorted(asked, key=lambda each: (_length(each.every), list(Whose).index(each.whose)))
    return Chosen(wanted=ranked[0], others=tuple(ranked[1:]))


def due(last: date | None, chosen: Chosen) -> Due:
    """When it comes due; what nobody knows to have been done is due at once."""
    return Due(chosen=chosen, last=last, on=None if last is None else due_on(last, chosen.wanted.every))


def _length(interval: Interval) -> float:
    """Days, a month of 30.4 among them, for ranking alone."""
    return float(interval.days) if interval.days is not None else (interval.months or 0) * DAYS_A_MONTH

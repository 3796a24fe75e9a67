"""What is to be tested how often: the intervals of the codes, and which of several counts."""

from dataclasses import dataclass
from datetime import date
from enum import Enum

from evenfire.judgement.outcome import Basis
from evenfire.judgement.trip_test.due import Interval
from evenfire.sources import Citation


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
    low_pressure: bool | None = None
    """Only for boilers up to 15 psi, or only above; nothing is no restriction"""


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


CALENDAR: tuple[Wanted, ...] = ()


def chosen_for(
    item: Item, *, is_low_pressure: bool, more: tuple[Wanted, ...] = (), editions: frozenset[str] = frozenset()
) -> Chosen | None:
    """The strictest interval of code, jurisdiction, insurer, maker and owner; nothing where nobody wants it done."""
    raise NotImplementedError


def due(item: Item, last: date | None, chosen: Chosen) -> Due:
    """When it comes due."""
    raise NotImplementedError

"""What the plant wants from its boilers."""

from dataclasses import dataclass
from enum import Enum
from typing import Literal

from evenfire.plant.known import Datum
from evenfire.plant.possible import require_not_negative, require_positive
from evenfire.si import Dimension, GaugePa


class Place(Enum):
    """Where a pressure is wanted."""

    BOILER = "boiler"
    HEADER = "header"


class Draw(Enum):
    """How the steam that the users take answers to pressure."""

    FLOW = "flow"
    """A steady mass flow that ends when pressure does"""
    VALVE = "valve"
    """Choked control valves or open orifices: flow follows absolute pressure"""
    EXCHANGER = "heat exchanger"
    """Flow follows the steam temperature above the cold side"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ramp:
    """A change of load."""

    size: Datum
    """[kg/s of steam, or 1 as a share of the boiler's output, by ``share``]"""
    share: bool
    """Whether ``size`` is a share of the output"""
    duration: Datum
    """[s]"""

    def __post_init__(self) -> None:
        require_positive("size", self.size.value, Dimension.FRACTION if self.share else Dimension.MASS_FLOW)
        require_not_negative("over", self.duration.value, Dimension.TIME)


@dataclass(frozen=True, slots=True, kw_only=True)
class Constant:
    """A load that stands still."""

    steam: float
    """[kg/s]"""
    shape: Literal["constant"] = "constant"

    def __post_init__(self) -> None:
        require_not_negative("steam", self.steam, Dimension.MASS_FLOW)


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """A load in steps."""

    steps: tuple[tuple[float, float], ...]
    """(how long [s], steam [kg/s])"""
    shape: Literal["steps"] = "steps"

    def __post_init__(self) -> None:
        for duration, steam in self.steps:
            require_positive("for", duration, Dimension.TIME)
            require_not_negative("steam", steam, Dimension.MASS_FLOW)


@dataclass(frozen=True, slots=True, kw_only=True)
class Daily:
    """A load hour by hour."""

    hours: tuple[float, ...]
    """24 values [kg/s]"""
    shape: Literal["daily"] = "daily"

    def __post_init__(self) -> None:
        require_positive("hours", float(len(self.hours) == 24), Dimension.NUMBER)
        for steam in self.hours:
            require_not_negative("hours", steam, Dimension.MASS_FLOW)


@dataclass(frozen=True, slots=True, kw_only=True)
class Batches:
    """A base load with batches on top."""

    base: float
    """[kg/s]"""
    batch: float
    """[kg/s more while a batch runs]"""
    duration: float
    """[s]"""
    per_hour: float
    """[1/s]"""
    shape: Literal["batches"] = "batches"

    def __post_init__(self) -> None:
        require_not_negative("base", self.base, Dimension.MASS_FLOW)
        require_positive("batch", self.batch, Dimension.MASS_FLOW)
        require_positive("lasting", self.duration, Dimension.TIME)
        require_positive("per_hour", self.per_hour, Dimension.FREQUENCY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """A load in a file beside the plant file; only its name is kept here."""

    file: str
    shape: Literal["recorded"] = "recorded"


Demand = Constant | Steps | Daily | Batches | Recorded


def steady_loads(demand: Demand) -> tuple[float, ...]:
    """The steam flows [kg/s] that a demand stands at for some time; empty when they are in a file."""
    match demand:
        case Constant(steam=steam):
            return (steam,)
        case Steps(steps=steps):
            return tuple(steam for _, steam in steps)
        case Daily(hours=hours):
            return hours
        case Batches(base=base, batch=batch):
            return (base, base + batch)
        case Recorded():
            return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What the users of the steam need, wish and stand."""

    need: GaugePa | None = None
    """Lowest pressure the users need [Pa gauge]"""
    need_at: Place = Place.BOILER
    wish: GaugePa | None = None
    """Highest pressure anybody wants to see [Pa gauge]"""
    rated_max: GaugePa | None = None
    """Lowest rating downstream that has no relief of its own [Pa gauge]"""
    line_drop: Datum | None = None
    """Boiler to where the need is stated, at full load [Pa]"""
    may_dip_to: GaugePa | None = None
    """[Pa gauge]"""
    may_dip_for: float | None = None
    """[s]"""
    design_pick_up: Ramp | None = None
    design_drop: Ramp | None = None
    demand: Demand | None = None
    draw: Draw | None = None

    def __post_init__(self) -> None:
        require_positive("need", self.need, Dimension.GAUGE_PRESSURE)
        require_positive("wish", self.wish, Dimension.GAUGE_PRESSURE)
        require_positive("rated_max", self.rated_max, Dimension.GAUGE_PRESSURE)
        require_positive("may_dip_for", self.may_dip_for, Dimension.TIME)
        if self.line_drop is not None:
            require_not_negative("line_drop", self.line_drop.value, Dimension.PRESSURE_DIFFERENCE)

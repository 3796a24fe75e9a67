"""The pressure controls of one boiler: what they sense, what their dials show, how far they may be off."""

from dataclasses import dataclass, replace
from enum import Enum

from evenfire.plant.known import Datum
from evenfire.plant.possible import require_between, require_not_negative, require_positive
from evenfire.si import DiffPa, Dimension, GaugePa


class Role(Enum):
    """The work a pressure control does."""

    OPERATING_LIMIT = "operating_limit"
    """Stops and starts the burner."""
    HIGH_LIMIT = "high_limit"
    """Stops the burner for good until a hand resets it."""
    FIRING_RATE = "firing_rate"
    """Follows the load between low and high fire."""
    LOW_FIRE_HOLD = "low_fire_hold"
    """Keeps a cold boiler at low fire."""


class Counts(Enum):
    """Where the differential lies, seen from the pressure that the dial shows."""

    BELOW = "below"
    ABOVE = "above"
    AROUND = "around"


class Position(Enum):
    """Where a device hangs, seen from its tap on the boiler."""

    BELOW_TAP = "below"
    ABOVE_TAP = "above"


class Filling(Enum):
    """What is known of the water in a sensing line."""

    FULL = "full"
    UNSURE = "unsure"


class Senses(Enum):
    """Where the sensing line is tapped."""

    BOILER = "boiler"
    HEADER = "header"


class Reset(Enum):
    """How a limit comes back after it has acted."""

    MANUAL = "manual"
    AUTOMATIC = "automatic"


class Contact(Enum):
    """How the contact is made."""

    SNAP = "snap"
    MERCURY = "mercury"
    SLIDEWIRE = "slidewire"
    ELECTRONIC = "electronic"


class Action(Enum):
    """How a firing-rate control answers pressure."""

    PROPORTIONAL = "proportional"
    TWO_POSITION = "two-position"
    PID = "pid"
    MASTER = "master"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """The main scale of a dial."""

    lowest: GaugePa
    """[Pa gauge]"""
    highest: GaugePa
    """[Pa gauge]"""
    division: DiffPa
    """Smallest step that can be set or read [Pa]"""

    def __post_init__(self) -> None:
        require_positive("division", self.division, Dimension.PRESSURE_DIFFERENCE)
        require_between("to", self.highest, self.lowest + self.division, float("inf"), Dimension.GAUGE_PRESSURE)


@dataclass(frozen=True, slots=True, kw_only=True)
class DifferentialScale:
    """The scale of a differential or a range; a fixed differential has one value and no division."""

    lowest: DiffPa
    """[Pa]"""
    highest: DiffPa
    """[Pa]"""
    division: DiffPa | None
    """[Pa]"""

    def __post_init__(self) -> None:
        require_positive("from", self.lowest, Dimension.PRESSURE_DIFFERENCE)
        require_between("to", self.highest, self.lowest, float("inf"), Dimension.PRESSURE_DIFFERENCE)
        require_positive("division", self.division, Dimension.PRESSURE_DIFFERENCE)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterLeg:
    """The water between a tap and the device that senses there."""

    height: float
    """[m], never negative: ``position`` carries the sign"""
    position: Position
    filling: Filling

    def __post_init__(self) -> None:
        require_not_negative("height", self.height, Dimension.LENGTH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance:
    """How far a control may act from where it was set, either way."""

    dial: DiffPa | None = None
    """Set by its scale [Pa]"""
    proved: DiffPa | None = None
    """Set until it tripped at a pressure read on a reference gauge [Pa]"""

    def __post_init__(self) -> None:
        require_not_negative("dial", self.dial, Dimension.PRESSURE_DIFFERENCE)
        require_not_negative("proved", self.proved, Dimension.PRESSURE_DIFFERENCE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Control:
    """One pressure control on its sensing line."""

    scale: Scale | None = None
    differential_scale: DifferentialScale | None = None
    counts: Counts | None = None
    tolerance: Tolerance = Tolerance()
    water_leg: WaterLeg | None = None
    senses: Senses | None = None
    valve_in_line: bool | None = None
    siphon: bool | None = None
    own_element: bool | None = None
    """Its own sensing element and its own switch, shared with no other control"""
    element_rating: GaugePa | None = None
    """Highest pressure the sensing element is made for [Pa gauge]"""
    reset: Reset | None = None
    reset_differential: Datum | None = None
    """How far below its trip the pressure must have fallen before a reset holds, by hand or by itself [Pa]"""
    lag: Datum | None = None
    """Time constant with which siphon, snubber and element follow the pressure at the tap [s]"""
    contact: Contact | None = None
    action: Action | None = None
    """Only a firing-rate control has one"""
    serial: str | None = None

    def __post_init__(self) -> None:
        require_positive("element_rating", self.element_rating, Dimension.GAUGE_PRESSURE)
        if self.reset_differential is not None:
            require_positive("reset_differential", self.reset_differential.value, Dimension.PRESSURE_DIFFERENCE)
        if self.lag is not None:
            require_not_negative("lag", self.lag.value, Dimension.TIME)


@dataclass(frozen=True, slots=True, kw_only=True)
class Controls:
    """The four pressure controls; ``None`` is one that the survey does not list."""

    operating_limit: Control | None = None
    high_limit: Control | None = None
    firing_rate: Control | None = None
    low_fire_hold: Control | None = None

    def of(self, role: Role) -> Control | None:
        """The control that does this work."""
        match role:
            case Role.OPERATING_LIMIT:
                return self.operating_limit
            case Role.HIGH_LIMIT:
                return self.high_limit
            case Role.FIRING_RATE:
                return self.firing_rate
            case Role.LOW_FIRE_HOLD:
                return self.low_fire_hold

    def having(self, role: Role, control: Control | None) -> "Controls":
        """These controls with another one for this work."""
        match role:
            case Role.OPERATING_LIMIT:
                return replace(self, operating_limit=control)
            case Role.HIGH_LIMIT:
                return replace(self, high_limit=control)
            case Role.FIRING_RATE:
                return replace(self, firing_rate=control)
            case Role.LOW_FIRE_HOLD:
                return replace(self, low_fire_hold=control)

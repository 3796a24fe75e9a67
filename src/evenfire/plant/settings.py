"""Three sets of settings that are never mixed: as found, proposed, as left."""

from dataclasses import dataclass, replace
from datetime import date
from enum import Enum

from evenfire.errors import ImpossibleValue
from evenfire.plant.controls import Control, Role
from evenfire.plant.possible import require_between, require_not_negative
from evenfire.si import DiffPa, Dimension, GaugePa


class Switch(Enum):
    """The firing-rate selector on the panel."""

    AUTOMATIC = "automatic"
    MANUAL = "manual"


@dataclass(frozen=True, slots=True, kw_only=True)
class DialReading:
    """What one dial shows."""

    main: GaugePa
    """[Pa gauge]"""
    differential: DiffPa | None = None
    """Differential or throttling range [Pa]"""

    def __post_init__(self) -> None:
        require_not_negative("differential", self.differential, Dimension.PRESSURE_DIFFERENCE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """One complete or incomplete set of dial readings."""

    operating_limit: DialReading | None = None
    high_limit: DialReading | None = None
    firing_rate: DialReading | None = None
    low_fire_hold: DialReading | None = None
    proved: frozenset[Role] = frozenset()
    """Controls set (in a proposal: to be set) until they acted at a pressure that was read on a reference gauge"""
    read_on: date | None = None

    def of(self, role: Role) -> DialReading | None:
        """The reading of the control that does this work."""
        match role:
            case Role.OPERATING_LIMIT:
                return self.operating_limit
            case Role.HIGH_LIMIT:
                return self.high_limit
            case Role.FIRING_RATE:
                return self.firing_rate
            case Role.LOW_FIRE_HOLD:
                return self.low_fire_hold


@dataclass(frozen=True, slots=True, kw_only=True)
class AsFound:
    """Settings read on arrival, and the state the boiler was found in."""

    settings: Settings
    switch: Switch | None = None
    manual_cap: float | None = None
    """Firing held down by hand at most to this share of full fire [1]"""
    jumpers: tuple[str, ...] | None = None
    """Bypasses seen; empty when looked for and none seen, ``None`` when nobody looked"""
    unexplained_resets: int | None = None
    """Resets of the high limit since the last visit for which no cause was found"""

    def __post_init__(self) -> None:
        require_between("manual_cap", self.manual_cap, 0.0, 1.0, Dimension.FRACTION)
        require_not_negative("unexplained_resets", self.unexplained_resets, Dimension.NUMBER)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposed:
    """Settings that settle proposed, and what it knew when it did."""

    settings: Settings
    plant_revision: str
    """Identity of the survey the proposal was made for"""
    engine_version: str


def turned(settings: Settings, role: Role, turn: str, change: float) -> Settings | None:
    """The settings with one scale (``main``, ``differential``) turned by ``change`` [Pa]; ``None`` without reading."""
    reading = settings.of(role)
    if reading is None:
        return None
    if turn == "main":
        after = replace(reading, main=GaugePa(reading.main + change))
    elif reading.differential is None or reading.differential + change < 0:
        return None
    else:
        after = replace(reading, differential=DiffPa(reading.differential + change))
    return with_reading(settings, role, after)


def with_reading(settings: Settings, role: Role, reading: DialReading | None) -> Settings:
    """The settings with one dial at another reading."""
    match role:
        case Role.OPERATING_LIMIT:
            return replace(settings, operating_limit=reading)
        case Role.HIGH_LIMIT:
            return replace(settings, high_limit=reading)
        case Role.FIRING_RATE:
            return replace(settings, firing_rate=reading)
        case Role.LOW_FIRE_HOLD:
            return replace(settings, low_fire_hold=reading)


def is_on_dial(role: Role, reading: DialReading | None, control: Control | None) -> bool:
    """Whether a dial can show a reading."""
    try:
        require_on_dial(role, reading, control)
    except ImpossibleValue:
        return False
    return True


def require_on_dial(role: Role, reading: DialReading | None, control: Control | None) -> None:
    """Raise :class:`~evenfire.errors.ImpossibleValue` for a reading that its own dial cannot show."""
    if reading is None or control is None:
        return
    if control.scale is not None:
        lowest, highest = control.scale.lowest, control.scale.highest
        require_between(role.value, reading.main, lowest, highest, Dimension.GAUGE_PRESSURE)
    if control.differential_scale is not None and reading.differential is not None:
        narrowest, widest = control.differential_scale.lowest, control.differential_scale.highest
        field = f"{role.value}_differential"
        require_between(field, reading.differential, narrowest, widest, Dimension.PRESSURE_DIFFERENCE)

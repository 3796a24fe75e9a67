"""A burner on one of its fuels: how it fires, how it starts, how its heat arrives."""

from dataclasses import dataclass, fields
from enum import Enum

from evenfire.plant.known import Datum
from evenfire.plant.possible import require_between, require_not_negative, require_positive
from evenfire.si import Dimension

HIGHEST_TURNDOWN = 40.0
"""Nothing fired turns down further; a larger number is a slip of the pen [1]."""


class Fuel(Enum):
    """What is burnt."""

    NATURAL_GAS = "natural gas"
    LP_GAS = "lp gas"
    BIOGAS = "biogas"
    LIGHT_OIL = "light oil"
    HEAVY_OIL = "heavy oil"

    @property
    def is_gas(self) -> bool:
        """Whether the rules for gas burners apply."""
        return self in {Fuel.NATURAL_GAS, Fuel.LP_GAS, Fuel.BIOGAS}


class Firing(Enum):
    """How many fires a burner has."""

    ON_OFF = "on-off"
    LOW_HIGH_OFF = "low-high-off"
    MODULATING = "modulating"


class PurgeDamper(Enum):
    """Where the air damper stands during prepurge."""

    OPEN = "open"
    LOW = "low"


@dataclass(frozen=True, slots=True, kw_only=True)
class StartChain:
    """What passes between the operating limit's contact and the flame, each in seconds."""

    start_delay: Datum | None = None
    """[s]"""
    drive_open: Datum | None = None
    """Damper to the purge position [s]"""
    prepurge: Datum | None = None
    """[s]"""
    purge_damper: PurgeDamper | None = None
    drive_back: Datum | None = None
    """Damper back to light-off [s]"""
    pilot_trial: Datum | None = None
    """[s]"""
    main_trial: Datum | None = None
    """[s]"""
    flame_to_low_fire: Datum | None = None
    """Light-off to a settled low fire [s]"""
    release_delay: Datum | None = None
    """Low fire to release to modulation [s]"""
    minimum_off: Datum | None = None
    """[s]"""
    postpurge: Datum | None = None
    """[s]"""

    def __post_init__(self) -> None:
        for field in fields(self):
            datum = getattr(self, field.name)
            if isinstance(datum, Datum):
                require_not_negative(field.name, datum.value, Dimension.TIME)


@dataclass(frozen=True, slots=True, kw_only=True)
class Burner:
    """A burner on one fuel."""

    fuel: Fuel
    firing: Firing
    turndown: float | None = None
    """Full fire divided by low fire [1]"""
    input_nameplate: float | None = None
    """[W, gross]"""
    input_clocked: float | None = None
    """Measured at the fuel meter at full fire [W, gross]"""
    efficiency: Datum | None = None
    """Heat to water and steam per gross heat of the fuel [1]"""
    heat_lag: Datum | None = None
    """Time constant from flame to water [s]"""
    stroke_time: Datum | None = None
    """Actuator from low to high fire [s]"""
    chain: StartChain = StartChain()
    flame_failure_response: float | None = None
    """[s]"""
    prepurge_air_changes: float | None = None
    """Volumes of furnace and passes moved by the prepurge [1]"""
    prepurge_air: float | None = None
    """Air during prepurge as a share of the air at full fire [1]"""
    starts_at_low_fire: bool | None = None

    def __post_init__(self) -> None:
        require_between("turndown", self.turndown, 1.0, HIGHEST_TURNDOWN, Dimension.NUMBER)
        require_positive("input", self.input_nameplate, Dimension.POWER)
        require_positive("input_clocked", self.input_clocked, Dimension.POWER)
        require_positive("flame_failure", self.flame_failure_response, Dimension.TIME)
        require_not_negative("prepurge_air_changes", self.prepurge_air_changes, Dimension.NUMBER)
        require_between("prepurge_air", self.prepurge_air, 0.0, 1.2, Dimension.FRACTION)
        if self.efficiency is not None:
            require_between("efficiency", self.efficiency.value, 0.2, 1.0, Dimension.FRACTION)
        if self.heat_lag is not None:
            require_not_negative("heat_lag", self.heat_lag.value, Dimension.TIME)
        if self.stroke_time is not None:
            require_not_negative("stroke", self.stroke_time.value, Dimension.TIME)

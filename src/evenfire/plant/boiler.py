"""One boiler with everything that hangs on it."""

from dataclasses import dataclass
from datetime import date
from enum import Enum

from evenfire.plant.burner import Burner
from evenfire.plant.controls import Controls, Role, WaterLeg
from evenfire.plant.known import Datum
from evenfire.plant.possible import require_between, require_inside, require_not_negative, require_positive
from evenfire.plant.readings import Measured, Simulated
from evenfire.plant.safety_valve import SafetyValve
from evenfire.plant.settings import AsFound, Proposed, Settings, require_on_dial
from evenfire.si import LOW_PRESSURE_LIMIT_PA, ROUNDING_PA, DiffPa, Dimension, GaugePa


class Kind(Enum):
    """How the boiler is built."""

    FIRETUBE = "firetube"
    WATERTUBE = "watertube"
    VERTICAL = "vertical"
    CAST_IRON = "cast-iron"
    COIL = "coil"


class Feed(Enum):
    """How feedwater comes in."""

    ON_OFF = "on-off"
    MODULATING = "modulating"


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureGauge:
    """The boiler's own pressure gauge."""

    highest: GaugePa | None = None
    """End of its scale [Pa gauge]"""
    division: DiffPa | None = None
    """[Pa]"""
    calibrated_on: date | None = None
    water_leg: WaterLeg | None = None

    def __post_init__(self) -> None:
        require_positive("to", self.highest, Dimension.GAUGE_PRESSURE)
        require_positive("division", self.division, Dimension.PRESSURE_DIFFERENCE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """The thickest heated cylinder of the boiler: drum or shell."""

    inner_diameter: float
    """[m]"""
    thickness: float
    """[m]"""

    def __post_init__(self) -> None:
        require_positive("inner_diameter", self.inner_diameter, Dimension.LENGTH)
        require_inside("thickness", self.thickness, 0.0, self.inner_diameter / 2, Dimension.LENGTH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Boiler:
    """One boiler."""

    name: str
    kind: Kind
    mawp: GaugePa
    """Maximum allowable working pressure [Pa gauge]"""
    output: float | None = None
    """Heat to water and steam at full fire [W]"""
    heating_surface: float | None = None
    """[m2]"""
    electric_input: float | None = None
    """Only for a boiler heated by electricity [W]"""
    water_volume: float | None = None
    """At normal level [m3]"""
    steam_volume: Datum | None = None
    """[m3]"""
    metal_mass: Datum | None = None
    """Metal that follows the water temperature [kg]"""
    feedwater_temperature: Datum | None = None
    """[K]"""
    standing_loss: Datum | None = None
    """Heat lost from the hot boiler all the time [W]"""
    feed: Feed | None = None
    feed_capacity: Datum | None = None
    """Most that feed pump and feed valve deliver [kg/s]"""
    level_band: Datum | None = None
    """Between pump start and stop, or feed valve shut and wide open, around normal level: share of water volume [1]"""
    low_water_cutoff: Datum | None = None
    """Water volume at which the low-water cutoff stops the burner, as a share of that at normal level [1]"""
    breaks_vacuum: Datum | None = None
    """Whether air is let in when the boiler cools to zero gauge: 1 for yes, 0 for no [1]"""
    non_return_valve: bool | None = None
    wall: Wall | None = None
    new_refractory: bool | None = None
    refractory_schedule: str | None = None
    burners: tuple[Burner, ...] = ()
    """One for each fuel"""
    safety_valves: tuple[SafetyValve, ...] = ()
    controls: Controls = Controls()
    gauge: PressureGauge = PressureGauge()
    measured: Measured = Measured()
    simulated: Simulated | None = None
    """What its motion taught while settings were chosen; no survey has it"""
    as_found: AsFound | None = None
    proposed: Proposed | None = None
    as_left: Settings | None = None

    def __post_init__(self) -> None:
        require_positive("mawp", self.mawp, Dimension.GAUGE_PRESSURE)
        require_positive("output", self.output, Dimension.POWER)
        require_positive("heating_surface", self.heating_surface, Dimension.AREA)
        require_positive("electric_input", self.electric_input, Dimension.POWER)
        require_positive("water_volume", self.water_volume, Dimension.VOLUME)
        if self.steam_volume is not None:
            require_positive("steam_volume", self.steam_volume.value, Dimension.VOLUME)
        if self.metal_mass is not None:
            require_not_negative("metal_mass", self.metal_mass.value, Dimension.MASS)
        if self.standing_loss is not None:
            require_not_negative("standing_loss", self.standing_loss.value, Dimension.POWER)
        if self.feedwater_temperature is not None:
            require_between(
                "feedwater_temperature", self.feedwater_temperature.value, 273.15, 623.15, Dimension.TEMPERATURE
            )
        self._require_possible_feed()
        for settings in self.sets_of_settings:
            for role in Role:
                require_on_dial(role, settings.of(role), self.controls.of(role))

    def _require_possible_feed(self) -> None:
        if self.feed_capacity is not None:
            require_positive("feed_capacity", self.feed_capacity.value, Dimension.MASS_FLOW)
        if self.level_band is not None:
            require_inside("level_band", self.level_band.value, 0.0, 1.0, Dimension.FRACTION)
        if self.low_water_cutoff is not None:
            require_inside("low_water_cutoff", self.low_water_cutoff.value, 0.0, 1.0, Dimension.FRACTION)
        if self.breaks_vacuum is not None:
            require_between("vacuum_breaker", self.breaks_vacuum.value, 0.0, 1.0, Dimension.NUMBER)

    @property
    def is_low_pressure(self) -> bool:
        """Whether the rules for boilers up to 15 psi apply."""
        return self.mawp <= LOW_PRESSURE_LIMIT_PA + ROUNDING_PA

    @property
    def sets_of_settings(self) -> tuple[Settings, ...]:
        """Every set that is there."""
        found = (self.as_found.settings,) if self.as_found is not None else ()
        proposed = (self.proposed.settings,) if self.proposed is not None else ()
        left = (self.as_left,) if self.as_left is not None else ()
        return found + proposed + left

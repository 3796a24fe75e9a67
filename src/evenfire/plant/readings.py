"""What a watch and a gauge gave; measured beats computed."""

from dataclasses import dataclass, fields

from evenfire.plant.possible import require_between, require_not_negative, require_positive
from evenfire.si import DiffPa, Dimension, GaugePa


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOn:
    """How far the pressure ran on after the burner was stopped."""

    rise: DiffPa
    """[Pa]"""
    firing: float
    """Firing when it was stopped, as a share of full fire [1]"""
    load: float
    """Steam drawn meanwhile, as a share of the output [1]"""
    at: GaugePa | None = None
    """Pressure at the stop [Pa gauge]; the same heat raises a higher pressure further"""

    def __post_init__(self) -> None:
        require_positive("at", self.at, Dimension.GAUGE_PRESSURE)
        require_not_negative("rise", self.rise, Dimension.PRESSURE_DIFFERENCE)
        require_between("firing", self.firing, 0.01, 1.2, Dimension.FRACTION)
        require_between("load", self.load, 0.0, 1.2, Dimension.FRACTION)


@dataclass(frozen=True, slots=True, kw_only=True)
class Undershoot:
    """How far the pressure fell below cut-in before it turned."""

    fall: DiffPa
    """[Pa]"""
    load: float
    """Steam drawn meanwhile, as a share of the output [1]"""

    def __post_init__(self) -> None:
        require_not_negative("fall", self.fall, Dimension.PRESSURE_DIFFERENCE)
        require_between("load", self.load, 0.01, 1.2, Dimension.FRACTION)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Readings with a watch and a gauge; each may be absent."""

    run_on: tuple[RunOn, ...] = ()
    undershoot: Undershoot | None = None
    contact_to_low_fire: float | None = None
    """Operating limit's contact to heat at low fire [s]"""
    warm_up_rate: float | None = None
    """Rise of the saturation temperature while warming [K/s]"""

    def __post_init__(self) -> None:
        require_positive("contact_to_low_fire", self.contact_to_low_fire, Dimension.TIME)
        require_positive("warm_up_rate", self.warm_up_rate, Dimension.TEMPERATURE_RATE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Simulated:
    """How much further the pressure went, simulated, than the closed forms say, and how low it fell under load."""

    run_on_at_cut_out: float = 0.0
    """[Pa]"""
    run_on_at_full_fire: float = 0.0
    """[Pa]"""
    undershoot: float = 0.0
    """[Pa]"""
    drop_overshoot: float = 0.0
    """[Pa]"""
    load_fall: float = 0.0
    """[Pa]"""
    lowest_under_load: GaugePa | None = None
    """Lowest pressure of every interruption under load, were there no low-fire hold [Pa gauge]"""

    def __post_init__(self) -> None:
        for field in fields(self):
            require_not_negative(field.name, getattr(self, field.name), Dimension.PRESSURE_DIFFERENCE)

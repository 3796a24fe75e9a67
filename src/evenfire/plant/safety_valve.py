"""A safety valve as its nameplate and its certificate describe it."""

from dataclasses import dataclass

from evenfire.plant.known import Datum
from evenfire.plant.possible import require_not_negative, require_positive
from evenfire.si import Dimension, GaugePa


@dataclass(frozen=True, slots=True, kw_only=True)
class SafetyValve:
    """One safety valve."""

    name: str
    set_pressure: GaugePa
    """[Pa gauge]"""
    tested_lift: GaugePa | None = None
    """Pressure at which it lifted on its certificate [Pa gauge]"""
    capacity: float | None = None
    """Stamped relieving capacity [kg/s]"""
    blowdown: Datum | None = None
    """How far below its lift it closes again [Pa]"""
    orifice_area: float | None = None
    """[m2]"""
    coefficient: float | None = None
    """Certified coefficient of discharge K [1]"""
    lift_tested_at: GaugePa | None = None
    """Boiler pressure at the last test by hand lever [Pa gauge]"""

    def __post_init__(self) -> None:
        require_positive("set", self.set_pressure, Dimension.GAUGE_PRESSURE)
        require_positive("tested_lift", self.tested_lift, Dimension.GAUGE_PRESSURE)
        require_positive("capacity", self.capacity, Dimension.MASS_FLOW)
        require_positive("orifice_area", self.orifice_area, Dimension.AREA)
        require_positive("coefficient", self.coefficient, Dimension.NUMBER)
        require_not_negative("lift_tested_at", self.lift_tested_at, Dimension.GAUGE_PRESSURE)
        if self.blowdown is not None:
            require_not_negative("blowdown", self.blowdown.value, Dimension.PRESSURE_DIFFERENCE)

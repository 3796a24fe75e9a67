"""SI inside: what one unit of the trade is in SI, and the three pressures that must never be mixed.

Gauge, absolute and difference of pressure are different types: a checker refuses a gauge pressure where steam
properties want an absolute one. Every multiplier below is compared with an independent units library in the tests.
"""

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, Final, NewType, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Number = TypeVar("Number", float, "NDArray[np.float64]")
"""One number, or an array of them: closed forms and margins are written once and serve a check and a search alike."""

GaugePa = NewType("GaugePa", float)
"""Pressure above the air around the boiler [Pa]; negative is vacuum."""
AbsPa = NewType("AbsPa", float)
"""Pressure above nothing [Pa]."""
DiffPa = NewType("DiffPa", float)
"""Difference of two pressures [Pa]."""

ROUNDING_PA: Final = 0.01
"""Two pressures closer than this are the same: it is the noise of unit conversion, a millionth of a psi [Pa]."""

STANDARD_ATMOSPHERE_PA: Final = 101_325.0
STANDARD_GRAVITY_M_S2: Final = 9.806_65

PA_PER_PSI: Final = 0.453_592_37 * STANDARD_GRAVITY_M_S2 / 0.0254**2
PA_PER_BAR: Final = 1e5
PA_PER_KGF_CM2: Final = STANDARD_GRAVITY_M_S2 * 1e4
LOW_PRESSURE_LIMIT_PA: Final = 15 * PA_PER_PSI
"""A steam boiler up to 15 psi gauge is a low-pressure (heating) boiler [Pa gauge]."""
KG_PER_LB: Final = 0.453_592_37
M_PER_FT: Final = 0.3048
M_PER_IN: Final = 0.0254
M3_PER_FT3: Final = M_PER_FT**3
M3_PER_US_GALLON: Final = 231 * M_PER_IN**3
PA_PER_M_OF_WATER_LEG: Final = 0.433 * PA_PER_PSI / M_PER_FT
"""Water at 62 F, 0.433 psi per foot (HB1919): the figure of the trade for sensing lines [Pa/m]."""
J_PER_BTU: Final = 1_055.055_852_62
"""International-table Btu, the one that steam tables use [J]."""
W_PER_BTU_H: Final = J_PER_BTU / 3600
BTU_H_PER_BOILER_HP: Final = 33_475.0
"""1 boiler horsepower, stated once: 33,475 Btu/h (DOE steam tip sheet 16); 34.5 lb/h from and at 212 F."""
W_PER_BOILER_HP: Final = BTU_H_PER_BOILER_HP * W_PER_BTU_H
KG_S_PER_LB_H: Final = KG_PER_LB / 3600
K_PER_F_DEGREE: Final = 5 / 9
ZERO_CELSIUS_K: Final = 273.15


class Dimension(Enum):
    """What a number measures; the delivery layer chooses the reader's unit from it."""

    GAUGE_PRESSURE = "gauge pressure"
    ABSOLUTE_PRESSURE = "absolute pressure"
    PRESSURE_DIFFERENCE = "pressure difference"
    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature difference"
    TEMPERATURE_RATE = "temperature rate"
    MASS = "mass"
    MASS_FLOW = "mass flow"
    POWER = "power"
    ENERGY = "energy"
    STORAGE = "heat per pressure rise"
    VOLUME = "volume"
    VOLUME_FLOW = "volume flow"
    AREA = "area"
    LENGTH = "length"
    TIME = "time"
    FREQUENCY = "frequency"
    FRACTION = "fraction"
    NUMBER = "number"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with what it measures; the value is SI."""

    value: float
    """[SI unit of the dimension: Pa, K, K/s, kg, kg/s, W, J, J/Pa, m3, m3/s, m2, m, s, 1/s, 1]"""
    dimension: Dimension


def absolute(gauge: GaugePa, ambient: AbsPa) -> AbsPa:
    """Absolute pressure of a gauge pressure where the air stands at ``ambient`` [Pa]."""
    return AbsPa(gauge + ambient)


def gauge(pressure: AbsPa, ambient: AbsPa) -> GaugePa:
    """Gauge pressure of an absolute one where the air stands at ``ambient`` [Pa]."""
    return GaugePa(pressure - ambient)

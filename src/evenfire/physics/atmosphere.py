"""Pressure of the air around a boiler, from the altitude of its site."""

from typing import Final

from evenfire.errors import OutOfRange
from evenfire.si import STANDARD_ATMOSPHERE_PA, STANDARD_GRAVITY_M_S2, AbsPa, Dimension, Quantity

LOWEST_ALTITUDE: Final = -500.0
"""[m]"""
HIGHEST_ALTITUDE: Final = 5000.0
"""[m]"""

# Constants of the standard atmosphere (ISO 2533 and the US Standard Atmosphere 1976 agree here; from memory).
_SEA_LEVEL_TEMPERATURE_K: Final = 288.15
_LAPSE_K_M: Final = 0.0065
_MOLAR_MASS_KG_KMOL: Final = 28.9644
_GAS_CONSTANT_J_KMOL_K: Final = 8314.32
_EARTH_RADIUS_M: Final = 6_356_766.0
_EXPONENT: Final = STANDARD_GRAVITY_M_S2 * _MOLAR_MASS_KG_KMOL / (_GAS_CONSTANT_J_KMOL_K * _LAPSE_K_M)


def ambient_pressure(altitude: float) -> AbsPa:
    """Air pressure of the standard atmosphere at a height above sea level [Pa].

    The barometer swings about this by some 3 kPa with the weather; where it matters, read a barometer.

    Parameters
    ----------
    altitude
        Height above mean sea level [m], -500 to 5000.

    Raises
    ------
    OutOfRange
        Altitude outside that range, or not a number.

    Notes
    -----
    p = p0 (1 - L H / T0)^(g M / (R L)), with the geopotential height H = r z / (r + z).

    References
    ----------
    ISO 2533; US Standard Atmosphere 1976, equations 18 and 33a (from memory).

    Examples
    --------
    >>> round(ambient_pressure(1000.0) / 100)
    899
    """
    if not LOWEST_ALTITUDE <= altitude <= HIGHEST_ALTITUDE:
        raise OutOfRange(
            relation="ambient pressure",
            found=Quantity(altitude, Dimension.LENGTH),
            lowest=Quantity(LOWEST_ALTITUDE, Dimension.LENGTH),
            highest=Quantity(HIGHEST_ALTITUDE, Dimension.LENGTH),
        )
    geopotential = _EARTH_RADIUS_M * altitude / (_EARTH_RADIUS_M + altitude)
    temperature_ratio = 1.0 - _LAPSE_K_M * geopotential / _SEA_LEVEL_TEMPERATURE_K
    return AbsPa(STANDARD_ATMOSPHERE_PA * float(temperature_ratio**_EXPONENT))

"""Properties of water and steam (IAPWS industrial formulation 1997), the one door to the untyped package ``seuif97``.

Everything outside this module speaks SI and absolute pressure; ``seuif97`` speaks MPa, degrees Celsius and kJ/kg and
answers a question outside its range with an error code in the place of the number, so every question is checked first.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from math import exp
from typing import Final

import seuif97

from evenfire.errors import OutOfRange
from evenfire.si import ZERO_CELSIUS_K, AbsPa, Dimension, Quantity

LOWEST_PRESSURE: Final = AbsPa(611.657)
"""Triple point of water [Pa]: a boiler cannot be colder and still hold water."""
HIGHEST_PRESSURE: Final = AbsPa(165e5)
"""[Pa]. Just below 623.15 K, where the formulation changes to the equation of its region 3."""
LOWEST_TEMPERATURE: Final = ZERO_CELSIUS_K
"""[K]"""
HIGHEST_TEMPERATURE: Final[float] = float(seuif97.px2t(HIGHEST_PRESSURE / 1e6, 0.0)) + ZERO_CELSIUS_K
"""Saturation temperature at ``HIGHEST_PRESSURE`` [K]."""

_PA_PER_MPA: Final = 1e6
_J_PER_KJ: Final = 1e3
_LIQUID: Final = 0.0
_STEAM: Final = 1.0
# Step in ln p of the four-point differences. Twice the step beyond either end is still inside the formulation.
_LOG_STEP: Final = 3.5e-4
# Nearer than this to boiling [K] the package may take the liquid for steam; saturated liquid is the answer there.
_BOILING_MARGIN: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Saturation:
    """Water and steam in equilibrium at one pressure."""

    temperature: float
    """[K]"""
    liquid_density: float
    """[kg/m3]"""
    steam_density: float
    """[kg/m3]"""
    liquid_enthalpy: float
    """[J/kg]"""
    steam_enthalpy: float
    """[J/kg]"""

    @property
    def evaporation_enthalpy(self) -> float:
        """Heat that turns saturated liquid to saturated steam [J/kg]."""
        return self.steam_enthalpy - self.liquid_enthalpy


@dataclass(frozen=True, slots=True, kw_only=True)
class SaturationSlopes:
    """How each saturation property changes with pressure, along the saturation line."""

    temperature: float
    """[K/Pa]"""
    liquid_density: float
    """[kg/(m3 Pa)]"""
    steam_density: float
    """[kg/(m3 Pa)]"""
    liquid_enthalpy: float
    """[J/(kg Pa)]"""
    steam_enthalpy: float
    """[J/(kg Pa)]"""


def saturation_temperature(pressure: AbsPa) -> float:
    """Temperature at which water boils [K].

    Parameters
    ----------
    pressure
        Absolute pressure [Pa], ``LOWEST_PRESSURE`` to ``HIGHEST_PRESSURE``.

    Raises
    ------
    OutOfRange
        Pressure outside that range, or not a number.

    References
    ----------
    IAPWS-R7, equation 31.

    Examples
    --------
    >>> round(saturation_temperature(AbsPa(101_325.0)) - 273.15, 1)
    100.0
    """
    _refuse_pressure("saturation temperature", pressure)
    return _boiling_point(pressure)


def saturation_pressure(temperature: float) -> AbsPa:
    """Absolute pressure at which water of this temperature boils [Pa].

    Parameters
    ----------
    temperature
        [K], from the triple point (273.16) to ``HIGHEST_TEMPERATURE``.

    Raises
    ------
    OutOfRange
        Temperature outside that range, or not a number.

    References
    ----------
    IAPWS-R7, equation 30.
    """
    _refuse_temperature("saturation pressure", temperature, _boiling_point(LOWEST_PRESSURE), HIGHEST_TEMPERATURE)
    pressure = float(seuif97.tx2p(temperature - ZERO_CELSIUS_K, _LIQUID)) * _PA_PER_MPA
    # Rounding must not carry an end of the range out of it.
    return AbsPa(min(max(pressure, LOWEST_PRESSURE), HIGHEST_PRESSURE))


@lru_cache(maxsize=4096)  # pure, and a search asks for the same few pressures over and over
def saturation(pressure: AbsPa) -> Saturation:
    """Both phases at one absolute pressure [Pa].

    Raises
    ------
    OutOfRange
        Pressure outside ``LOWEST_PRESSURE`` to ``HIGHEST_PRESSURE``, or not a number.

    References
    ----------
    IAPWS-R7, regions 1, 2 and 4.
    """
    pressure = AbsPa(float(pressure))  # remembered for floats and array scalars alike
    _refuse_pressure("saturation", pressure)
    return _saturation(pressure)


@lru_cache(maxsize=4096)
def saturation_slopes(pressure: AbsPa) -> SaturationSlopes:
    """Slopes of both phases with respect to pressure, along the saturation line.

    Parameters
    ----------
    pressure
        Absolute pressure [Pa], ``LOWEST_PRESSURE`` to ``HIGHEST_PRESSURE``.

    Raises
    ------
    OutOfRange
        Pressure outside that range, or not a number.

    Notes
    -----
    Four-point differences in ln p, exact to 1e-12 by formula. Rounding leaves 1e-10, and 1e-8 for the liquid density of
    cold water, which hardly changes. The package's own derivatives are not used: its dv/dp of steam has the wrong sign.
    """
    pressure = AbsPa(float(pressure))  # remembered for floats and array scalars alike
    _refuse_pressure("saturation slopes", pressure)
    far_below, below, above, far_above = (_saturation(pressure * exp(count * _LOG_STEP)) for count in (-2, -1, 1, 2))

    def slope(of: Callable[[Saturation], float]) -> float:
        near, far = of(above) - of(below), of(far_above) - of(far_below)
        return (8 * near - far) / (12 * _LOG_STEP * pressure)

    return SaturationSlopes(
        temperature=slope(lambda state: state.temperature),
        liquid_density=slope(lambda state: state.liquid_density),
        steam_density=slope(lambda state: state.steam_density),
        liquid_enthalpy=slope(lambda state: state.liquid_enthalpy),
        steam_enthalpy=slope(lambda state: state.steam_enthalpy),
    )


def liquid_enthalpy(pressure: AbsPa, temperature: float) -> float:
    """Enthalpy of liquid water at or below boiling [J/kg].

    Parameters
    ----------
    pressure
        Absolute pressure [Pa].
    temperature
        [K], from 273.15 to saturation at ``pressure``.

    Raises
    ------
    OutOfRange
        Pressure outside the range of this module, or a temperature at which this water is no liquid.

    References
    ----------
    IAPWS-R7, region 1.
    """
    _refuse_unless_liquid("liquid enthalpy", pressure, temperature)
    mpa = pressure / _PA_PER_MPA
    if _boiling_point(pressure) - temperature < _BOILING_MARGIN:
        return float(seuif97.px2h(mpa, _LIQUID)) * _J_PER_KJ
    return float(seuif97.pt2h(mpa, temperature - ZERO_CELSIUS_K)) * _J_PER_KJ


def liquid_density(pressure: AbsPa, temperature: float) -> float:
    """Density of liquid water at or below boiling [kg/m3].

    Parameters
    ----------
    pressure
        Absolute pressure [Pa].
    temperature
        [K], from 273.15 to saturation at ``pressure``.

    Raises
    ------
    OutOfRange
        Pressure outside the range of this module, or a temperature at which this water is no liquid.

    References
    ----------
    IAPWS-R7, region 1.
    """
    _refuse_unless_liquid("liquid density", pressure, temperature)
    mpa = pressure / _PA_PER_MPA
    if _boiling_point(pressure) - temperature < _BOILING_MARGIN:
        return 1.0 / float(seuif97.px2v(mpa, _LIQUID))
    return 1.0 / float(seuif97.pt2v(mpa, temperature - ZERO_CELSIUS_K))


def saturated_liquid_enthalpy(temperature: float) -> float:
    """Enthalpy of liquid water at its own saturation pressure, as steam tables list it by temperature [J/kg].

    Parameters
    ----------
    temperature
        [K], from 273.15 to ``HIGHEST_TEMPERATURE``.

    Raises
    ------
    OutOfRange
        Temperature outside that range, or not a number.
    """
    _refuse_temperature("saturated liquid enthalpy", temperature, LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE)
    return float(seuif97.tx2h(temperature - ZERO_CELSIUS_K, _LIQUID)) * _J_PER_KJ


def _boiling_point(pressure: float) -> float:
    return float(seuif97.px2t(pressure / _PA_PER_MPA, _LIQUID)) + ZERO_CELSIUS_K


def _saturation(pressure: float) -> Saturation:
    mpa = pressure / _PA_PER_MPA
    return Saturation(
        temperature=_boiling_point(pressure),
        liquid_density=1.0 / float(seuif97.px2v(mpa, _LIQUID)),
        steam_density=1.0 / float(seuif97.px2v(mpa, _STEAM)),
        liquid_enthalpy=float(seuif97.px2h(mpa, _LIQUID)) * _J_PER_KJ,
        steam_enthalpy=float(seuif97.px2h(mpa, _STEAM)) * _J_PER_KJ,
    )


def _refuse_pressure(relation: str, pressure: float) -> None:
    if not LOWEST_PRESSURE <= pressure <= HIGHEST_PRESSURE:
        raise OutOfRange(
            relation=relation,
            found=Quantity(pressure, Dimension.ABSOLUTE_PRESSURE),
            lowest=Quantity(LOWEST_PRESSURE, Dimension.ABSOLUTE_PRESSURE),
            highest=Quantity(HIGHEST_PRESSURE, Dimension.ABSOLUTE_PRESSURE),
        )


def _refuse_temperature(relation: str, temperature: float, lowest: float, highest: float) -> None:
    if not lowest <= temperature <= highest:
        raise OutOfRange(
            relation=relation,
            found=Quantity(temperature, Dimension.TEMPERATURE),
            lowest=Quantity(lowest, Dimension.TEMPERATURE),
            highest=Quantity(highest, Dimension.TEMPERATURE),
        )


def _refuse_unless_liquid(relation: str, pressure: AbsPa, temperature: float) -> None:
    _refuse_pressure(relation, pressure)
    _refuse_temperature(relation, temperature, LOWEST_TEMPERATURE, _boiling_point(pressure))

"""Properties of water and steam (IAPWS industrial formulation 1997), the one door to the untyped package ``seuif97``.

Everything outside this module speaks SI and absolute pressure; ``seuif97`` speaks MPa, degrees Celsius and kJ/kg and
answers a question outside its range with a number near -1000 or -9999, so every question is checked before it is put.
"""

from dataclasses import dataclass
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
# Property numbers of seuif97's generic functions.
_HEAT_CAPACITY: Final = 8
_VOLUME_BY_TEMPERATURE: Final = 19
_VOLUME_BY_PRESSURE: Final = 20
# Step in ln p of the four-point difference of T(p). Its error is 1e-15 of the slope by formula and 1e-10 by rounding;
# twice the step below the triple point is still inside the formulation.
_LOG_STEP: Final = 2e-4
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
    _refuse_pressure("saturation", pressure)
    mpa = pressure / _PA_PER_MPA
    return Saturation(
        temperature=_boiling_point(pressure),
        liquid_density=1.0 / float(seuif97.px2v(mpa, _LIQUID)),
        steam_density=1.0 / float(seuif97.px2v(mpa, _STEAM)),
        liquid_enthalpy=float(seuif97.px2h(mpa, _LIQUID)) * _J_PER_KJ,
        steam_enthalpy=float(seuif97.px2h(mpa, _STEAM)) * _J_PER_KJ,
    )


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
    dT/dp is a four-point difference of the saturation line. The others follow from it by the chain rule with the exact
    partial derivatives of the formulation: dv/dp = v_p + v_T dT/dp and dh/dp = (v - T v_T) + c_p dT/dp.

    References
    ----------
    IAPWS-R7, tables 3 and 12 (relations of the properties to the Gibbs energy).
    """
    _refuse_pressure("saturation slopes", pressure)
    boiling = _boiling_point_slope(pressure)
    liquid_density, liquid_enthalpy = _phase_slopes(pressure, _LIQUID, boiling)
    steam_density, steam_enthalpy = _phase_slopes(pressure, _STEAM, boiling)
    return SaturationSlopes(
        temperature=boiling,
        liquid_density=liquid_density,
        steam_density=steam_density,
        liquid_enthalpy=liquid_enthalpy,
        steam_enthalpy=steam_enthalpy,
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


def _boiling_point_slope(pressure: float) -> float:
    near = _boiling_point(pressure * exp(_LOG_STEP)) - _boiling_point(pressure * exp(-_LOG_STEP))
    far = _boiling_point(pressure * exp(2 * _LOG_STEP)) - _boiling_point(pressure * exp(-2 * _LOG_STEP))
    return (8 * near - far) / (12 * _LOG_STEP * pressure)


def _phase_slopes(pressure: float, quality: float, boiling_slope: float) -> tuple[float, float]:
    """Slopes of density [kg/(m3 Pa)] and enthalpy [J/(kg Pa)] of one phase."""
    mpa = pressure / _PA_PER_MPA
    volume = float(seuif97.px2v(mpa, quality))
    by_temperature = float(seuif97.px(mpa, quality, _VOLUME_BY_TEMPERATURE))
    by_pressure = float(seuif97.px(mpa, quality, _VOLUME_BY_PRESSURE)) / _PA_PER_MPA
    heat_capacity = float(seuif97.px(mpa, quality, _HEAT_CAPACITY)) * _J_PER_KJ
    density_slope = -(by_pressure + by_temperature * boiling_slope) / volume**2
    enthalpy_slope = volume - _boiling_point(pressure) * by_temperature + heat_capacity * boiling_slope
    return density_slope, enthalpy_slope


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

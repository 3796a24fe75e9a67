"""Flow of steam and gas through an orifice, after the formulas of the trade and its codes.

They are empirical and in the units of their sources; each is quoted with its numbers and converted once.
"""

from math import inf, sqrt
from typing import Final

from evenfire.errors import OutOfRange
from evenfire.plant.possible import require_positive
from evenfire.si import K_PER_F_DEGREE, KG_PER_LB, KG_S_PER_LB_H, M_PER_IN, PA_PER_PSI, AbsPa, Dimension, Quantity

_M2_PER_IN2: Final = M_PER_IN**2

STEAM_COEFFICIENT: Final = 51.5 * KG_S_PER_LB_H / (_M2_PER_IN2 * PA_PER_PSI)
"""51.5 lb/h per in2 and psi, NBCC and ASME-VIII-11 [kg/(s m2 Pa)]."""
NAPIER_COEFFICIENT: Final = KG_PER_LB / (70 * _M2_PER_IN2 * PA_PER_PSI)
"""1/70 lb/s per in2 and psi, HB1919 equation 49 [kg/(s m2 Pa)]."""
NAPIER_LOWEST_PRESSURE: Final = AbsPa(25.37 * PA_PER_PSI)
"""From here up the flow into the atmosphere is choked, HB1919 [Pa]."""


def choked_steam_flow(area: float, pressure: AbsPa) -> float:
    """Saturated steam through a perfect orifice after the boiler code's formula [kg/s].

    Parameters
    ----------
    area
        [m2]
    pressure
        Absolute pressure upstream [Pa].

    Raises
    ------
    ImpossibleValue
        An area or pressure that is not above zero.

    Notes
    -----
    W = 51.5 A P, lb/h with in2 and psia.

    References
    ----------
    NBCC; ASME-VIII-11.
    """
    require_positive("area", area, Dimension.AREA)
    require_positive("pressure", pressure, Dimension.ABSOLUTE_PRESSURE)
    return STEAM_COEFFICIENT * area * pressure


def effective_area(steam_flow: float, pressure: AbsPa) -> float:
    """Area times coefficient of a valve that is stamped with a steam flow [m2].

    Parameters
    ----------
    steam_flow
        Stamped capacity [kg/s].
    pressure
        Absolute flow-rating pressure [Pa]; for pressure vessels 1.10 x set + 14.7 psi.

    Raises
    ------
    ImpossibleValue
        A flow or pressure that is not above zero.

    References
    ----------
    ASME-VIII-11.
    """
    require_positive("steam flow", steam_flow, Dimension.MASS_FLOW)
    require_positive("pressure", pressure, Dimension.ABSOLUTE_PRESSURE)
    return steam_flow / (STEAM_COEFFICIENT * pressure)


def choked_gas_flow(
    area: float, pressure: AbsPa, *, gas_constant: float, molar_mass: float, temperature: float
) -> float:
    """Gas or air through a valve after the pressure-vessel code's formula [kg/s].

    Parameters
    ----------
    area
        Area times coefficient, see ``effective_area`` [m2].
    pressure
        Absolute flow-rating pressure [Pa].
    gas_constant
        The code's constant C [1, with lb/h, in2, psia and degrees Rankine]; 356 for air.
    molar_mass
        [kg/kmol]; 28.97 for air.
    temperature
        Upstream [K].

    Raises
    ------
    ImpossibleValue
        Any of them not above zero.

    Notes
    -----
    W = C A P sqrt(M / T).

    References
    ----------
    ASME-VIII-11.
    """
    require_positive("area", area, Dimension.AREA)
    require_positive("pressure", pressure, Dimension.ABSOLUTE_PRESSURE)
    require_positive("gas constant", gas_constant, Dimension.NUMBER)
    require_positive("molar mass", molar_mass, Dimension.NUMBER)
    require_positive("temperature", temperature, Dimension.TEMPERATURE)
    per_area = gas_constant * (pressure / PA_PER_PSI) * sqrt(molar_mass / (temperature / K_PER_F_DEGREE))
    return per_area * (area / _M2_PER_IN2) * KG_S_PER_LB_H


def napier_flow(area: float, pressure: AbsPa) -> float:
    """Saturated steam through an orifice into the atmosphere after Napier's rule [kg/s].

    Parameters
    ----------
    area
        [m2]
    pressure
        Absolute pressure upstream [Pa].

    Raises
    ------
    ImpossibleValue
        An area that is not above zero.
    OutOfRange
        A pressure below 25.37 psia, where the flow into the atmosphere is no longer choked.

    Notes
    -----
    W = p a / 70, lb/s with psia and in2.

    References
    ----------
    HB1919, equation 49.
    """
    require_positive("area", area, Dimension.AREA)
    if not NAPIER_LOWEST_PRESSURE <= pressure < inf:
        raise OutOfRange(
            relation="Napier flow into the atmosphere",
            found=Quantity(pressure, Dimension.ABSOLUTE_PRESSURE),
            lowest=Quantity(NAPIER_LOWEST_PRESSURE, Dimension.ABSOLUTE_PRESSURE),
            highest=Quantity(inf, Dimension.ABSOLUTE_PRESSURE),
        )
    return NAPIER_COEFFICIENT * area * pressure


def high_pressure_steam_correction(pressure: AbsPa) -> float:
    """Factor K_N by which API 520 corrects Napier's rule at high pressure [1].

    Parameters
    ----------
    pressure
        Absolute relieving pressure [Pa], up to 22,057 kPa; 1 up to 10,339 kPa.

    Raises
    ------
    OutOfRange
        A pressure outside that range, or not a number.

    References
    ----------
    API-520, part I, steam.
    """
    if not 0.0 < pressure <= 22_057e3:
        raise OutOfRange(
            relation="high pressure steam correction",
            found=Quantity(pressure, Dimension.ABSOLUTE_PRESSURE),
            lowest=Quantity(0.0, Dimension.ABSOLUTE_PRESSURE),
            highest=Quantity(22_057e3, Dimension.ABSOLUTE_PRESSURE),
        )
    if pressure <= 10_339e3:
        return 1.0
    kilopascal = pressure / 1e3
    return (0.02764 * kilopascal - 1000) / (0.03324 * kilopascal - 1061)


def api_520_steam_area(
    steam_flow: float, pressure: AbsPa, *, discharge_coefficient: float, superheat_correction: float
) -> float:
    """Orifice area that API 520 asks for a steam flow, without back pressure or bursting disc [m2].

    Parameters
    ----------
    steam_flow
        [kg/s]
    pressure
        Absolute relieving pressure [Pa].
    discharge_coefficient
        K_d [1]
    superheat_correction
        K_SH [1]; 1 for saturated steam.

    Raises
    ------
    ImpossibleValue
        A flow or factor that is not above zero.
    OutOfRange
        A pressure outside ``high_pressure_steam_correction``.

    Notes
    -----
    A = 190.5 W / (P K_d K_N K_SH), mm2 with kg/h and kPa.

    References
    ----------
    API-520, part I, steam.
    """
    require_positive("steam flow", steam_flow, Dimension.MASS_FLOW)
    require_positive("discharge coefficient", discharge_coefficient, Dimension.NUMBER)
    require_positive("superheat correction", superheat_correction, Dimension.NUMBER)
    factors = discharge_coefficient * high_pressure_steam_correction(pressure) * superheat_correction
    return 190.5 * (steam_flow * 3600) / (pressure / 1e3 * factors) * 1e-6

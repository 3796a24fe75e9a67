"""How much steam a heat makes, and how much heat a steam flow takes.

The trade reckons the feed's enthalpy by its temperature alone, as steam tables list it; so do these functions. The work
of the feed pump that this leaves out is 0.04 % of the heat at 150 psi.
"""

from typing import Final

from evenfire.physics.steam import saturated_liquid_enthalpy, saturation
from evenfire.plant.possible import require_between, require_not_negative
from evenfire.si import KG_S_PER_LB_H, W_PER_BOILER_HP, AbsPa, Dimension

BOILER_HP_EVAPORATION: Final = 34.5 * KG_S_PER_LB_H
"""Steam from and at 212 F of one boiler horsepower, DOE-TIP-16 [kg/s]."""
FROM_AND_AT_ENTHALPY: Final = W_PER_BOILER_HP / BOILER_HP_EVAPORATION
"""Heat of evaporation from and at 212 F that the definition of the boiler horsepower holds: 970.3 Btu/lb [J/kg]."""


def evaporation_heat(pressure: AbsPa, feed_temperature: float) -> float:
    """Heat from feedwater to saturated steam [J/kg].

    Parameters
    ----------
    pressure
        Absolute pressure of the boiler [Pa].
    feed_temperature
        [K]

    Raises
    ------
    OutOfRange
        Pressure or temperature outside the steam properties.

    References
    ----------
    DOE-TIP-15.

    Examples
    --------
    150 psig, feed at 200 F, 1028 Btu/lb:

    >>> round(evaporation_heat(AbsPa(164.7 * 6894.76), (200 + 459.67) / 1.8) / 2326)
    1028
    """
    return saturation(pressure).steam_enthalpy - saturated_liquid_enthalpy(feed_temperature)


def factor_of_evaporation(pressure: AbsPa, feed_temperature: float) -> float:
    """Evaporation from and at 212 F that equals an evaporation at this pressure and feed temperature [1].

    Parameters
    ----------
    pressure
        Absolute pressure of the boiler [Pa].
    feed_temperature
        [K]

    Raises
    ------
    OutOfRange
        Pressure or temperature outside the steam properties.

    References
    ----------
    HB1919, table 19 (there with 970.4 Btu/lb).
    """
    return evaporation_heat(pressure, feed_temperature) / FROM_AND_AT_ENTHALPY


def heat_for_steam(steam_flow: float, pressure: AbsPa, feed_temperature: float) -> float:
    """Heat that a steam flow takes from feedwater to saturated steam [W].

    Parameters
    ----------
    steam_flow
        [kg/s]
    pressure
        Absolute pressure of the boiler [Pa].
    feed_temperature
        [K]

    Raises
    ------
    ImpossibleValue
        A negative flow.
    OutOfRange
        Pressure or temperature outside the steam properties.
    """
    require_not_negative("steam flow", steam_flow, Dimension.MASS_FLOW)
    return steam_flow * evaporation_heat(pressure, feed_temperature)


def steam_flow_for_heat(heat: float, pressure: AbsPa, feed_temperature: float) -> float:
    """Steam that a heat makes from feedwater [kg/s].

    Parameters
    ----------
    heat
        To the water, losses already taken off [W].
    pressure
        Absolute pressure of the boiler [Pa].
    feed_temperature
        [K]

    Raises
    ------
    ImpossibleValue
        A negative heat.
    OutOfRange
        Pressure or temperature outside the steam properties.
    """
    require_not_negative("heat", heat, Dimension.POWER)
    return heat / evaporation_heat(pressure, feed_temperature)


def feed_flow_with_blowdown(steam_flow: float, blowdown: float) -> float:
    """Feedwater that makes a steam flow while a share of the feed is blown down [kg/s].

    Parameters
    ----------
    steam_flow
        [kg/s]
    blowdown
        Share of the feed [1], 0 to 0.5.

    Raises
    ------
    ImpossibleValue
        A negative flow, or a share outside that range.

    References
    ----------
    DOE-TIP-9.
    """
    require_not_negative("steam flow", steam_flow, Dimension.MASS_FLOW)
    require_between("blowdown", blowdown, 0.0, 0.5, Dimension.FRACTION)
    return steam_flow / (1.0 - blowdown)

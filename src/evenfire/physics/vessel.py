"""Water, steam and metal of a boiler at one pressure: what they hold, and what changing the pressure costs.

The water and the steam above it are in equilibrium and the metal follows their temperature, so two numbers, pressure
and water volume, tell the whole state. Mass and energy of that state::

    M = rho_w V_w + rho_s V_s
    U = rho_w h_w V_w + rho_s h_s V_s - p (V_w + V_s) + m c T

with their flows M' = feed - steam and U' = heat + feed h_feed - steam h_s. Nothing is linearised away. The handbook
storage dh_w/dp of the water alone is too large by 0.2 % at 15 psi and 1 % at 150, and leaves out steam and metal.
"""

from dataclasses import dataclass
from typing import Final

from evenfire.errors import ImpossibleValue
from evenfire.physics.steam import (
    Saturation,
    SaturationSlopes,
    saturation,
    saturation_pressure,
    saturation_slopes,
    saturation_temperature,
)
from evenfire.plant.possible import require_not_negative, require_positive
from evenfire.si import J_PER_BTU, K_PER_F_DEGREE, KG_PER_LB, AbsPa, Dimension, Quantity

STEEL_HEAT_CAPACITY: Final = 0.115 * J_PER_BTU / KG_PER_LB / K_PER_F_DEGREE
"""0.115 Btu/(lb F), HB1919 [J/(kg K)]."""

# Fourth-order steps in saturation temperature; even a fall from 180 psig to vacuum is then good to 1e-6 of the steam.
_STEPS: Final = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """Water and steam in equilibrium, in metal of the same temperature, at the pressure of the question."""

    water_volume: float
    """Liquid, bubbles not counted [m3]"""
    steam_volume: float
    """[m3]"""
    metal_mass: float
    """Metal that follows the water temperature [kg]"""
    metal_heat_capacity: float
    """[J/(kg K)]"""

    def __post_init__(self) -> None:
        require_positive("water volume", self.water_volume, Dimension.VOLUME)
        require_positive("steam volume", self.steam_volume, Dimension.VOLUME)
        require_not_negative("metal mass", self.metal_mass, Dimension.MASS)
        require_positive("metal heat capacity", self.metal_heat_capacity, Dimension.NUMBER)

    @property
    def volume(self) -> float:
        """Water and steam together [m3]."""
        return self.water_volume + self.steam_volume

    @property
    def metal_heat(self) -> float:
        """Heat that warms the metal by one kelvin [J/K]."""
        return self.metal_mass * self.metal_heat_capacity


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """What goes into a vessel and out of it."""

    heat: float
    """To the water, standing loss already taken off [W]"""
    steam_flow: float
    """Saturated steam drawn [kg/s]"""
    feed_flow: float
    """[kg/s]"""
    feed_enthalpy: float
    """[J/kg]"""


def contained_mass(vessel: Vessel, pressure: AbsPa) -> float:
    """Water and steam in the vessel [kg]."""
    state = saturation(pressure)
    return state.liquid_density * vessel.water_volume + state.steam_density * vessel.steam_volume


def contained_energy(vessel: Vessel, pressure: AbsPa) -> float:
    """Internal energy of water, steam and metal [J].

    Counted from liquid water at its triple point and from metal at zero kelvin; only differences have a meaning.
    """
    state = saturation(pressure)
    liquid = state.liquid_density * state.liquid_enthalpy * vessel.water_volume
    steam = state.steam_density * state.steam_enthalpy * vessel.steam_volume
    return liquid + steam - pressure * vessel.volume + vessel.metal_heat * state.temperature


def storage(vessel: Vessel, pressure: AbsPa) -> float:
    """Heat that raises the pressure of the closed vessel, per pressure rise [J/Pa].

    Parameters
    ----------
    vessel
        With the volumes that it has at ``pressure``.
    pressure
        Absolute pressure [Pa].

    Raises
    ------
    OutOfRange
        Pressure outside the steam properties.

    Notes
    -----
    The exact dU/dp at constant mass M and constant volume V (no feed, no steam drawn). The primes are slopes along the
    saturation line. Constant mass says how much water the rise evaporates or condenses, as a change of its volume::

        0 = dM/dp  ->  dV_w/dp = -(V_w rho_w' + V_s rho_s') / (rho_w - rho_s)

    and the energy follows::

        dU/dp = V_w (rho_w h_w)' + V_s (rho_s h_s)' + (rho_w h_w - rho_s h_s) dV_w/dp - V + m c T'

    References
    ----------
    ASTROM-BELL, global mass and energy balance: with its coefficients this is e22 - e21 e12 / e11.
    """
    state, slopes = saturation(pressure), saturation_slopes(pressure)
    liquid = state.liquid_density * slopes.liquid_enthalpy + slopes.liquid_density * state.liquid_enthalpy
    steam = state.steam_density * slopes.steam_enthalpy + slopes.steam_density * state.steam_enthalpy
    exchanged = state.liquid_density * state.liquid_enthalpy - state.steam_density * state.steam_enthalpy
    return (
        vessel.water_volume * liquid
        + vessel.steam_volume * steam
        + exchanged * _water_volume_slope(vessel, state, slopes)
        - vessel.volume
        + vessel.metal_heat * slopes.temperature
    )


def steam_draw_enthalpy(pressure: AbsPa) -> float:
    """Heat that must go in to hold the pressure while saturated steam leaves and no feed comes [J/kg].

    A little more than the evaporation enthalpy, because the room of the water that went must be filled with steam:
    h_fg rho_w / (rho_w - rho_s).
    """
    state = saturation(pressure)
    return state.evaporation_enthalpy * state.liquid_density / (state.liquid_density - state.steam_density)


def pressure_rate(vessel: Vessel, pressure: AbsPa, exchange: Exchange) -> float:
    """How fast the pressure rises under a given exchange of heat, steam and feed [Pa/s].

    Parameters
    ----------
    vessel
        With the volumes that it has at ``pressure``.
    pressure
        Absolute pressure [Pa].
    exchange
        Heat [W], flows [kg/s] and the enthalpy of the feed [J/kg].

    Raises
    ------
    OutOfRange
        Pressure outside the steam properties.

    Notes
    -----
    From the two balances of this module. At constant pressure a kilogram more of contents takes the energy
    e = (rho_w h_w - rho_s h_s) / (rho_w - rho_s) = h_s - ``steam_draw_enthalpy``; what U' has beyond that raises the
    pressure: dp/dt = (U' - e M') / storage.

    References
    ----------
    ASTROM-BELL, global mass and energy balance.
    """
    steam_enthalpy = saturation(pressure).steam_enthalpy
    carried = steam_enthalpy - steam_draw_enthalpy(pressure)
    steam_takes = exchange.steam_flow * (steam_enthalpy - carried)
    feed_brings = exchange.feed_flow * (exchange.feed_enthalpy - carried)
    return (exchange.heat + feed_brings - steam_takes) / storage(vessel, pressure)


def closed_vessel_at(vessel: Vessel, pressure: AbsPa, target: AbsPa) -> Vessel:
    """The same vessel with the same contents, nothing let in or out, at another pressure.

    Parameters
    ----------
    vessel
        With the volumes that it has at ``pressure``.
    pressure, target
        Absolute pressures [Pa].

    Raises
    ------
    ImpossibleValue
        At ``target`` the water would have swollen to fill the vessel, or there would be no water left.
    OutOfRange
        A pressure outside the steam properties.
    """
    return _with_contents(vessel, contained_mass(vessel, pressure), target)


def flash_fraction(high: AbsPa, low: AbsPa) -> float:
    """Share of saturated liquid that turns to steam when it is let down to a lower pressure [1].

    Parameters
    ----------
    high, low
        Absolute pressure before and after [Pa].

    Raises
    ------
    ImpossibleValue
        ``low`` above ``high``.
    OutOfRange
        A pressure outside the steam properties.

    Notes
    -----
    Constant enthalpy: (h_w(high) - h_w(low)) / h_fg(low).

    References
    ----------
    DOE-TIP-12.

    Examples
    --------
    Condensate of 150 psig let down to 15 psig, 12.7 %:

    >>> round(100 * flash_fraction(AbsPa(164.7 * 6894.76), AbsPa(29.7 * 6894.76)), 1)
    12.7
    """
    _refuse_rising(high, low)
    after = saturation(low)
    return (saturation(high).liquid_enthalpy - after.liquid_enthalpy) / after.evaporation_enthalpy


def stored_steam(vessel: Vessel, high: AbsPa, low: AbsPa) -> float:
    """Steam that the vessel gives while its pressure falls, without fire and without feed [kg].

    Parameters
    ----------
    vessel
        With the volumes that it has at ``high``.
    high, low
        Absolute pressure before and after [Pa].

    Raises
    ------
    ImpossibleValue
        ``low`` above ``high``, or the water is gone before.
    OutOfRange
        A pressure outside the steam properties.

    Notes
    -----
    ``pressure_rate`` without heat and feed, turned round: per pressure fall the vessel gives the steam
    storage / ``steam_draw_enthalpy``. Water volume follows from the mass that is left at every step.
    """
    _refuse_rising(high, low)
    start, end = saturation_temperature(high), saturation_temperature(low)
    mass = contained_mass(vessel, high)
    left = mass
    for count in range(_STEPS):
        hot, cold = (start + (end - start) * share / _STEPS for share in (count, count + 1))
        left = _mass_after_cooling(vessel, left, hot, cold)
    return mass - left


def _mass_after_cooling(vessel: Vessel, mass: float, hot: float, cold: float) -> float:
    """Contents after one fourth-order Runge-Kutta step in saturation temperature [kg]."""
    step, middle = cold - hot, (hot + cold) / 2
    first = _mass_slope(vessel, mass, hot)
    second = _mass_slope(vessel, mass + step / 2 * first, middle)
    third = _mass_slope(vessel, mass + step / 2 * second, middle)
    fourth = _mass_slope(vessel, mass + step * third, cold)
    return mass + step / 6 * (first + 2 * second + 2 * third + fourth)


def _mass_slope(vessel: Vessel, mass: float, temperature: float) -> float:
    """How the contents follow the temperature while steam leaves and no heat comes [kg/K]."""
    pressure = saturation_pressure(temperature)
    pressure_slope = 1.0 / saturation_slopes(pressure).temperature
    now = _with_contents(vessel, mass, pressure)
    return pressure_slope * storage(now, pressure) / steam_draw_enthalpy(pressure)


def _with_contents(vessel: Vessel, mass: float, pressure: AbsPa) -> Vessel:
    """The vessel when it holds this mass of water and steam at this pressure."""
    state = saturation(pressure)
    water = (mass - state.steam_density * vessel.volume) / (state.liquid_density - state.steam_density)
    return Vessel(
        water_volume=water,
        steam_volume=vessel.volume - water,
        metal_mass=vessel.metal_mass,
        metal_heat_capacity=vessel.metal_heat_capacity,
    )


def _water_volume_slope(vessel: Vessel, state: Saturation, slopes: SaturationSlopes) -> float:
    """Change of water volume with pressure at constant contents [m3/Pa]."""
    swelling = vessel.water_volume * slopes.liquid_density + vessel.steam_volume * slopes.steam_density
    return -swelling / (state.liquid_density - state.steam_density)


def _refuse_rising(high: AbsPa, low: AbsPa) -> None:
    if low > high:
        raise ImpossibleValue(
            field="pressure after the fall",
            found=Quantity(low, Dimension.ABSOLUTE_PRESSURE),
            must_be="at most",
            limit=Quantity(high, Dimension.ABSOLUTE_PRESSURE),
        )

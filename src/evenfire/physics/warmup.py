"""Bringing a cold boiler to pressure: how fast it warms and how long it takes.

These are closed forms for a constant heat, first estimates and checks of the simulation. Standing loss comes off the
heat before; a warm-up that goes by pauses takes its average heat.
"""

from evenfire.physics.steam import (
    LOWEST_PRESSURE,
    saturated_liquid_enthalpy,
    saturation_pressure,
    saturation_slopes,
    saturation_temperature,
)
from evenfire.physics.vessel import Vessel, closed_vessel_at, contained_energy, contained_mass, storage
from evenfire.plant.possible import require_between, require_positive
from evenfire.si import AbsPa, Dimension


def saturation_rate(vessel: Vessel, pressure: AbsPa, *, heat: float) -> float:
    """How fast the saturation temperature of a closed vessel rises [K/s].

    Parameters
    ----------
    vessel
        With the volumes that it has at ``pressure``.
    pressure
        Absolute pressure [Pa].
    heat
        Net heat to water and metal [W]; negative cools.

    Raises
    ------
    OutOfRange
        Pressure outside the steam properties.

    Notes
    -----
    dT/dt = (dT/dp) heat / storage.
    """
    return saturation_slopes(pressure).temperature * heat / storage(vessel, pressure)


def warm_up_time(vessel: Vessel, *, heat: float, from_temperature: float, to_pressure: AbsPa) -> float:
    """How long a constant heat takes to bring a closed boiler from cold to a pressure [s].

    Parameters
    ----------
    vessel
        With the volumes that it has at ``to_pressure``: the cold water stands lower.
    heat
        Net heat to water and metal [W].
    from_temperature
        Temperature of water and metal at the start [K], from 273.15 to saturation at ``to_pressure``.
    to_pressure
        Absolute pressure [Pa].

    Raises
    ------
    ImpossibleValue
        A heat that is not above zero, or a start hotter than the end or below freezing.
    OutOfRange
        Pressure outside the steam properties.

    Notes
    -----
    The same contents at start and end, (U_end - U_start) / heat; both ends are states, so the path between them does
    not matter. Left out are the air that is vented (its heat is small) and the steam that escapes with it (it makes the
    warm-up longer, with a vent left open much longer).
    """
    require_positive("heat", heat, Dimension.POWER)
    boiling = saturation_temperature(to_pressure)
    require_between("temperature at the start", from_temperature, 273.15, boiling, Dimension.TEMPERATURE)
    return (contained_energy(vessel, to_pressure) - _start_energy(vessel, from_temperature, to_pressure)) / heat


def time_at_rate(*, from_temperature: float, to_temperature: float, rate: float) -> float:
    """How long a warm-up takes that goes at the rate it may go [s].

    Parameters
    ----------
    from_temperature, to_temperature
        [K]
    rate
        Allowed rise of temperature [K/s].

    Raises
    ------
    ImpossibleValue
        A rate that is not above zero, or a start hotter than the end.
    """
    require_positive("rate", rate, Dimension.TEMPERATURE_RATE)
    require_between("temperature at the start", from_temperature, 0.0, to_temperature, Dimension.TEMPERATURE)
    return (to_temperature - from_temperature) / rate


def _start_energy(vessel: Vessel, temperature: float, to_pressure: AbsPa) -> float:
    """Energy of the same contents at the start [J]; below the triple point's temperature they count as liquid only."""
    if temperature > saturation_temperature(LOWEST_PRESSURE):
        pressure = saturation_pressure(temperature)
        return contained_energy(closed_vessel_at(vessel, to_pressure, pressure), pressure)
    liquid = contained_mass(vessel, to_pressure) * saturated_liquid_enthalpy(temperature)
    return liquid + vessel.metal_heat * temperature

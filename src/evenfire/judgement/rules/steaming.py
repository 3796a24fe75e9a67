"""The most steam that a boiler can make, against which its safety valves are judged."""

from evenfire.physics.evaporation import FROM_AND_AT_ENTHALPY, steam_flow_for_heat
from evenfire.physics.steam import HIGHEST_PRESSURE, saturation_temperature
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import Burner
from evenfire.plant.known import Datum, NotKnownError, Origin
from evenfire.si import KG_S_PER_LB_H, W_PER_BTU_H, AbsPa, absolute

LOW_PRESSURE_HEAT = 1000 * W_PER_BTU_H / KG_S_PER_LB_H
"""Heat that low-pressure rules count for a pound of steam, 1000 Btu (COLO, OKLA, NY-4, MD-12) [J/kg]."""


def most_heat(boiler: Boiler) -> float:
    """The greatest heat to the water that output, electric, nameplate or clocked input tell of [W].

    An efficiency that was only assumed is not used: what decides safety and is unknown is not judged. A burner that is
    fired above its nameplate then raises the stated output in proportion, which errs to the safe side, because
    efficiency falls when a boiler is overfired.

    Raises :class:`~evenfire.plant.known.NotKnownError` when nothing tells of it.
    """
    stated = [heat for heat in (boiler.output, boiler.electric_input) if heat is not None]
    fired = [heat for burner in boiler.burners if (heat := _fired(burner, boiler.output)) is not None]
    if not stated and not fired:
        raise NotKnownError(("output", "burner.input", "burner.efficiency"))
    return max(stated + fired)


def most_steam(boiler: Boiler, ambient: AbsPa) -> float:
    """The most steam that a boiler can make where the air stands at ``ambient`` [kg/s].

    Raises :class:`~evenfire.plant.known.NotKnownError` when nothing tells of its heat.

    Notes
    -----
    Low pressure: a pound an hour for each 1000 Btu/h of output, as the rules of the states have it.

    High pressure: from and at 212 F, the rate at which boilers are rated and valves are chosen. Real feedwater is
    colder than that and makes less steam (at 150 psi, 200 F: 6 % less), so this errs to the safe side; only feedwater
    above some 255 F makes more, and then that counts. While the feed is shut a boiler makes more still (about an
    eighth at 150 psi), for minutes and from what it holds; no rating that we read counts it.
    """
    heat = most_heat(boiler)
    if boiler.is_low_pressure:
        return heat / LOW_PRESSURE_HEAT
    from_and_at = heat / FROM_AND_AT_ENTHALPY
    pressure, feed = absolute(boiler.mawp, ambient), boiler.feedwater_temperature
    if feed is None or _is_assumed(feed) or pressure > HIGHEST_PRESSURE:
        return from_and_at
    # Feedwater is no hotter than the boiler it enters, whatever was noted.
    return max(from_and_at, steam_flow_for_heat(heat, pressure, min(feed.value, saturation_temperature(pressure))))


def _fired(burner: Burner, output: float | None) -> float | None:
    """Heat to the water that the inputs of one burner tell of [W]."""
    inputs = [value for value in (burner.input_nameplate, burner.input_clocked) if value is not None]
    if inputs and burner.efficiency is not None and not _is_assumed(burner.efficiency):
        return max(inputs) * burner.efficiency.value
    if output is None or burner.input_nameplate is None or burner.input_clocked is None:
        return None
    return output * max(inputs) / burner.input_nameplate


def _is_assumed(datum: Datum) -> bool:
    return datum.origin is Origin.ASSUMED

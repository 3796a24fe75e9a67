"""Pressure and water volume of what is in the boiler, from its mass and energy: no regime can jump in either.

Closed, water and steam are in equilibrium and fill the vessel. Vented, air stands above the water at the pressure of
the room: the water warms to boiling, then its steam drives the air out, and when the steam fills the space the
vessel closes with the very mass and energy that it has. On cooling the same road leads back, where air is let in.
"""

from math import nan
from typing import Final

from evenfire.physics.compiled import compiled, part
from evenfire.physics.motion.model import Model
from evenfire.physics.motion.water import (
    EXCHANGE_ENERGY,
    LIQUID_DENSITY,
    LIQUID_ENERGY,
    SPACE_ENERGY,
    STEAM_DENSITY,
    TEMPERATURE,
    at,
    interval,
    slope,
)
from evenfire.physics.steam import HIGHEST_PRESSURE, LOWEST_PRESSURE

_LOWEST: Final = float(LOWEST_PRESSURE)
_HIGHEST: Final = float(HIGHEST_PRESSURE)
_TURNS: Final = 60
# A correction this small leaves an error of its square: the pressure is then as exact as its digits.
_GOOD: Final = 1e-7


@compiled
def closed_energy(model: Model, mass: float, pressure: float) -> float:
    """Internal energy of a closed vessel with this mass at this pressure [J]."""
    index, share = interval(pressure)
    exchange = at(model.water, index, share, EXCHANGE_ENERGY)
    space = at(model.water, index, share, SPACE_ENERGY)
    return (
        mass * exchange
        + model.vessel.volume * space
        + model.vessel.metal_heat * at(model.water, index, share, TEMPERATURE)
    )


@part
def storage(model: Model, mass: float, pressure: float) -> float:
    """Heat per pressure rise of a closed vessel with this mass [J/Pa]."""
    index, share = interval(pressure)
    exchange = slope(model.water, index, share, EXCHANGE_ENERGY)
    space = slope(model.water, index, share, SPACE_ENERGY)
    metal = slope(model.water, index, share, TEMPERATURE)
    return (mass * exchange + model.vessel.volume * space + model.vessel.metal_heat * metal) / pressure


@part
def closed_pressure(model: Model, mass: float, energy: float, guess: float) -> float:
    """Pressure of a closed vessel [Pa abs]; not a number where no saturated state has this mass and energy.

    Newton's method on the energy, whose slope at constant mass is the storage.
    """
    pressure = guess
    for _ in range(_TURNS):
        index, share = interval(pressure)
        surplus = energy - (
            mass * at(model.water, index, share, EXCHANGE_ENERGY)
            + model.vessel.volume * at(model.water, index, share, SPACE_ENERGY)
            + model.vessel.metal_heat * at(model.water, index, share, TEMPERATURE)
        )
        stored = (
            mass * slope(model.water, index, share, EXCHANGE_ENERGY)
            + model.vessel.volume * slope(model.water, index, share, SPACE_ENERGY)
            + model.vessel.metal_heat * slope(model.water, index, share, TEMPERATURE)
        ) / pressure
        change = surplus / stored
        after = pressure + change
        if abs(change) <= _GOOD * pressure:
            return after if _LOWEST <= after <= _HIGHEST else nan
        pressure = min(max(after, 0.3 * pressure, _LOWEST), 3 * pressure, _HIGHEST)
    return nan


@part
def vapour_pressure(model: Model, mass: float, energy: float, guess: float) -> float:
    """Vapour pressure of the water in a vented vessel [Pa abs]: that of the room once it boils."""
    pressure = min(guess, model.vessel.ambient)
    for _ in range(_TURNS):
        index, share = interval(pressure)
        surplus = energy - (
            mass * at(model.water, index, share, LIQUID_ENERGY)
            + model.vessel.metal_heat * at(model.water, index, share, TEMPERATURE)
        )
        stored = (
            mass * slope(model.water, index, share, LIQUID_ENERGY)
            + model.vessel.metal_heat * slope(model.water, index, share, TEMPERATURE)
        ) / pressure
        change = surplus / stored
        after = pressure + change
        if after >= model.vessel.ambient and pressure == model.vessel.ambient:
            return model.vessel.ambient
        if abs(change) <= _GOOD * pressure:
            return after if after >= _LOWEST else nan
        pressure = min(max(after, 0.3 * pressure, _LOWEST), 3 * pressure, model.vessel.ambient)
    return nan


@part
def water_pressure(model: Model, is_vented: bool, mass: float, energy: float, guess: float) -> float:
    """Pressure at which the water boils as it is now [Pa abs]; closed, that is the pressure of the boiler."""
    if is_vented:
        return vapour_pressure(model, mass, energy, guess)
    return closed_pressure(model, mass, energy, guess)


@part
def water_volume(model: Model, is_vented: bool, mass: float, pressure: float) -> float:
    """Volume of the liquid [m3]; in a vented vessel all of the mass counts as liquid."""
    index, share = interval(pressure)
    liquid = at(model.water, index, share, LIQUID_DENSITY)
    if is_vented:
        return mass / liquid
    steam = at(model.water, index, share, STEAM_DENSITY)
    return (mass - steam * model.vessel.volume) / (liquid - steam)


@compiled
def closed_mass(model: Model, volume: float, pressure: float) -> float:
    """Mass of a closed vessel whose liquid fills ``volume`` [kg]."""
    index, share = interval(pressure)
    steam = at(model.water, index, share, STEAM_DENSITY)
    return steam * model.vessel.volume + volume * (at(model.water, index, share, LIQUID_DENSITY) - steam)

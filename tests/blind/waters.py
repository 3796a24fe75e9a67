"""Water and steam as tables over pressure, for the small boiler of the blind tests.

The values come from the program's own door to the published formulation; the tables and everything that is made of
them belong to the tests alone.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from evenfire.physics.steam import saturation
from evenfire.si import AbsPa
from tests.blind.stepping import COUNT, LOWEST, STEP

Floats = NDArray[np.float64]

LIQUID_DENSITY, STEAM_DENSITY, LIQUID_ENTHALPY, STEAM_ENTHALPY, TEMPERATURE = range(5)


@lru_cache(maxsize=1)
def water_table() -> Floats:
    """Rows of pressure; five properties, then their five slopes [SI, and SI per Pa]."""
    rows = [saturation(AbsPa(LOWEST + STEP * at)) for at in range(COUNT)]
    values = np.array(
        [
            [row.liquid_density, row.steam_density, row.liquid_enthalpy, row.steam_enthalpy, row.temperature]
            for row in rows
        ]
    )
    table = np.hstack([values, np.gradient(values, STEP, axis=0, edge_order=2)])
    table.setflags(write=False)
    return table


def at(pressure: float | Floats, prop: int) -> Floats:
    """One property at absolute pressures [Pa abs], by straight lines between the rows."""
    table = water_table()
    return np.asarray(np.interp(pressure, LOWEST + STEP * np.arange(COUNT), table[:, prop]))


def mass_and_energy(pressure: Floats, water: Floats, volume: float, metal: float) -> tuple[Floats, Floats]:
    """What a boiler holds [kg], [J]: absolute pressure [Pa abs], water and whole volume [m3], metal [J/K]."""
    liquid, steam = at(pressure, LIQUID_DENSITY), at(pressure, STEAM_DENSITY)
    mass = liquid * water + steam * (volume - water)
    energy = (
        liquid * at(pressure, LIQUID_ENTHALPY) * water
        + steam * at(pressure, STEAM_ENTHALPY) * (volume - water)
        - pressure * volume
        + metal * at(pressure, TEMPERATURE)
    )
    return mass, energy


def storage(pressure: float, water: float, volume: float, metal: float) -> float:
    """Heat that raises the pressure, with nothing flowing in or out [J/Pa].

    By small steps at constant mass: another way than the loop goes, which solves for both slopes at once.
    """
    step = 2e3
    mass, _ = mass_and_energy(np.array([pressure]), np.array([water]), volume, metal)
    energies = []
    for side in (pressure - step, pressure + step):
        liquid, steam = float(at(side, LIQUID_DENSITY)), float(at(side, STEAM_DENSITY))
        kept = (float(mass[0]) - steam * volume) / (liquid - steam)
        energies.append(float(mass_and_energy(np.array([side]), np.array([kept]), volume, metal)[1][0]))
    return (energies[1] - energies[0]) / (2 * step)

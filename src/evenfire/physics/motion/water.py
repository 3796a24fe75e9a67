"""Saturated water and steam for the loop: splines over ln p, exact to 1e-8 in value and 1e-7 in slope.

The contents of a closed boiler need only three of them. With the exchange energy e = (rho_w h_w - rho_s h_s) /
(rho_w - rho_s) and b = rho_s (h_s - e) - p, the internal energy of mass M in volume V and metal m c is
``U = M e + V b + m c T``; its slope at constant mass is the storage.
"""

from functools import cache
from math import exp, log
from typing import Final

import numpy as np

from evenfire.physics.compiled import part, whole
from evenfire.physics.motion.records import Floats
from evenfire.physics.steam import HIGHEST_PRESSURE, LOWEST_PRESSURE, saturation
from evenfire.si import AbsPa

Table = Floats
"""Shape (INTERVALS, PROPERTIES, 4): cubic coefficients in the share of the interval, highest power last."""

TEMPERATURE: Final = whole(0)
EXCHANGE_ENERGY: Final = whole(1)
SPACE_ENERGY: Final = whole(2)
LIQUID_ENERGY: Final = whole(3)
STEAM_ENTHALPY: Final = whole(4)
LIQUID_DENSITY: Final = whole(5)
STEAM_DENSITY: Final = whole(6)
PROPERTIES: Final = 7

INTERVALS: Final = 2400
_LOWEST_LOG: Final = log(LOWEST_PRESSURE)
_LOG_STEP: Final = (log(HIGHEST_PRESSURE) - _LOWEST_LOG) / INTERVALS


@cache
def water_table() -> Table:
    """The splines, made once; locked.

    References
    ----------
    IAPWS-R7, through :mod:`evenfire.physics.steam`.
    """
    values = np.array([_properties(_node(place)) for place in range(INTERVALS + 1)])
    slopes = _spline_slopes(values)
    low, high, low_slope, high_slope = values[:-1], values[1:], slopes[:-1], slopes[1:]
    rise = high - low
    table = np.ascontiguousarray(
        np.stack([low, low_slope, 3 * rise - 2 * low_slope - high_slope, low_slope + high_slope - 2 * rise], axis=-1)
    )
    table.flags.writeable = False
    return table


def _node(place: int) -> AbsPa:
    # Rounding must not carry an end of the range out of it.
    return AbsPa(min(max(exp(_LOWEST_LOG + place * _LOG_STEP), LOWEST_PRESSURE), HIGHEST_PRESSURE))


def _properties(pressure: AbsPa) -> tuple[float, ...]:
    at = saturation(pressure)
    liquid, steam = at.liquid_density, at.steam_density
    exchange = (liquid * at.liquid_enthalpy - steam * at.steam_enthalpy) / (liquid - steam)
    space = steam * (at.steam_enthalpy - exchange) - pressure
    liquid_energy = at.liquid_enthalpy - pressure / liquid
    return at.temperature, exchange, space, liquid_energy, at.steam_enthalpy, liquid, steam


def _spline_slopes(values: Floats) -> Floats:
    """Slopes per interval that make the second derivative continuous; the ends take one-sided differences."""
    count = len(values)
    slopes = np.empty_like(values)
    slopes[0] = values[:6].T @ _FORWARD
    slopes[-1] = -(values[:-7:-1].T @ _FORWARD)
    wanted = 3 * (values[2:] - values[:-2])
    wanted[0] -= slopes[0]
    wanted[-1] -= slopes[-1]
    # Elimination of the tridiagonal system 1, 4, 1.
    factors = np.empty(count - 2)
    factors[0] = 0.25
    wanted[0] *= 0.25
    for place in range(1, count - 2):
        factors[place] = 1 / (4 - factors[place - 1])
        wanted[place] = (wanted[place] - wanted[place - 1]) * factors[place]
    slopes[-2] = wanted[-1]
    for place in range(count - 4, -1, -1):
        slopes[place + 1] = wanted[place] - factors[place] * slopes[place + 2]
    return slopes


_FORWARD: Final = np.array([-137 / 60, 5.0, -5.0, 10 / 3, -5 / 4, 1 / 5])
"""First derivative from six equally spaced points ahead, fifth order."""


@part
def interval(pressure: float) -> tuple[int, float]:
    """Interval of the table and share of it at an absolute pressure [Pa]; beyond the table its ends go on."""
    place = (log(pressure) - _LOWEST_LOG) / _LOG_STEP
    index = min(max(int(place), 0), INTERVALS - 1)
    return index, place - index


@part
def at(table: Table, index: int, share: float, which: int) -> float:
    """A property [SI]."""
    value: float = table[index, which, 0] + share * (
        table[index, which, 1] + share * (table[index, which, 2] + share * table[index, which, 3])
    )
    return value


@part
def slope(table: Table, index: int, share: float, which: int) -> float:
    """Its slope per pressure, times the pressure [SI]: the caller divides once for all properties it needs."""
    per_share: float = table[index, which, 1] + share * (
        2 * table[index, which, 2] + share * 3 * table[index, which, 3]
    )
    return per_share / _LOG_STEP

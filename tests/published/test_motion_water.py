"""The loop's splines of saturated water and steam against an independent library (CoolProp, IF97), 1 kPa to 165 bar."""

from collections.abc import Callable
from math import exp

import numpy as np
import pytest

from evenfire.physics.compiled import plain
from evenfire.physics.motion.water import (
    EXCHANGE_ENERGY,
    LIQUID_DENSITY,
    LIQUID_ENERGY,
    SPACE_ENERGY,
    STEAM_DENSITY,
    STEAM_ENTHALPY,
    TEMPERATURE,
    at,
    interval,
    slope,
    water_table,
)

_LOWEST, _HIGHEST = 1e3, 165e5
_STEP = 1e-3


def _other(name: str, quality: float, pressure: float) -> float:
    from CoolProp.CoolProp import PropsSI  # its import takes 1.3 s: only these tests pay

    return float(PropsSI(name, "P", pressure, "Q", quality, "IF97::Water"))


def _exchange(pressure: float) -> float:
    """(rho_w h_w - rho_s h_s) / (rho_w - rho_s)."""
    liquid, steam = _other("D", 0.0, pressure), _other("D", 1.0, pressure)
    return (liquid * _other("H", 0.0, pressure) - steam * _other("H", 1.0, pressure)) / (liquid - steam)


def _space(pressure: float) -> float:
    """rho_s (h_s - e) - p."""
    return _other("D", 1.0, pressure) * (_other("H", 1.0, pressure) - _exchange(pressure)) - pressure


_PROPERTIES: dict[str, tuple[int, Callable[[float], float]]] = {
    "temperature": (TEMPERATURE, lambda pressure: _other("T", 0.0, pressure)),
    "exchange energy": (EXCHANGE_ENERGY, _exchange),
    "space energy": (SPACE_ENERGY, _space),
    "liquid energy": (LIQUID_ENERGY, lambda pressure: _other("U", 0.0, pressure)),
    "steam enthalpy": (STEAM_ENTHALPY, lambda pressure: _other("H", 1.0, pressure)),
    "liquid density": (LIQUID_DENSITY, lambda pressure: _other("D", 0.0, pressure)),
    "steam density": (STEAM_DENSITY, lambda pressure: _other("D", 1.0, pressure)),
}


def _pressures(count: int) -> list[float]:
    # An irrational step, so that no node of the splines is met.
    inner = [_LOWEST * exp(place * (np.log(_HIGHEST / _LOWEST) / (count + 0.5**0.5))) for place in range(count + 1)]
    return [*inner, _HIGHEST]


@pytest.mark.parametrize("name", _PROPERTIES)
def test_the_splines_agree_with_the_independent_library_to_a_ten_millionth(name: str) -> None:
    which, other = _PROPERTIES[name]
    for pressure in _pressures(400):
        index, share = plain(interval)(pressure)
        assert plain(at)(water_table(), index, share, which) == pytest.approx(other(pressure), rel=1e-7, abs=0.0), (
            f"{pressure} Pa"
        )


@pytest.mark.parametrize("name", _PROPERTIES)
def test_the_slopes_of_the_splines_agree_with_differences_of_the_independent_library(name: str) -> None:
    # Four points, 0.1 % apart: exact to 1e-12 of the slope by formula, the rest is rounding.
    which, other = _PROPERTIES[name]
    for pressure in _pressures(150):
        if pressure * exp(2 * _STEP) > 16.529e6:  # region 3 of the formulation begins
            continue
        near = other(pressure * exp(_STEP)) - other(pressure * exp(-_STEP))
        far = other(pressure * exp(2 * _STEP)) - other(pressure * exp(-2 * _STEP))
        expected = (8 * near - far) / (12 * _STEP)
        index, share = plain(interval)(pressure)
        found = plain(slope)(water_table(), index, share, which)
        assert found == pytest.approx(expected, rel=1e-7, abs=0.0), f"{pressure} Pa"


def test_values_and_slopes_run_on_smoothly_from_one_interval_to_the_next() -> None:
    table = water_table()
    value_after, slope_after = table[1:, :, 0], table[1:, :, 1]
    value_before = table[:-1].sum(axis=2)
    slope_before = table[:-1] @ np.array([0.0, 1.0, 2.0, 3.0])
    assert value_before == pytest.approx(value_after, rel=1e-12)
    assert slope_before == pytest.approx(slope_after, rel=1e-8)

"""Water and steam against an independent implementation of the same formulation (CoolProp, IF97)."""

from math import exp

import pytest

from evenfire.physics.steam import (
    HIGHEST_PRESSURE,
    LOWEST_PRESSURE,
    liquid_density,
    liquid_enthalpy,
    saturation,
    saturation_slopes,
)
from evenfire.si import AbsPa

# How CoolProp names each property of ours, and the phase it belongs to.
_NAMES = {
    "temperature": ("T", 0.0),
    "liquid_density": ("D", 0.0),
    "steam_density": ("D", 1.0),
    "liquid_enthalpy": ("H", 0.0),
    "steam_enthalpy": ("H", 1.0),
}


def _other(name: str, pressure: float) -> float:
    from CoolProp.CoolProp import PropsSI  # its import takes 1.3 s: only these tests pay

    letter, quality = _NAMES[name]
    return float(PropsSI(letter, "P", pressure, "Q", quality, "IF97::Water"))


def _pressures(lowest: float, highest: float, count: int) -> list[float]:
    inner = [lowest * (highest / lowest) ** (step / count) for step in range(1, count)]
    return [lowest, *inner, highest]


@pytest.mark.parametrize("name", _NAMES)
@pytest.mark.parametrize(
    ("lowest", "highest"), [(1e5, 40e5), (LOWEST_PRESSURE, HIGHEST_PRESSURE)], ids=["1 to 40 bar", "whole range"]
)
def test_saturation_agrees_with_the_independent_library_to_a_billionth(
    name: str, lowest: float, highest: float
) -> None:
    for pressure in _pressures(lowest, highest, 400):
        ours = getattr(saturation(AbsPa(pressure)), name)
        assert ours == pytest.approx(_other(name, pressure), rel=1e-9, abs=0.0), f"{pressure} Pa"


@pytest.mark.parametrize("name", _NAMES)
def test_slopes_agree_with_differences_of_the_independent_library_to_a_ten_millionth(name: str) -> None:
    # Four points, 0.1 % apart: exact to 1e-12 of the slope by formula, the rest is rounding. From 1 kPa, because the
    # density of water has its maximum, and no slope to compare with, at 4 C (0.8 kPa).
    step = 1e-3
    for pressure in _pressures(1e3, HIGHEST_PRESSURE, 200):
        near = _other(name, pressure * exp(step)) - _other(name, pressure * exp(-step))
        wide = [pressure * exp(2 * step), pressure * exp(-2 * step)]
        if wide[0] > 16.529e6:  # region 3 of the formulation begins: keep the differences this side of it
            continue
        far = _other(name, wide[0]) - _other(name, wide[1])
        expected = (8 * near - far) / (12 * step * pressure)
        ours = getattr(saturation_slopes(AbsPa(pressure)), name)
        assert ours == pytest.approx(expected, rel=1e-7, abs=0.0), f"{pressure} Pa"


def test_cold_and_warm_liquid_agrees_with_the_independent_library_to_a_billionth() -> None:
    from CoolProp.CoolProp import PropsSI

    for bar in (1.0, 2.0, 8.0, 40.0, 160.0):
        pressure = AbsPa(bar * 1e5)
        boiling = saturation(pressure).temperature
        for share in (0.0, 0.1, 0.5, 0.9, 0.999):
            kelvin = 273.16 + share * (boiling - 273.16)
            enthalpy = PropsSI("H", "P", pressure, "T", kelvin, "IF97::Water")
            density = PropsSI("D", "P", pressure, "T", kelvin, "IF97::Water")
            assert liquid_enthalpy(pressure, kelvin) == pytest.approx(enthalpy, rel=1e-9, abs=0.0)
            assert liquid_density(pressure, kelvin) == pytest.approx(density, rel=1e-9, abs=0.0)

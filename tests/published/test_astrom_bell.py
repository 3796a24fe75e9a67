"""Astrom and Bell, drum-boiler dynamics, plant P16-G16: the published steady state closes in our balance.

The plant's data are as two open re-implementations of the model carry them, not as the paper prints them.
"""

import pytest

from evenfire.physics.steam import liquid_enthalpy, saturation, saturation_slopes
from evenfire.physics.vessel import Exchange, Vessel, pressure_rate, storage
from evenfire.si import AbsPa
from evenfire.sources import ASTROM_BELL
from tests.published.printed import INDEPENDENT, Printed, Tag

_PRESSURE = AbsPa(8.5e6)
_FLOW = 50.4195
_HEAT = 85.91237e6
_FEED_KELVIN = 241.87184 + 273.15
_VOLUME = 88.0
_WATER = 57.2
_PLANT = Vessel(water_volume=_WATER, steam_volume=_VOLUME - _WATER, metal_mass=300_000.0, metal_heat_capacity=550.0)


def _rate(heat: float = 0.0, steam: float = 0.0, feed: float = 0.0) -> float:
    """Pressure rate at once after a step from the steady state [Pa/s]."""
    feed_enthalpy = liquid_enthalpy(_PRESSURE, _FEED_KELVIN)
    balance = _FLOW * (saturation(_PRESSURE).steam_enthalpy - feed_enthalpy)
    exchange = Exchange(
        heat=balance + heat, steam_flow=_FLOW + steam, feed_flow=_FLOW + feed, feed_enthalpy=feed_enthalpy
    )
    return pressure_rate(_PLANT, _PRESSURE, exchange)


def _coefficients() -> tuple[float, float, float, float]:
    """The model's e11, e12, e21, e22, written out as the paper has them, for the water volume and the pressure."""
    at, by = saturation(_PRESSURE), saturation_slopes(_PRESSURE)
    steam = _VOLUME - _WATER
    return (
        at.liquid_density - at.steam_density,
        steam * by.steam_density + _WATER * by.liquid_density,
        at.liquid_density * at.liquid_enthalpy - at.steam_density * at.steam_enthalpy,
        steam * (at.steam_enthalpy * by.steam_density + at.steam_density * by.steam_enthalpy)
        + _WATER * (at.liquid_enthalpy * by.liquid_density + at.liquid_density * by.liquid_enthalpy)
        - _VOLUME
        + 300_000.0 * 550.0 * by.temperature,
    )


def _coefficient(index: int, name: str, printed: str, unit: str) -> Printed:
    return Printed(
        source=INDEPENDENT,
        place="drum boiler P16-G16",
        quantity=f"coefficient {name} of the two balances",
        at="8.5 MPa",
        printed=printed,
        unit=unit,
        ours=lambda: _coefficients()[index],
        tag=Tag.CALCULATED,
    )


def _first_rate(at: str, printed: str, *, heat: float = 0.0, steam: float = 0.0, feed: float = 0.0) -> Printed:
    return Printed(
        source=INDEPENDENT,
        place="drum boiler P16-G16",
        quantity="pressure rate at once after a step",
        at=at,
        printed=printed,
        unit="Pa/s",
        ours=lambda: _rate(heat=heat, steam=steam, feed=feed),
        tag=Tag.CALCULATED,
    )


PRINTED: tuple[Printed, ...] = (
    Printed(
        source=ASTROM_BELL,
        place="plant P16-G16, medium load",
        quantity="heat of the steady state",
        at="8.5 MPa and 50.4195 kg/s",
        printed="85.91237",
        unit="MW",
        ours=lambda: _FLOW * (saturation(_PRESSURE).steam_enthalpy - liquid_enthalpy(_PRESSURE, _FEED_KELVIN)) / 1e6,
        relative=0.0005,
    ),
    _coefficient(0, "e11", "668.0216", "kg/m3"),
    _coefficient(1, "e12", "-7.803682e-4", "kg/Pa"),
    _coefficient(2, "e21", "8.312965e8", "J/m3"),
    _coefficient(3, "e22", "2.391428e3", "J/Pa"),
    _first_rate("heat +10 MW", "2974", heat=10e6),
    _first_rate("steam +10 kg/s", "-4480", steam=10.0),
    _first_rate("feed +10 kg/s", "-587", feed=10.0),
)


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_the_drum_boiler_balances_as_published_and_as_calculated_elsewhere(value: Printed) -> None:
    assert value.agrees, value.report


def test_storage_is_what_the_papers_coefficients_make_of_it() -> None:
    e11, e12, e21, e22 = _coefficients()
    assert storage(_PLANT, _PRESSURE) == pytest.approx(e22 - e21 * e12 / e11, rel=1e-12)


def test_the_published_steady_state_stands_still() -> None:
    feed_enthalpy = liquid_enthalpy(_PRESSURE, _FEED_KELVIN)
    exchange = Exchange(heat=_HEAT, steam_flow=_FLOW, feed_flow=_FLOW, feed_enthalpy=feed_enthalpy)
    # 0.05 % of the heat moves the pressure by 13 Pa/s; the step of 10 MW moves it by 2974.
    assert abs(pressure_rate(_PLANT, _PRESSURE, exchange)) < 0.0005 * _HEAT / storage(_PLANT, _PRESSURE)

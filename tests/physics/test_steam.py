"""Properties of water and steam. The values themselves are checked in ``tests/published``."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.errors import OutOfRange
from evenfire.physics.steam import (
    HIGHEST_PRESSURE,
    HIGHEST_TEMPERATURE,
    LOWEST_PRESSURE,
    LOWEST_TEMPERATURE,
    liquid_density,
    liquid_enthalpy,
    saturated_liquid_enthalpy,
    saturation,
    saturation_pressure,
    saturation_slopes,
    saturation_temperature,
)
from evenfire.si import AbsPa

_PRESSURES = st.floats(LOWEST_PRESSURE, HIGHEST_PRESSURE).map(AbsPa)
_OUTSIDE = [-1.0, 0.0, 600.0, 16.6e6, math.inf, -math.inf, math.nan]


@pytest.mark.parametrize("pressure", _OUTSIDE)
def test_a_pressure_without_water_and_steam_is_refused(pressure: float) -> None:
    for relation in (saturation_temperature, saturation, saturation_slopes):
        with pytest.raises(OutOfRange, match="outside"):
            relation(AbsPa(pressure))


@pytest.mark.parametrize("kelvin", [-1.0, 0.0, 273.0, 623.2, math.inf, math.nan])
def test_a_temperature_without_liquid_water_is_refused(kelvin: float) -> None:
    with pytest.raises(OutOfRange, match="saturation pressure"):
        saturation_pressure(kelvin)
    with pytest.raises(OutOfRange, match="saturated liquid enthalpy"):
        saturated_liquid_enthalpy(kelvin)


def test_liquid_hotter_than_boiling_is_refused() -> None:
    atmosphere = AbsPa(101_325.0)
    for relation in (liquid_enthalpy, liquid_density):
        with pytest.raises(OutOfRange, match="liquid"):
            relation(atmosphere, 373.2)  # water boils at 373.124 K (99.97 C) here


@pytest.mark.parametrize("pressure", [LOWEST_PRESSURE, HIGHEST_PRESSURE])
def test_both_ends_of_the_range_answer(pressure: AbsPa) -> None:
    state, slopes = saturation(pressure), saturation_slopes(pressure)
    assert state.liquid_density > state.steam_density > 0
    assert slopes.temperature > 0
    assert saturation_pressure(saturation_temperature(pressure)) == pytest.approx(pressure, rel=1e-9)


def test_the_range_ends_where_the_formulation_changes_region() -> None:
    # IAPWS R7-97: region 1 ends at 623.15 K; the triple point is 273.16 K.
    assert 622.5 < HIGHEST_TEMPERATURE < 623.15
    assert saturation_temperature(LOWEST_PRESSURE) == pytest.approx(273.16, abs=1e-5)


@given(_PRESSURES)
def test_boiling_point_and_boiling_pressure_undo_each_other(pressure: AbsPa) -> None:
    assert saturation_pressure(saturation_temperature(pressure)) == pytest.approx(pressure, rel=1e-10)


@given(_PRESSURES, _PRESSURES)
def test_water_boils_hotter_under_more_pressure(one: AbsPa, other: AbsPa) -> None:
    low, high = sorted((one, other))
    assert saturation_temperature(AbsPa(low)) <= saturation_temperature(AbsPa(high))


@given(_PRESSURES)
def test_liquid_at_boiling_is_saturated_liquid(pressure: AbsPa) -> None:
    boiling = saturation_temperature(pressure)
    for kelvin in (boiling, math.nextafter(boiling, 0.0), boiling - 1e-5):
        if kelvin >= LOWEST_TEMPERATURE:
            assert liquid_enthalpy(pressure, kelvin) == pytest.approx(
                saturation(pressure).liquid_enthalpy, rel=1e-6, abs=0.1
            )
            assert liquid_density(pressure, kelvin) == pytest.approx(saturation(pressure).liquid_density, rel=1e-6)


@given(_PRESSURES)
def test_slopes_obey_clausius_and_clapeyron(pressure: AbsPa) -> None:
    # Physics: dp/dT = h_fg / (T (v_g - v_f)). The formulation fits its saturation line apart from its two phases; they
    # were made consistent to a few parts in ten thousand, which is all that this independent law can confirm.
    state = saturation(pressure)
    steam_gains = 1 / state.steam_density - 1 / state.liquid_density
    expected = state.temperature * steam_gains / state.evaporation_enthalpy
    assert saturation_slopes(pressure).temperature == pytest.approx(expected, rel=5e-4)


def test_saturated_liquid_by_temperature_is_the_same_as_by_pressure() -> None:
    state = saturation(AbsPa(8e5))
    assert saturated_liquid_enthalpy(state.temperature) == pytest.approx(state.liquid_enthalpy, rel=1e-9)


def test_liquid_water_at_freezing_has_no_enthalpy() -> None:
    # Steam tables count from here: 0 at the triple point, -0.04 kJ/kg at 0 C.
    assert saturated_liquid_enthalpy(LOWEST_TEMPERATURE) == pytest.approx(0.0, abs=50.0)


def test_what_is_remembered_is_plain_numbers_whoever_asked_first() -> None:
    import numpy as np

    asked = AbsPa(np.float64(123_456.75))
    assert type(saturation(asked).temperature) is float
    assert type(saturation_slopes(asked).temperature) is float

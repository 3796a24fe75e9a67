"""Warming a cold boiler, against hand arithmetic and an integration that steps through the warm-up."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from evenfire.errors import ImpossibleValue, OutOfRange
from evenfire.physics.steam import saturation, saturation_pressure, saturation_temperature
from evenfire.physics.vessel import STEEL_HEAT_CAPACITY, Vessel, closed_vessel_at, storage
from evenfire.physics.warmup import saturation_rate, time_at_rate, warm_up_time
from evenfire.si import BTU_H_PER_BOILER_HP, KG_PER_LB, M3_PER_FT3, PA_PER_PSI, W_PER_BOILER_HP, AbsPa

_HEAT = 50 * W_PER_BOILER_HP


def _kelvin(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


def _absolute(psig: float) -> AbsPa:
    return AbsPa((psig + 14.7) * PA_PER_PSI)


def _laundry(psig: float) -> Vessel:
    """8,000 lb of water, 60 ft3 of steam and 10,000 lb of steel at this pressure."""
    return Vessel(
        water_volume=8000 * KG_PER_LB / saturation(_absolute(psig)).liquid_density,
        steam_volume=60 * M3_PER_FT3,
        metal_mass=10_000 * KG_PER_LB,
        metal_heat_capacity=STEEL_HEAT_CAPACITY,
    )


def test_a_cold_boiler_boils_after_as_long_as_arithmetic_says() -> None:
    # By hand: 8,000 lb of water at 1 Btu/(lb F) and 10,000 lb of steel at 0.115, through 142 F.
    hours = (8000 + 1150) * 142 / (50 * BTU_H_PER_BOILER_HP)
    time = warm_up_time(_laundry(0.1), heat=_HEAT, from_temperature=_kelvin(70), to_pressure=_absolute(0.1))
    assert time / 3600 == pytest.approx(hours, rel=0.01)


def test_a_warm_up_to_pressure_takes_what_the_steam_tables_ask() -> None:
    # Marks and Davis: liquid 330.2 Btu/lb at 150 psia, 38.1 at 70 F; boiling 358.5 F. Steam in 60 ft3 at 3.012 ft3/lb
    # takes its evaporation too. The p V of the whole vessel, 0.2 %, is not in this sum.
    vessel, pressure = _laundry(150 - 14.7), AbsPa(150 * PA_PER_PSI)
    by_hand = 8000 * (330.2 - 38.1) + 10_000 * 0.115 * (358.5 - 70) + 60 / 3.012 * (1193.4 - 38.1)
    time = warm_up_time(vessel, heat=_HEAT, from_temperature=_kelvin(70), to_pressure=pressure)
    assert time * 50 * BTU_H_PER_BOILER_HP / 3600 == pytest.approx(by_hand, rel=0.01)


@pytest.mark.parametrize(("start_psig", "end_psig"), [(0, 15), (0, 125), (60, 150)])
def test_the_energy_between_two_states_is_the_storage_summed_on_the_way(start_psig: float, end_psig: float) -> None:
    vessel, end = _laundry(end_psig), _absolute(end_psig)

    def pressure_rate(_: float, pressure: list[float]) -> list[float]:
        now = AbsPa(pressure[0])
        return [_HEAT / storage(closed_vessel_at(vessel, end, now), now)]

    time = warm_up_time(
        vessel, heat=_HEAT, from_temperature=saturation_temperature(_absolute(start_psig)), to_pressure=end
    )
    solution = solve_ivp(pressure_rate, (0.0, time), [_absolute(start_psig)], rtol=1e-8, atol=1e-2)
    assert solution.y[0][-1] == pytest.approx(end, rel=1e-6)


def test_saturation_temperature_rises_at_the_rate_that_a_short_warm_up_shows() -> None:
    vessel, pressure = _laundry(100), _absolute(100)
    boiling = saturation_temperature(pressure)
    seconds = warm_up_time(vessel, heat=_HEAT, from_temperature=boiling - 0.1, to_pressure=pressure)
    assert saturation_rate(vessel, pressure, heat=_HEAT) == pytest.approx(0.1 / seconds, rel=0.001)
    assert saturation_rate(vessel, pressure, heat=-_HEAT) == pytest.approx(-0.1 / seconds, rel=0.001)


def test_a_start_just_below_and_just_above_the_triple_point_takes_the_same_time() -> None:
    below, above = (
        warm_up_time(_laundry(100), heat=_HEAT, from_temperature=kelvin, to_pressure=_absolute(100))
        for kelvin in (273.1599, 273.1601)
    )
    assert below == pytest.approx(above, rel=1e-4)


def test_a_boiler_that_is_there_already_takes_no_time() -> None:
    boiling = saturation_temperature(_absolute(100))
    assert warm_up_time(
        _laundry(100), heat=_HEAT, from_temperature=boiling, to_pressure=_absolute(100)
    ) == pytest.approx(0.0, abs=1e-3)


@given(st.floats(273.15, 430.0), st.floats(273.15, 430.0))
def test_a_colder_start_takes_longer(one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    vessel, pressure = _laundry(125), _absolute(125)
    longer = warm_up_time(vessel, heat=_HEAT, from_temperature=cold, to_pressure=pressure)
    assert longer >= warm_up_time(vessel, heat=_HEAT, from_temperature=warm, to_pressure=pressure) - 1e-3


@pytest.mark.parametrize("heat", [0.0, -1.0, math.nan, math.inf])
def test_a_warm_up_without_heat_is_refused(heat: float) -> None:
    with pytest.raises(ImpossibleValue, match="heat"):
        warm_up_time(_laundry(100), heat=heat, from_temperature=290.0, to_pressure=_absolute(100))


def test_a_start_hotter_than_the_end_or_frozen_is_refused() -> None:
    for kelvin in (500.0, 273.0, math.nan):
        with pytest.raises(ImpossibleValue, match="temperature at the start"):
            warm_up_time(_laundry(100), heat=_HEAT, from_temperature=kelvin, to_pressure=_absolute(100))
    with pytest.raises(ImpossibleValue, match="temperature at the start"):
        time_at_rate(from_temperature=400.0, to_temperature=399.0, rate=0.01)
    with pytest.raises(ImpossibleValue, match="rate"):
        time_at_rate(from_temperature=300.0, to_temperature=399.0, rate=0.0)
    with pytest.raises(OutOfRange, match="saturation temperature"):
        warm_up_time(_laundry(100), heat=_HEAT, from_temperature=300.0, to_pressure=AbsPa(0.0))


def test_the_water_of_a_cold_boiler_stands_lower() -> None:
    vessel, hot = _laundry(125), _absolute(125)
    cold = saturation_pressure(_kelvin(70))
    # Water weighs 62.3 lb/ft3 at 70 F and 55.6 at 353 F (steam tables, from memory): a tenth of the volume.
    ratio = closed_vessel_at(vessel, hot, cold).water_volume / vessel.water_volume
    assert ratio == pytest.approx(55.6 / 62.3, rel=0.005)

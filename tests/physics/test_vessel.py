"""Storage and stored steam, against the two balances solved in another way."""

import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from evenfire.errors import ImpossibleValue, OutOfRange
from evenfire.physics.steam import LOWEST_PRESSURE, liquid_enthalpy, saturation
from evenfire.physics.vessel import (
    STEEL_HEAT_CAPACITY,
    Exchange,
    Vessel,
    closed_vessel_at,
    contained_energy,
    contained_mass,
    flash_fraction,
    pressure_rate,
    steam_draw_enthalpy,
    storage,
    stored_steam,
)
from evenfire.si import J_PER_BTU, KG_PER_LB, M3_PER_FT3, PA_PER_PSI, AbsPa

_VESSELS = st.builds(
    Vessel,
    water_volume=st.floats(0.05, 60.0),
    steam_volume=st.floats(0.02, 40.0),
    metal_mass=st.floats(0.0, 300_000.0),
    metal_heat_capacity=st.floats(400.0, 600.0),
)
# Steam room and metal in proportion to the water, as boilers have them: the water does not run out.
_BOILERS = st.builds(
    lambda water, steam, metal, heat_capacity: Vessel(
        water_volume=water,
        steam_volume=steam * water,
        metal_mass=metal * water,
        metal_heat_capacity=heat_capacity,
    ),
    st.floats(0.05, 60.0),
    st.floats(0.05, 2.0),
    st.floats(0.0, 8000.0),
    st.floats(400.0, 600.0),
)
_PRESSURES = st.floats(0.5e5, 100e5).map(AbsPa)


def _absolute(psig: float) -> AbsPa:
    return AbsPa((psig + 14.7) * PA_PER_PSI)


def _firetube() -> Vessel:
    return Vessel(water_volume=4.0, steam_volume=1.2, metal_mass=6000.0, metal_heat_capacity=STEEL_HEAT_CAPACITY)


@pytest.mark.parametrize("field", ["water_volume", "steam_volume", "metal_heat_capacity"])
@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_a_vessel_without_room_or_heat_capacity_cannot_exist(field: str, value: float) -> None:
    with pytest.raises(ImpossibleValue, match=field.replace("_", " ")):
        dataclasses.replace(_firetube(), **{field: value})


@pytest.mark.parametrize("value", [-1.0, math.nan, math.inf])
def test_negative_metal_cannot_exist(value: float) -> None:
    with pytest.raises(ImpossibleValue, match="metal mass"):
        dataclasses.replace(_firetube(), metal_mass=value)


def test_a_vessel_without_metal_is_only_water_and_steam() -> None:
    assert dataclasses.replace(_firetube(), metal_mass=0.0).metal_heat == 0.0


@given(_VESSELS, _PRESSURES)
def test_storage_is_the_energy_that_a_small_pressure_rise_of_the_closed_vessel_takes(
    vessel: Vessel, pressure: AbsPa
) -> None:
    step = 1e-3 * pressure
    above, below = AbsPa(pressure + step), AbsPa(pressure - step)
    rise = contained_energy(closed_vessel_at(vessel, pressure, above), above) - contained_energy(
        closed_vessel_at(vessel, pressure, below), below
    )
    assert storage(vessel, pressure) == pytest.approx(rise / (2 * step), rel=1e-5)


@given(_VESSELS, _PRESSURES, st.floats(1.01, 2.0))
def test_storage_is_positive_and_grows_with_water_steam_and_metal(vessel: Vessel, pressure: AbsPa, more: float) -> None:
    now = storage(vessel, pressure)
    assert now > 0
    assert storage(dataclasses.replace(vessel, water_volume=more * vessel.water_volume), pressure) > now
    assert storage(dataclasses.replace(vessel, steam_volume=more * vessel.steam_volume), pressure) > now
    assert storage(dataclasses.replace(vessel, metal_mass=more * vessel.metal_mass + 1.0), pressure) > now


@given(_VESSELS, _PRESSURES, st.floats(0.5, 1.5))
def test_a_closed_vessel_keeps_its_contents_and_its_room(vessel: Vessel, pressure: AbsPa, ratio: float) -> None:
    target = AbsPa(pressure * ratio)
    try:
        moved = closed_vessel_at(vessel, pressure, target)
    except ImpossibleValue:  # the water swelled until it filled the vessel, or all of it turned to steam
        assert ratio > 1
        mean_density, state = contained_mass(vessel, pressure) / vessel.volume, saturation(target)
        assert not state.steam_density * (1 + 1e-9) < mean_density < state.liquid_density * (1 - 1e-9)
        return
    assert contained_mass(moved, target) == pytest.approx(contained_mass(vessel, pressure), rel=1e-12)
    assert moved.volume == pytest.approx(vessel.volume, rel=1e-12)


def test_a_vessel_that_its_swelling_water_fills_is_refused() -> None:
    full = dataclasses.replace(_firetube(), steam_volume=0.01)
    with pytest.raises(ImpossibleValue, match="steam volume"):
        closed_vessel_at(full, _absolute(0), _absolute(150))


def test_flash_keeps_the_enthalpy_when_another_method_solves_the_balance() -> None:
    high, low = _absolute(125), _absolute(10)
    before, after = saturation(high), saturation(low)
    share = brentq(
        lambda steam: (1 - steam) * after.liquid_enthalpy + steam * after.steam_enthalpy - before.liquid_enthalpy, 0, 1
    )
    assert flash_fraction(high, low) == pytest.approx(share, rel=1e-9)


def test_nothing_flashes_without_a_fall() -> None:
    assert flash_fraction(_absolute(100), _absolute(100)) == 0.0


@pytest.mark.parametrize("relation", [flash_fraction, lambda high, low: stored_steam(_firetube(), high, low)])
def test_a_fall_to_a_higher_pressure_or_to_nothing_is_refused(relation: object) -> None:
    assert callable(relation)
    with pytest.raises(ImpossibleValue, match="after the fall"):
        relation(_absolute(100), _absolute(110))
    for nothing in (0.0, -5.0, math.nan):
        with pytest.raises(OutOfRange):
            relation(_absolute(100), AbsPa(nothing))


def _pressure_of(vessel: Vessel, mass: float, energy: float, lowest: float, highest: float) -> float:
    """Pressure of a state that is known by its mass and energy: the balances solved outright, without any slope."""

    def excess(pressure: float) -> float:
        state = saturation(AbsPa(pressure))
        water = (mass - state.steam_density * vessel.volume) / (state.liquid_density - state.steam_density)
        steam = vessel.volume - water
        heat = state.liquid_density * water * state.liquid_enthalpy + state.steam_density * steam * state.steam_enthalpy
        return heat - pressure * vessel.volume + vessel.metal_heat * state.temperature - energy

    return float(brentq(excess, lowest, highest, xtol=1e-6, rtol=1e-14))


@given(_BOILERS, st.floats(3e5, 40e5).map(AbsPa), st.floats(0.4, 0.95))
def test_stored_steam_closes_the_balances_of_mass_and_energy(vessel: Vessel, high: AbsPa, ratio: float) -> None:
    low = AbsPa(high * ratio)
    # Kilograms are drawn one after the other, each with the enthalpy of steam at the pressure of its moment, and the
    # pressure comes from a direct solution for mass and energy.
    drawn = stored_steam(vessel, high, low)
    mass, energy = contained_mass(vessel, high), contained_energy(vessel, high)

    def carried_away(steam: float, carried: list[float]) -> list[float]:
        pressure = _pressure_of(vessel, mass - steam, energy - carried[0], 0.8 * low, 1.05 * high)
        return [saturation(AbsPa(pressure)).steam_enthalpy]

    solution = solve_ivp(carried_away, (0.0, drawn), [0.0], rtol=1e-8, atol=1e-3)
    final = _pressure_of(vessel, mass - drawn, energy - solution.y[0][-1], 0.8 * low, 1.05 * high)
    assert final == pytest.approx(low, rel=1e-6)


def test_a_boiler_gives_more_steam_than_its_water_alone_because_its_metal_cools_too() -> None:
    bare = dataclasses.replace(_firetube(), metal_mass=0.0)
    high, low = _absolute(125), _absolute(100)
    assert stored_steam(_firetube(), high, low) > stored_steam(bare, high, low) > 0


def test_hot_metal_that_boils_all_the_water_away_is_refused() -> None:
    dry = dataclasses.replace(_firetube(), water_volume=0.01)
    with pytest.raises(ImpossibleValue, match="water volume"):
        stored_steam(dry, _absolute(125), _absolute(0))


def test_a_fall_to_vacuum_ends_at_the_triple_point() -> None:
    assert stored_steam(_firetube(), _absolute(0), LOWEST_PRESSURE) > 0


def test_steam_draw_costs_a_little_more_than_evaporation() -> None:
    state = saturation(_absolute(100))
    # The room of a pound of water (0.0179 ft3 at 100 psig) fills with steam at 0.258 lb/ft3: 0.46 % (from memory).
    share = steam_draw_enthalpy(_absolute(100)) / state.evaporation_enthalpy - 1
    assert share == pytest.approx(0.0179 * 0.258, rel=0.02)


def test_heat_alone_raises_the_pressure_by_heat_over_storage() -> None:
    pressure = _absolute(100)
    exchange = Exchange(heat=1e6, steam_flow=0.0, feed_flow=0.0, feed_enthalpy=0.0)
    expected = 1e6 / storage(_firetube(), pressure)
    assert pressure_rate(_firetube(), pressure, exchange) == pytest.approx(expected, rel=1e-12)


@given(_VESSELS, _PRESSURES, st.floats(0.0, 20.0), st.floats(280.0, 350.0))
def test_pressure_stands_when_heat_meets_the_steam_and_feed_the_flow(
    vessel: Vessel, pressure: AbsPa, flow: float, feed_kelvin: float
) -> None:
    feed = liquid_enthalpy(pressure, feed_kelvin)
    heat = flow * (saturation(pressure).steam_enthalpy - feed)
    exchange = Exchange(heat=heat, steam_flow=flow, feed_flow=flow, feed_enthalpy=feed)
    off_balance = pressure_rate(vessel, pressure, exchange) * storage(vessel, pressure)
    assert off_balance == pytest.approx(0.0, abs=1e-9 * heat + 1e-6)


def test_cold_feed_lowers_the_pressure_and_steam_lowers_it_too() -> None:
    pressure = _absolute(100)
    feed = Exchange(heat=0.0, steam_flow=0.0, feed_flow=0.5, feed_enthalpy=liquid_enthalpy(pressure, 300.0))
    steam = Exchange(heat=0.0, steam_flow=0.5, feed_flow=0.0, feed_enthalpy=0.0)
    assert pressure_rate(_firetube(), pressure, feed) < 0
    assert pressure_rate(_firetube(), pressure, steam) < 0


def test_storage_of_a_boiler_is_the_sum_that_the_trade_would_make_within_a_few_percent() -> None:
    # 8,000 lb of water and 10,000 lb of steel at 0.115 Btu/(lb F), mean slopes from 100 to 150 psia of Marks and Davis
    # 1909: liquid 298.3 to 330.2 Btu/lb, boiling 327.8 to 358.5 F. The steam space is not in the trade's sum.
    pressure = AbsPa(125 * PA_PER_PSI)
    vessel = Vessel(
        water_volume=8000 * KG_PER_LB / saturation(pressure).liquid_density,
        steam_volume=60 * M3_PER_FT3,
        metal_mass=10_000 * KG_PER_LB,
        metal_heat_capacity=STEEL_HEAT_CAPACITY,
    )
    by_hand = 8000 * (330.2 - 298.3) / 50 + 10_000 * 0.115 * (358.5 - 327.8) / 50
    assert storage(vessel, pressure) * PA_PER_PSI / J_PER_BTU == pytest.approx(by_hand, rel=0.03)

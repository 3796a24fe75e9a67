"""Flow formulas: where they hold, and that rival formulas for one flow say nearly the same."""

import math

import pytest

from evenfire.errors import ImpossibleValue, OutOfRange
from evenfire.physics.orifice import (
    NAPIER_LOWEST_PRESSURE,
    api_520_steam_area,
    choked_gas_flow,
    choked_steam_flow,
    effective_area,
    high_pressure_steam_correction,
    napier_flow,
)
from evenfire.si import PA_PER_PSI, AbsPa

_PRESSURE = AbsPa(164.7 * PA_PER_PSI)


def test_the_boiler_code_and_napier_say_nearly_the_same() -> None:
    # 51.5 lb/h against 3600/70 = 51.43 lb/h per in2 and psia.
    assert choked_steam_flow(1e-3, _PRESSURE) / napier_flow(1e-3, _PRESSURE) == pytest.approx(
        51.5 * 70 / 3600, rel=1e-9
    )


def test_api_520_and_the_boiler_code_say_nearly_the_same_up_to_1500_psi() -> None:
    # 190.5 mm2 kPa h/kg is 51.5 lb/h per in2 and psi, rounded in SI.
    area = api_520_steam_area(1.0, _PRESSURE, discharge_coefficient=1.0, superheat_correction=1.0)
    assert choked_steam_flow(area, _PRESSURE) == pytest.approx(1.0, rel=0.001)


def test_an_effective_area_passes_the_flow_that_it_was_made_from() -> None:
    assert choked_steam_flow(effective_area(0.4, _PRESSURE), _PRESSURE) == pytest.approx(0.4, rel=1e-12)


def test_napiers_rule_is_refused_where_the_flow_is_not_choked() -> None:
    assert napier_flow(1e-3, NAPIER_LOWEST_PRESSURE) > 0
    for psia in (25.3, 14.7, 0.0, -1.0, math.nan, math.inf):
        with pytest.raises(OutOfRange, match="Napier"):
            napier_flow(1e-3, AbsPa(psia * PA_PER_PSI))


def test_the_high_pressure_correction_is_the_same_in_both_unit_systems_of_its_standard() -> None:
    # API 520 part I in US units, from memory: (0.1906 P - 1000)/(0.2292 P - 1061) above 1500 psig, P in psia. It starts
    # 0.4 % below one in both systems: the standard's own step.
    assert high_pressure_steam_correction(AbsPa(10_339e3)) == 1.0
    for psia in (1520.0, 1775.0, 2500.0, 3190.0):
        in_us_units = (0.1906 * psia - 1000) / (0.2292 * psia - 1061)
        ours = high_pressure_steam_correction(AbsPa(psia * PA_PER_PSI))
        assert ours == pytest.approx(in_us_units, rel=2e-4)


def test_the_high_pressure_correction_is_refused_outside_its_range() -> None:
    for pascal in (0.0, -1.0, 22_058e3, math.nan):
        with pytest.raises(OutOfRange, match="high pressure"):
            high_pressure_steam_correction(AbsPa(pascal))


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_a_flow_through_nothing_is_refused(value: float) -> None:
    for flow in (choked_steam_flow, napier_flow):
        with pytest.raises(ImpossibleValue, match="area"):
            flow(value, _PRESSURE)
    with pytest.raises(ImpossibleValue, match="steam flow"):
        effective_area(value, _PRESSURE)
    with pytest.raises(ImpossibleValue, match="temperature"):
        choked_gas_flow(1e-3, _PRESSURE, gas_constant=356.0, molar_mass=28.97, temperature=value)
    with pytest.raises(ImpossibleValue, match="coefficient"):
        api_520_steam_area(1.0, _PRESSURE, discharge_coefficient=value, superheat_correction=1.0)
    with pytest.raises(ImpossibleValue, match="pressure"):
        choked_steam_flow(1e-3, AbsPa(value))


def test_hot_air_flows_less_by_the_root_of_its_temperature() -> None:
    cold, hot = (
        choked_gas_flow(1e-3, _PRESSURE, gas_constant=356.0, molar_mass=28.97, temperature=kelvin)
        for kelvin in (300.0, 1200.0)
    )
    assert hot / cold == pytest.approx(0.5, rel=1e-12)


def test_choked_air_agrees_with_the_physics_of_a_perfect_gas() -> None:
    # Independent: W = A p sqrt(k/(R T)) (2/(k+1))^((k+1)/(2(k-1))), k = 1.4; the code rounds its C to 356.
    k, gas_constant, kelvin = 1.4, 8314.46 / 28.97, 311.0
    choked = math.sqrt(k / (gas_constant * kelvin)) * (2 / (k + 1)) ** ((k + 1) / (2 * (k - 1)))
    ours = choked_gas_flow(1e-3, _PRESSURE, gas_constant=356.0, molar_mass=28.97, temperature=kelvin)
    assert ours == pytest.approx(1e-3 * _PRESSURE * choked, rel=0.002)

"""Pressure from mass and energy is the inverse of what the static vessel weighs straight through the steam library."""

from math import isnan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.physics.compiled import compiled
from evenfire.physics.motion.contents import (
    closed_energy,
    closed_mass,
    closed_pressure,
    storage,
    vapour_pressure,
    water_pressure,
    water_volume,
)
from evenfire.physics.motion.model import Model
from evenfire.physics.steam import HIGHEST_PRESSURE, saturation, saturation_pressure
from evenfire.physics.vessel import Vessel, contained_energy, contained_mass
from evenfire.physics.vessel import storage as vessel_storage
from evenfire.si import AbsPa
from tests.motion_models import drum_boiler, laundry_like

# The splines themselves are good to 1e-8 at worst, and mostly far better.
_EXACT = 1e-9


@compiled
def _closed(model: Model, mass: float, energy: float, guess: float) -> float:
    return closed_pressure(model, mass, energy, guess)


@compiled
def _vented(model: Model, mass: float, energy: float, guess: float) -> float:
    return vapour_pressure(model, mass, energy, guess)


@compiled
def _either(model: Model, is_vented: bool, mass: float, energy: float, guess: float) -> float:
    return water_pressure(model, is_vented, mass, energy, guess)


@compiled
def _stored(model: Model, mass: float, pressure: float) -> float:
    return storage(model, mass, pressure)


@compiled
def _volume(model: Model, is_vented: bool, mass: float, pressure: float) -> float:
    return water_volume(model, is_vented, mass, pressure)


def _model(volume: float, metal: float) -> Model:
    model = laundry_like()
    model.vessel.volume, model.vessel.metal_heat = volume, metal
    return model


def _vessel(volume: float, metal: float, filled: float) -> Vessel:
    return Vessel(
        water_volume=filled * volume,
        steam_volume=(1 - filled) * volume,
        metal_mass=metal,
        metal_heat_capacity=1.0,
    )


# Not to the very end of the range: a hair beyond it there is no pressure to be found.
_pressures = st.floats(0.0, 0.99999).map(lambda share: 1e3 * (float(HIGHEST_PRESSURE) / 1e3) ** share)
_volumes = st.floats(-2.0, 2.0).map(lambda power: 10.0**power)
_metals = st.floats(0.0, 2e6)
"""Per volume [J/(m3 K)]"""
_filled = st.floats(0.02, 0.98)


@given(pressure=_pressures, volume=_volumes, metal=_metals, filled=_filled, guess=_pressures)
def test_mass_and_energy_give_back_the_pressure_that_the_steam_library_weighed_them_at(
    pressure: float, volume: float, metal: float, filled: float, guess: float
) -> None:
    model, vessel = _model(volume, metal * volume), _vessel(volume, metal * volume, filled)
    mass, energy = contained_mass(vessel, AbsPa(pressure)), contained_energy(vessel, AbsPa(pressure))
    found = _closed(model, mass, energy, guess)
    assert found == pytest.approx(pressure, rel=_EXACT)
    assert _either(model, False, mass, energy, guess) == found
    assert _volume(model, False, mass, found) == pytest.approx(vessel.water_volume, rel=1e-7)


@given(pressure=_pressures, volume=_volumes, metal=_metals, filled=_filled)
def test_storage_is_that_of_the_vessel(pressure: float, volume: float, metal: float, filled: float) -> None:
    model, vessel = _model(volume, metal * volume), _vessel(volume, metal * volume, filled)
    mass = contained_mass(vessel, AbsPa(pressure))
    assert closed_mass(model, vessel.water_volume, pressure) == pytest.approx(mass, rel=1e-8)
    assert _stored(model, mass, pressure) == pytest.approx(vessel_storage(vessel, AbsPa(pressure)), rel=1e-6)


@given(pressure=_pressures, volume=_volumes, metal=_metals, filled=_filled, guess=_pressures)
def test_pressure_and_energy_are_each_others_inverse(
    pressure: float, volume: float, metal: float, filled: float, guess: float
) -> None:
    model = _model(volume, metal * volume)
    mass = closed_mass(model, filled * volume, pressure)
    assert _closed(model, mass, closed_energy(model, mass, pressure), guess) == pytest.approx(pressure, rel=1e-11)


def test_no_pressure_is_made_up_where_no_saturated_state_is() -> None:
    model = drum_boiler()
    mass = closed_mass(model, 57.2, 8.5e6)
    assert isnan(_closed(model, mass, closed_energy(model, mass, 165e5) * 1.01, 8.5e6))
    assert isnan(_closed(model, mass, 0.0, 8.5e6))


@given(kelvin=st.floats(274.0, 372.0), guess=st.floats(1e3, 1.5e5))
def test_a_vented_boiler_has_the_vapour_pressure_of_its_warmth(kelvin: float, guess: float) -> None:
    model, mass = laundry_like(), 5000.0
    vapour = saturation_pressure(kelvin)
    at = saturation(vapour)
    # Liquid and metal at that temperature; u = h - p/rho.
    energy = mass * (at.liquid_enthalpy - vapour / at.liquid_density) + float(model.vessel.metal_heat) * kelvin
    assert _vented(model, mass, energy, guess) == pytest.approx(vapour, rel=1e-8)
    assert _volume(model, True, mass, vapour) == pytest.approx(mass / at.liquid_density, rel=1e-8)


def test_a_vented_boiler_that_boils_stays_at_the_pressure_of_the_room() -> None:
    model, mass = laundry_like(), 5000.0
    full_of_steam = closed_energy(model, mass, float(model.vessel.ambient))
    assert _vented(model, mass, full_of_steam - 1.0, 9e4) == model.vessel.ambient
    assert _vented(model, mass, full_of_steam + 1e6, 9e4) == model.vessel.ambient

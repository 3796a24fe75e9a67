"""A long warm-up in the loop against the closed form: the same contents from one state to another at a given heat."""

import numpy as np
import pytest

from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.model import FEED_GIVEN, Model, steady, undisturbed
from evenfire.physics.motion.run import run
from evenfire.physics.motion.starting import cold
from evenfire.physics.steam import saturation, saturation_pressure
from evenfire.physics.vessel import Vessel
from evenfire.physics.warmup import warm_up_time
from evenfire.si import AbsPa
from tests.motion_models import LAUNDRY_WATER, at_psig, laundry_like


def _unfired() -> Model:
    """The laundry's boiler without its burner, its losses, its feed and its safety valves."""
    model = laundry_like()
    model.burner.full_heat = model.burner.purge_conductance = model.vessel.loss_conductance = 0.0
    model.feed.kind = FEED_GIVEN
    model.valves.count = 0
    return model


@pytest.mark.parametrize("kelvin", [278.15, 293.15, 333.15, 371.0])
@pytest.mark.parametrize("gauge", [12.0, 100.0, 145.0])
def test_a_warm_up_takes_as_long_as_the_closed_form_says(kelvin: float, gauge: float) -> None:
    model, heat, target = _unfired(), 2e5, at_psig(gauge)
    first = cold(model, kelvin, LAUNDRY_WATER)
    vessel = _hot_vessel(model, float(first.contents.mass), target)
    expected = warm_up_time(vessel, heat=heat, from_temperature=kelvin, to_pressure=target)

    inputs = undisturbed(steady(0.0))._replace(heat=steady(heat))
    told = run(model, inputs, first, duration=1.05 * expected, interval=expected / 5000)
    pressure = told.series.pressure + model.vessel.ambient
    assert pressure[-1] > target
    reached = float(np.interp(target, pressure, told.series.time))
    # The closed form counts the little steam that stands above the water, the loop counts air and no steam there.
    assert reached == pytest.approx(expected + _steam_energy(model, kelvin) / heat, rel=1e-5)
    assert [event.kind for event in told.events].count(Happening.VENT_CLOSED) == 1
    assert abs(told.closure.mass) <= 1e-6
    assert abs(told.closure.energy) <= 1e-6


def _hot_vessel(model: Model, mass: float, pressure: AbsPa) -> Vessel:
    """The vessel with the water that this mass makes at a pressure [kg, Pa abs]."""
    at, volume = saturation(pressure), float(model.vessel.volume)
    water = (mass - at.steam_density * volume) / (at.liquid_density - at.steam_density)
    return Vessel(
        water_volume=water,
        steam_volume=volume - water,
        metal_mass=float(model.vessel.metal_heat),
        metal_heat_capacity=1.0,
    )


def _steam_energy(model: Model, kelvin: float) -> float:
    """What it takes to fill the space above the water of a temperature with its steam [J]."""
    pressure = saturation_pressure(kelvin)
    at, space = saturation(pressure), float(model.vessel.volume) - LAUNDRY_WATER
    return space * (at.steam_density * at.evaporation_enthalpy - pressure)

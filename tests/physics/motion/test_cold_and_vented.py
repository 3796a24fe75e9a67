"""Cold, vented and vacuum: how a boiler drives its air out, and what it does when it cools."""

from itertools import pairwise
from math import inf

import numpy as np
import pytest

from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.model import FEED_GIVEN, Inputs, Model, Profile, steady, undisturbed
from evenfire.physics.motion.run import Run, run
from evenfire.physics.motion.starting import cold
from evenfire.physics.steam import saturation, saturation_pressure
from evenfire.physics.vessel import Vessel, contained_energy, contained_mass
from evenfire.si import PA_PER_PSI, AbsPa
from tests.motion_models import LAUNDRY_WATER, ROOM, laundry_like, load, standing

_HEAT = 5e5


def _unfired(*, lets_air_in: bool, loses: float = 0.0) -> Model:
    """The laundry's boiler without burner and feed, with a standing loss that many times its own."""
    model = laundry_like()
    model.burner.full_heat = model.burner.purge_conductance = 0.0
    model.vessel.loss_conductance *= loses
    model.feed.kind, model.vessel.lets_air_in = FEED_GIVEN, lets_air_in
    return model


def _heated(heat: Profile) -> Inputs:
    return undisturbed(steady(0.0))._replace(heat=heat)


def _first(told: Run, kind: Happening) -> float:
    """When something first happened [s]."""
    return next(event.time for event in told.events if event.kind is kind)


def _warmed(duration: float, interval: float) -> Run:
    model = _unfired(lets_air_in=True)
    return run(model, _heated(steady(_HEAT)), cold(model, ROOM, LAUNDRY_WATER), duration=duration, interval=interval)


def test_a_cold_boiler_stays_at_the_pressure_of_the_air_until_steam_has_driven_it_out() -> None:
    told = _warmed(7200.0, 10.0)
    closes = _first(told, Happening.VENT_CLOSED)
    before = told.series.time < closes
    assert told.series.pressure[before] == pytest.approx(0.0, abs=1e-6)
    assert (told.series.pressure[~before] > 0).all()
    assert (np.diff(told.series.pressure[~before]) > 0).all()


def test_the_vent_closes_when_the_heat_has_warmed_and_filled_it() -> None:
    # By the steam library alone: the same mass as liquid at the room's warmth, and as water and steam at 1 atm.
    told, model = _warmed(7200.0, 10.0), _unfired(lets_air_in=True)
    room, ambient = saturation_pressure(ROOM), AbsPa(float(model.vessel.ambient))
    at, boils = saturation(room), saturation(ambient)
    metal, volume = float(model.vessel.metal_heat), float(model.vessel.volume)
    mass = LAUNDRY_WATER * at.liquid_density
    water = (mass - boils.steam_density * volume) / (boils.liquid_density - boils.steam_density)
    full = Vessel(water_volume=water, steam_volume=volume - water, metal_mass=metal, metal_heat_capacity=1.0)
    assert contained_mass(full, ambient) == pytest.approx(mass, rel=1e-12)
    starts = mass * (at.liquid_enthalpy - room / at.liquid_density) + metal * ROOM
    expected = (contained_energy(full, ambient) - starts) / _HEAT
    assert _first(told, Happening.VENT_CLOSED) == pytest.approx(expected, rel=1e-6)


def test_neither_mass_nor_energy_jumps_where_the_vent_closes() -> None:
    closes = _first(_warmed(7200.0, 10.0), Happening.VENT_CLOSED)
    for beyond in (100.0, 1.0, 0.01):
        told = _warmed(closes + beyond, 1000.0)
        assert abs(told.closure.mass) <= 1e-12
        assert abs(told.closure.energy) <= 1e-9


def test_the_closer_one_looks_the_less_the_pressure_moves_where_the_vent_closes() -> None:
    closes = _first(_warmed(7200.0, 10.0), Happening.VENT_CLOSED)
    moves = []
    for interval in (10.0, 1.0, 0.1, 0.01):
        told = _warmed(closes + 1.5 * interval, interval)
        moves.append(float(np.abs(np.diff(told.series.pressure[-4:])).max()))
    # It goes on from a kink, not from a jump: ten times closer, ten times less.
    for wide, near in pairwise(moves):
        assert near < 0.2 * wide
    assert moves[-1] < 2.0


def test_the_water_that_is_left_when_the_vent_closes_is_less_by_the_steam_above_it() -> None:
    closes = _first(_warmed(7200.0, 10.0), Happening.VENT_CLOSED)
    told = _warmed(closes + 0.1, 0.01)
    model = _unfired(lets_air_in=True)
    boils = saturation(AbsPa(float(model.vessel.ambient)))
    space = float(model.vessel.volume) - float(told.series.water_volume[-1])
    lost = float(told.series.water_volume[-20] - told.series.water_volume[-1])
    assert lost == pytest.approx(space * boils.steam_density / boils.liquid_density, rel=0.02)


def test_a_cooling_boiler_that_lets_air_in_stays_at_zero_gauge() -> None:
    model = _unfired(lets_air_in=True, loses=20.0)
    told = run(model, _heated(steady(0.0)), standing(model, 20), duration=2 * 86400.0, interval=60.0)
    lets_in = _first(told, Happening.AIR_LET_IN)
    after = told.series.time > lets_in
    assert told.series.pressure[after] == pytest.approx(0.0, abs=1e-6)
    assert (told.series.pressure[~after] > -1e-6).all()
    assert [event.kind for event in told.events].count(Happening.AIR_LET_IN) == 1
    assert abs(told.closure.mass) <= 1e-12
    assert abs(told.closure.energy) <= 1e-6


def test_a_tight_boiler_draws_a_vacuum_down_to_the_vapour_pressure_of_the_room() -> None:
    model = _unfired(lets_air_in=False, loses=20.0)
    told = run(model, _heated(steady(0.0)), standing(model, 20), duration=30 * 86400.0, interval=600.0)
    pressure = told.series.pressure + model.vessel.ambient
    assert (np.diff(pressure) <= 1e-6).all()
    assert Happening.AIR_LET_IN not in {event.kind for event in told.events}
    assert pressure[-1] == pytest.approx(saturation_pressure(ROOM), rel=1e-4)
    assert abs(told.closure.mass) <= 1e-12
    assert abs(told.closure.energy) <= 1e-6


@pytest.mark.parametrize("lets_air_in", [True, False])
def test_a_boiler_that_cooled_and_is_heated_again_comes_back_with_all_it_had(lets_air_in: bool) -> None:
    # No loss: the heat that is taken out in the first half comes back in the second.
    model = _unfired(lets_air_in=lets_air_in)
    to_and_fro = Profile(np.array([[0.0, -_HEAT, 0.0], [3000.0, _HEAT, 0.0]]), inf)
    told = run(model, _heated(to_and_fro), standing(model, 20), duration=6000.0, interval=60.0)
    assert told.series.pressure[50] == pytest.approx(0.0, abs=1e-6) if lets_air_in else told.series.pressure[50] < 0
    kinds = [event.kind for event in told.events]
    assert kinds.count(Happening.AIR_LET_IN) == kinds.count(Happening.VENT_CLOSED) == int(lets_air_in)
    assert told.series.pressure[-1] == pytest.approx(20 * PA_PER_PSI, abs=5.0)
    assert told.series.water_volume[-1] == pytest.approx(LAUNDRY_WATER, rel=1e-6)


def test_no_steam_is_drawn_from_a_boiler_without_pressure() -> None:
    model = laundry_like()
    told = run(model, load(model, 0.2), cold(model, ROOM, LAUNDRY_WATER), duration=4 * 3600.0, interval=10.0)
    closes = _first(told, Happening.VENT_CLOSED)
    assert (told.series.steam[told.series.time < closes] == 0).all()
    full = told.series.pressure > 5 * PA_PER_PSI
    assert told.series.steam[full] == pytest.approx(load(model, 0.2).draw.pieces[0, 1], rel=1e-6)
    assert abs(told.closure.mass) <= 1e-6
    assert abs(told.closure.energy) <= 1e-6


def test_a_cold_boiler_is_fired_low_until_its_hold_lets_go() -> None:
    model = laundry_like()
    told = run(model, load(model, 0.02), cold(model, ROOM, LAUNDRY_WATER), duration=4 * 3600.0, interval=10.0)
    lets_go = _first(told, Happening.HOLD_LET_GO)
    below = told.series.time < lets_go
    assert told.series.firing[below].max() <= 0.25 + 1e-9
    assert told.series.firing[~below].max() > 0.5
    # It lags a second behind the pressure: at 60 psi and less than a second's rise above it.
    there = next(event.pressure for event in told.events if event.kind is Happening.HOLD_LET_GO)
    assert 60 * PA_PER_PSI <= there <= 60.1 * PA_PER_PSI


def test_a_hold_that_low_fire_cannot_outrun_pins_a_boiler_under_load_for_good() -> None:
    # Low fire is a quarter; 0.3 of full fire is more than it makes. A fact of the trade: the gauge never gets there.
    model = laundry_like()
    told = run(model, load(model, 0.3), cold(model, ROOM, LAUNDRY_WATER), duration=12 * 3600.0, interval=60.0)
    assert Happening.HOLD_LET_GO not in {event.kind for event in told.events}
    assert told.highest.pressure < 60 * PA_PER_PSI
    assert told.series.firing.max() <= 0.25 + 1e-9

"""Safety valves in the loop: they pop at their set pressure, relieve, and reseat."""

import numpy as np
import pytest

from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.model import FEED_GIVEN, Model, steady, undisturbed
from evenfire.physics.motion.run import Event, Run, run
from evenfire.physics.steam import saturation
from evenfire.si import PA_PER_PSI, W_PER_BOILER_HP
from tests.motion_models import at_psig, laundry_like, load, standing, with_faults

_POPS, _RESEATS = Happening.VALVE_LIFTED, Happening.VALVE_RESEATED


def _heated(model: Model, heat: float, *, duration: float = 7200.0, interval: float = 1.0) -> Run:
    model.burner.full_heat = model.vessel.loss_conductance = model.burner.purge_conductance = 0.0
    # Feed makes up what the valves blow, so that water lasts.
    model.feed.kind = FEED_GIVEN
    feed = heat / (saturation(at_psig(150)).steam_enthalpy - float(model.vessel.feed_enthalpy))
    inputs = undisturbed(steady(0.0))._replace(heat=steady(heat), given_feed=steady(feed))
    return run(model, inputs, standing(model, 149), duration=duration, interval=interval)


def _of_valve(told: Run, valve: int) -> list[Event]:
    return [event for event in told.events if event.kind in (_POPS, _RESEATS) and event.subject == valve]


def test_a_valve_pops_at_its_set_pressure_and_reseats_after_its_blowdown_in_turn() -> None:
    told = _heated(laundry_like(), 100 * W_PER_BOILER_HP)
    for valve in (0, 1):
        moves = _of_valve(told, valve)
        assert len(moves) > 6
        assert [move.kind for move in moves] == [(_POPS, _RESEATS)[place % 2] for place in range(len(moves))]
        for move in moves:
            expected = 150 if move.kind is _POPS else 144
            assert move.pressure == pytest.approx(expected * PA_PER_PSI, abs=0.01)
            assert move.rising == (move.kind is _POPS)
    assert told.highest.pressure == pytest.approx(150 * PA_PER_PSI, abs=1.0)
    assert abs(told.closure.mass) <= 1e-6
    assert abs(told.closure.energy) <= 1e-6


def test_what_is_relieved_is_in_proportion_to_absolute_pressure_while_a_valve_is_up() -> None:
    model = laundry_like()
    told = _heated(model, 100 * W_PER_BOILER_HP)
    blows = told.series.relieved > 0
    pressure = told.series.pressure + model.vessel.ambient
    conductance = float(model.valves.conductances[:2].sum())
    assert told.series.relieved[blows] == pytest.approx(conductance * pressure[blows], rel=1e-9)
    assert (pressure[blows] >= at_psig(144) - 1).all()
    assert 0.1 < blows.mean() < 0.9
    assert told.crossed.relieved == pytest.approx(float(np.sum(told.series.relieved)), rel=0.01)


def test_valves_set_apart_pop_one_after_the_other_and_the_second_only_if_it_is_needed() -> None:
    apart = laundry_like()
    apart.valves.lifts[1], apart.valves.reseats[1] = at_psig(153), at_psig(147)
    assert _of_valve(_heated(apart, 100 * W_PER_BOILER_HP), 1) == []
    # 4,500 lb/h from feed at 200 F is the evaporation of about 138 bhp: 180 need both.
    told = _heated(apart, 180 * W_PER_BOILER_HP)
    assert _of_valve(told, 0)[0].time < _of_valve(told, 1)[0].time
    assert _of_valve(told, 1)[0].pressure == pytest.approx(153 * PA_PER_PSI, abs=0.01)


def test_valves_too_small_for_the_fire_do_not_hold_it() -> None:
    small = laundry_like()
    small.valves.conductances[:2] /= 4
    told = _heated(small, 200 * W_PER_BOILER_HP, duration=1200.0)
    assert told.series.pressure[-1] > 1.03 * 150 * PA_PER_PSI
    assert [event.kind for event in _of_valve(told, 0)] == [_POPS]


def test_with_both_limits_welded_and_the_drive_at_full_the_valves_hold_the_pressure() -> None:
    # 9,000 lb/h of relief for a boiler of 200 bhp, 6,900 lb/h: it must stay within 3 % of the set pressure.
    model, begin, never = laundry_like(), 1800.0, float("inf")
    faults = (Fault.OPERATING_LIMIT_WELDED, Fault.HIGH_LIMIT_WELDED, Fault.DRIVE_STUCK_AT_FULL, Fault.LOAD_GONE)
    inputs = with_faults(load(model, 0.5), *((fault, begin, never) for fault in faults))
    told = run(model, inputs, standing(model, 105), duration=4 * 3600.0, interval=5.0)
    assert 150 * PA_PER_PSI <= told.highest.pressure <= 1.03 * 150 * PA_PER_PSI
    assert len(_of_valve(told, 0)) > 4
    assert told.series.firing.max() == pytest.approx(1.0)
    assert abs(told.closure.mass) <= 1e-6
    assert abs(told.closure.energy) <= 1e-6

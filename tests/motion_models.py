"""Boilers for tests of the simulation, built by hand from handbook-like numbers: no plant file stands between.

Each builder returns a fresh model, so a test may change what it likes in it.
"""

from math import inf
from typing import Final

import numpy as np

from evenfire.physics.firing import purge_cooling
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.model import (
    DELAY,
    DRAW_FLOW,
    DRAW_GIVEN,
    DRIVE_BACK,
    DRIVE_OPEN,
    FEED_GIVEN,
    FEED_HELD,
    FEED_ON_OFF,
    FLAME,
    LOW_FIRE,
    MAIN,
    PILOT,
    POSTPURGE,
    PREPURGE,
    RATE_NONE,
    RATE_PROPORTIONAL,
    Inputs,
    Model,
    steady,
    undisturbed,
)
from evenfire.physics.motion.records import new
from evenfire.physics.motion.starting import at_pressure
from evenfire.physics.motion.state import State
from evenfire.physics.motion.water import water_table
from evenfire.physics.steam import liquid_enthalpy, saturation, saturation_temperature
from evenfire.physics.vessel import STEEL_HEAT_CAPACITY
from evenfire.si import (
    KG_PER_LB,
    KG_S_PER_LB_H,
    M3_PER_FT3,
    M3_PER_US_GALLON,
    PA_PER_PSI,
    STANDARD_ATMOSPHERE_PA,
    W_PER_BOILER_HP,
    AbsPa,
)

ROOM: Final = 293.15
"""[K]"""
LAUNDRY_WATER: Final = 1450 * M3_PER_US_GALLON
"""Liquid in the laundry's boiler at its normal level [m3]"""
TEXTBOOK_PRESSURE: Final = AbsPa(100 * PA_PER_PSI + STANDARD_ATMOSPHERE_PA)
"""100 psig, the middle of the textbook boiler's band [Pa abs]"""
TEXTBOOK_WATER: Final = 8000 * KG_PER_LB / saturation(TEXTBOOK_PRESSURE).liquid_density
"""8,000 lb of water at 100 psig [m3]"""
DRUM_PRESSURE: Final = AbsPa(8.5e6)
"""Medium load of plant P16-G16 [Pa abs]"""
DRUM_WATER: Final = 57.2
"""[m3]"""
DRUM_STEAM: Final = 50.4195
"""Steam drawn, and feed, of its steady state [kg/s]"""
DRUM_HEAT: Final = 85.91237e6
"""[W]"""


def at_psig(gauge: float) -> AbsPa:
    """Absolute pressure [Pa] of a gauge pressure in psi, at sea level."""
    return AbsPa(gauge * PA_PER_PSI + STANDARD_ATMOSPHERE_PA)


def psig(pressure: float) -> float:
    """Gauge pressure in psi of an absolute pressure [Pa], at sea level."""
    return (pressure - STANDARD_ATMOSPHERE_PA) / PA_PER_PSI


def laundry_like() -> Model:
    """A 200 bhp fire-tube boiler of 150 psi at about 115 psig: full start chain, lags, purge air, slugs of cold feed.

    Cut-out 120, differential 8, high limit 140, throttling range 100 to 110, low-fire hold 60, two safety valves of
    150 psig; turndown 4; feed at 200 F by a pump that is on or off; standing loss 1 % of full fire; users draw a
    constant flow.
    """
    full = 200 * W_PER_BOILER_HP
    model = _bare(1450 * M3_PER_US_GALLON + 65 * M3_PER_FT3, 17_500 * KG_PER_LB * STEEL_HEAT_CAPACITY)
    vessel, burner, controls, feed = model.vessel, model.burner, model.controls, model.feed
    at_work = at_psig(115)
    warmth = saturation_temperature(at_work) - ROOM
    vessel.feed_enthalpy = liquid_enthalpy(at_work, 366.5)
    vessel.loss_conductance = 0.01 * full / warmth
    vessel.lets_air_in = True

    burner.full_heat, burner.lowest = full, 0.25
    burner.heat_lag, burner.stroke = 8.0, 30.0
    gross = full / 0.82  # efficiency of a plain fire-tube boiler
    burner.purge_conductance = purge_cooling(gross, 1.0, ROOM + 1.0, ROOM)
    for phase, seconds in (
        (DELAY, 3.0),
        (DRIVE_OPEN, 20.0),
        (PREPURGE, 30.0),
        (DRIVE_BACK, 20.0),
        (PILOT, 10.0),
        (MAIN, 10.0),
        (FLAME, 5.0),
        (LOW_FIRE, 15.0),
        (POSTPURGE, 15.0),
    ):
        burner.durations[phase] = seconds
    burner.purges_open, burner.lights_at_low_fire_only = True, True
    burner.rate_action, burner.cap = RATE_PROPORTIONAL, 1.0

    controls.cut_out, controls.cut_in = at_psig(120), at_psig(112)
    controls.trip, controls.remakes, controls.trip_is_manual = at_psig(140), at_psig(135), True
    controls.high_fire, controls.low_fire = at_psig(100), at_psig(110)
    controls.takes_hold = controls.lets_go = at_psig(60)
    controls.operating_limit_lag = controls.high_limit_lag = 1.0
    controls.firing_rate_lag = controls.low_fire_hold_lag = 1.0

    feed.kind, feed.capacity = FEED_ON_OFF, 2.0 * full / 2.257e6
    feed.low, feed.high = 0.985 * LAUNDRY_WATER, 1.015 * LAUNDRY_WATER
    feed.cutoff, feed.restored = 0.93 * LAUNDRY_WATER, 0.985 * LAUNDRY_WATER

    model.valves.count = 2
    model.valves.lifts[:2], model.valves.reseats[:2] = at_psig(150), at_psig(144)
    # Two of 4,500 lb/h at 3 % accumulation: together more than the 6,900 lb/h that 200 bhp can make.
    model.valves.conductances[:2] = 4500 * KG_S_PER_LB_H / at_psig(154.5)
    model.users.kind, model.users.reference, model.users.cold_side = DRAW_FLOW, at_psig(105), 330.0
    return model


def textbook_boiler() -> Model:
    """A 100 bhp boiler as the textbook's cycle has it: one fire, no start chain, no lag, no purge, no loss.

    8,000 lb of water, 10,000 lb of steel, 60 cubic feet of steam at 100 psig; operating limit 95 to 105 psig. Feed is
    given: with as much feed as steam (see ``textbook_load``) the contents stand still and storage is all there is.
    """
    model = _bare(TEXTBOOK_WATER + 60 * M3_PER_FT3, 10_000 * KG_PER_LB * STEEL_HEAT_CAPACITY)
    model.vessel.feed_enthalpy = liquid_enthalpy(TEXTBOOK_PRESSURE, 366.5)
    model.burner.full_heat = 100 * W_PER_BOILER_HP
    model.burner.lowest, model.burner.cap = 1.0, 1.0
    model.burner.rate_action = RATE_NONE
    model.controls.cut_out, model.controls.cut_in = at_psig(105), at_psig(95)
    model.feed.kind = FEED_GIVEN
    model.users.kind = DRAW_GIVEN
    return model


def textbook_load(model: Model, share: float) -> Inputs:
    """A constant load of a share of full fire on the textbook boiler, with as much feed as steam."""
    flow = share * float(model.burner.full_heat) / _heat_per_steam(model, TEXTBOOK_PRESSURE)
    return undisturbed(steady(flow))._replace(given_feed=steady(flow))


def drum_boiler() -> Model:
    """The vessel of Astrom and Bell's plant P16-G16, 160 MW: heat, feed and steam are given (see ``drum_inputs``).

    Drum 40, risers 37, downcomers 11 m3; 300,000 kg of metal at 550 J/(kg K); feed 241.87184 C.
    """
    model = _bare(88.0, 300_000.0 * 550.0)
    model.vessel.feed_enthalpy = liquid_enthalpy(DRUM_PRESSURE, 241.87184 + 273.15)
    model.feed.kind = FEED_GIVEN
    model.users.kind = DRAW_GIVEN
    return model


def drum_inputs(*, heat: float = 0.0, steam: float = 0.0, feed: float = 0.0) -> Inputs:
    """The drum boiler's steady state, with steps of heat [W], steam [kg/s] and feed [kg/s] from the first moment on."""
    model = drum_boiler()
    balance = DRUM_STEAM * _heat_per_steam(model, DRUM_PRESSURE)
    return undisturbed(steady(DRUM_STEAM + steam))._replace(
        heat=steady(balance + heat), given_feed=steady(DRUM_STEAM + feed)
    )


def load(model: Model, share: float) -> Inputs:
    """A constant flow of steam [of a share of full fire's heat], nothing broken."""
    flow = share * float(model.burner.full_heat) / _heat_per_steam(model, AbsPa(float(model.users.reference)))
    return undisturbed(steady(flow))


def with_faults(inputs: Inputs, *faults: tuple[Fault, float, float] | tuple[Fault, float, float, float]) -> Inputs:
    """The same with faults: kind, begin [s], end [s], and how far it drifts [Pa] where that is the fault."""
    rows = [(float(fault[0]), *fault[1:], 0.0)[:4] for fault in faults]
    return inputs._replace(faults=np.array(rows, dtype=np.float64).reshape(-1, 4))


def with_resets(inputs: Inputs, *times: float) -> Inputs:
    """The same with a hand that presses reset at these times [s]."""
    return inputs._replace(resets=np.array(times, dtype=np.float64))


def holding_level(model: Model) -> Model:
    """The same model, changed in place, with a feed that keeps the water volume: no cold slugs."""
    model.feed.kind = FEED_HELD
    return model


def standing(model: Model, gauge: float, water: float = LAUNDRY_WATER) -> State:
    """The boiler at rest at a gauge pressure in psi with this water [m3], its burner off and free to start."""
    return at_pressure(model, at_psig(gauge), water)


def _heat_per_steam(model: Model, pressure: AbsPa) -> float:
    """[J/kg]"""
    return saturation(pressure).steam_enthalpy - float(model.vessel.feed_enthalpy)


def _bare(volume: float, metal_heat: float) -> Model:
    """A vessel with no burner, no losses and nothing that could act."""
    model = new(Model)
    model.water[:] = water_table()
    model.vessel.volume, model.vessel.metal_heat = volume, metal_heat
    model.vessel.ambient, model.vessel.room_temperature = STANDARD_ATMOSPHERE_PA, ROOM
    model.burner.lowest, model.burner.cap = 1.0, 1.0
    model.burner.rate_action = RATE_NONE
    controls = model.controls
    controls.cut_out = controls.cut_in = controls.trip = controls.remakes = inf
    controls.high_fire = controls.low_fire = inf
    controls.takes_hold = controls.lets_go = -inf
    controls.trip_is_manual = True
    model.feed.low = model.feed.high = model.feed.cutoff = model.feed.restored = -inf
    return model

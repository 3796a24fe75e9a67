"""A case as the loop takes it: every number from the survey, measured before computed before assumed.

What is missing is asked for by its plant-file keys, and all of it at once.
"""

from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING

import numpy as np

from evenfire.judgement.behaviour import ROOM_TEMPERATURE
from evenfire.judgement.case import Case
from evenfire.physics.firing import AIR_HEAT_CAPACITY, AIR_PER_GROSS_HEAT
from evenfire.physics.motion import model as parts
from evenfire.physics.motion.records import Floats, new
from evenfire.physics.motion.water import water_table
from evenfire.physics.relief import certified_capacity, overpressure_at_capacity
from evenfire.physics.steam import liquid_enthalpy, saturation_temperature
from evenfire.physics.vessel import STEEL_HEAT_CAPACITY
from evenfire.plant.boiler import Feed
from evenfire.plant.burner import Burner, Firing, Fuel, PurgeDamper
from evenfire.plant.controls import Action, Control, Reset, Role
from evenfire.plant.known import Datum, Missing, NotKnownError, given, known
from evenfire.plant.load import Draw
from evenfire.plant.safety_valve import SafetyValve
from evenfire.si import AbsPa, GaugePa, absolute

if TYPE_CHECKING:
    from collections.abc import Callable

COLD_SIDE = 330.0
"""Of a heat exchanger that nobody described: water near 135 F; ten kelvin more or less change little [K]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shifts:
    """How much higher than its dial says each control acts; a proof puts them at their worst corners."""

    operating_limit: float = 0.0
    """[Pa]"""
    high_limit: float = 0.0
    """[Pa]"""
    firing_rate: float = 0.0
    """[Pa]"""
    low_fire_hold: float = 0.0
    """[Pa]"""


TRUE_DIALS = Shifts()


def boiler_model(case: Case, fuel: Fuel | None = None, shifts: Shifts = TRUE_DIALS) -> parts.Model:
    """The boiler of a case on one of its fuels, the first by default.

    Raises
    ------
    NotKnownError
        Whatever the survey lacks, by its keys.
    """
    model = new(parts.Model)
    model.water[:] = water_table()
    missing: dict[str, None] = {}
    fillings: tuple[Callable[[], None], ...] = (
        lambda: _fill_vessel(case, model),
        lambda: _fill_burner(case, burner_on(case, fuel), model),
        lambda: _fill_controls(case, burner_on(case, fuel), shifts, model),
        lambda: _fill_feed(case, model),
        lambda: _fill_valves(case, model),
    )
    for fill in fillings:
        try:
            fill()
        except NotKnownError as lacking:
            missing.update(dict.fromkeys(lacking.keys))
    if missing:
        raise NotKnownError(tuple(missing))
    _fill_users(case, model)
    return model


def burner_on(case: Case, fuel: Fuel | None) -> Burner:
    """The burner on this fuel, the first where none is named."""
    for burner in case.boiler.burners:
        if fuel is None or burner.fuel is fuel:
            return burner
    raise NotKnownError(("burner",))


def normal_volume(case: Case) -> float:
    """Water at normal level [m3]."""
    return known(given(case.boiler.water_volume, "water_volume"))[0]


def working_pressure(case: Case) -> GaugePa:
    """Pressure for which loads and losses are stated [Pa gauge]: the need, else cut-in, else half the MAWP."""
    for value in (case.facts.need, case.stack.cut_in):
        if not isinstance(value, Missing) and value > 0:
            return GaugePa(value)
    return GaugePa(case.boiler.mawp / 2)


def _absolute(case: Case, pressure: float) -> AbsPa:
    return absolute(GaugePa(pressure), AbsPa(case.site.ambient.value))


def _fill_vessel(case: Case, model: parts.Model) -> None:
    boiler, vessel = case.boiler, model.vessel
    water, steam, metal, feed, loss, breaks = known(
        given(boiler.water_volume, "water_volume"),
        given(boiler.steam_volume, "steam_volume"),
        given(boiler.metal_mass, "metal_mass"),
        given(boiler.feedwater_temperature, "feedwater_temperature"),
        given(boiler.standing_loss, "standing_loss"),
        given(boiler.breaks_vacuum, "vacuum_breaker"),
    )
    pressure = _absolute(case, working_pressure(case))
    boiling = saturation_temperature(pressure)
    vessel.volume = water + steam.value
    vessel.metal_heat = metal.value * STEEL_HEAT_CAPACITY
    vessel.ambient = case.site.ambient.value
    vessel.feed_enthalpy = liquid_enthalpy(pressure, min(feed.value, boiling))
    vessel.room_temperature = ROOM_TEMPERATURE
    vessel.loss_conductance = loss.value / (boiling - ROOM_TEMPERATURE)
    vessel.lets_air_in = breaks.value > 0


def _fill_burner(case: Case, burner: Burner, model: parts.Model) -> None:
    part, low = model.burner, case.behaviour.low_fire_share(burner)
    full = case.behaviour.full_heat(burner).value
    efficiency, lag = known(
        given(burner.efficiency, "burner.efficiency"),
        given(burner.heat_lag, "burner.heat_lag"),
    )
    inputs = [value for value in (burner.input_nameplate, burner.input_clocked) if value is not None]
    gross = max(inputs) if inputs else full / efficiency.value
    part.full_heat, part.lowest = full, low
    part.heat_lag = _heat_lag(case, full, lag)
    part.purge_conductance = gross * AIR_PER_GROSS_HEAT * AIR_HEAT_CAPACITY
    part.durations[:] = _durations(case, burner, part.heat_lag)
    part.minimum_off = known(given(burner.chain.minimum_off, "burner.start.minimum_off"))[0].value
    modulates = burner.firing is not Firing.ON_OFF
    part.stroke = known(given(burner.stroke_time, "burner.stroke"))[0].value if modulates else 0.0
    part.purges_open = modulates and burner.chain.purge_damper is not PurgeDamper.LOW
    part.lights_at_low_fire_only = modulates and burner.starts_at_low_fire is not False
    found = case.boiler.as_found
    cap = 1.0 if found is None or found.manual_cap is None else found.manual_cap
    part.cap = min(max((cap - low) / (1.0 - low), 0.0), 1.0) if low < 1.0 else 1.0


def _heat_lag(case: Case, full: float, lag: Datum) -> float:
    """Heat lag [s]: what a measured run-on tells of it beats what was surveyed or assumed."""
    readings = [reading for reading in case.boiler.measured.run_on if reading.load <= 0.0]
    if not readings:
        return lag.value
    reading = max(readings, key=lambda each: each.firing)
    at = GaugePa(known(case.stack.cut_out)[0]) if reading.at is None else reading.at
    return reading.rise * case.behaviour.storage(at).value / (full * reading.firing)


def _durations(case: Case, burner: Burner, heat_lag: float) -> Floats:
    """Seconds of every phase; a measured time from contact to low-fire heat stretches or shortens the whole start."""
    chain = burner.chain
    start = known(
        given(chain.start_delay, "burner.start.delay"),
        given(chain.drive_open, "burner.start.drive_open"),
        given(chain.prepurge, "burner.start.prepurge"),
        given(chain.drive_back, "burner.start.drive_back"),
        given(chain.pilot_trial, "burner.start.pilot_trial"),
        given(chain.main_trial, "burner.start.main_trial"),
    )
    flame, release, postpurge = known(
        given(chain.flame_to_low_fire, "burner.start.flame_to_low_fire"),
        given(chain.release_delay, "burner.start.release_delay"),
        given(chain.postpurge, "burner.start.postpurge"),
    )
    seconds = np.zeros(parts.PHASES)
    seconds[parts.DELAY : parts.FLAME + 1] = [part.value for part in (*start, flame)]
    measured = case.boiler.measured.contact_to_low_fire
    if measured is not None and seconds.sum() > 0:
        seconds *= max(0.0, measured - heat_lag) / seconds.sum()
    seconds[parts.LOW_FIRE], seconds[parts.POSTPURGE] = release.value, postpurge.value
    return seconds


def _fill_controls(case: Case, burner: Burner, shifts: Shifts, model: parts.Model) -> None:
    part, stack, controls = model.controls, case.stack, case.boiler.controls
    part.cut_out, part.cut_in, part.trip, part.remakes = inf, -inf, inf, -inf
    part.takes_hold, part.lets_go = -inf, -inf
    part.high_fire, part.low_fire, part.trip_is_manual = -inf, inf, True
    if controls.operating_limit is not None:
        cut_out, cut_in = known(stack.cut_out, stack.cut_in)
        part.cut_out = _absolute(case, cut_out + shifts.operating_limit)
        part.cut_in = _absolute(case, cut_in + shifts.operating_limit)
        part.operating_limit_lag = _lag(controls.operating_limit)
    if controls.high_limit is not None:
        trip, falls = known(
            _point(case, Role.HIGH_LIMIT),
            given(controls.high_limit.reset_differential, "controls.high_limit.reset_differential"),
        )
        part.trip = _absolute(case, trip + shifts.high_limit)
        part.remakes = part.trip - falls.value
        part.trip_is_manual = controls.high_limit.reset is not Reset.AUTOMATIC
        part.high_limit_lag = _lag(controls.high_limit)
    if controls.low_fire_hold is not None and burner.firing is not Firing.ON_OFF:
        hold = known(_point(case, Role.LOW_FIRE_HOLD))[0]
        part.takes_hold = part.lets_go = _absolute(case, hold + shifts.low_fire_hold)
        part.low_fire_hold_lag = _lag(controls.low_fire_hold)
    model.burner.rate_action = _rate_action(case, burner)
    if model.burner.rate_action != parts.RATE_NONE:
        high_fire, low_fire = known(stack.high_fire, stack.low_fire)
        part.high_fire = _absolute(case, high_fire + shifts.firing_rate)
        part.low_fire = _absolute(case, low_fire + shifts.firing_rate)
        part.firing_rate_lag = _lag(controls.firing_rate)


def _point(case: Case, role: Role) -> float | Missing:
    """Where a control with a single point acts."""
    return case.stack.trip if role is Role.HIGH_LIMIT else case.stack.hold


def _lag(control: Control | None) -> float:
    return 0.0 if control is None or control.lag is None else control.lag.value


def _rate_action(case: Case, burner: Burner) -> int:
    """What the firing-rate control does; one that works out its band itself has gains that no dial shows."""
    if burner.firing is Firing.ON_OFF:
        return parts.RATE_NONE
    control = case.boiler.controls.firing_rate
    if control is None:
        raise NotKnownError(("controls.firing_rate",))
    if control.action in {Action.PID, Action.MASTER}:
        raise NotKnownError(("controls.firing_rate.gains",))
    if burner.firing is Firing.LOW_HIGH_OFF or control.action is Action.TWO_POSITION:
        return parts.RATE_TWO_POSITION
    if control.action is None:
        raise NotKnownError(("controls.firing_rate.action",))
    return parts.RATE_PROPORTIONAL


def _fill_feed(case: Case, model: parts.Model) -> None:
    boiler, feed = case.boiler, model.feed
    volume, capacity, band, cutoff = known(
        given(boiler.water_volume, "water_volume"),
        given(boiler.feed_capacity, "feed_capacity"),
        given(boiler.level_band, "level_band"),
        given(boiler.low_water_cutoff, "low_water_cutoff"),
    )
    # Cold slugs disturb the pressure more than a steady trickle: a feed that nobody described comes in slugs.
    feed.kind = parts.FEED_MODULATING if boiler.feed is Feed.MODULATING else parts.FEED_ON_OFF
    feed.capacity = capacity.value
    feed.low, feed.high = volume * (1 - band.value / 2), volume * (1 + band.value / 2)
    feed.cutoff = min(volume * cutoff.value, feed.low - 0.001 * volume)
    feed.restored = (feed.cutoff + feed.low) / 2


def _fill_valves(case: Case, model: parts.Model) -> None:
    """Safety valves pop at their set pressure, or where their certificate saw them lift."""
    for place, valve in enumerate(case.boiler.safety_valves):
        blowdown = known(given(valve.blowdown, "safety_valve.blowdown"))[0]
        lift = valve.tested_lift if valve.tested_lift is not None else valve.set_pressure
        rated = _absolute(case, valve.set_pressure + overpressure_at_capacity(valve.set_pressure))
        model.valves.lifts[place] = _absolute(case, lift)
        model.valves.reseats[place] = _absolute(case, lift - blowdown.value)
        model.valves.conductances[place] = _capacity(case, valve) / rated
    model.valves.count = len(case.boiler.safety_valves)


def _capacity(case: Case, valve: SafetyValve) -> float:
    """Stamped capacity [kg/s], else what its orifice is certified for."""
    if valve.capacity is not None:
        return valve.capacity
    if valve.orifice_area is None or valve.coefficient is None:
        raise NotKnownError(("safety_valve.capacity",))
    ambient = AbsPa(case.site.ambient.value)
    return certified_capacity(valve.orifice_area, valve.set_pressure, coefficient=valve.coefficient, ambient=ambient)


def _fill_users(case: Case, model: parts.Model) -> None:
    kinds = {Draw.VALVE: parts.DRAW_VALVE, Draw.EXCHANGER: parts.DRAW_EXCHANGER}
    # A steady mass flow asks more of a falling pressure than any other user, so it stands for the unknown.
    model.users.kind = parts.DRAW_FLOW if case.load.draw is None else kinds.get(case.load.draw, parts.DRAW_FLOW)
    model.users.reference = _absolute(case, working_pressure(case))
    model.users.cold_side = COLD_SIDE

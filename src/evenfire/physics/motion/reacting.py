"""What acts where a step has ended: faults, hands, limits, valves, levels, and the burner that obeys them."""

from math import inf
from typing import Final

from evenfire.physics import control_logic
from evenfire.physics.compiled import part, whole
from evenfire.physics.motion.crossing import AT_FIRING_RATE, FULLNESS, PRESSURE
from evenfire.physics.motion.driving import SAME_POSITION, high_corner, is_firing, is_stuck, target_of
from evenfire.physics.motion.faults import take_hold
from evenfire.physics.motion.happenings import Arrival, Happening, note
from evenfire.physics.motion.model import (
    DELAY,
    DRIVE_BACK,
    DRIVE_OPEN,
    FEED_ON_OFF,
    OFF,
    POSTPURGE,
    RATE_NONE,
    RATE_TWO_POSITION,
    RELEASED,
    Burner,
    Inputs,
    Model,
)
from evenfire.physics.motion.profiles import count_until
from evenfire.physics.motion.records import Floats
from evenfire.physics.motion.state import State

operating_limit_opens = part(control_logic.operating_limit_opens)
high_limit_opens = part(control_logic.high_limit_opens)
stays_latched = part(control_logic.stays_latched)
holds_low_fire = part(control_logic.holds_low_fire)
region_of = part(control_logic.region_of)
two_position_wants_high = part(control_logic.two_position_wants_high)
what_stops = part(control_logic.what_stops)

_PHASE_BEGAN: Final = whole(Happening.PHASE_BEGAN)
_BURNER_STOPPED: Final = whole(Happening.BURNER_STOPPED)
_OPERATING_LIMIT_OPENED: Final = whole(Happening.OPERATING_LIMIT_OPENED)
_OPERATING_LIMIT_CLOSED: Final = whole(Happening.OPERATING_LIMIT_CLOSED)
_HIGH_LIMIT_OPENED: Final = whole(Happening.HIGH_LIMIT_OPENED)
_HIGH_LIMIT_CLOSED: Final = whole(Happening.HIGH_LIMIT_CLOSED)
_RESET_REFUSED: Final = whole(Happening.RESET_REFUSED)
_HOLD_TOOK: Final = whole(Happening.HOLD_TOOK)
_HOLD_LET_GO: Final = whole(Happening.HOLD_LET_GO)
_VALVE_LIFTED: Final = whole(Happening.VALVE_LIFTED)
_VALVE_RESEATED: Final = whole(Happening.VALVE_RESEATED)
_PUMP_STARTED: Final = whole(Happening.PUMP_STARTED)
_PUMP_STOPPED: Final = whole(Happening.PUMP_STOPPED)
_WATER_LOW: Final = whole(Happening.WATER_LOW)
_WATER_RESTORED: Final = whole(Happening.WATER_RESTORED)
_VENT_CLOSED: Final = whole(Happening.VENT_CLOSED)
_AIR_LET_IN: Final = whole(Happening.AIR_LET_IN)
_FAULT_BEGAN: Final = whole(Happening.FAULT_BEGAN)
_FAULT_ENDED: Final = whole(Happening.FAULT_ENDED)
_LOCKED_OUT: Final = whole(Happening.LOCKED_OUT)
_UNLOCKED: Final = whole(Happening.UNLOCKED)
_LOW_FIRE_REACHED: Final = whole(Happening.LOW_FIRE_REACHED)
_HIGH_FIRE_REACHED: Final = whole(Happening.HIGH_FIRE_REACHED)


@part
def react(model: Model, inputs: Inputs, state: State, arrival: Arrival, log: Floats, count: int) -> int:
    """Let everything act that acts now, write it down, and return how many lines the log has."""
    disturbed, count = _note_faults(inputs.faults, state, arrival, log, count)
    if disturbed:
        take_hold(model, inputs.faults, state)
    inside, contacts = state.contents, state.contacts
    if inside.is_vented and arrival.crossing == FULLNESS:
        inside.is_vented = False
        inside.pressure = model.vessel.ambient
        count = note(log, count, _VENT_CLOSED, 0.0, arrival)
    elif not inside.is_vented and model.vessel.lets_air_in and arrival.crossing == PRESSURE:
        inside.is_vented = inside.pressure <= model.vessel.ambient
        if inside.is_vented:
            count = note(log, count, _AIR_LET_IN, 0.0, arrival)
    count = _limits(state, model.controls.trip_is_manual, arrival, log, count)
    if count_until(inputs.resets, state.time) > count_until(inputs.resets, arrival.since):
        count = _press_reset(state, arrival, log, count)
    count = _water(model, state, arrival, log, count)
    count = _valves(model, state, arrival, log, count)
    contacts.region = _region(model, state, arrival, disturbed)
    count = _burner(model, state, arrival, log, count)
    if state.flame.phase == RELEASED and state.flame.position != arrival.was_at:
        if state.flame.position <= 0.0:
            count = note(log, count, _LOW_FIRE_REACHED, 0.0, arrival)
        elif state.flame.position >= 1.0:
            count = note(log, count, _HIGH_FIRE_REACHED, 0.0, arrival)
    return count


@part
def _limits(state: State, trip_is_manual: bool, arrival: Arrival, log: Floats, count: int) -> int:
    """Operating limit, high limit and low-fire hold."""
    contacts, sensed, acting, broken = state.contacts, state.sensed, state.acting, state.broken
    is_open = not broken.operating_limit_welded and operating_limit_opens(
        contacts.operating_limit_open, sensed.operating_limit, acting.cut_out, acting.cut_in
    )
    count = _changed(
        contacts.operating_limit_open, is_open, _OPERATING_LIMIT_OPENED, _OPERATING_LIMIT_CLOSED, arrival, log, count
    )
    contacts.operating_limit_open = is_open
    is_open = not broken.high_limit_welded and high_limit_opens(
        contacts.high_limit_open, sensed.high_limit, acting.trip, acting.remakes, trip_is_manual
    )
    count = _changed(contacts.high_limit_open, is_open, _HIGH_LIMIT_OPENED, _HIGH_LIMIT_CLOSED, arrival, log, count)
    contacts.high_limit_open = is_open
    holds = not broken.hold_bypassed and holds_low_fire(
        contacts.holds, sensed.low_fire_hold, acting.takes_hold, acting.lets_go
    )
    count = _changed(contacts.holds, holds, _HOLD_TOOK, _HOLD_LET_GO, arrival, log, count)
    contacts.holds = holds
    locked = contacts.locked_out or (broken.flame_lost and is_firing(state.flame.phase))
    count = _changed(contacts.locked_out, locked, _LOCKED_OUT, _UNLOCKED, arrival, log, count)
    contacts.locked_out = locked
    return count


@part
def _press_reset(state: State, arrival: Arrival, log: Floats, count: int) -> int:
    """A hand presses every reset; the high limit takes it only after pressure has fallen."""
    contacts = state.contacts
    if contacts.high_limit_open:
        is_open = stays_latched(True, state.sensed.high_limit, state.acting.remakes)
        count = note(log, count, _RESET_REFUSED if is_open else _HIGH_LIMIT_CLOSED, 0.0, arrival)
        contacts.high_limit_open = is_open
    if contacts.locked_out:
        contacts.locked_out = False
        count = note(log, count, _UNLOCKED, 0.0, arrival)
    return count


@part
def _water(model: Model, state: State, arrival: Arrival, log: Floats, count: int) -> int:
    """Low-water cutoff and feed pump."""
    contacts, feed, volume = state.contacts, model.feed, arrival.volume
    low = volume <= feed.cutoff or (contacts.water_low and volume < feed.restored)
    count = _changed(contacts.water_low, low, _WATER_LOW, _WATER_RESTORED, arrival, log, count)
    contacts.water_low = low
    if feed.kind == FEED_ON_OFF:
        runs = volume <= feed.low or (contacts.pump_runs and volume < feed.high)
        count = _changed(contacts.pump_runs, runs, _PUMP_STARTED, _PUMP_STOPPED, arrival, log, count)
        contacts.pump_runs = runs
    return count


@part
def _valves(model: Model, state: State, arrival: Arrival, log: Floats, count: int) -> int:
    """Safety valves pop and reseat."""
    contacts, valves = state.contacts, model.valves
    pressure = model.vessel.ambient if state.contents.is_vented else state.contents.pressure
    for valve in range(valves.count):
        is_up = contacts.lifted >> valve & 1
        if not is_up and pressure >= valves.lifts[valve]:
            contacts.lifted |= 1 << valve
            count = note(log, count, _VALVE_LIFTED, float(valve), arrival)
        elif is_up and pressure <= valves.reseats[valve]:
            contacts.lifted &= ~(1 << valve)
            count = note(log, count, _VALVE_RESEATED, float(valve), arrival)
    return count


@part
def _changed(was: bool, is_now: bool, on: int, off: int, arrival: Arrival, log: Floats, count: int) -> int:
    """Write down a contact that changed."""
    if was != is_now:
        return note(log, count, on if is_now else off, 0.0, arrival)
    return count


@part
def _region(model: Model, state: State, arrival: Arrival, disturbed: bool) -> int:
    """Region of the firing-rate control: it changes where a corner is crossed, or when something disturbed it."""
    region, sensed, action = state.contacts.region, state.sensed.firing_rate, model.burner.rate_action
    low_fire = state.acting.low_fire
    if action == RATE_NONE:
        return region
    if action == RATE_TWO_POSITION:
        wants = two_position_wants_high(region == control_logic.UNDER, sensed, state.acting.high_fire, low_fire)
        return control_logic.UNDER if wants else control_logic.OVER
    corner = high_corner(model, state)
    if disturbed:
        return region_of(sensed, corner, low_fire)
    if arrival.crossing != AT_FIRING_RATE:
        return region
    if region != control_logic.WITHIN:
        return control_logic.WITHIN
    return control_logic.OVER if sensed >= low_fire else control_logic.UNDER


@part
def _burner(model: Model, state: State, arrival: Arrival, log: Floats, count: int) -> int:
    """The burner obeys: it stops, or goes as far along its phases as its clocks and proofs allow."""
    burner, contacts, flame, broken = model.burner, state.contacts, state.flame, state.broken
    reason = what_stops(
        contacts.locked_out,
        broken.power_off,
        contacts.high_limit_open,
        contacts.water_low or broken.water_low,
        contacts.operating_limit_open,
    )
    if reason != control_logic.NOTHING and flame.phase not in (OFF, POSTPURGE):
        count = note(log, count, _BURNER_STOPPED, float(reason), arrival)
        had_air = flame.phase >= DRIVE_OPEN and not broken.power_off
        flame.stopped_by, flame.off_since = reason, state.time
        count = _enter(burner, state, POSTPURGE if had_air else OFF, arrival, log, count)
    elif flame.phase == POSTPURGE and broken.power_off:
        count = _enter(burner, state, OFF, arrival, log, count)
    _jump(model, state)
    following = _next_phase(burner, state, reason)
    while following != flame.phase:
        count = _enter(burner, state, following, arrival, log, count)
        if broken.flame_lost and is_firing(flame.phase):
            contacts.locked_out = True
            count = note(log, count, _LOCKED_OUT, 0.0, arrival)
            count = note(log, count, _BURNER_STOPPED, float(control_logic.LOCKOUT), arrival)
            flame.stopped_by, flame.off_since, reason = control_logic.LOCKOUT, state.time, control_logic.LOCKOUT
            count = _enter(burner, state, POSTPURGE, arrival, log, count)
        _jump(model, state)
        following = _next_phase(burner, state, reason)
    return count


@part
def _jump(model: Model, state: State) -> None:
    """A drive without stroke time stands where it is wanted, but for the purge drives, which have their own clock."""
    flame = state.flame
    if model.burner.stroke > 0.0:
        return
    if flame.phase not in (DRIVE_OPEN, DRIVE_BACK) or flame.until <= state.time:
        flame.position = target_of(model, state)


@part
def _enter(burner: Burner, state: State, phase: int, arrival: Arrival, log: Floats, count: int) -> int:
    """Begin a phase."""
    flame, lasts = state.flame, burner.durations[phase]
    flame.phase = phase
    flame.until = inf if phase in (OFF, RELEASED) else state.time + lasts
    if lasts <= 0.0 and not is_stuck(state):
        if phase == DRIVE_OPEN and burner.purges_open:
            flame.position = 1.0
        elif phase == DRIVE_BACK and not state.broken.drive_runs_to_full:
            flame.position = 0.0
    return note(log, count, _PHASE_BEGAN, float(phase), arrival)


@part
def _next_phase(burner: Burner, state: State, reason: int) -> int:
    """The phase that follows now, or the same when its clock runs or a proof is missing."""
    flame, now = state.flame, state.time
    phase, position = flame.phase, flame.position
    if phase == OFF:
        return DELAY if reason == control_logic.NOTHING and now >= flame.off_since + burner.minimum_off else OFF
    if now < flame.until:
        return phase
    if phase == POSTPURGE:
        return OFF
    if phase == DRIVE_OPEN and burner.purges_open and position < 1.0 - SAME_POSITION:
        return phase
    if phase == DRIVE_BACK and burner.lights_at_low_fire_only and position > SAME_POSITION:
        return phase
    return phase + 1


@part
def _note_faults(faults: Floats, state: State, arrival: Arrival, log: Floats, count: int) -> tuple[bool, int]:
    """Write down the faults that began or ended during the step; whether any did, or nothing was ever settled."""
    disturbed = arrival.since < 0.0
    for row in range(len(faults)):
        if arrival.since < faults[row, 1] <= state.time:
            count = note(log, count, _FAULT_BEGAN, float(row), arrival)
            disturbed = True
        if arrival.since < faults[row, 2] <= state.time:
            count = note(log, count, _FAULT_ENDED, float(row), arrival)
            disturbed = True
    return disturbed, count

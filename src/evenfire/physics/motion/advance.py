"""The loop: run a boiler from a state until a time, and write down what happens.

A step never ends because ``until`` comes: it ends where something acts, where the course changes, or where its error
says. The state that comes back is the begin of the step that ``until`` falls in; the trace is written up to ``until``.
So a run in pieces takes the very steps, and gives the very digits, of a run in one go.
"""

from math import copysign, inf, isnan, nextafter
from typing import Final, NamedTuple

from evenfire.physics.compiled import compiled, part, whole
from evenfire.physics.motion.contents import water_volume
from evenfire.physics.motion.crossing import (
    AT_FIRING_RATE,
    AT_HIGH_LIMIT,
    AT_HOLD,
    AT_OPERATING_LIMIT,
    GAP,
    NO_CROSSING,
    PRESSURE,
    WATER,
    boiler_pressure,
    first_crossing,
    mass_at,
    sensed_at,
    turning_share,
    watch,
)
from evenfire.physics.motion.driving import SAME_POSITION, flame_share, plan, track_or_chase
from evenfire.physics.motion.exchange import Course, Moment, rates
from evenfire.physics.motion.following import polynomial
from evenfire.physics.motion.happenings import Arrival, Happening, note
from evenfire.physics.motion.model import Inputs, Model
from evenfire.physics.motion.reacting import react
from evenfire.physics.motion.records import Floats
from evenfire.physics.motion.state import State
from evenfire.physics.motion.step import Arc, Trial, on_the_way_at, start_of, stride
from evenfire.physics.motion.water import TEMPERATURE, at, interval
from evenfire.physics.motion.work import Work

# How a call of the loop ended.
REACHED: Final = 0
LOG_FULL: Final = 1
BEYOND_STEAM: Final = 2
"""Pressure or water left what is known of steam"""
NO_WATER: Final = 3
NO_STEAM_SPACE: Final = 4
STALLED: Final = 5
"""It did not get on"""

TRACE_COLUMNS: Final = 10
"""Pressure [Pa abs], flame [1], heat to the water [W], steam drawn [kg/s], relieved [kg/s], feed [kg/s], water [m3],
drive [1], phase, temperature of water and metal [K]."""
LONGEST_STEP: Final = 300.0
"""[s]"""
FIRST_STEP: Final = 10.0
"""Tried after something acted [s]"""
SHORTEST_STEP: Final = 1e-6
"""[s]"""
_LEAST_ROOM_IN_LOG: Final = 64
_MOST_SHORT_STEPS: Final = 2000
_NONE_YET: Final = whole(0)
_SHORT_STEP: Final = 1e-4
_HAIR: Final = 1.0 + 1e-12
"""Lest rounding loses the last row [1]."""
_PASCAL_PER_MASS: Final = 2.5e6
"""An error of all the mass counts like this error of pressure: at the usual accuracy 2e-8 a step is allowed [Pa]."""
_BEND_PER_ERROR: Final = 30.0
"""How far the middle of a step may lie off the cubic through its ends, per error allowed: the arc takes it up [1]."""
_NOTABLE_TURN: Final = 5.0
"""[Pa]"""
_NOTABLE_RATE: Final = 2.0
"""[Pa/s]"""
_TURNED_DOWN: Final = whole(Happening.TURNED_DOWN)
_TURNED_UP: Final = whole(Happening.TURNED_UP)


class Trace(NamedTuple):
    """Where the loop writes what it saw."""

    rows: Floats
    """See ``TRACE_COLUMNS`` [SI], shape (rows, TRACE_COLUMNS); row k stands for the time k x ``interval``"""
    interval: float
    """[s]"""


@compiled
def run_until(
    model: Model, inputs: Inputs, state: State, work: Work, until: float, accuracy: float, trace: Trace, log: Floats
) -> tuple[int, int]:
    """Run until a time, changing the state in place.

    Parameters
    ----------
    until
        [s] since the start of the run.
    accuracy
        Error of pressure allowed in one step [Pa].
    trace
        Filled from row ``state.rows`` on.
    log
        Filled from its begin, shape (lines, happenings.COLUMNS).

    Returns
    -------
    tuple
        Lines in the log, and how it ended. The state stands where the step that ``until`` falls in begins; mass, energy
        and totals at ``until`` itself are in ``work.trial``. After ``LOG_FULL`` call again with an empty log.
    """
    course, trial, arrival = work.course, work.trial, work.arrival
    bounds = work.bounds
    count = _NONE_YET
    if state.step <= 0.0:
        count = _begin(model, inputs, state, arrival, log, count)
    while True:
        if count + _LEAST_ROOM_IN_LOG > len(log):
            return count, LOG_FULL
        plan(model, inputs, state, course)
        if course.chases != 0.0:
            track_or_chase(model, state, course, start_of(model, state, course)[1])
        watch(model, state, course, bounds)

        seconds = min(state.step, course.ends - state.time)
        lands = seconds >= course.ends - state.time
        is_sound = stride(model, state, course, seconds, trial)
        work.tried += 1
        wanted = _next_step(trial, seconds, accuracy) if is_sound else 0.25 * seconds
        if not is_sound or _excess(trial, accuracy) > 1.0 or trial.bend > _BEND_PER_ERROR * accuracy:
            if seconds <= SHORTEST_STEP:
                return count, STALLED if is_sound else BEYOND_STEAM
            state.step = max(SHORTEST_STEP, min(wanted, 0.5 * seconds))
            work.refused += 1
            continue
        which, share = first_crossing(model, state, course, trial.arc, bounds)
        if which != NO_CROSSING:
            lands = False
            seconds = max(share * seconds, min(SHORTEST_STEP, seconds))
            is_sound = stride(model, state, course, seconds, trial)
            work.tried += 1
            if not is_sound:
                return count, BEYOND_STEAM
        end = course.ends if lands else state.time + seconds
        _write_trace(model, state, course, trial.arc, min(until, end), trace)
        if end > until:
            if until > state.time:
                stride(model, state, course, until - state.time, trial)
            return count, REACHED
        work.short = work.short + 1 if seconds < _SHORT_STEP else 0
        if work.short > _MOST_SHORT_STEPS:
            return count, STALLED
        count = _note_turn(model, state, work, log, count)
        _land(model, state, work, end, which, bounds)
        if not 0.0 < arrival.volume < model.vessel.volume:
            return count, NO_WATER if arrival.volume <= 0.0 else NO_STEAM_SPACE
        state.step = min(LONGEST_STEP, max(wanted, state.step) if lands or which != NO_CROSSING else wanted)
        noted = count
        count = react(model, inputs, state, arrival, log, count)
        if lands or count > noted:
            state.step = min(state.step, FIRST_STEP)


@part
def _begin(model: Model, inputs: Inputs, state: State, arrival: Arrival, log: Floats, count: int) -> int:
    """Let everything take its place before the first step."""
    inside = state.contents
    state.step = FIRST_STEP
    arrival.since, arrival.time, arrival.crossing = -1.0, state.time, NO_CROSSING
    arrival.pressure = model.vessel.ambient if inside.is_vented else inside.pressure
    arrival.rising, arrival.flame, arrival.was_at = 0.0, 0.0, state.flame.position
    arrival.volume = water_volume(model, inside.is_vented, inside.mass, inside.pressure)
    state.extremes.highest, state.extremes.lowest = arrival.pressure, arrival.pressure
    state.extremes.highest_at, state.extremes.lowest_at, state.slope = state.time, state.time, 0.0
    return react(model, inputs, state, arrival, log, count)


@part
def _excess(trial: Trial, accuracy: float) -> float:
    """Error of a step over what is allowed, of its pressure or of its mass, whichever is worse [1]."""
    return max(trial.error, trial.mass_error * _PASCAL_PER_MASS) / accuracy


@part
def _next_step(trial: Trial, seconds: float, accuracy: float) -> float:
    """The step that would just keep the accuracy [s]."""
    by_error: float = (1.0 / (_excess(trial, accuracy) + 1e-12)) ** (1.0 / 3.0)
    by_bend: float = (_BEND_PER_ERROR * accuracy / (trial.bend + 1e-12)) ** 0.25
    return seconds * min(max(0.85 * min(by_error, by_bend), 0.2), 5.0)


@part
def _land(model: Model, state: State, work: Work, end: float, which: int, bounds: Floats) -> None:
    """Move the state to the end of a step, before anything acts; a signal that crossed stands exactly on its bound."""
    course, trial, arrival = work.course, work.trial, work.arrival
    arc, inside, ambient = trial.arc, state.contents, model.vessel.ambient
    seen = boiler_pressure(arc, inside.is_vented, ambient, 1.0)
    arrival.rising = copysign(1.0, seen - boiler_pressure(arc, inside.is_vented, ambient, 0.99))
    arrival.since, arrival.time, arrival.crossing, arrival.was_at = state.time, end, which, state.flame.position
    _move_sensed(model, state, arc, which, bounds)
    position = course.position + course.position_slope * arc.seconds
    if course.tracks or which == GAP:
        acting = state.acting
        position = (acting.low_fire - state.sensed.firing_rate) / (acting.low_fire - acting.high_fire)
    elif not isnan(course.arrives_at) and abs(position - course.arrives_at) < SAME_POSITION:
        position = course.arrives_at
    state.flame.position = min(max(position, 0.0), 1.0)
    inside.mass, inside.energy, inside.on_the_way = trial.mass, trial.energy, trial.on_the_way
    inside.pressure = _on_bound(trial.pressure, bounds, PRESSURE) if which == PRESSURE else trial.pressure
    arrival.volume = water_volume(model, inside.is_vented, trial.mass, trial.pressure)
    if which == WATER:
        arrival.volume = _on_bound(arrival.volume, bounds, WATER)
    totals, summed = state.totals, trial.totals
    totals.heat, totals.steam, totals.relieved, totals.feed = summed.heat, summed.steam, summed.relieved, summed.feed
    totals.steam_energy, totals.lost, totals.purged = summed.steam_energy, summed.lost, summed.purged
    state.time = end
    state.slope = 0.0
    if not inside.is_vented:
        state.slope = (arc.p1 + 2.0 * arc.p2 + 3.0 * arc.p3 + 4.0 * arc.p4) / arc.seconds
    _reach(state, ambient if inside.is_vented else inside.pressure, end)
    arrival.pressure = ambient if inside.is_vented else inside.pressure
    arrival.flame = flame_share(model.burner, state)[0]


@part
def _move_sensed(model: Model, state: State, arc: Arc, which: int, bounds: Floats) -> None:
    """Move what each control senses to the end of a step."""
    sensed, acting, vented, ambient = state.sensed, state.acting, state.contents.is_vented, model.vessel.ambient
    sensed.operating_limit = sensed_at(arc, vented, ambient, sensed.operating_limit, acting.operating_limit_lag, 1.0)
    sensed.high_limit = sensed_at(arc, vented, ambient, sensed.high_limit, acting.high_limit_lag, 1.0)
    sensed.firing_rate = sensed_at(arc, vented, ambient, sensed.firing_rate, acting.firing_rate_lag, 1.0)
    sensed.low_fire_hold = sensed_at(arc, vented, ambient, sensed.low_fire_hold, acting.low_fire_hold_lag, 1.0)
    if which == AT_OPERATING_LIMIT:
        sensed.operating_limit = _on_bound(sensed.operating_limit, bounds, which)
    elif which == AT_HIGH_LIMIT:
        sensed.high_limit = _on_bound(sensed.high_limit, bounds, which)
    elif which == AT_FIRING_RATE:
        sensed.firing_rate = _on_bound(sensed.firing_rate, bounds, which)
    elif which == AT_HOLD:
        sensed.low_fire_hold = _on_bound(sensed.low_fire_hold, bounds, which)


@part
def _on_bound(value: float, bounds: Floats, which: int) -> float:
    """The next number beyond the nearer of the bounds of a signal: it has crossed, by nothing."""
    low: float = bounds[which, 0]
    high: float = bounds[which, 1]
    if abs(value - low) < abs(value - high):
        return nextafter(low, -inf)
    return nextafter(high, inf)


@part
def _note_turn(model: Model, state: State, work: Work, log: Floats, count: int) -> int:
    """Write down where the pressure had its highest or lowest: within the step, or just where it begins."""
    arc, turn = work.trial.arc, work.turn
    if state.contents.is_vented:
        return count
    before, after = state.slope, arc.p1 / arc.seconds
    if before * after < 0.0 and min(abs(before), abs(after)) > _NOTABLE_RATE:
        turn.time, turn.pressure, turn.rising, turn.flame = state.time, arc.p0, copysign(1.0, after), arc.f0
        count = note(log, count, _TURNED_UP if after > 0.0 else _TURNED_DOWN, 0.0, turn)
    share = turning_share(state, arc, model.vessel.ambient)
    if share >= 1.0:
        return count
    there = polynomial(share, arc.p0, arc.p1, arc.p2, arc.p3, arc.p4)
    _reach(state, there, state.time + share * arc.seconds)
    last = polynomial(1.0, arc.p0, arc.p1, arc.p2, arc.p3, arc.p4)
    if abs(there - arc.p0) < _NOTABLE_TURN and abs(there - last) < _NOTABLE_TURN:
        return count
    down = arc.p1 > 0.0
    turn.time, turn.pressure, turn.rising = state.time + share * arc.seconds, there, -1.0 if down else 1.0
    turn.flame = polynomial(share, arc.f0, arc.f1, arc.f2, 0.0, 0.0)
    return note(log, count, _TURNED_DOWN if down else _TURNED_UP, 0.0, turn)


@part
def _reach(state: State, pressure: float, time: float) -> None:
    """Remember a pressure that is higher or lower than any before."""
    extremes = state.extremes
    if pressure > extremes.highest:
        extremes.highest, extremes.highest_at = pressure, time
    if pressure < extremes.lowest:
        extremes.lowest, extremes.lowest_at = pressure, time


@part
def _write_trace(model: Model, state: State, course: Course, arc: Arc, last: float, trace: Trace) -> None:
    """Write the rows of a step up to a time."""
    vented, ambient, lag = state.contents.is_vented, model.vessel.ambient, model.burner.heat_lag
    while state.rows < len(trace.rows) and state.rows * trace.interval <= last * _HAIR:
        elapsed = max(0.0, state.rows * trace.interval - state.time)
        share = min(1.0, elapsed / arc.seconds)
        own = polynomial(share, arc.p0, arc.p1, arc.p2, arc.p3, arc.p4)
        flame = polynomial(share, arc.f0, arc.f1, arc.f2, 0.0, 0.0)
        coming = on_the_way_at(model, state.contents.on_the_way, arc.seconds, share, arc.f0, arc.f1, arc.f2)
        mass = mass_at(arc, share)
        now = rates(model, course, Moment(elapsed, vented, mass, own, flame, coming))
        burnt = model.burner.full_heat * flame
        row = trace.rows[state.rows]
        row[0] = boiler_pressure(arc, vented, ambient, share)
        row[1] = flame
        row[2] = now.heat - burnt + (coming / lag if lag > 0.0 else burnt)
        row[3] = now.steam
        row[4] = now.relieved
        row[5] = now.feed
        row[6] = water_volume(model, vented, mass, own)
        row[7] = course.position + course.position_slope * elapsed
        if course.tracks and model.burner.lowest < 1.0:
            row[7] = (flame - model.burner.lowest) / (1.0 - model.burner.lowest)
        row[8] = state.flame.phase
        index, within = interval(own)
        row[9] = at(model.water, index, within, TEMPERATURE)
        state.rows += 1

"""The small boiler of the blind tests, a second at a time: everything that a log can show, and more than it does.

It shares nothing with the simulation of the program: a step of one second is the scan of a plain controller, heat and
flows stand still within it, and the pressure follows by the mean of two slopes. All compiled code is in this one
module, because the compiler keeps what it made for one file at a time.
"""

from collections.abc import Callable
from math import exp
from typing import TYPE_CHECKING, Final, NamedTuple, TypeVar

import numba
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Function = TypeVar("Function", bound=Callable[..., object])

if TYPE_CHECKING:

    def compiled(function: Function) -> Function:
        """The same function as machine code."""
        return function

else:
    compiled = numba.njit(cache=True, error_model="numpy")

# The table of water and steam: rows of pressure, five properties and then their slopes. These stand here, and not with
# the table, because compiled code would not notice a change of them in another file.
LOWEST: Final = 60e3
"""[Pa abs]"""
STEP: Final = 2e3
"""[Pa]"""
COUNT: Final = 1_600
"""Up to 32.6 bar abs."""
PROPERTIES: Final = 5

# Phases of the burner.
OFF, DELAY, PURGE, PILOT, LOW, RUN, POST = range(7)
# Kinds of stops.
NO_STOP, AT_OPERATING_LIMIT, AT_HIGH_LIMIT, BY_LEVEL, BY_FLAME, BY_AIR, BY_OPERATOR = range(7)
# What the firing-rate control does.
ON_OFF, TWO_POSITION, PROPORTIONAL, WITH_RESET = range(4)
# Columns of the trace, one row a second, at the end of the second.
PRESSURE, WATER, LOGGED, POSITION, DEMAND, FLAME, FUEL, HEAT, STEAM, FEED, PUMP, PHASE, HELD, SHORT, SWELL = range(15)
TRACED: Final = 15
# Cells of the state that are not in the trace.
(S_DRIVE, S_MOVING, S_CLOCK, S_LIMIT_OPEN, S_HIGH_OPEN, S_LIMIT_SEES, S_FIRE_SEES, S_RESET_SUM, S_STATE_TWO) = range(
    15, 24
)
(S_CYCLE, S_EVENT, S_OUT_UNTIL, S_OUT_KIND, S_FACTOR, S_HAND_AT, S_FEED_SHUT, S_SECOND, S_STOPS, S_STARTS) = range(
    24, 34
)
(S_CALL_AT, S_CUT_INS, S_DELAYED, S_LEVEL_LASTING) = range(34, 38)
STATES: Final = 38
BUFFER: Final = 16
"""Longest dead time of heat [s]."""
STOP_CELLS: Final = 5
"""Second, kind, pressure [Pa], where the control stood [Pa], position of the fuel valve."""


class Works(NamedTuple):
    """What the boiler is and how it is set: all numbers, SI, pressures gauge; never shown to what is tested."""

    ambient: float
    volume: float
    metal: float
    standing_loss: float
    feed_enthalpy: float
    feed_is_on_off: float
    pump_flow: float
    feed_lag: float
    feed_gain: float
    water_normal: float
    water_low: float
    water_high: float
    water_cut_off: float
    swing: float
    swing_period: float
    swell_lag: float
    input_high: float
    turndown: float
    efficiency: float
    efficiency_slope: float
    efficiency_bend: float
    valve_curve: float
    heat_lag: float
    heat_delay: float
    purge_cooling: float
    delay: float
    purge: float
    drive_back: float
    pilot: float
    low: float
    postpurge: float
    action: float
    fire_point: float
    fire_range: float
    reset_time: float
    stroke: float
    deadband: float
    backlash: float
    stuck_from: float
    stuck_at: float
    limit_lag: float
    fire_lag: float
    log_lag: float
    cut_out: float
    differential: float
    creep: float
    high_limit: float
    high_limit_drop: float
    hold: float
    hold_works: float
    draw_exponent: float
    draw_pressure: float
    throttle: float


class Script(NamedTuple):
    """What happens from outside, drawn before the run."""

    draw: Floats
    """Steam drawn at the reference pressure, one for each second [kg/s]"""
    scatter: Floats
    """How far the operating limit acts from where it stands, for each cycle, round and round [Pa]"""
    factor: Floats
    """By what the load changes while the burner is off, for each cycle, round and round"""
    hand: Floats
    """Until somebody resets the high limit, for each cycle, round and round [s]"""
    events: Floats
    """Rows of second, kind of stop, seconds for which the burner is kept out; rising"""


@compiled
def _slopes(table: Floats, pressure: float, water: float, volume: float, metal: float) -> tuple[float, ...]:
    """Terms of both balances at an absolute pressure, and the enthalpy of the steam."""
    place = min(max((pressure - LOWEST) / STEP, 0.0), COUNT - 1.001)
    row = int(place)
    part = place - row
    low, high = table[row], table[row + 1]
    rl = low[0] + part * (high[0] - low[0])
    rs = low[1] + part * (high[1] - low[1])
    hl = low[2] + part * (high[2] - low[2])
    hs = low[3] + part * (high[3] - low[3])
    d_rl = low[PROPERTIES] + part * (high[PROPERTIES] - low[PROPERTIES])
    d_rs = low[PROPERTIES + 1] + part * (high[PROPERTIES + 1] - low[PROPERTIES + 1])
    d_hl = low[PROPERTIES + 2] + part * (high[PROPERTIES + 2] - low[PROPERTIES + 2])
    d_hs = low[PROPERTIES + 3] + part * (high[PROPERTIES + 3] - low[PROPERTIES + 3])
    d_t = low[PROPERTIES + 4] + part * (high[PROPERTIES + 4] - low[PROPERTIES + 4])
    steam = volume - water
    mass_by_pressure = water * d_rl + steam * d_rs
    energy_by_pressure = water * (hl * d_rl + rl * d_hl) + steam * (hs * d_rs + rs * d_hs) - volume + metal * d_t
    return rl - rs, mass_by_pressure, rl * hl - rs * hs, energy_by_pressure, hs


@compiled
def _rates(
    table: Floats, works: Works, pressure: float, water: float, heat: float, steam: float, feed: float
) -> tuple[float, float, float]:
    """Change of pressure [Pa/s] and of water [m3/s], and the storage [J/Pa]."""
    a, b, c, d, hs = _slopes(table, pressure + works.ambient, water, works.volume, works.metal)
    mass = feed - steam
    energy = heat - works.standing_loss + feed * works.feed_enthalpy - steam * hs
    stored = d - b * c / a
    rise = (energy - c / a * mass) / stored
    return rise, (mass - b * rise) / a, stored


@compiled
def _contain(state: Floats, table: Floats, works: Works) -> None:
    """Pressure, water and heat that is short of boiling, through one second."""
    heat, steam, feed = state[S_DELAYED], state[STEAM], state[FEED]
    rise, fill, stored = _rates(table, works, state[PRESSURE], state[WATER], heat, steam, feed)
    if state[SHORT] > 0.0:
        # A vented vessel below boiling: it warms or cools, and stays at the pressure of the air.
        state[SHORT] -= rise * stored
        state[WATER] += fill
        if state[SHORT] < 0.0:
            state[PRESSURE] -= state[SHORT] / stored
            state[SHORT] = 0.0
        return
    ahead = max(state[PRESSURE] + rise, -0.3 * works.ambient)
    rise2, fill2, _ = _rates(table, works, ahead, state[WATER] + fill, heat, steam, feed)
    state[PRESSURE] += 0.5 * (rise + rise2)
    state[WATER] += 0.5 * (fill + fill2)
    if state[PRESSURE] < 0.0:
        state[SHORT] = -state[PRESSURE] * stored
        state[PRESSURE] = 0.0


@compiled
def _flow(state: Floats, works: Works, draw: float) -> None:
    """Steam and feed of this second."""
    wanted = draw * state[S_FACTOR]
    if works.draw_exponent > 0.0:
        wanted *= (state[PRESSURE] + works.ambient) / (works.draw_pressure + works.ambient)
    if works.throttle > 0.0:
        # Somebody throttles the stop valve when pressure is being lost; a boiler below its hold would never come back.
        wanted *= min(max((state[PRESSURE] / works.throttle - 0.85) / 0.15, 0.02), 1.0)
    state[STEAM] = wanted * min(1.0, state[PRESSURE] / 2e4)
    state[SWELL] += (state[STEAM] - state[SWELL]) / works.swell_lag
    level = state[WATER] + works.swing * np.sin(2.0 * np.pi * state[S_SECOND] / works.swing_period)
    if works.feed_is_on_off > 0.0:
        if level < works.water_low:
            state[PUMP] = 1.0
        elif level > works.water_high:
            state[PUMP] = 0.0
        target = works.pump_flow * state[PUMP]
    else:
        target = state[SWELL] + works.feed_gain * (works.water_normal - level)
        target = min(max(target, 0.0), works.pump_flow)
        state[PUMP] = 1.0
    if state[S_FEED_SHUT] > 0.0:
        target = 0.0
        state[PUMP] = 0.0
    state[FEED] = target + (state[FEED] - target) * exp(-1.0 / works.feed_lag)


@compiled
def _happen(state: Floats, script: Script, works: Works) -> None:
    """What somebody or something does to the burner from outside."""
    second = state[S_SECOND]
    event = int(state[S_EVENT])
    if event < len(script.events) and second >= script.events[event, 0]:
        kind, lasting = script.events[event, 1], script.events[event, 2]
        if kind == BY_LEVEL:
            state[S_FEED_SHUT] = 1.0
            state[S_LEVEL_LASTING] = lasting
            state[S_EVENT] += 1.0
        elif kind == BY_OPERATOR or (state[PHASE] == RUN and state[S_CLOCK] > 20.0):
            state[S_OUT_UNTIL] = max(state[S_OUT_UNTIL], second + lasting)
            state[S_OUT_KIND] = kind
            state[S_EVENT] += 1.0
    if state[S_FEED_SHUT] > 0.0 and state[WATER] < works.water_cut_off:
        state[S_FEED_SHUT] = 0.0
        state[S_OUT_UNTIL] = max(state[S_OUT_UNTIL], second + state[S_LEVEL_LASTING])
        state[S_OUT_KIND] = BY_LEVEL


@compiled
def _limit(state: Floats, works: Works, script: Script, cut_ins: Floats) -> None:
    """Both limits look at the pressure that has come through their siphons."""
    second = state[S_SECOND]
    state[S_LIMIT_SEES] += (state[PRESSURE] - state[S_LIMIT_SEES]) * (1.0 - exp(-1.0 / works.limit_lag))
    sees = state[S_LIMIT_SEES]
    cycle = int(state[S_CYCLE])
    cut_out = works.cut_out + works.creep * second + script.scatter[cycle % len(script.scatter)]
    if state[S_LIMIT_OPEN] == 0.0 and sees >= cut_out:
        state[S_LIMIT_OPEN] = 1.0
    elif state[S_LIMIT_OPEN] > 0.0 and sees <= cut_out - works.differential:
        state[S_LIMIT_OPEN] = 0.0
        if state[S_CUT_INS] < len(cut_ins):
            cut_ins[int(state[S_CUT_INS])] = np.array([second, state[PRESSURE], cut_out - works.differential])
            state[S_CUT_INS] += 1.0
        state[S_CYCLE] += 1.0
    if state[S_HIGH_OPEN] == 0.0 and sees >= works.high_limit:
        state[S_HIGH_OPEN] = 1.0
        state[S_HAND_AT] = second + script.hand[cycle % len(script.hand)]
    elif state[S_HIGH_OPEN] > 0.0 and second >= state[S_HAND_AT] and sees <= works.high_limit - works.high_limit_drop:
        state[S_HIGH_OPEN] = 0.0
        state[S_CYCLE] += 1.0


@compiled
def _stop(state: Floats, works: Works, script: Script, stops: Floats) -> None:
    """The call is gone: the flame goes out, and why is written down."""
    if state[PHASE] >= LOW and state[PHASE] != POST:
        kind, stood = state[S_OUT_KIND], 0.0
        cycle = int(state[S_CYCLE])
        if state[S_HIGH_OPEN] > 0.0:
            kind, stood = float(AT_HIGH_LIMIT), works.high_limit
        elif state[S_LIMIT_OPEN] > 0.0:
            kind = float(AT_OPERATING_LIMIT)
            stood = works.cut_out + works.creep * state[S_SECOND] + script.scatter[cycle % len(script.scatter)]
        if state[S_STOPS] < len(stops):
            stops[int(state[S_STOPS])] = np.array([state[S_SECOND], kind, state[PRESSURE], stood, state[POSITION]])
            state[S_STOPS] += 1.0
        if state[PHASE] == RUN:
            state[S_FACTOR] = script.factor[cycle % len(script.factor)]
    if state[PHASE] in (PURGE, PILOT, LOW, RUN):
        state[PHASE] = POST
        state[S_CLOCK] = 0.0
    elif state[PHASE] == DELAY:
        state[PHASE] = OFF
        state[S_CLOCK] = 0.0


@compiled
def _go_on(state: Floats, works: Works, starts: Floats) -> None:
    """The start chain, one phase after the other; phases that last no time are gone through at once."""
    for _ in range(LOW):
        phase, clock = state[PHASE], state[S_CLOCK]
        following = phase
        if phase == OFF:
            following = float(DELAY)
            state[S_CALL_AT] = state[S_SECOND]
        elif phase == DELAY and clock >= works.delay:
            following = float(PURGE)
        elif phase == PURGE and clock >= works.purge:
            following = float(PILOT)
        elif phase == PILOT and clock >= works.pilot:
            following = float(LOW)
            state[S_FACTOR] = 1.0
            if state[S_STARTS] < len(starts):
                starts[int(state[S_STARTS])] = np.array([state[S_CALL_AT], state[S_SECOND], state[PRESSURE]])
                state[S_STARTS] += 1.0
        elif phase == LOW and clock >= works.low:
            following = float(RUN)
        if following == phase:
            break
        state[PHASE] = following
        state[S_CLOCK] = 0.0


@compiled
def _burn(state: Floats, works: Works, script: Script, stops: Floats, starts: Floats) -> None:
    """Which phase the burner is in."""
    state[S_CLOCK] += 1.0
    if state[PHASE] == POST and state[S_CLOCK] >= works.postpurge:
        state[PHASE] = OFF
    kept_out = state[S_SECOND] < state[S_OUT_UNTIL]
    if state[S_LIMIT_OPEN] > 0.0 or state[S_HIGH_OPEN] > 0.0 or kept_out:
        _stop(state, works, script, stops)
    elif state[PHASE] != RUN and state[PHASE] != POST:
        _go_on(state, works, starts)


@compiled
def _demanded(state: Floats, works: Works) -> float:
    """What the firing-rate control asks of the drive, from low fire (0) to high (1)."""
    state[S_FIRE_SEES] += (state[PRESSURE] - state[S_FIRE_SEES]) * (1.0 - exp(-1.0 / works.fire_lag))
    sees = state[S_FIRE_SEES]
    asked = 1.0
    if works.action == TWO_POSITION:
        if sees <= works.fire_point:
            state[S_STATE_TWO] = 1.0
        elif sees >= works.fire_point + works.fire_range:
            state[S_STATE_TWO] = 0.0
        asked = state[S_STATE_TWO]
    elif works.action == PROPORTIONAL:
        asked = (works.fire_point + works.fire_range - sees) / works.fire_range
    elif works.action == WITH_RESET:
        off = (works.fire_point + 0.5 * works.fire_range - sees) / works.fire_range
        if state[PHASE] == RUN:
            state[S_RESET_SUM] = min(max(state[S_RESET_SUM] + off / works.reset_time, -0.5), 0.5)
        asked = 0.5 + off + state[S_RESET_SUM]
    state[HELD] = 1.0 if sees < works.hold and works.hold_works > 0.0 else 0.0
    return 0.0 if state[HELD] > 0.0 else min(max(asked, 0.0), 1.0)


@compiled
def _drive(state: Floats, works: Works) -> None:
    """The drive with its dead band, then the fuel valve with the play of its linkage."""
    state[DEMAND] = _demanded(state, works)
    target = 0.0
    if state[PHASE] == RUN:
        target = state[DEMAND]
    elif state[PHASE] == PURGE and state[S_CLOCK] < works.purge - works.drive_back:
        target = 1.0
    if works.stroke <= 0.0:
        state[S_DRIVE] = target
    else:
        off = target - state[S_DRIVE]
        step = 1.0 / works.stroke
        if abs(off) > works.deadband or (abs(off) > step and (target == 0.0 or target == 1.0)):
            state[S_MOVING] = 1.0
        elif abs(off) <= max(step, 0.25 * works.deadband):
            state[S_MOVING] = 0.0
        if state[S_MOVING] > 0.0:
            state[S_DRIVE] += min(max(off, -step), step)
    half = 0.5 * works.backlash
    state[POSITION] = min(max(min(max(state[POSITION], state[S_DRIVE] - half), state[S_DRIVE] + half), 0.0), 1.0)
    if state[S_SECOND] >= works.stuck_from:
        state[POSITION] = works.stuck_at


@compiled
def _fire(state: Floats, works: Works, buffer: Floats) -> None:
    """Fuel, and the heat of it that reaches the water this second."""
    burns = state[PHASE] == LOW or state[PHASE] == RUN
    state[FLAME] = 1.0 if burns else 0.0
    least = 1.0 / works.turndown
    rate = least + (1.0 - least) * state[POSITION] ** works.valve_curve
    state[FUEL] = works.input_high * rate if burns else 0.0
    short = 1.0 - rate
    efficiency = works.efficiency + works.efficiency_slope * short - works.efficiency_bend * short * short
    given = state[FUEL] * efficiency
    if state[PHASE] == PURGE or state[PHASE] == POST or state[PHASE] == PILOT:
        given = -works.purge_cooling
    now = int(state[S_SECOND]) % BUFFER
    buffer[now] = given
    arriving = buffer[(now - int(works.heat_delay)) % BUFFER]
    kept = exp(-1.0 / works.heat_lag)
    state[S_DELAYED] = arriving + (state[HEAT] - arriving) * works.heat_lag * (1.0 - kept)
    state[HEAT] = arriving + (state[HEAT] - arriving) * kept


@compiled
def run(
    state: Floats, buffer: Floats, table: Floats, works: Works, script: Script, tables: tuple[Floats, Floats, Floats]
) -> Floats:
    """Go on for as many seconds as there are draws: the trace; state, stops, starts and cut-ins are filled."""
    stops, starts, cut_ins = tables
    trace = np.empty((len(script.draw), TRACED))
    for at in range(len(script.draw)):
        _happen(state, script, works)
        _limit(state, works, script, cut_ins)
        _burn(state, works, script, stops, starts)
        _drive(state, works)
        _fire(state, works, buffer)
        _flow(state, works, script.draw[at])
        _contain(state, table, works)
        state[LOGGED] += (state[PRESSURE] - state[LOGGED]) * (1.0 - exp(-1.0 / works.log_lag))
        trace[at] = state[:TRACED]
        state[S_SECOND] += 1.0
    return trace

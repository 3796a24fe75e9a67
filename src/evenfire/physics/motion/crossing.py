"""Where on a step something first crosses what makes it act.

Every control, valve and level watches one signal between a bound below and a bound above. The first to leave its
bounds ends the step there. Between, a signal may turn and come back: pressure and sensed pressures are looked at in
their turning point too.
"""

from math import inf, isinf
from typing import Final

from evenfire.physics import control_logic
from evenfire.physics.compiled import part, whole
from evenfire.physics.motion.contents import closed_energy, water_volume
from evenfire.physics.motion.driving import KEEPS_UP, high_corner, moves_with_pressure
from evenfire.physics.motion.exchange import Course
from evenfire.physics.motion.following import follow, polynomial
from evenfire.physics.motion.model import FEED_MODULATING, FEED_ON_OFF, RATE_NONE, RATE_TWO_POSITION, Model
from evenfire.physics.motion.records import Floats
from evenfire.physics.motion.state import State
from evenfire.physics.motion.step import Arc, on_the_way_at

NO_CROSSING: Final = whole(-1)
PRESSURE: Final = whole(0)
AT_OPERATING_LIMIT: Final = whole(1)
AT_HIGH_LIMIT: Final = whole(2)
AT_FIRING_RATE: Final = whole(3)
AT_HOLD: Final = whole(4)
WATER: Final = whole(5)
GAP: Final = whole(6)
"""Of the drive to the demand that it chases"""
PACE: Final = whole(7)
"""What the drive has left of its speed while it tracks"""
FULLNESS: Final = whole(8)
"""Energy of a vented boiler over that of one full of steam"""
SIGNALS: Final = 9

_TURNS: Final = 100
MOMENT: Final = 1e-3
"""[s]"""


@part
def boiler_pressure(arc: Arc, is_vented: bool, ambient: float, share: float) -> float:
    """Pressure in the steam space at a share of the step [Pa abs]."""
    if is_vented:
        return ambient
    return polynomial(share, arc.p0, arc.p1, arc.p2, arc.p3, arc.p4)


@part
def sensed_at(arc: Arc, is_vented: bool, ambient: float, start: float, lag: float, share: float) -> float:
    """Pressure as a control with this lag [s] has it at a share of the step [Pa abs]."""
    if is_vented:
        return follow(start, lag / arc.seconds, share, ambient, 0.0, 0.0, 0.0, 0.0)
    return follow(start, lag / arc.seconds, share, arc.p0, arc.p1, arc.p2, arc.p3, arc.p4)


@part
def mass_at(arc: Arc, share: float) -> float:
    """Contents at a share of the step [kg]."""
    return polynomial(share, arc.m0, arc.m1, arc.m2, arc.m3, 0.0)


@part
def start_and_lag(which: int, state: State) -> tuple[float, float]:
    """Sensed pressure at the begin [Pa abs] and lag [s] of one of the four controls; the boiler itself lags nothing."""
    if which == AT_OPERATING_LIMIT:
        return state.sensed.operating_limit, state.acting.operating_limit_lag
    if which == AT_HIGH_LIMIT:
        return state.sensed.high_limit, state.acting.high_limit_lag
    if which == AT_HOLD:
        return state.sensed.low_fire_hold, state.acting.low_fire_hold_lag
    if which == PRESSURE:
        return state.contents.pressure, 0.0
    return state.sensed.firing_rate, state.acting.firing_rate_lag


@part
def signal(which: int, model: Model, state: State, course: Course, arc: Arc, share: float) -> float:
    """One signal at a share of the step [Pa abs, m3, 1, 1/s or J]."""
    vented, ambient = state.contents.is_vented, model.vessel.ambient
    if which <= AT_HOLD:
        start, lag = start_and_lag(which, state)
        return sensed_at(arc, vented, ambient, start, lag, share)
    if which == WATER:
        own = polynomial(share, arc.p0, arc.p1, arc.p2, arc.p3, arc.p4)
        return water_volume(model, vented, mass_at(arc, share), own)
    if which == FULLNESS:
        mass = mass_at(arc, share)
        coming = on_the_way_at(model, state.contents.on_the_way, arc.seconds, share, arc.f0, arc.f1, arc.f2)
        energy = polynomial(share, arc.e0, arc.e1, arc.e2, arc.e3, 0.0) - coming
        return energy - closed_energy(model, mass, ambient)
    start, lag = start_and_lag(AT_FIRING_RATE, state)
    sensed = sensed_at(arc, vented, ambient, start, lag, share)
    acting = state.acting
    band = acting.low_fire - acting.high_fire
    if which == GAP:
        position = course.position + course.position_slope * share * arc.seconds
        return course.chases * ((acting.low_fire - sensed) / band - position)
    rising = _turning(which, state, arc, ambient, share)
    return (1.0 + 2.0 * KEEPS_UP) / model.burner.stroke - abs(rising) / band


@part
def _turning(which: int, state: State, arc: Arc, ambient: float, share: float) -> float:
    """Rate of a sensed pressure [Pa/s]; nought where it turns."""
    start, lag = start_and_lag(which, state)
    vented = state.contents.is_vented
    if lag > 0.0:
        return (
            boiler_pressure(arc, vented, ambient, share) - sensed_at(arc, vented, ambient, start, lag, share)
            if share > 0.0
            else boiler_pressure(arc, vented, ambient, 0.0) - start
        ) / lag
    if vented:
        return 0.0
    return (arc.p1 + share * (2.0 * arc.p2 + share * (3.0 * arc.p3 + share * 4.0 * arc.p4))) / arc.seconds


@part
def watch(model: Model, state: State, course: Course, bounds: Floats) -> None:
    """Write the bounds that each signal may not leave, shape (SIGNALS, 2)."""
    contacts, vessel, feed, acting, broken = state.contacts, model.vessel, model.feed, state.acting, state.broken
    for which in range(SIGNALS):
        bounds[which, 0] = -inf
        bounds[which, 1] = inf
    if state.contents.is_vented:
        bounds[FULLNESS, 1] = 0.0
    else:
        for valve in range(model.valves.count):
            if contacts.lifted >> valve & 1:
                bounds[PRESSURE, 0] = max(bounds[PRESSURE, 0], model.valves.reseats[valve])
            else:
                bounds[PRESSURE, 1] = min(bounds[PRESSURE, 1], model.valves.lifts[valve])
        if vessel.lets_air_in:
            bounds[PRESSURE, 0] = max(bounds[PRESSURE, 0], vessel.ambient)
    if not broken.operating_limit_welded:
        if contacts.operating_limit_open:
            bounds[AT_OPERATING_LIMIT, 0] = acting.cut_in
        else:
            bounds[AT_OPERATING_LIMIT, 1] = acting.cut_out
    if not broken.high_limit_welded:
        if not contacts.high_limit_open:
            bounds[AT_HIGH_LIMIT, 1] = acting.trip
        elif not acting.trip_is_manual:
            bounds[AT_HIGH_LIMIT, 0] = acting.remakes
    if not broken.hold_bypassed:
        if contacts.holds:
            bounds[AT_HOLD, 1] = acting.lets_go
        else:
            bounds[AT_HOLD, 0] = acting.takes_hold
    _watch_firing_rate(model, state, course, bounds)
    if feed.kind == FEED_ON_OFF:
        if contacts.pump_runs:
            bounds[WATER, 1] = feed.high
        else:
            bounds[WATER, 0] = feed.low
    elif feed.kind == FEED_MODULATING:
        volume = water_volume(model, state.contents.is_vented, state.contents.mass, state.contents.pressure)
        if volume < feed.high:
            bounds[WATER, 1] = feed.low if volume < feed.low else feed.high
        if volume > feed.low:
            bounds[WATER, 0] = feed.high if volume > feed.high else feed.low
    # A boiler that is dry, or full to the top, ends the run.
    bounds[WATER, 0], bounds[WATER, 1] = max(bounds[WATER, 0], 0.0), min(bounds[WATER, 1], vessel.volume)
    if contacts.water_low:
        bounds[WATER, 1] = min(bounds[WATER, 1], feed.restored)
    else:
        bounds[WATER, 0] = max(bounds[WATER, 0], feed.cutoff)


@part
def _watch_firing_rate(model: Model, state: State, course: Course, bounds: Floats) -> None:
    region, action, acting = state.contacts.region, model.burner.rate_action, state.acting
    if action == RATE_NONE:
        return
    if action == RATE_TWO_POSITION:
        if region == control_logic.UNDER:
            bounds[AT_FIRING_RATE, 1] = acting.low_fire
        else:
            bounds[AT_FIRING_RATE, 0] = acting.high_fire
        return
    if not moves_with_pressure(model.burner):
        return
    if region != control_logic.OVER:
        bounds[AT_FIRING_RATE, 1] = acting.low_fire if region == control_logic.WITHIN else high_corner(model, state)
    if region != control_logic.UNDER:
        bounds[AT_FIRING_RATE, 0] = acting.low_fire if region == control_logic.OVER else high_corner(model, state)
    if course.chases != 0.0:
        bounds[GAP, 0] = 0.0
    if course.tracks and model.burner.stroke > 0.0:
        bounds[PACE, 0] = 0.0


@part
def first_crossing(model: Model, state: State, course: Course, arc: Arc, bounds: Floats) -> tuple[int, float]:
    """Which signal leaves its bounds first, and at which share of the step; ``NO_CROSSING`` and 1 when none does."""
    soonest, first = 1.0, NO_CROSSING
    least, most = _reach(arc, state.contents.is_vented, model.vessel.ambient)
    for which in range(SIGNALS):
        low, high = bounds[which, 0], bounds[which, 1]
        if isinf(low) and isinf(high):
            continue
        if which <= AT_HOLD:
            # What lags stays between where it was and where the pressure goes.
            start = start_and_lag(which, state)[0]
            if low < min(start, least) and max(start, most) < high:
                continue
        end = soonest
        value = signal(which, model, state, course, arc, end)
        if low <= value <= high:
            if which > AT_HOLD:
                continue
            end = _turn(which, state, arc, model.vessel.ambient, soonest)
            if end >= soonest:
                continue
            value = signal(which, model, state, course, arc, end)
            if low <= value <= high:
                continue
        bound = low if value < low else high
        found = _where(which, model, state, course, arc, end, bound)
        if found <= soonest:
            soonest, first = found, which
    return first, soonest


@part
def _reach(arc: Arc, is_vented: bool, ambient: float) -> tuple[float, float]:
    """Two pressures that the boiler does not leave during the step [Pa abs]."""
    if is_vented:
        return ambient, ambient
    falls = min(arc.p1, 0.0) + min(arc.p2, 0.0) + min(arc.p3, 0.0) + min(arc.p4, 0.0)
    rises = max(arc.p1, 0.0) + max(arc.p2, 0.0) + max(arc.p3, 0.0) + max(arc.p4, 0.0)
    return arc.p0 + falls, arc.p0 + rises


@part
def _turn(which: int, state: State, arc: Arc, ambient: float, end: float) -> float:
    """Share at which a sensed pressure turns before ``end``; ``end`` when it does not."""
    low, high = 0.0, end
    begins = _turning(which, state, arc, ambient, low)
    if begins * _turning(which, state, arc, ambient, high) >= 0.0:
        return end
    for _ in range(40):
        middle = 0.5 * (low + high)
        if begins * _turning(which, state, arc, ambient, middle) > 0.0:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


@part
def _where(which: int, model: Model, state: State, course: Course, arc: Arc, end: float, bound: float) -> float:
    """Share at which a signal that is beyond its bound at ``end`` passed it; by false position, halving when slow."""
    low, high = 0.0, end
    off_high = signal(which, model, state, course, arc, end) - bound
    off_low = signal(which, model, state, course, arc, 1e-9 * end) - bound
    if off_low * off_high > 0.0 or off_low == 0.0:
        # It stands on its bound already: look where it comes back last.
        return 0.0 if which != GAP else _last_return(which, model, state, course, arc, end, off_high)
    stuck = 0
    for turn in range(_TURNS):
        if abs(high - low) * arc.seconds < 1e-7:
            break
        # Every third look is half way: a signal that begins next to its bound would hold false position there.
        middle = 0.5 * (low + high) if turn % 3 == 2 else (low * off_high - high * off_low) / (off_high - off_low)
        off = signal(which, model, state, course, arc, middle) - bound
        if off == 0.0:
            return middle
        if (off > 0.0) == (off_high > 0.0):
            high, off_high = middle, off
            if stuck == 1:
                off_low *= 0.5
            stuck = 1
        else:
            low, off_low = middle, off
            if stuck == -1:
                off_high *= 0.5
            stuck = -1
    return high


@part
def _last_return(which: int, model: Model, state: State, course: Course, arc: Arc, end: float, off_end: float) -> float:
    """Share from which a chased gap that opened at the begin is closed for good.

    A gap that never opened to be seen is taken for closed a moment later, so that the loop gets on.
    """
    low = 0.0
    for place in range(1, 16):
        share = end * place / 16.0
        if signal(which, model, state, course, arc, share) * off_end < 0.0:
            low = share
    share = end / 16.0
    while low == 0.0 and share * arc.seconds > MOMENT:
        share *= 0.5
        if signal(which, model, state, course, arc, share) * off_end < 0.0:
            low = share
    if low == 0.0:
        return min(end, MOMENT / arc.seconds)
    high = end
    for _ in range(50):
        middle = 0.5 * (low + high)
        if signal(which, model, state, course, arc, middle) * off_end < 0.0:
            low = middle
        else:
            high = middle
    return high


@part
def turning_share(state: State, arc: Arc, ambient: float) -> float:
    """Share at which the boiler's pressure turns within the step; 1 when it does not."""
    return _turn(PRESSURE, state, arc, ambient, 1.0)

"""What holds during the next step: flame, drive, purge air, load, feed and relief, and until when."""

from math import inf, nan
from typing import Final

from evenfire.physics import control_logic
from evenfire.physics.compiled import part
from evenfire.physics.motion.exchange import Course
from evenfire.physics.motion.model import (
    DRIVE_BACK,
    DRIVE_OPEN,
    FEED_GIVEN,
    FLAME,
    MAIN,
    OFF,
    POSTPURGE,
    PREPURGE,
    RATE_NONE,
    RATE_PROPORTIONAL,
    RELEASED,
    Burner,
    Inputs,
    Model,
)
from evenfire.physics.motion.profiles import count_until, piece_at
from evenfire.physics.motion.state import State

SAME_POSITION: Final = 1e-9
"""Drive positions nearer than this are one [1]."""
KEEPS_UP: Final = 1e-3
"""A demand that moves faster than the drive by this share is still tracked, one by twice as much no longer: between
them nothing changes, so that a demand just at the pace of the drive does not rattle [1]."""
LEAST_CAP: Final = 1e-6
"""A lower cap leaves the drive at low fire [1]."""

rate_demand = part(control_logic.rate_demand)
position_wanted = part(control_logic.position_wanted)


@part
def is_firing(phase: int) -> bool:
    """Whether fuel burns in this phase."""
    return FLAME <= phase <= RELEASED


@part
def fan_runs(phase: int) -> bool:
    """Whether air is moved without fire in this phase."""
    return DRIVE_OPEN <= phase <= MAIN or phase == POSTPURGE


@part
def moves_with_pressure(burner: Burner) -> bool:
    """Whether a proportional control has any room under a hand's cap."""
    return burner.rate_action == RATE_PROPORTIONAL and burner.cap > LEAST_CAP


@part
def high_corner(model: Model, state: State) -> float:
    """Sensed pressure below which the demand stands still [Pa abs]: the high-fire point, or where a cap is met."""
    return state.acting.low_fire - model.burner.cap * (state.acting.low_fire - state.acting.high_fire)


@part
def wanted_position(model: Model, state: State) -> float:
    """Where a released drive is wanted [1]."""
    burner, contacts = model.burner, state.contacts
    rate = 1.0
    if burner.rate_action != RATE_NONE:
        rate = rate_demand(contacts.region, state.sensed.firing_rate, state.acting.high_fire, state.acting.low_fire)
    return position_wanted(contacts.holds, rate, burner.cap)


@part
def follows_line(model: Model, state: State) -> bool:
    """Whether the drive is after a demand that moves with pressure."""
    return (
        state.flame.phase == RELEASED
        and moves_with_pressure(model.burner)
        and state.contacts.region == control_logic.WITHIN
        and not state.contacts.holds
        and not state.broken.drive_runs_to_full
        and not is_stuck(state)
    )


@part
def is_stuck(state: State) -> bool:
    """Whether the drive cannot move: stuck, without power, or its damper stuck where the purge left it."""
    broken, phase = state.broken, state.flame.phase
    after_purge = PREPURGE <= phase <= RELEASED
    stuck = broken.drive_stuck and not broken.drive_runs_to_full
    return stuck or broken.power_off or (broken.damper_stuck and after_purge)


@part
def target_of(model: Model, state: State) -> float:
    """Where the drive is bound [1]."""
    phase = state.flame.phase
    if is_stuck(state):
        return state.flame.position
    if state.broken.drive_runs_to_full:
        return 1.0
    if phase == RELEASED:
        return wanted_position(model, state)
    if model.burner.purges_open and DRIVE_OPEN <= phase <= PREPURGE:
        return 1.0
    return 0.0


@part
def speed_of(burner: Burner, state: State, gap: float) -> float:
    """How fast the drive closes a gap, with its sign [1/s]; the purge drives have their own times."""
    phase, left = state.flame.phase, state.flame.until - state.time
    if phase in (DRIVE_OPEN, DRIVE_BACK) and left > 0.0:
        return gap / left
    speed = 1.0 / burner.stroke if burner.stroke > 0.0 else inf
    return speed if gap >= 0.0 else -speed


@part
def flame_share(burner: Burner, state: State) -> tuple[float, float]:
    """Share of full fire and its slope [1/s], the drive apart: the flame grows to low fire, then follows the drive."""
    phase = state.flame.phase
    if not is_firing(phase):
        return 0.0, 0.0
    fire = burner.lowest + (1.0 - burner.lowest) * state.flame.position
    if phase > FLAME:
        return fire, 0.0
    lasts, left = burner.durations[FLAME], state.flame.until - state.time
    return fire * (1.0 - left / lasts), fire / lasts


@part
def plan(model: Model, inputs: Inputs, state: State, course: Course) -> None:
    """Write the course of the next step, but for whether the drive tracks; that takes the pressure rate."""
    burner, phase, now = model.burner, state.flame.phase, state.time
    course.draw, course.draw_slope, ends = piece_at(inputs.draw, now)
    course.heat, course.heat_slope, heat_ends = piece_at(inputs.heat, now)
    ends = min(ends, heat_ends)
    course.feed, course.feed_slope = 0.0, 0.0
    if model.feed.kind == FEED_GIVEN:
        course.feed, course.feed_slope, feed_ends = piece_at(inputs.given_feed, now)
        ends = min(ends, feed_ends)
    elif state.contacts.pump_runs:
        course.feed = model.feed.capacity
    course.feed_fails = state.broken.feed_stopped or state.broken.power_off
    if state.broken.load_gone:
        course.draw, course.draw_slope = 0.0, 0.0

    ends = min(ends, _plan_drive(model, state, course))
    course.tracks = False
    course.flame, course.flame_slope = flame_share(burner, state)
    if phase > FLAME and is_firing(phase):
        course.flame_slope = (1.0 - burner.lowest) * course.position_slope
    course.purge, course.purge_slope = 0.0, 0.0
    if fan_runs(phase):
        air = burner.lowest + (1.0 - burner.lowest) * state.flame.position
        course.purge = burner.purge_conductance * air
        course.purge_slope = burner.purge_conductance * (1.0 - burner.lowest) * course.position_slope
    course.relief = 0.0
    for valve in range(model.valves.count):
        if state.contacts.lifted >> valve & 1:
            course.relief += model.valves.conductances[valve]
    if state.flame.until > now:
        ends = min(ends, state.flame.until)
    if phase == OFF and state.flame.off_since + burner.minimum_off > now:
        ends = min(ends, state.flame.off_since + burner.minimum_off)
    course.ends = min(ends, next_disturbance(inputs, now))


@part
def _plan_drive(model: Model, state: State, course: Course) -> float:
    """Write how the drive moves, and return when it arrives [s]."""
    course.position, course.position_slope = state.flame.position, 0.0
    course.chases, course.arrives_at = 0.0, nan
    gap = target_of(model, state) - state.flame.position
    if follows_line(model, state):
        course.chases = 1.0 if gap >= 0.0 else -1.0
        course.position_slope = speed_of(model.burner, state, gap)
    elif abs(gap) > SAME_POSITION:
        course.position_slope = speed_of(model.burner, state, gap)
        course.arrives_at = state.flame.position + gap
        return state.time + gap / course.position_slope
    return inf


@part
def next_disturbance(inputs: Inputs, now: float) -> float:
    """When the next fault begins or ends, or a hand presses reset [s]."""
    soonest = inf
    for row in range(len(inputs.faults)):
        for column in (1, 2):
            if now < inputs.faults[row, column] < soonest:
                soonest = inputs.faults[row, column]
    place = count_until(inputs.resets, now)
    if place < len(inputs.resets):
        soonest = min(soonest, inputs.resets[place])
    return soonest


@part
def track_or_chase(model: Model, state: State, course: Course, rising: float) -> None:
    """A drive that stands on its moving demand tracks it while it is fast enough; else it chases at its own speed."""
    burner, acting, sensed = model.burner, state.acting, state.sensed.firing_rate
    band = acting.low_fire - acting.high_fire
    if burner.stroke > 0.0 and abs((acting.low_fire - sensed) / band - state.flame.position) > SAME_POSITION:
        return
    pace = rising
    if acting.firing_rate_lag > 0.0:
        pressure = model.vessel.ambient if state.contents.is_vented else state.contents.pressure
        pace = (pressure - sensed) / acting.firing_rate_lag
    course.tracks = abs(pace) * burner.stroke <= (1.0 + KEEPS_UP) * band
    course.chases, course.position_slope = 0.0, 0.0
    if not course.tracks:
        course.chases = -1.0 if pace > 0.0 else 1.0
        course.position_slope = course.chases / burner.stroke
    course.flame_slope = (1.0 - burner.lowest) * course.position_slope

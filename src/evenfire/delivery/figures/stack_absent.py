"""What a pressure stack cannot show because nobody surveyed it: silence is never "all right"."""

from collections.abc import Iterator

from evenfire.delivery.figures.stack_levels import Absent, AbsentKey, Column, column_of
from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.plant.burner import Firing
from evenfire.plant.controls import Action, Role
from evenfire.plant.known import Missing

_LEGS = {
    Role.HIGH_LIMIT: AbsentKey.WATER_LEG_OF_HIGH_LIMIT,
    Role.OPERATING_LIMIT: AbsentKey.WATER_LEG_OF_OPERATING_LIMIT,
    Role.FIRING_RATE: AbsentKey.WATER_LEG_OF_FIRING_RATE,
    Role.LOW_FIRE_HOLD: AbsentKey.WATER_LEG_OF_HOLD,
}


def absent_of(cases: tuple[Case, ...]) -> tuple[Absent, ...]:
    """Everything that the figure of these cases would show if it were known; the plant's own first."""
    plant = [Absent(key=key, column=Column.PLANT) for key in _of_plant(cases[0])]
    sets = [Absent(key=key, column=column_of(case.which)) for case in cases for key in _of_set(case)]
    return (*plant, *sets)


def _of_plant(case: Case) -> Iterator[AbsentKey]:
    facts, boiler = case.facts, case.boiler
    if not boiler.safety_valves:
        yield AbsentKey.SAFETY_VALVE
    if any(valve.blowdown is None for valve in boiler.safety_valves):
        yield AbsentKey.BLOWDOWN
    if isinstance(facts.rated_max, Missing):
        yield AbsentKey.RATED_MAX
    if isinstance(facts.wish, Missing):
        yield AbsentKey.WISH
    if isinstance(facts.need, Missing):
        yield AbsentKey.NEED if case.load.need is None else AbsentKey.LINE_DROP
    if not boiler.burners:
        yield AbsentKey.BURNER
    if any(burner.turndown is None and burner.firing is not Firing.ON_OFF for burner in boiler.burners):
        yield AbsentKey.TURNDOWN
    control = boiler.controls.firing_rate
    if control is not None and control.action is None and follows_the_load(boiler):
        yield AbsentKey.FIRING_RATE_ACTION
    for role, key in _LEGS.items():
        control = boiler.controls.of(role)
        if control is not None and control.water_leg is None:
            yield key


def _of_set(case: Case) -> Iterator[AbsentKey]:
    stack, off = case.stack, case.facts.off
    wanted = [
        (AbsentKey.HIGH_LIMIT, stack.trip, AbsentKey.TOLERANCE_OF_HIGH_LIMIT, off.high_limit),
        (AbsentKey.CUT_OUT, stack.cut_out, AbsentKey.TOLERANCE_OF_OPERATING_LIMIT, off.operating_limit),
        (AbsentKey.CUT_IN, stack.cut_in, AbsentKey.TOLERANCE_OF_OPERATING_LIMIT, off.operating_limit),
    ]
    if _has_a_band(case):
        rate = AbsentKey.TOLERANCE_OF_FIRING_RATE
        wanted.append((AbsentKey.LOW_FIRE, stack.low_fire, rate, off.firing_rate))
        wanted.append((AbsentKey.HIGH_FIRE, stack.high_fire, rate, off.firing_rate))
    if follows_the_load(case.boiler) and case.boiler.controls.low_fire_hold is not None:
        hold = AbsentKey.TOLERANCE_OF_HOLD
        wanted.append((AbsentKey.LOW_FIRE_HOLD, stack.hold, hold, off.low_fire_hold))
    keys: dict[AbsentKey, None] = {}
    for point_key, point, tolerance_key, tolerance in wanted:
        if isinstance(point, Missing):
            keys[point_key] = None
        elif isinstance(tolerance, Missing):
            keys[tolerance_key] = None
    yield from keys


def _has_a_band(case: Case) -> bool:
    """Whether a band is expected on a dial: not with on-off burners, nor where a controller computes it for itself."""
    control = case.boiler.controls.firing_rate
    computed = control is not None and control.action in {Action.PID, Action.MASTER}
    return follows_the_load(case.boiler) and not computed

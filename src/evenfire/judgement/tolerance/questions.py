"""What is counted: five ways in which a boiler leaves its order, each as a room that is negative when it does."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum
from types import MappingProxyType
from typing import Final

import numpy as np

from evenfire.errors import ImpossibleValue, OutOfRange
from evenfire.judgement import margins
from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.motion.modelling import Shifts
from evenfire.judgement.stack import Facts, Off, Stack
from evenfire.judgement.tolerance.motion import Motion
from evenfire.judgement.tolerance.rig import Rig
from evenfire.judgement.tolerance.rows import Errors
from evenfire.judgement.tolerance.spread import Spread
from evenfire.physics.motion.records import Floats
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing, known
from evenfire.si import PA_PER_PSI

ASSUMED_DISAGREEMENT: Final = 0.25
"""By how much of itself a motion may be off once the controls stand elsewhere than where it was seen [1].

A quarter is several times what storage changes over a tolerance. Draws within that of their limit are run; how far the
runs were from what had been reckoned is told, so that a band too narrow shows.
"""
ASSUMED_LEAST_BAND: Final = 0.1 * PA_PER_PSI
"""[Pa]"""


class Question(Enum):
    """What may happen in a year."""

    NUISANCE_TRIP = "nuisance trip"
    """Cut-out and the run-on above it reach the high limit"""
    STOP_BEFORE_LOW_FIRE = "stop before low fire"
    """The design drop reaches the cut-out before the burner is at low fire"""
    INVERTED_ORDER = "inverted order"
    """The operating limit acts above the high limit"""
    LIFT_IN_NORMAL_WORK = "lift in normal work"
    """Run-on above whichever limit stops first reaches a safety valve"""
    LIFT_AFTER_HIGH_LIMIT = "lift after high limit"
    """If ever the high limit has to stop full fire with no load, run-on above it reaches a safety valve"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What every draw of a case is reckoned with."""

    case: Case
    spread: Spread
    motion: Motion

    @property
    def facts(self) -> Facts:
        """The case's, with no tolerance: a draw has its own errors."""
        nothing = Off(operating_limit=0.0, high_limit=0.0, firing_rate=0.0, low_fire_hold=0.0)
        return replace(self.case.facts, off=nothing)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoned:
    """One question for every draw."""

    room: Floats
    """[Pa], negative where it happens; shape (draws,)"""
    band: Floats | None
    """Where the room is less than this from nought, closed form and loop may disagree [Pa]; none without motion"""


def questions_on(case: Case) -> tuple[Question, ...]:
    """The questions that a boiler poses: without a line of firing there is no low fire to come before."""
    follows = follows_the_load(case.boiler)
    return tuple(each for each in Question if follows or each is not Question.STOP_BEFORE_LOW_FIRE)


def require_known(ground: Ground, question: Question) -> None:
    """Raise :class:`~evenfire.plant.known.NotKnownError` with what a question lacks."""
    nothing = np.zeros(1)
    lift = np.array([min((valve.lift for valve in ground.spread.valves), default=np.inf)])
    at_rest = Errors(operating_limit=nothing, high_limit=nothing, firing_rate=nothing, lift=lift)
    spreads = [ground.spread.of(role) for role in _needs(ground, question)]
    missing: dict[str, None] = {key: None for each in spreads if isinstance(each, Missing) for key in each.keys}
    if question in _LIFTS and not ground.spread.valves:
        missing["safety_valve.set"] = None
    known(Missing(tuple(missing)) if missing else 0.0)
    reckon(ground, question, at_rest)


def _needs(ground: Ground, question: Question) -> tuple[Role, ...]:
    """Controls whose errors decide a question: the fire at cut-out hangs on the firing rate's too."""
    needs = _NEEDS[question]
    by_fire = question in {Question.NUISANCE_TRIP, Question.LIFT_IN_NORMAL_WORK}
    on_line = any(each.low_share < 1.0 for each in ground.motion.burners)
    return (*needs, _RATE) if by_fire and on_line and ground.motion.rigs else needs


def reckon(ground: Ground, question: Question, errors: Errors) -> Reckoned:
    """Rooms of one question by arithmetic on the motion that was seen."""
    return _RECKONED[question](ground, _stack(ground, errors), errors)


def run(ground: Ground, question: Question, shifts: Shifts, lift: float) -> float:
    """Room of one question by the loop, the worst of all burners [Pa].

    What cannot be run counts as if it happened: minus infinity.

    Parameters
    ----------
    shifts
        How much higher than set each control acts.
    lift
        Lowest pressure at which a safety valve lifts [Pa gauge].
    """
    try:
        return min(_run_of(ground.case, rig, question, shifts, lift) for rig in ground.motion.rigs)
    except (OutOfRange, ImpossibleValue):
        return -np.inf


def _run_of(case: Case, rig: Rig, question: Question, shifts: Shifts, lift: float) -> float:
    match question:
        case Question.NUISANCE_TRIP:
            return known(case.stack.trip)[0] + shifts.high_limit - rig.idle.peak(shifts)
        case Question.STOP_BEFORE_LOW_FIRE:
            return known(case.stack.cut_out)[0] + shifts.operating_limit - known(rig.drop)[0].peak(shifts)
        case Question.INVERTED_ORDER:
            cut_out, trip = known(case.stack.cut_out, case.stack.trip)
            return trip + shifts.high_limit - cut_out - shifts.operating_limit
        case Question.LIFT_IN_NORMAL_WORK:
            return lift - rig.idle.peak(shifts)
        case Question.LIFT_AFTER_HIGH_LIMIT:
            return lift - rig.let_go.peak(shifts)


def _stack(ground: Ground, errors: Errors) -> Stack[Floats]:
    """The stack of every draw."""
    points, nothing = ground.case.stack, np.zeros_like(errors.operating_limit)

    def moved(point: float | Missing, by: Floats) -> Floats | Missing:
        return point if isinstance(point, Missing) else point + by

    cut_out = moved(points.cut_out, errors.operating_limit)
    high_fire, low_fire = moved(points.high_fire, errors.firing_rate), moved(points.low_fire, errors.firing_rate)
    full = [each.from_full_fire for each in ground.motion.burners]
    over = [each.drop_overshoot for each in ground.motion.burners]
    return Stack(
        cut_out=cut_out,
        cut_in=moved(points.cut_in, errors.operating_limit),
        high_fire=high_fire,
        low_fire=low_fire,
        trip=moved(points.trip, errors.high_limit),
        hold=Missing(("controls.low_fire_hold",)),
        run_on=_run_on(ground.motion, cut_out, high_fire, low_fire),
        full_fire_run_on=_greatest(full, nothing),
        undershoot=Missing(("undershoot",)),
        drop_overshoot=_greatest(over, nothing),
        load_fall=Missing(("load_fall",)),
    )


def _greatest(values: list[float | Missing], like: Floats) -> Floats | Missing:
    unknown = [each for each in values if isinstance(each, Missing)]
    return unknown[0] if unknown else like + max(each for each in values if not isinstance(each, Missing))


def _run_on(
    motion: Motion, cut_out: Floats | Missing, high_fire: Floats | Missing, low_fire: Floats | Missing
) -> Floats | Missing:
    if isinstance(cut_out, Missing):
        return cut_out
    rises = []
    for burner in motion.burners:
        if burner.low_share >= 1.0 or not motion.rigs:
            rises.append(np.full_like(cut_out, burner.from_low_fire))
        elif isinstance(burner.from_full_fire, Missing):
            return burner.from_full_fire
        elif isinstance(high_fire, Missing) or isinstance(low_fire, Missing):
            return high_fire if isinstance(high_fire, Missing) else low_fire
        else:
            rises.append(burner.run_on_at(burner.share_at(cut_out, high_fire, low_fire)))
    highest: Floats = np.max(np.array(rises), axis=0)
    return highest


def _band(motion: Floats) -> Floats:
    wide: Floats = ASSUMED_LEAST_BAND + ASSUMED_DISAGREEMENT * motion
    return wide


def _band_at_cut_out(ground: Ground, stack: Stack[Floats]) -> Floats:
    """Where low fire may not be reached before the cut-out, the fire there is anything up to full."""
    run_on = known(stack.run_on)[0]
    band = _band(run_on)
    if not ground.motion.rigs or all(each.low_share >= 1.0 for each in ground.motion.burners):
        return band
    cut_out, low_fire, full = known(stack.cut_out, stack.low_fire, stack.full_fire_run_on)
    over = 0.0 if isinstance(stack.drop_overshoot, Missing) else stack.drop_overshoot
    unsure = cut_out < low_fire + full + over
    return np.where(unsure, np.maximum(band, _band(full) + full - run_on), band)


def _nuisance_trip(ground: Ground, stack: Stack[Floats], errors: Errors) -> Reckoned:  # noqa: ARG001
    room = margins.room(margins.CUT_OUT_CLEAR_OF_HIGH_LIMIT, stack, ground.facts)
    return Reckoned(room=np.asarray(room), band=_band_at_cut_out(ground, stack))


def _stop_before_low_fire(ground: Ground, stack: Stack[Floats], errors: Errors) -> Reckoned:  # noqa: ARG001
    room = margins.room(margins.LOW_FIRE_BEFORE_CUT_OUT, stack, ground.facts)
    return Reckoned(room=np.asarray(room), band=_band(known(stack.drop_overshoot)[0]))


def _inverted_order(ground: Ground, stack: Stack[Floats], errors: Errors) -> Reckoned:  # noqa: ARG001
    room = margins.room(margins.CUT_OUT_BELOW_HIGH_LIMIT, stack, ground.facts)
    return Reckoned(room=np.asarray(room), band=None)


def _lift_in_normal_work(ground: Ground, stack: Stack[Floats], errors: Errors) -> Reckoned:
    cut_out, trip, run_on = known(stack.cut_out, stack.trip, stack.run_on)
    room = _lift(errors) - (np.minimum(cut_out, trip) + run_on)
    return Reckoned(room=room, band=_band_at_cut_out(ground, stack))


def _lift_after_high_limit(ground: Ground, stack: Stack[Floats], errors: Errors) -> Reckoned:
    room = _lift(errors) - np.asarray(margins.highest_after_trip(stack, ground.facts))
    return Reckoned(room=room, band=_band(known(stack.full_fire_run_on)[0]))


def _lift(errors: Errors) -> Floats:
    if errors.lift is None:
        return known(Missing(("safety_valve.set",)))[0]
    return errors.lift


_LIFTS: Final = (Question.LIFT_IN_NORMAL_WORK, Question.LIFT_AFTER_HIGH_LIMIT)
_OPERATING, _HIGH, _RATE = Role.OPERATING_LIMIT, Role.HIGH_LIMIT, Role.FIRING_RATE
_NEEDS: Final = MappingProxyType(
    {
        Question.NUISANCE_TRIP: (_OPERATING, _HIGH),
        Question.STOP_BEFORE_LOW_FIRE: (_OPERATING, _RATE),
        Question.INVERTED_ORDER: (_OPERATING, _HIGH),
        Question.LIFT_IN_NORMAL_WORK: (_OPERATING, _HIGH),
        Question.LIFT_AFTER_HIGH_LIMIT: (_HIGH,),
    }
)
"""Controls whose errors decide a question."""
_RECKONED: Final[MappingProxyType[Question, Callable[[Ground, Stack[Floats], Errors], Reckoned]]] = MappingProxyType(
    {
        Question.NUISANCE_TRIP: _nuisance_trip,
        Question.STOP_BEFORE_LOW_FIRE: _stop_before_low_fire,
        Question.INVERTED_ORDER: _inverted_order,
        Question.LIFT_IN_NORMAL_WORK: _lift_in_normal_work,
        Question.LIFT_AFTER_HIGH_LIMIT: _lift_after_high_limit,
    }
)

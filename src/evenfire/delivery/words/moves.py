"""Wording of the moves: what is done, what the burner may do, what is watched and seen, and why it comes here."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, assert_never

from evenfire.delivery.units import Rounding
from evenfire.delivery.words.cautions import CAUTIONS
from evenfire.delivery.words.demands import DEMANDS
from evenfire.delivery.words.entry import Show
from evenfire.delivery.words.names import DIALS, PARTS, name_of_key
from evenfire.delivery.words.saying import say
from evenfire.judgement.moves.result import (
    CUT_OUT_ABOVE_BOTH_ENDS,
    BurnerState,
    Closing,
    ClosingStep,
    Dial,
    Direction,
    Move,
    Moves,
    Obstacle,
    Point,
    PointMove,
    Reason,
    ReasonKind,
    Swept,
    Why,
)
from evenfire.judgement.outcome import PART_OF_ROLE
from evenfire.plant.controls import Role
from evenfire.si import Dimension, Quantity

POINTS: Final = {
    Point.TRIP: "trip",
    Point.CUT_OUT: "cut-out",
    Point.CUT_IN: "cut-in",
    Point.HIGH_FIRE: "full fire up to",
    Point.LOW_FIRE: "low fire from",
    Point.HOLD: "release",
}
NOT_ACROSS: Final = "Never turn a dial across the pressure on the gauge while the burner fires."
NOTHING_TO_TURN: Final = "No dial has to be turned."
NO_MOVES: Final = "No moves are given, and no dial is to be turned to these settings."
LOCK_OUT: Final = "BURNER OFF AND LOCKED OUT before any dial is turned."
_DEMANDS: Final = {**DEMANDS, CUT_OUT_ABOVE_BOTH_ENDS: "cut-out no higher than as found or as proposed"}


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidMove:
    """What is told of one move; each part is one or more sentences, or empty."""

    do: str
    points: str
    burner: str
    watch: str
    see: str
    why: str


def say_move(move: Move, show: Show) -> SaidMove:
    """Everything about one move."""
    return SaidMove(
        do=_do(move, show),
        points=_points(move.points, show),
        burner=f"{_while_turned(move, show)}{_afterwards(move)}.",
        watch=_watch(move),
        see=_see(move, show),
        why=_reason(move.reason),
    )


def say_obstacle(obstacle: Obstacle, show: Show) -> str:
    """Why the burner is locked out first."""
    demands = "; ".join(_DEMANDS[code] for code in obstacle.codes if code in _DEMANDS)
    keys = "; ".join(name_of_key(key) for key in obstacle.missing)
    match obstacle.why:
        case Why.STOP_AS_FOUND:
            return f"Not kept as found, and never relaxed: {demands}."
        case Why.STOP_BESIDE_THE_DIALS:
            said = " ".join(say(finding, show).what for finding in obstacle.findings)
            return f"No dial cures this, and the lock stays on until it is put right: {said}"
        case Why.NO_SAFE_ORDER:
            return f"In no order of these moves is all of this kept on the way: {demands}."
        case Why.UNPROVED_ON_THE_WAY:
            return (
                "A control whose dial was touched is only as good as its scale until it is proved, and until then "
                f"this is not kept: {demands}."
            )
        case Why.NOT_JUDGED:
            return f"Not all that is never relaxed could be judged on the way. Missing: {keys}."
        case Why.READING_MISSING:
            return f"Nobody read as found: {keys}. So nothing on the way could be judged."
        case Why.GOAL_BREAKS:
            return f"These settings do not keep what is never relaxed: {demands}."
        case Why.GOAL_NOT_JUDGED:
            return f"Whether these settings are safe could not be judged. Missing: {keys}."
        case _:
            assert_never(obstacle.why)


def say_release(moves: Moves) -> str:
    """When a burner that is locked out first may fire again."""
    if any(each.why is Why.STOP_BESIDE_THE_DIALS for each in moves.obstacles):
        return "The lock stays on through every move, and until that is put right."
    free = next((n for n, move in enumerate(moves.steps, 1) if move.burner_after is not BurnerState.LOCKED_OUT), None)
    if free is not None:
        return f"The lock may come off after move {free}."
    low = _low(moves.has_low_fire)
    return f"The lock stays on through every move. The next fire is that of the proofs at the end{low}."


def say_closing(closing: Closing, show: Show) -> str:
    """One step after the last dial."""
    match closing.step:
        case ClosingStep.PROVE_HIGH_LIMIT:
            return (
                f"{_prove(closing, show)} Set the operating limit up for it and bridge nothing: write that down as a "
                "temporary change, who and why. Somebody stays at the stop."
            )
        case ClosingStep.PUT_OPERATING_LIMIT_BACK:
            return f"Put the operating limit back: {_acts(closing, show)}. Close that temporary change."
        case ClosingStep.PROVE_OPERATING_LIMIT:
            return _prove(closing, show)
        case ClosingStep.PROVE_CONTROL:
            return _see_in_automatic(closing, show)
        case ClosingStep.SEE_THREE_CYCLES:
            return f"See three full cycles: {_acts(closing, show)}, and the high limit stays quiet."
        case ClosingStep.SWITCHES_TO_AUTOMATIC:
            return "All switches back to automatic; nothing is left in manual."
        case ClosingStep.CLOSE_TEMPORARY_CHANGES:
            return "Every temporary change is closed, every lock and tag is off, every reading is written down as left."
        case _:
            assert_never(closing.step)


def cautions_for(moves: Moves) -> tuple[str, ...]:
    """Every caution; the one on mercury only where some control may hold it."""
    return tuple(line for line in CAUTIONS if moves.mercury or "mercury" not in line)


def moves_in_words(moves: Moves, show: Show) -> tuple[tuple[int, str], ...]:
    """Each thing to be done and ticked, in order: its number and all that is told of it while it is done.

    The numbers are those of the checklist: the lock, where there is one, is 0.
    """
    told: list[tuple[int, str]] = []
    if moves.is_locked_out_first:
        told.append(
            (0, " ".join((LOCK_OUT, *(say_obstacle(each, show) for each in moves.obstacles), say_release(moves))))
        )
    for number, move in enumerate(moves.steps, 1):
        said = say_move(move, show)
        parts = (
            said.do,
            said.points,
            f"Burner: {said.burner}",
            f"Watch: {said.watch}" if said.watch else "",
            f"Before the next: {said.see}" if said.see else "",
        )
        told.append((number, " ".join(part for part in parts if part)))
    told += [(number, say_closing(each, show)) for number, each in enumerate(moves.closing, len(moves.steps) + 1)]
    return tuple(told)


def name_of_dial(dial: Dial) -> str:
    """A dial as the trade calls it; a hold or a high limit with a differential is no usual thing, but may be."""
    named = DIALS.get((dial.role, dial.turn))
    return named or f"{PARTS[PART_OF_ROLE[dial.role]]} {'set point' if dial.turn == 'main' else 'differential'}"


def _do(move: Move, show: Show) -> str:
    is_main = move.dial.turn == "main"
    verb = {
        Direction.UP: "up" if is_main else "wider",
        Direction.DOWN: "down" if is_main else "narrower",
        Direction.UNKNOWN: "read it, write it down, then",
    }[move.direction]
    dimension = Dimension.GAUGE_PRESSURE if is_main else Dimension.PRESSURE_DIFFERENCE
    start = "" if move.from_ is None else f" from {show(Quantity(move.from_, dimension))}"
    about = "about " if move.to_be_proved else ""
    name = name_of_dial(move.dial)
    return f"{name[0].upper()}{name[1:]}: {verb}{start} to {about}{show(Quantity(move.to, dimension))}."


def _points(points: Sequence[PointMove], show: Show) -> str:
    told = ", ".join(_point(point, show) for point in points)
    return f"{told[0].upper()}{told[1:]}." if told else ""


def _point(point: PointMove, show: Show) -> str:
    after = "not known" if point.after is None else show(Quantity(point.after, Dimension.GAUGE_PRESSURE))
    if point.before is None:
        return f"{POINTS[point.point]} {after}"
    return f"{POINTS[point.point]} {after} (was {show(Quantity(point.before, Dimension.GAUGE_PRESSURE))})"


def _while_turned(move: Move, show: Show) -> str:
    match move.burner:
        case BurnerState.MAY_FIRE:
            return f"May fire while you turn{_unless(move.swept, show)}"
        case BurnerState.LOW_FIRE_BY_HAND:
            return f"Low fire by hand while you turn{_unless(move.swept, show)}"
        case BurnerState.OFF_FOR_THE_TURN:
            return "Switch it off, then turn"
        case BurnerState.LOCKED_OUT:
            return "Off and locked out"
        case _:
            assert_never(move.burner)


def _unless(swept: Swept | None, show: Show) -> str:
    if swept is None:
        return ""
    low = show(Quantity(swept.lowest, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN)
    high = show(Quantity(swept.highest, Dimension.GAUGE_PRESSURE), rounding=Rounding.UP)
    return f", but not with the gauge anywhere from {low} to {high}"


def _afterwards(move: Move) -> str:
    """What becomes of the burner when the dial stands, where that is anything new."""
    if move.burner is move.burner_after:
        return ""
    freed = ". The lock may come off after this move" if move.burner is BurnerState.LOCKED_OUT else ""
    match move.burner_after:
        case BurnerState.MAY_FIRE | BurnerState.OFF_FOR_THE_TURN:
            switched = {
                BurnerState.OFF_FOR_THE_TURN: ". Switch it on when the dial stands",
                BurnerState.LOW_FIRE_BY_HAND: ". Then no longer by hand",
            }
            return freed or switched.get(move.burner, "")
        case BurnerState.LOW_FIRE_BY_HAND:
            return f"{freed}. Then low fire by hand until the next step"
        case BurnerState.LOCKED_OUT:
            return ". Then lock it out, until a later move frees it"
        case _:
            assert_never(move.burner_after)


def _watch(move: Move) -> str:
    match move.burner:
        case BurnerState.LOCKED_OUT:
            return "lock and tag stay on; the gauge only falls."
        case BurnerState.OFF_FOR_THE_TURN:
            return "the burner stays off until your hand has left the dial; the gauge."
        case BurnerState.MAY_FIRE | BurnerState.LOW_FIRE_BY_HAND:
            return "flame and gauge; if the fire changes or goes out, stop turning and find out why."
        case _:
            assert_never(move.burner)


def _see(move: Move, show: Show) -> str:
    read = "dial read twice and written down"
    if move.burner_after is BurnerState.LOCKED_OUT:
        return f"{read}."
    match move.dial.role:
        case Role.HIGH_LIMIT:
            return f"{read}; the high limit has not tripped."
        case Role.OPERATING_LIMIT:
            return f"{read}; the burner runs, or waits for cut-in.{_by_hand(move, show)}"
        case Role.FIRING_RATE:
            return f"{read}; the fire settles and does not hunt."
        case Role.LOW_FIRE_HOLD:
            return f"{read}; at working pressure the fire is not held low."
        case _:
            assert_never(move.dial.role)


def _by_hand(move: Move, show: Show) -> str:
    if move.stop_by_hand is None:
        return ""
    stop = show(Quantity(move.stop_by_hand, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN)
    return f" Still firing at {stop} on the gauge: stop it by hand and lock it out."


def _reason(reason: Reason) -> str:
    demands = "; ".join(_DEMANDS[code] for code in reason.codes)
    match reason.kind:
        case ReasonKind.CURES:
            return f"it puts right what is never relaxed: {demands}."
        case ReasonKind.CURES_ONCE_PROVED:
            return f"it puts right, once proved, what is never relaxed: {demands}."
        case ReasonKind.MENDS:
            return f"it puts right again, as soon as can be: {demands}."
        case ReasonKind.LESS_SPOILT:
            spoilt = f": {demands}" if demands else ""
            return f"with the {_other(reason)} first more would be out of order on the way{spoilt}."
        case ReasonKind.BEFORE:
            return f"the {_other(reason)} must wait for it: {demands}."
        case ReasonKind.AFTER:
            return f"it had to wait for the {_other(reason)}: {demands}."
        case ReasonKind.LIMITS_FIRST:
            return "with readings unknown, limits come first."
        case ReasonKind.TOP_DOWN:
            return "raising goes from the top down."
        case ReasonKind.BOTTOM_UP:
            return "lowering goes from the bottom up."
        case ReasonKind.ALONE:
            return "it is the only one."
        case _:
            assert_never(reason.kind)


def _other(reason: Reason) -> str:
    return "other dial" if reason.other is None else name_of_dial(reason.other)


def _low(has_low_fire: bool) -> str:
    return ", at low fire by hand" if has_low_fire else ""


def _prove(closing: Closing, show: Show) -> str:
    part = "control" if closing.role is None else PARTS[PART_OF_ROLE[closing.role]]
    near = "" if closing.within is None else f", to within {show(Quantity(closing.within, _DIFFERENCE))}"
    how = "set it until it acts there" if closing.sets_it else "see it act"
    text = f"Prove the {part} on a reference gauge{_low(closing.at_low_fire)}, and {how}: {_acts(closing, show)}{near}."
    if closing.stop_by_hand is None:
        return text
    stop = show(Quantity(closing.stop_by_hand, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN)
    return f"{text} Not acted by {stop}: stop it by hand; it has failed and must not be left so."


def _see_in_automatic(closing: Closing, show: Show) -> str:
    """What can be done with a control that stops no burner: by hand it drives nothing."""
    part = "control" if closing.role is None else PARTS[PART_OF_ROLE[closing.role]]
    near = "" if closing.within is None else f", to within {show(Quantity(closing.within, _DIFFERENCE))}"
    how = _IN_AUTOMATIC.get(closing.role or Role.FIRING_RATE, "")
    return (
        f"Leave the burner in automatic and look at the {part} on a reference gauge: {how} Set it until that is "
        f"{_acts(closing, show)}{near}. No trip test proves it: as left it counts as set by its dial."
    )


_IN_AUTOMATIC: Final = {
    Role.FIRING_RATE: (
        "as the pressure rises, read where the burner begins to leave full fire and where it reaches low fire; as it "
        "falls, read the same the other way."
    ),
    Role.LOW_FIRE_HOLD: "as the pressure rises from below it, read where it lets the burner leave low fire.",
}
_DIFFERENCE: Final = Dimension.PRESSURE_DIFFERENCE
_ACTS: Final = {
    Role.HIGH_LIMIT: ("trip", ""),
    Role.OPERATING_LIMIT: ("cut-out", "cut-in"),
    Role.FIRING_RATE: ("low fire from", "full fire up to"),
    Role.LOW_FIRE_HOLD: ("release", ""),
}


def _acts(closing: Closing, show: Show) -> str:
    names = _ACTS[closing.role or Role.OPERATING_LIMIT]
    pairs = zip(names, (closing.acts_at, closing.returns_at), strict=True)
    told = [f"{name} {show(Quantity(value, Dimension.GAUGE_PRESSURE))}" for name, value in pairs if value is not None]
    return ", ".join(told) or "where it is meant to"

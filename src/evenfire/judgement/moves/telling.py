"""Tell each move: what it does to the acting points, what the burner may do meanwhile, and why it comes here."""

from evenfire.judgement.case import Case
from evenfire.judgement.margins import LOW_FIRE_BEFORE_CUT_OUT, highest_normal, lowest_after_restart
from evenfire.judgement.moves.closing import has_low_fire
from evenfire.judgement.moves.dials import MAIN, effect
from evenfire.judgement.moves.result import (
    NO_ORDER,
    BurnerState,
    Dial,
    Direction,
    Move,
    Obstacle,
    Point,
    PointMove,
    Reason,
    ReasonKind,
    Swept,
    Why,
)
from evenfire.judgement.moves.watching import Look
from evenfire.judgement.moves.way import Way
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing, NotKnownError
from evenfire.si import ROUNDING_PA, GaugePa

_POINTS = {
    Role.HIGH_LIMIT: (Point.TRIP,),
    Role.OPERATING_LIMIT: (Point.CUT_OUT, Point.CUT_IN),
    Role.FIRING_RATE: (Point.LOW_FIRE, Point.HIGH_FIRE),
    Role.LOW_FIRE_HOLD: (Point.HOLD,),
}
LOCKED_THROUGHOUT = NO_ORDER | {Why.STOP_BESIDE_THE_DIALS}


def told_moves(way: Way, order: tuple[int, ...], obstacles: tuple[Obstacle, ...]) -> tuple[Move, ...]:
    """The moves of one order."""
    never_fires = any(each.why in LOCKED_THROUGHOUT for each in obstacles)
    now = BurnerState.LOCKED_OUT if obstacles else BurnerState.MAY_FIRE
    moves, mask = [], 0
    for place, index in enumerate(order):
        after = BurnerState.LOCKED_OUT if never_fires else _burner_in(way.look(mask | 1 << index))
        moves.append(_told(way, mask, order[place:], (now, after)))
        now, mask = after, mask | 1 << index
    return tuple(moves)


def _told(way: Way, mask: int, rest: tuple[int, ...], burner: tuple[BurnerState, BurnerState]) -> Move:
    """The first of the ``rest``; ``burner`` is what it may do before and after."""
    index = rest[0]
    turned = way.dials[index]
    before, after = way.look(mask), way.look(mask | 1 << index)
    role = turned.dial.role
    points = _point_moves(role, before.case, after.case)
    swept = None if turned.direction is Direction.UNKNOWN else _swept(points, (before.case, after.case), role)
    return Move(
        dial=turned.dial,
        direction=turned.direction,
        from_=turned.from_,
        to=turned.to,
        to_be_proved=turned.dial.turn == MAIN and role in way.goal.settings.proved,
        points=points,
        swept=swept,
        burner=_while_turned(way, burner[0], swept),
        burner_after=burner[1],
        stop_by_hand=_stop_by_hand(role, after.case, burner[1]),
        reason=_reason(way, mask, rest),
    )


def _burner_in(look: Look) -> BurnerState:
    """What the burner may do in a state, as far as the demands on the dials go."""
    if look.not_clear:
        return BurnerState.LOCKED_OUT
    if LOW_FIRE_BEFORE_CUT_OUT.code in look.band_cut and has_low_fire(look.case.boiler):
        return BurnerState.LOW_FIRE_BY_HAND
    return BurnerState.MAY_FIRE


def _while_turned(way: Way, now: BurnerState, swept: Swept | None) -> BurnerState:
    """A dial whose points may lie where the pressure works is turned with the burner off.

    Nobody but the reader of the gauge knows where the pressure stands; an acting point that is moved across it would
    start, stop or swing the burner under the hand that turns the dial.
    """
    if now is BurnerState.LOCKED_OUT:
        return now
    working = _working_pressures(way)
    if swept is None or working is None or (swept.lowest <= working[1] and swept.highest >= working[0]):
        return BurnerState.OFF_FOR_THE_TURN
    return now


def _working_pressures(way: Way) -> tuple[float, float] | None:
    """Between what pressures the boiler works at either end [Pa gauge]; ``None`` when that cannot be told."""
    try:
        lows = [float(lowest_after_restart(case.stack, case.facts)) for case in (way.found, way.goal)]
        highs = [float(highest_normal(case.stack, case.facts)) for case in (way.found, way.goal)]
    except NotKnownError:
        return None
    return min(lows), max(highs)


def _point_moves(role: Role, before: Case, after: Case) -> tuple[PointMove, ...]:
    moves = []
    for point in _POINTS[role]:
        one, other = _at(before, point), _at(after, point)
        moved = one is None or other is None or abs(one - other) > ROUNDING_PA
        if moved and not (one is None and other is None):
            moves.append(PointMove(point=point, before=one, after=other))
    return tuple(moves)


def _at(case: Case, point: Point) -> GaugePa | None:
    value: float | Missing = {
        Point.TRIP: case.stack.trip,
        Point.CUT_OUT: case.stack.cut_out,
        Point.CUT_IN: case.stack.cut_in,
        Point.HIGH_FIRE: case.stack.high_fire,
        Point.LOW_FIRE: case.stack.low_fire,
        Point.HOLD: case.stack.hold,
    }[point]
    return None if isinstance(value, Missing) else GaugePa(value)


def _swept(points: tuple[PointMove, ...], cases: tuple[Case, Case], role: Role) -> Swept | None:
    offs = [case.facts.off.of(role) for case in cases]
    known_offs = [off for off in offs if not isinstance(off, Missing)]
    levels = [level for point in points for level in (point.before, point.after)]
    known_levels = [level for level in levels if level is not None]
    if not known_levels or len(known_levels) < len(levels) or len(known_offs) < len(offs):
        return None
    off = max(known_offs)
    return Swept(lowest=GaugePa(min(known_levels) - off), highest=GaugePa(max(known_levels) + off))


def _stop_by_hand(role: Role, after: Case, burner: BurnerState) -> GaugePa | None:
    cut_out, off = after.stack.cut_out, after.facts.off.operating_limit
    if role is not Role.OPERATING_LIMIT or burner is BurnerState.LOCKED_OUT:
        return None
    return None if isinstance(cut_out, Missing) or isinstance(off, Missing) else GaugePa(cut_out + off)


def _reason(way: Way, mask: int, rest: tuple[int, ...]) -> Reason:
    """A cure, or a neighbour that could not have gone the other way about, or what habit would spoil, or habit."""
    index, later = rest[0], rest[1:]
    return (
        _cured(way, mask, mask | 1 << index)
        or _held_back(way, mask, index, later)
        or _held_off(way, mask, index)
        or _mended(way, mask, index)
        or _against_habit(way, mask, index, later)
        or Reason(kind=_habit(way, index))
    )


def _cured(way: Way, before: int, after: int) -> Reason | None:
    broken = way.not_clear_as_found
    now = broken & way.look(before).not_clear - way.look(after).not_clear
    if now:
        return Reason(kind=ReasonKind.CURES, codes=tuple(sorted(now)))
    later = broken & way.look_as_if_proved(before).not_clear - way.look_as_if_proved(after).not_clear
    return Reason(kind=ReasonKind.CURES_ONCE_PROVED, codes=tuple(sorted(later))) if later else None


def _held_back(way: Way, mask: int, index: int, later: tuple[int, ...]) -> Reason | None:
    """A later dial that alone would spoil what it does not spoil after this one."""
    for other in later:
        codes = _spoilt_by(way, mask, other) - _spoilt(way, mask | 1 << other | 1 << index)
        if codes:
            return _bound(ReasonKind.BEFORE, codes, way.dials[other].dial)
    return None


def _held_off(way: Way, mask: int, index: int) -> Reason | None:
    """An earlier dial without which this one would spoil what it does not spoil after it."""
    for other in range(len(way.dials)):
        if mask >> other & 1:
            codes = _spoilt_by(way, mask ^ 1 << other, index) - _spoilt(way, mask | 1 << index)
            if codes:
                return _bound(ReasonKind.AFTER, codes, way.dials[other].dial)
    return None


def _mended(way: Way, mask: int, index: int) -> Reason | None:
    codes = _spoilt(way, mask) - _spoilt(way, mask | 1 << index)
    return Reason(kind=ReasonKind.MENDS, codes=tuple(sorted(codes))) if codes else None


def _against_habit(way: Way, mask: int, index: int, later: tuple[int, ...]) -> Reason | None:
    """The dials are numbered in the order of habit, so habit would take the lowest number that is left."""
    usual = min(later, default=index)
    if usual >= index:
        return None
    return _bound(ReasonKind.LESS_SPOILT, _spoilt_by(way, mask, usual), way.dials[usual].dial)


def _spoilt_by(way: Way, mask: int, index: int) -> frozenset[str]:
    """What turning one dial newly spoils."""
    return _spoilt(way, mask | 1 << index) - _spoilt(way, mask)


def _bound(kind: ReasonKind, codes: frozenset[str], other: Dial) -> Reason:
    return Reason(kind=kind, codes=tuple(sorted(codes)), other=other)


def _spoilt(way: Way, mask: int) -> frozenset[str]:
    """What a state breaks that both ends keep, or makes worse than both."""
    look = way.look(mask)
    return look.broken | look.band_cut | way.look_as_if_proved(mask).worsened


def _habit(way: Way, index: int) -> ReasonKind:
    if len(way.dials) == 1:
        return ReasonKind.ALONE
    if any(each.from_ is None for each in way.dials):
        return ReasonKind.LIMITS_FIRST
    return ReasonKind.TOP_DOWN if effect(way.goal.boiler, way.dials[index])[1] else ReasonKind.BOTTOM_UP

"""Which demands contradict each other, and what would cure that.

What a combination breaks is a set of demands. A set of demands can be met when some combination breaks none of it; so
all that matters are the distinct broken sets, of which there are few however many combinations there are.
"""

from dataclasses import replace

import numpy as np

from evenfire.judgement.margins import (
    CUT_OUT_CLEAR_OF_HIGH_LIMIT,
    CUT_OUT_WITHIN_WISH,
    LOW_FIRE_BEFORE_CUT_OUT,
    NEED_AT_FULL_LOAD,
    RESTART_HOLDS_NEED,
    WORKING_PRESSURE_BELOW_RESEAT,
    WORKING_PRESSURE_BELOW_VALVE,
    Margin,
    Tier,
    least_room,
)
from evenfire.judgement.settle.cures import Feasible, cures_of
from evenfire.judgement.settle.ground import ground_of, likely_part, possible_part, require_judged
from evenfire.judgement.settle.result import Conflict
from evenfire.judgement.settle.search import (
    Bits,
    FireAtCutOut,
    Ground,
    Mask,
    Tables,
    highest_kept,
    rooms_of,
    stack_of,
    tables_of,
)
from evenfire.plant.boiler import Boiler
from evenfire.plant.known import NotKnownError
from evenfire.plant.plant import Plant

TOLD_FIRST = (
    RESTART_HOLDS_NEED,
    NEED_AT_FULL_LOAD,
    LOW_FIRE_BEFORE_CUT_OUT,
    CUT_OUT_CLEAR_OF_HIGH_LIMIT,
    CUT_OUT_WITHIN_WISH,
    WORKING_PRESSURE_BELOW_VALVE,
    WORKING_PRESSURE_BELOW_RESEAT,
)


def conflicts_of(plant: Plant, boiler: Boiler, ground: Ground) -> tuple[Conflict, ...]:
    """Every conflict disjoint from the others, with its cures."""
    wanted, sets = _sets_of(ground)
    masks = disjoint_conflicts(_telling_order(wanted), sets) if sets else (0,)
    groups = [tuple(margin for place, margin in enumerate(wanted) if mask >> place & 1) for mask in masks]
    conflicts: list[Conflict] = []
    for place, group in enumerate(groups):
        uncured = [members for members, told in zip(groups, conflicts, strict=False) if not told.cures]
        others = {margin.code for other, members in enumerate(groups) if other != place for margin in members}
        unsettled = {margin.code for members in (*uncured, *groups[place + 1 :]) for margin in members}
        cures = cures_of(plant, boiler, _settles(others), _settles(unsettled), tuple(told.cures for told in conflicts))
        conflicts.append(Conflict(codes=tuple(margin.code for margin in group), cures=cures))
    return tuple(conflicts)


def _settles(dropped: set[str]) -> Feasible:
    return lambda plant, boiler: can_settle(plant, boiler, dropped)


def can_settle(plant: Plant, boiler: Boiler, dropped: set[str]) -> bool:
    """Whether some combination meets every demand but the dropped ones."""
    try:
        ground = ground_of(plant, boiler)
        require_judged(ground)
    except NotKnownError:
        return False
    kept = tuple(margin for margin in ground.demands if margin.code not in dropped)
    ground = replace(ground, demands=kept)
    if LOW_FIRE_BEFORE_CUT_OUT.code in dropped:
        return _is_free(_on_the_line(ground))
    return _is_free(likely_part(ground))


def _is_free(ground: Ground | None) -> bool:
    """Whether some combination meets every demand of a ground; masks alone, because nothing is weighed here."""
    if ground is None:
        return False
    stack = stack_of(ground)
    by_rate: Mask = np.ones((1, 1), dtype=np.bool_)
    by_high: Mask = np.ones((1, 1), dtype=np.bool_)
    for margin in ground.demands:
        rooms = None if margin.tier is Tier.USUAL else rooms_of(margin, stack, ground.facts)
        if rooms is None:
            continue
        fits = np.greater_equal(rooms, least_room(margin))
        if rooms.shape[2] > 1:
            by_high = np.logical_and(by_high, fits[:, 0, :])
        else:
            by_rate = np.logical_and(by_rate, fits[:, :, 0])
        if not (by_rate.any() and by_high.any()):
            return False
    return bool(np.any(np.any(by_rate, axis=1) & np.any(by_high, axis=1)))


def _sets_of(ground: Ground) -> tuple[tuple[Margin, ...], tuple[int, ...]]:
    """The wanted demands, and the broken sets with the fire at cut-out as it is.

    That is the fire on the line, and low fire wherever that is reached first.
    """
    wanted: tuple[Margin, ...] = ()
    sets: set[int] = set()
    line = _on_the_line(ground)
    if line is not None:
        tables = tables_of(line)
        wanted, sets = tables.wanted, set(broken_sets(tables))
    low = possible_part(ground, FireAtCutOut.LOW)
    if low is not None:
        tables = tables_of(low)
        first = _bit_of(LOW_FIRE_BEFORE_CUT_OUT, tables)
        wanted, sets = tables.wanted, sets | {each for each in broken_sets(tables) if not each & first}
    return wanted, _smallest(sets)


def _telling_order(wanted: tuple[Margin, ...]) -> tuple[int, ...]:
    """Places of the demands, first what an engineer would name first."""
    rank = {margin.code: place for place, margin in enumerate(TOLD_FIRST)}
    return tuple(sorted(range(len(wanted)), key=lambda place: rank.get(wanted[place].code, len(rank))))


def _on_the_line(ground: Ground) -> Ground | None:
    full = possible_part(ground, FireAtCutOut.FULL)
    if full is None or ground.rate is None:
        return full
    return replace(highest_kept(full), at_cut_out=FireAtCutOut.ON_THE_LINE)


def _bit_of(margin: Margin, tables: Tables) -> int:
    return 1 << tables.wanted.index(margin) if margin in tables.wanted else 0


def _smallest(sets: set[int]) -> tuple[int, ...]:
    return tuple(sorted(each for each in sets if not any(other != each and other & each == other for other in sets)))


def broken_sets(tables: Tables) -> tuple[int, ...]:
    """The smallest sets of wanted demands that combinations break, as bits; none of them contains another.

    Only combinations that keep every demand never relaxed count; empty when there is no such combination.
    """
    by_rate = _rows_of(tables.broken_by_rate, tables.kept_by_rate)
    by_high = _rows_of(tables.broken_by_high, tables.kept_by_high)
    sets = {
        first | second
        for first, rows in by_rate.items()
        for second, others in by_high.items()
        if bool(np.any(rows & others))
    }
    return _smallest(sets)


def can_be_met(demands: int, sets: tuple[int, ...]) -> bool:
    """Whether some combination meets all of these demands together."""
    return any(broken & demands == 0 for broken in sets)


def disjoint_conflicts(order: tuple[int, ...], sets: tuple[int, ...]) -> tuple[int, ...]:
    """Disjoint conflicts, each minimal, until the demands left over can be met together.

    ``order`` lists the place of every demand. Where a conflict could be told in several ways, demands early in the
    order are kept in it.
    """
    conflicts = []
    left = sum(1 << place for place in order)
    while not can_be_met(left, sets):
        core = left
        for place in reversed(order):
            without = core & ~(1 << place)
            if without != core and not can_be_met(without, sets):
                core = without
        conflicts.append(core)
        left &= ~core
        if core == 0:
            break
    return tuple(conflicts)


def _rows_of(broken: Bits, kept: Mask) -> dict[int, Mask]:
    """For each distinct broken set of a table, the operating-limit positions that reach it."""
    return {int(value): np.any((broken == value) & kept, axis=1) for value in np.unique(broken[kept])}

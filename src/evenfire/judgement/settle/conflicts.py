"""Which demands contradict each other: sets of which each cannot be met, and would be if any one demand were dropped.

What a combination breaks is a set of demands. A set of demands can be met when some combination breaks none of it; so
all that matters are the distinct broken sets, of which there are few however many combinations there are.
"""

import numpy as np

from evenfire.judgement.settle.search import Bits, Mask, Tables


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
    return tuple(sorted(each for each in sets if not any(other != each and other & each == other for other in sets)))


def can_be_met(demands: int, sets: tuple[int, ...]) -> bool:
    """Whether some combination meets all of these demands together."""
    return any(broken & demands == 0 for broken in sets)


def disjoint_conflicts(count: int, sets: tuple[int, ...]) -> tuple[int, ...]:
    """Disjoint conflicts, each minimal, until the demands left over can be met together.

    ``count`` is the number of demands. Where a conflict could be told in several ways, demands early in the list are
    kept in it: the caller lists first what an engineer would name first.
    """
    conflicts = []
    left = (1 << count) - 1
    while not can_be_met(left, sets):
        core = left
        for place in reversed(range(count)):
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

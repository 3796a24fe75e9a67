"""What more or less pressure would buy: the fewest starts an hour against the lowest pressure of a restart."""

from dataclasses import replace

import numpy as np

from evenfire.judgement.margins import NEED_AT_FULL_LOAD, RESTART_HOLDS_NEED
from evenfire.judgement.settle.ground import likely_part
from evenfire.judgement.settle.result import TradePoint
from evenfire.judgement.settle.search import Ground, stack_of, starts_at, tables_of
from evenfire.plant.known import Missing, known
from evenfire.si import PA_PER_PSI

LOWEST_SHARE = 0.85
"""The curve reaches down to this share of the need: further down is another plant [1]."""
POINTS = 9
"""A curve that a person reads at a glance."""


def trade_curve(ground: Ground) -> tuple[TradePoint, ...]:
    """The fewest starts of the settings that keep every demand but the need, for several lowest pressures.

    Each point is reached by real dial positions; none has both a higher lowest pressure and fewer starts than another.
    Empty where starts or restarts cannot be estimated.
    """
    demands = tuple(each for each in ground.demands if each not in {RESTART_HOLDS_NEED, NEED_AT_FULL_LOAD})
    part = likely_part(replace(ground, demands=demands))
    if part is None:
        return ()
    need = known(ground.facts.need)[0]
    part = replace(part, operating=part.operating.where(part.operating.lower >= LOWEST_SHARE * need))
    if part.rate is not None:
        part = replace(part, rate=part.rate.where(part.rate.lower >= LOWEST_SHARE * need))
    if not len(part.operating.main) or (part.rate is not None and not len(part.rate.main)):
        return ()
    tables, stack, off = tables_of(part), stack_of(part), part.facts.off.operating_limit
    if isinstance(stack.undershoot, Missing) or isinstance(off, Missing):
        return ()
    by_rate = np.any(tables.kept_by_rate & (tables.broken_by_rate == 0), axis=1)
    by_high = np.any(tables.kept_by_high & (tables.broken_by_high == 0), axis=1)
    rows = np.flatnonzero(by_rate & by_high)
    lowest = part.operating.lower[rows] - off - stack.undershoot[rows, 0, 0]
    return _thinned(lowest, starts_at(part, rows))


def _thinned(
    lowest: "np.ndarray[tuple[int], np.dtype[np.float64]]", starts: "np.ndarray[tuple[int], np.dtype[np.float64]]"
) -> tuple[TradePoint, ...]:
    """The points that no other beats, from the highest pressure down, at most so many and at least half a psi apart."""
    front: list[TradePoint] = []
    for place in np.lexsort((starts, -lowest)):
        if starts[place] > 0 and (not front or starts[place] < front[-1].starts * 0.999):
            front.append(TradePoint(lowest=float(lowest[place]), starts=float(starts[place])))
    if len(front) <= POINTS:
        return tuple(front)
    span = max((front[0].lowest - front[-1].lowest) / (POINTS - 1), 0.5 * PA_PER_PSI)
    kept = [front[0]]
    for point in front[1:]:
        if kept[-1].lowest - point.lowest >= span:
            kept.append(point)
    return tuple(kept)

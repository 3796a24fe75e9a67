"""Which of the combinations that fit is best: the goals of settle, in their order.

Fewest starts (no cycling above low-fire load is a demand already); practice where it costs nothing; fewest dials
moved; the widest smallest margin in units of its own tolerance, the next smallest deciding among equals; the high limit
as far above cut-out as is usual; nearest to the wished pressure; dials on whole divisions. A margin of several
tolerances is plenty: what is beyond is not bought with a higher high limit.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenfire.judgement.settle.grid import Floats, Positions
from evenfire.judgement.settle.search import Ground, Mask, Tables, starts_at
from evenfire.plant.known import Missing, known
from evenfire.plant.settings import DialReading, Settings
from evenfire.si import PA_PER_PSI, ROUNDING_PA

Places = NDArray[np.intp]

START_BAND_SHARE = 1.10
"""Starts within a tenth of the fewest count as equally few ..."""
START_BAND = 0.3 / 3600
"""... and so do starts within 0.3 an hour of them [1/s]."""
WEIGHTS_ALIKE = 1e-6
"""Weights closer than this are alike [1]."""
SHORT_ALIKE = 0.05
"""Missing the demands by so little more is no worse; the widest smallest margin then decides [1]."""
PLENTY = 5.0
"""Tolerances of room beyond which a margin is wide enough (ours, no source) [1]."""
USUAL_GAP = 10 * PA_PER_PSI
"""High limit above cut-out, or half way to the valve where there is no room (common practice, no source) [Pa]."""
USUAL_GAP_LOW_PRESSURE = 3 * PA_PER_PSI
"""The same on low pressure, 2 to 4 psi (common practice, no source) [Pa]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pick:
    """One combination, as an index into each control's positions."""

    operating: int
    rate: int
    high: int


def best(tables: Tables, ground: Ground, found: Settings | None) -> Pick | None:
    """The best combination that meets every demand, or ``None`` when nothing does."""
    met_by_high = tables.kept_by_high & (tables.broken_by_high == 0)
    met = tables.kept_by_rate & (tables.broken_by_rate == 0) & np.any(met_by_high, axis=1, keepdims=True)
    rows = np.flatnonzero(np.any(met, axis=1))
    if rows.size == 0:
        return None
    starts = np.full(len(ground.operating.main), np.inf)
    starts[rows] = starts_at(ground, rows)
    least = starts.min()
    met = met & (starts <= max(least * START_BAND_SHARE, least + START_BAND))[:, None]
    if np.any(met & tables.usual):
        met = met & tables.usual
    met, met_by_high = _fewest_moved(ground, found, met, met_by_high)
    return _widest(tables, ground, met, met_by_high)


def nearest(tables: Tables, ground: Ground) -> Pick | None:
    """The combination that keeps every demand never relaxed and misses the others by the fewest tolerances together."""
    kept = tables.kept_by_rate & np.any(tables.kept_by_high, axis=1, keepdims=True)
    if not np.any(kept):
        return None
    by_high = np.where(tables.kept_by_high, tables.short_by_high, np.inf)
    least_high = by_high.min(axis=1)
    short = np.where(kept, tables.short_by_rate + least_high[:, None], np.inf)
    few = short <= short.min() + SHORT_ALIKE
    return _widest(tables, ground, few, tables.kept_by_high & (by_high <= least_high[:, None] + SHORT_ALIKE))


def dials_moved(positions: Positions, reading: DialReading | None) -> NDArray[np.int64]:
    """How many scales each position of a control turns away from a reading; none where nothing was read."""
    if reading is None:
        return np.zeros(len(positions.main), dtype=np.int64)
    moved = np.abs(positions.main - reading.main) > ROUNDING_PA
    if positions.differential is None or reading.differential is None:
        return moved.astype(np.int64)
    return moved.astype(np.int64) + (np.abs(positions.differential - reading.differential) > ROUNDING_PA)


def _fewest_moved(ground: Ground, found: Settings | None, met: Mask, met_by_high: Mask) -> tuple[Mask, Mask]:
    """Only the combinations that turn the fewest scales away from the settings as found."""
    if found is None:
        return met, met_by_high
    operating = dials_moved(ground.operating, found.operating_limit)
    rate = np.zeros(1, dtype=np.int64) if ground.rate is None else dials_moved(ground.rate, found.firing_rate)
    high = np.where(met_by_high, dials_moved(ground.high, found.high_limit)[None, :], np.iinfo(np.int64).max // 4)
    least_high = high.min(axis=1)
    moved = operating[:, None] + rate[None, :] + least_high[:, None]
    return met & (moved == moved[met].min()), met_by_high & (high == least_high[:, None])


def _widest(tables: Tables, ground: Ground, allowed: Mask, allowed_high: Mask) -> Pick:
    """The allowed combination with the widest smallest margin, then the further goals."""
    by_high = np.where(allowed_high, np.minimum(tables.weight_by_high, PLENTY), -np.inf)
    best_high = by_high.max(axis=1)
    chosen_high = _usual_high(ground, by_high >= best_high[:, None] - WEIGHTS_ALIKE)
    by_rate = np.minimum(tables.weight_by_rate, PLENTY)
    smallest = np.where(allowed, np.minimum(by_rate, best_high[:, None]), -np.inf)
    rows, columns = np.nonzero(smallest >= smallest.max() - WEIGHTS_ALIKE)
    highs = chosen_high[rows]
    weights = np.sort(np.stack([_at(each, rows, columns, highs) for each in tables.weights], axis=1), axis=1)
    steps = np.round(np.minimum(weights, PLENTY) / WEIGHTS_ALIKE)
    goals = [-steps[:, column] for column in range(steps.shape[1])]
    goals.append(_from_wish(ground, rows))
    goals.append(_off_marks(ground, rows, columns))
    first = np.lexsort(tuple(reversed(goals)))[0]
    return Pick(operating=int(rows[first]), rate=int(columns[first]), high=int(highs[first]))


def _usual_high(ground: Ground, equals: Mask) -> Places:
    """For each operating-limit position the high limit whose gap is nearest to the usual, of those equally good."""
    low_pressure = ground.behaviour.boiler.is_low_pressure
    cut_out, valve = ground.operating.upper, known(ground.facts.valve_set)[0]
    usual = np.minimum(USUAL_GAP_LOW_PRESSURE if low_pressure else USUAL_GAP, (valve - cut_out) / 2)
    away = np.abs(ground.high.upper[None, :] - (cut_out + usual)[:, None])
    return np.asarray(np.where(equals, away, np.inf).argmin(axis=1), dtype=np.intp)


def _from_wish(ground: Ground, rows: Places) -> Floats:
    """How far each cut-out lies from the highest pressure wanted [Pa]."""
    wish = ground.facts.wish
    return np.zeros(len(rows)) if isinstance(wish, Missing) else np.abs(ground.operating.upper[rows] - wish)


def _off_marks(ground: Ground, rows: Places, columns: Places) -> Floats:
    """How many main scales stand between two marks."""
    between = ground.operating.between_marks[rows].astype(np.float64)
    return between if ground.rate is None else between + ground.rate.between_marks[columns]


def _at(weights: Floats, rows: Places, columns: Places, highs: Places) -> Floats:
    """A broadcast table at chosen combinations."""
    places = (rows, columns, highs)
    index = tuple(
        place if size > 1 else np.zeros_like(place) for place, size in zip(places, weights.shape, strict=True)
    )
    return np.asarray(weights[index], dtype=np.float64)

"""Exhaustive search over every dial position, one mask for each demand.

A demand reaches over at most two of the controls: operating limit (axis 0), firing rate (axis 1), high limit (axis 2).
So every combination is covered by small tables: operating limit against firing rate, and operating limit against high
limit. The best high limit of each operating-limit position is exact, because no demand joins high limit and firing
rate. The hold is chosen afterwards: it has no part in the starts or the smallest margin, only a ceiling, which enters
here with the lowest hold that its dial allows.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenfire.judgement.behaviour import Behaviour, Estimate
from evenfire.judgement.margins import HOLD_BELOW_FULL_LOAD, HOLD_BELOW_RESTART, Margin, Tier, least_room, room
from evenfire.judgement.settle.grid import Floats, Positions
from evenfire.judgement.stack import Facts, Off, Stack
from evenfire.plant.known import Missing, NotKnownError
from evenfire.si import PA_PER_PSI, GaugePa

Mask = NDArray[np.bool_]

SMALLEST_UNIT = 0.25 * PA_PER_PSI
"""Room is weighed in tolerances; one of nought counts as this [Pa]."""
START_BAND_SHARE = 1.10
"""Starts within a tenth of the fewest count as equally few ..."""
START_BAND = 0.3 / 3600
"""... and so do starts within 0.3 an hour of them [1/s]."""
WEIGHTS_ALIKE = 1e-6
"""Weights closer than this are alike [1]."""
HOLD_DEMANDS = (HOLD_BELOW_RESTART, HOLD_BELOW_FULL_LOAD)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What a search runs on."""

    operating: Positions
    rate: Positions | None
    """``None`` for a boiler with no band on a dial"""
    high: Positions
    lowest_hold: float | None
    """Lowest hold its dial allows, at the boiler [Pa gauge]"""
    facts: Facts
    behaviour: Behaviour
    demands: tuple[Margin, ...]
    low_fire_at_cut_out: bool = True
    """Whether the demand to reach low fire first is kept; without it the burner may be at full fire at cut-out"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pick:
    """One combination, as an index into each control's positions."""

    operating: int
    rate: int
    high: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Tables:
    """Masks and weights of all combinations."""

    met_by_rate: Mask
    """Every demand without the high limit is met (operating limit, firing rate)"""
    met_by_high: Mask
    """Every demand with the high limit is met (operating limit, high limit)"""
    kept_by_rate: Mask
    """Every demand that is never relaxed is met, of those without the high limit"""
    kept_by_high: Mask
    usual: Mask
    """Practice is met, where it costs nothing (operating limit, firing rate)"""
    weight_by_rate: Floats
    """Smallest margin in units of its own tolerance, of the demands without the high limit [1]"""
    weight_by_high: Floats
    """The same, of the demands with the high limit [1]"""
    weights: tuple[Floats, ...]
    """Every weighed margin, broadcast over the three axes [1]"""
    starts: Floats
    """At the load that cycles most, for each operating-limit position [1/s]; nought where it could not be estimated"""


def unit_of(margin: Margin, off: Off) -> float:
    """The tolerances in which a margin is weighed [Pa]."""
    tolerances = (off.of(role) for role in margin.tolerances)
    return max(SMALLEST_UNIT, sum(value for value in tolerances if not isinstance(value, Missing)))


def stack_of(ground: Ground) -> Stack[Floats]:
    """The stack of every combination: each acting point along its own axis."""
    operating, rate, high = ground.operating, ground.rate, ground.high
    behaviour = ground.behaviour
    no_band = Missing(("simulation",))
    low_fire = no_band if rate is None else rate.upper
    return Stack(
        cut_out=operating.upper[:, None, None],
        cut_in=operating.lower[:, None, None],
        high_fire=no_band if rate is None else rate.lower[None, :, None],
        low_fire=no_band if isinstance(low_fire, Missing) else low_fire[None, :, None],
        trip=high.upper[None, None, :],
        hold=Missing(("controls.low_fire_hold",))
        if ground.lowest_hold is None
        else np.full((1, 1, 1), ground.lowest_hold),
        run_on=_along(
            0,
            _motion(
                operating.upper, behaviour.low_fire_run_on if ground.low_fire_at_cut_out else behaviour.full_fire_run_on
            ),
        ),
        full_fire_run_on=_along(2, _motion(high.upper, behaviour.full_fire_run_on)),
        undershoot=_along(0, _undershoot(operating, behaviour)),
        drop_overshoot=no_band if rate is None else _along(1, _motion(rate.upper, behaviour.drop_overshoot)),
    )


def tables_of(ground: Ground) -> Tables:
    """Judge every combination."""
    stack = stack_of(ground)
    by_rate = (len(ground.operating.main), 1 if ground.rate is None else len(ground.rate.main))
    by_high = (len(ground.operating.main), len(ground.high.main))
    met = (np.ones(by_rate, dtype=np.bool_), np.ones(by_high, dtype=np.bool_))
    kept = (met[0].copy(), met[1].copy())
    weight = (np.full(by_rate, np.inf), np.full(by_high, np.inf))
    usual = np.ones(by_rate, dtype=np.bool_)
    weights: list[Floats] = []
    for margin in ground.demands:
        rooms = rooms_of(margin, stack, ground.facts)
        if rooms is None:
            continue
        table = 1 if rooms.shape[2] > 1 else 0
        flat = rooms[:, 0, :] if table else rooms[:, :, 0]
        fits = np.greater_equal(flat, least_room(margin))
        if margin.tier is Tier.USUAL:
            usual &= fits
            continue
        np.logical_and(met[table], fits, out=met[table])
        if margin.tier is Tier.NEVER_RELAXED:
            np.logical_and(kept[table], fits, out=kept[table])
        if margin not in HOLD_DEMANDS:
            weights.append(rooms / unit_of(margin, ground.facts.off))
            np.minimum(weight[table], flat / unit_of(margin, ground.facts.off), out=weight[table])
    return Tables(
        met_by_rate=met[0],
        met_by_high=met[1],
        kept_by_rate=kept[0],
        kept_by_high=kept[1],
        usual=usual,
        weight_by_rate=weight[0],
        weight_by_high=weight[1],
        weights=tuple(weights),
        starts=_starts(ground.operating, ground.behaviour),
    )


def rooms_of(margin: Margin, stack: Stack[Floats], facts: Facts) -> Floats | None:
    """Room of one demand at every combination [Pa], three axes; ``None`` where it cannot be judged."""
    try:
        return np.array(room(margin, stack, facts), dtype=np.float64, ndmin=3)
    except NotKnownError:
        return None


def best(tables: Tables) -> Pick | None:
    """The combination with the fewest starts, then the widest margins, or ``None`` when nothing meets every demand."""
    met = tables.met_by_rate & np.any(tables.met_by_high, axis=1, keepdims=True)
    if not met.any():
        return None
    least = tables.starts[met.any(axis=1)].min()
    few = tables.starts <= max(least * START_BAND_SHARE, least + START_BAND)
    met &= few[:, None]
    if (met & tables.usual).any():
        met &= tables.usual
    return _widest(tables, met, tables.met_by_high)


def nearest(tables: Tables) -> Pick | None:
    """The combination that keeps every demand never relaxed and breaks the others by the fewest tolerances."""
    kept = tables.kept_by_rate & np.any(tables.kept_by_high, axis=1, keepdims=True)
    return _widest(tables, kept, tables.kept_by_high) if kept.any() else None


def _widest(tables: Tables, allowed: Mask, allowed_high: Mask) -> Pick:
    """The allowed combination whose smallest margin is widest; among equals the second smallest decides, and so on."""
    by_high = np.where(allowed_high, tables.weight_by_high, -np.inf)
    smallest = np.where(allowed, np.minimum(tables.weight_by_rate, by_high.max(axis=1)[:, None]), -np.inf)
    rows, columns = np.nonzero(smallest >= smallest.max() - WEIGHTS_ALIKE)
    highs = by_high.argmax(axis=1)[rows]
    sorted_weights = np.sort(
        np.stack([_at(weights, rows, columns, highs) for weights in tables.weights], axis=1), axis=1
    )
    steps = np.round(sorted_weights / WEIGHTS_ALIKE)
    first = np.lexsort(tuple(-steps[:, column] for column in reversed(range(steps.shape[1]))))[0]
    return Pick(operating=int(rows[first]), rate=int(columns[first]), high=int(highs[first]))


def _at(weights: Floats, rows: NDArray[np.intp], columns: NDArray[np.intp], highs: NDArray[np.intp]) -> Floats:
    """A broadcast table at chosen combinations."""
    places = (rows, columns, highs)
    index = tuple(
        place if size > 1 else np.zeros_like(place) for place, size in zip(places, weights.shape, strict=True)
    )
    return np.asarray(weights[index], dtype=np.float64)


def _along(axis: int, values: Floats | Missing) -> Floats | Missing:
    if isinstance(values, Missing):
        return values
    shape = [1, 1, 1]
    shape[axis] = len(values)
    return values.reshape(shape)


def _motion(points: Floats, question: Callable[[GaugePa], Estimate]) -> Floats | Missing:
    """A question about motion asked once at each different pressure."""
    unique, back = np.unique(points, return_inverse=True)
    try:
        return np.array([question(GaugePa(float(point))).value for point in unique])[back]
    except NotKnownError as missing:
        return Missing(missing.keys)


def _undershoot(operating: Positions, behaviour: Behaviour) -> Floats | Missing:
    pairs = zip(operating.lower, operating.upper, strict=True)
    try:
        return np.array([behaviour.undershoot(GaugePa(float(low)), GaugePa(float(high))).value for low, high in pairs])
    except NotKnownError as missing:
        return Missing(missing.keys)


def _starts(operating: Positions, behaviour: Behaviour) -> Floats:
    pairs = zip(operating.lower, operating.upper, strict=True)
    try:
        return np.array(
            [behaviour.cycling(GaugePa(float(low)), GaugePa(float(high)), None).starts for low, high in pairs]
        )
    except NotKnownError:
        return np.zeros(len(operating.main))

"""Every dial position judged, one mask for each demand.

A demand reaches over at most two of the controls: operating limit (axis 0), firing rate (axis 1), high limit (axis 2).
So every combination is covered by small tables: operating limit against firing rate, and operating limit against high
limit. The best high limit of each operating-limit position is exact, because no demand joins high limit and firing
rate. The hold is chosen afterwards: it has no part in the starts or the smallest margin, only a ceiling, which enters
here with the lowest hold that its dial allows.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from evenfire.judgement.behaviour import Behaviour, Estimate
from evenfire.judgement.margins import HOLD_BELOW_FULL_LOAD, HOLD_BELOW_RESTART, Margin, Tier, least_room, room
from evenfire.judgement.settle.grid import Floats, Positions
from evenfire.judgement.stack import Facts, Off, Stack
from evenfire.plant.burner import Burner, Firing
from evenfire.plant.known import Missing, NotKnownError, given, known
from evenfire.si import PA_PER_PSI, GaugePa

Mask = NDArray[np.bool_]
Bits = NDArray[np.uint32]

SMALLEST_UNIT = 0.25 * PA_PER_PSI
"""Room is weighed in tolerances; one of nought counts as this [Pa]."""
HOLD_DEMANDS = (HOLD_BELOW_RESTART, HOLD_BELOW_FULL_LOAD)


class FireAtCutOut(Enum):
    """With which fire the burner is taken to be stopped."""

    LOW = "low"
    """Low fire: true wherever the demand to reach it first is met"""
    FULL = "full"
    """Full fire: never too little"""
    ON_THE_LINE = "on the line"
    """What the firing line says at the worst corner; the high limit is then the highest that is kept"""


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
    at_cut_out: "FireAtCutOut"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tables:
    """What every combination breaks, and how narrow it is."""

    wanted: tuple[Margin, ...]
    """The demands that could be judged and may be broken as a last resort; their places are the bits below"""
    broken_by_rate: Bits
    """Wanted demands without the high limit that a combination breaks (operating limit, firing rate)"""
    broken_by_high: Bits
    """Wanted demands with the high limit that it breaks (operating limit, high limit)"""
    kept_by_rate: Mask
    """Every demand that is never relaxed is met, of those without the high limit"""
    kept_by_high: Mask
    """The same, of those with the high limit"""
    usual: Mask
    """Practice is met, where it costs nothing (operating limit, firing rate)"""
    weight_by_rate: Floats
    """Smallest margin in units of its own tolerance, of the demands without the high limit [1]"""
    weight_by_high: Floats
    """The same, of the demands with the high limit [1]"""
    short_by_rate: Floats
    """By how many tolerances the wanted demands without the high limit are missed, all together [1]"""
    short_by_high: Floats
    """The same, of those with the high limit [1]"""
    weights: tuple[Floats, ...]
    """Every weighed margin, broadcast over the three axes [1]"""


def unit_of(margin: Margin, off: Off) -> float:
    """The tolerances in which a margin is weighed [Pa]."""
    tolerances = (off.of(role) for role in margin.tolerances)
    return max(SMALLEST_UNIT, sum(value for value in tolerances if not isinstance(value, Missing)))


def stack_of(ground: Ground) -> Stack[Floats]:
    """The stack of every combination: each acting point along its own axis."""
    operating, rate, high, behaviour = ground.operating, ground.rate, ground.high, ground.behaviour
    no_band = Missing(("simulation",))
    no_hold = Missing(("controls.low_fire_hold",))
    return Stack(
        cut_out=_along(0, operating.upper),
        cut_in=_along(0, operating.lower),
        high_fire=no_band if rate is None else _along(1, rate.lower),
        low_fire=no_band if rate is None else _along(1, rate.upper),
        trip=_along(2, high.upper),
        hold=no_hold if ground.lowest_hold is None else np.full((1, 1, 1), ground.lowest_hold),
        run_on=_run_on(ground),
        full_fire_run_on=_along(2, _motion(high.upper, behaviour.full_fire_run_on)),
        undershoot=_fall(ground),
        drop_overshoot=no_band if rate is None else _along(1, _motion(rate.upper, behaviour.drop_overshoot)),
        load_fall=no_band if rate is None else _along(1, _motion(np.maximum(rate.lower, 0.0), behaviour.load_fall)),
    )


def _run_on(ground: Ground) -> Floats | Missing:
    """Rise after cut-out, along the operating limit, and along the firing rate where that decides the fire [Pa]."""
    low = ground.at_cut_out is FireAtCutOut.LOW
    question = ground.behaviour.low_fire_run_on if low else ground.behaviour.full_fire_run_on
    rise = _along(0, _motion(ground.operating.upper, question))
    if ground.at_cut_out is not FireAtCutOut.ON_THE_LINE or ground.rate is None or isinstance(rise, Missing):
        return rise
    return rise * _fire_on_the_line(ground, ground.rate)[:, :, None]


def _fall(ground: Ground) -> Floats | Missing:
    """Fall below cut-in [Pa]: at the load of the fire that is stopped, because every load below it cycles."""
    if ground.at_cut_out is FireAtCutOut.LOW or ground.rate is None:
        return _along(0, _undershoot(ground.operating, ground.behaviour, None))
    if ground.at_cut_out is FireAtCutOut.FULL:
        full = tuple(1.0 for _ in ground.behaviour.boiler.burners)
        return _along(0, _undershoot(ground.operating, ground.behaviour, full))
    try:
        falls = [_fall_on_the_line(ground, ground.rate, each) for each in ground.behaviour.boiler.burners]
    except NotKnownError as missing:
        return Missing(missing.keys)
    return np.asarray(np.max(falls, axis=0), dtype=np.float64)[:, :, None]


def _fall_on_the_line(ground: Ground, rate: Positions, burner: Burner) -> Floats:
    """The fall of :meth:`Behaviour.undershoot` with one burner, at the fire that its line gives at cut-out [Pa]."""
    behaviour, operating = ground.behaviour, ground.operating
    full = behaviour.full_heat(burner).value
    load = _load_that_cycles(ground, full * _line_of(ground, rate, burner))
    purge, store = (
        _required(_motion(operating.lower, question))[:, None]
        for question in (lambda pressure: behaviour.purge_cooling(burner, pressure), behaviour.storage)
    )
    seconds = behaviour.contact_to_low_fire(burner).value
    off = known(given(burner.chain.minimum_off, "burner.start.minimum_off"))[0].value
    waited = np.maximum(0.0, load * off / store - (operating.upper - operating.lower)[:, None])
    fall = (load + purge) * seconds / store + waited
    measured = behaviour.boiler.measured.undershoot
    if measured is None:
        return fall
    seen = measured.load * full
    return np.where(seen >= load * (1 - 1e-9), measured.fall, np.maximum(fall, measured.fall * load / seen))


def _load_that_cycles(ground: Ground, fire: Floats) -> Floats:
    """The largest load of the survey below a fire [W], or all of the fire where no load is known to be below it."""
    unique, back = np.unique(np.round(ground.operating.lower, 3), return_inverse=True)
    heats = np.array([ground.behaviour.steady_heats(GaugePa(each)) for each in unique.tolist()])[back]
    below = np.full_like(fire, -np.inf)
    for heat in heats.T if heats.size else ():
        np.maximum(below, np.where(heat[:, None] < fire, heat[:, None], -np.inf), out=below)
    return np.where(np.isfinite(below), below, fire)


def _required(values: Floats | Missing) -> Floats:
    if isinstance(values, Missing):
        raise NotKnownError(values.keys)
    return values


def _fire_on_the_line(ground: Ground, rate: Positions) -> Floats:
    """Firing at cut-out of the burner that fires most [1]."""
    lines = [_line_of(ground, rate, burner) for burner in ground.behaviour.boiler.burners]
    return np.asarray(np.max(lines, axis=0), dtype=np.float64)


def _line_of(ground: Ground, rate: Positions, burner: Burner) -> Floats:
    """Firing of one burner at cut-out, both controls at the corner that fires most [1]."""
    offs = (ground.facts.off.operating_limit, ground.facts.off.firing_rate)
    off = sum(each for each in offs if not isinstance(each, Missing))
    earliest = ground.operating.upper[:, None] - off
    above_high_fire = (earliest - rate.lower[None, :]) / (rate.upper - rate.lower)[None, :]
    lowest = ground.behaviour.low_fire_share(burner)
    if burner.firing is Firing.LOW_HIGH_OFF:
        return np.where(above_high_fire >= 1.0, lowest, 1.0)
    return 1 - (1 - lowest) * np.clip(above_high_fire, 0.0, 1.0)


def tables_of(ground: Ground) -> Tables:
    """Judge every combination."""
    stack, off = stack_of(ground), ground.facts.off
    by_rate = (len(ground.operating.main), 1 if ground.rate is None else len(ground.rate.main))
    by_high = (len(ground.operating.main), len(ground.high.main))
    broken = (np.zeros(by_rate, dtype=np.uint32), np.zeros(by_high, dtype=np.uint32))
    kept = (np.ones(by_rate, dtype=np.bool_), np.ones(by_high, dtype=np.bool_))
    weight = (np.full(by_rate, np.inf), np.full(by_high, np.inf))
    short = (np.zeros(by_rate), np.zeros(by_high))
    usual = np.ones(by_rate, dtype=np.bool_)
    weights: list[Floats] = []
    wanted: list[Margin] = []
    for margin in ground.demands:
        rooms = rooms_of(margin, stack, ground.facts)
        if rooms is None:
            continue
        table = 1 if rooms.shape[2] > 1 else 0
        flat = rooms[:, 0, :] if table else rooms[:, :, 0]
        fits = np.greater_equal(flat, least_room(margin))
        match margin.tier:
            case Tier.USUAL:
                np.logical_and(usual, fits, out=usual)
                continue
            case Tier.NEVER_RELAXED:
                np.logical_and(kept[table], fits, out=kept[table])
            case Tier.WANTED:
                bit = np.uint32(1 << len(wanted))
                np.bitwise_or(broken[table], np.where(fits, np.uint32(0), bit), out=broken[table])
                wanted.append(margin)
                np.add(short[table], np.maximum(-flat / unit_of(margin, off), 0.0), out=short[table])
        if margin not in HOLD_DEMANDS:
            weights.append(rooms / unit_of(margin, off))
            np.minimum(weight[table], flat / unit_of(margin, off), out=weight[table])
    return Tables(
        wanted=tuple(wanted),
        broken_by_rate=broken[0],
        broken_by_high=broken[1],
        kept_by_rate=kept[0],
        kept_by_high=kept[1],
        usual=usual,
        weight_by_rate=weight[0],
        weight_by_high=weight[1],
        short_by_rate=short[0],
        short_by_high=short[1],
        weights=tuple(weights),
    )


def highest_kept(ground: Ground) -> Ground:
    """The same ground with one high limit: the highest that is never relaxed, which leaves a cut-out the most room."""
    tables = tables_of(ground)
    kept = np.flatnonzero(np.any(tables.kept_by_high, axis=0))
    if kept.size == 0:
        return ground
    highest = kept[np.argmax(ground.high.upper[kept])]
    return replace(ground, high=ground.high.where(np.arange(len(ground.high.main)) == highest))


def rooms_of(margin: Margin, stack: Stack[Floats], facts: Facts) -> Floats | None:
    """Room of one demand at every combination [Pa], three axes; ``None`` where it cannot be judged."""
    try:
        return np.array(room(margin, stack, facts), dtype=np.float64, ndmin=3)
    except NotKnownError:
        return None


def starts_at(ground: Ground, rows: NDArray[np.intp]) -> Floats:
    """Starts at the load that cycles most [1/s] of some operating-limit positions; nought where not to be estimated."""
    lower, upper = ground.operating.lower[rows].tolist(), ground.operating.upper[rows].tolist()
    question = ground.behaviour.cycling
    try:
        return np.array(
            [question(GaugePa(low), GaugePa(high), None).starts for low, high in zip(lower, upper, strict=True)],
            dtype=np.float64,
        )
    except NotKnownError:
        return np.zeros(len(rows))


def _along(axis: int, values: Floats | Missing) -> Floats | Missing:
    if isinstance(values, Missing):
        return values
    shape = [1, 1, 1]
    shape[axis] = len(values)
    return values.reshape(shape)


def _motion(points: Floats, question: Callable[[GaugePa], Estimate]) -> Floats | Missing:
    """A question about motion asked once at each different pressure."""
    unique, back = np.unique(np.round(points, 3), return_inverse=True)
    try:
        return np.array([question(GaugePa(float(point))).value for point in unique])[back]
    except NotKnownError as missing:
        return Missing(missing.keys)


def _undershoot(operating: Positions, behaviour: Behaviour, shares: tuple[float, ...] | None) -> Floats | Missing:
    if behaviour.falls_alike_from_every_cut_out:
        return _motion(operating.lower, lambda cut_in: behaviour.undershoot(cut_in, cut_in, shares))
    pairs = zip(operating.lower.tolist(), operating.upper.tolist(), strict=True)
    try:
        return np.array([behaviour.undershoot(GaugePa(low), GaugePa(high), shares).value for low, high in pairs])
    except NotKnownError as missing:
        return Missing(missing.keys)

"""What a search runs on: every dial position of one boiler, the facts that bound it, and the parts worth searching."""

from dataclasses import replace

import numpy as np

from evenfire.judgement.behaviour import Behaviour
from evenfire.judgement.case import facts_of, has_band_on_dial
from evenfire.judgement.margins import (
    CUT_OUT_WITHIN_DOWNSTREAM_RATING,
    CUT_OUT_WITHIN_WISH,
    LOW_FIRE_BEFORE_CUT_OUT,
    NEED_AT_FULL_LOAD,
    RESTART_HOLDS_NEED,
    Tier,
    demands_on,
    follows_the_load,
    room,
)
from evenfire.judgement.settle.grid import Positions, paired_positions, proved_roles, single_positions
from evenfire.judgement.settle.search import FireAtCutOut, Ground, stack_of
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing, NotKnownError, known
from evenfire.plant.plant import Plant


def ground_of(plant: Plant, boiler: Boiler) -> Ground:
    """Every dial position of a boiler.

    Raises
    ------
    NotKnownError
        A dial, the need or a safety valve is not known.
    """
    facts = facts_of(plant, boiler, proved_roles(boiler))
    hold = None if boiler.controls.low_fire_hold is None else single_positions(boiler, Role.LOW_FIRE_HOLD)
    known(facts.need, facts.valve_set)
    low = has_band_on_dial(boiler) or not follows_the_load(boiler)
    return Ground(
        operating=paired_positions(boiler, Role.OPERATING_LIMIT),
        rate=paired_positions(boiler, Role.FIRING_RATE) if _is_followed_by_dial(boiler) else None,
        high=single_positions(boiler, Role.HIGH_LIMIT),
        lowest_hold=None if hold is None else float(hold.upper.min()),
        facts=facts,
        behaviour=Behaviour(boiler, plant.load, plant.site.ambient),
        demands=demands_on(boiler, plant.load),
        at_cut_out=FireAtCutOut.LOW if low else FireAtCutOut.FULL,
    )


def require_judged(ground: Ground) -> None:
    """Raise :class:`NotKnownError` with all that is missing before a demand that is never relaxed can be judged."""
    first = np.arange(1)
    small = replace(ground, operating=_at(ground.operating, first), high=_at(ground.high, first))
    stack = stack_of(small)
    missing: dict[str, None] = {}
    for margin in ground.demands:
        if margin.tier is Tier.NEVER_RELAXED:
            try:
                room(margin, stack, ground.facts)
            except NotKnownError as error:
                missing.update(dict.fromkeys(error.keys))
    if missing:
        raise NotKnownError(tuple(missing))


def likely_part(ground: Ground) -> Ground | None:
    """Without the positions that no motion can save: a point below the need, or above a ceiling, that is demanded."""
    demands = ground.demands
    need, ceiling = known(ground.facts.need)[0], _ceiling(ground)
    operating, rate = ground.operating, ground.rate
    floor = need if RESTART_HOLDS_NEED in demands else 0.0
    operating = operating.where((operating.lower >= floor) & (operating.upper <= ceiling) & (operating.lower > 0))
    if rate is not None:
        top = ceiling if LOW_FIRE_BEFORE_CUT_OUT in demands else known(ground.facts.valve_set)[0]
        rate = rate.where(
            (rate.lower >= (need if NEED_AT_FULL_LOAD in demands else 0.0)) & (rate.upper <= top) & (rate.lower > 0)
        )
    return _unless_empty(replace(ground, operating=operating, rate=rate, high=_below_valve(ground)))


def possible_part(ground: Ground, fire: FireAtCutOut) -> Ground | None:
    """Without the positions that could never be kept: anything at or above the lowest valve."""
    valve = known(ground.facts.valve_set)[0]
    operating, rate = ground.operating, ground.rate
    operating = operating.where((operating.upper < valve) & (operating.lower > 0))
    if rate is not None:
        rate = rate.where((rate.upper < valve) & (rate.lower > 0))
    if ground.at_cut_out is FireAtCutOut.FULL or ground.rate is None:
        fire = ground.at_cut_out
    return _unless_empty(replace(ground, operating=operating, rate=rate, high=_below_valve(ground), at_cut_out=fire))


def combinations(ground: Ground) -> float:
    """How many combinations of dial positions there are [1]."""
    rate = 1 if ground.rate is None else len(ground.rate.main)
    return float(len(ground.operating.main)) * rate * len(ground.high.main)


def _is_followed_by_dial(boiler: Boiler) -> bool:
    """Whether the firing rate has a band on a dial, and a fire that follows it."""
    control = boiler.controls.firing_rate
    return control is not None and control.action is not None and has_band_on_dial(boiler) and follows_the_load(boiler)


def _at(positions: Positions, places: "np.ndarray[tuple[int], np.dtype[np.intp]]") -> Positions:
    return positions.where(np.isin(np.arange(len(positions.main)), places))


def _below_valve(ground: Ground) -> Positions:
    valve = known(ground.facts.valve_set)[0]
    return ground.high.where(ground.high.upper < valve)


def _ceiling(ground: Ground) -> float:
    """No cut-out above this can meet every demand [Pa gauge]."""
    facts, demands = ground.facts, ground.demands
    tops = [facts.valve_set]
    if CUT_OUT_WITHIN_WISH in demands:
        tops.append(facts.wish)
    if CUT_OUT_WITHIN_DOWNSTREAM_RATING in demands:
        tops.append(facts.rated_max)
    return min(top for top in tops if not isinstance(top, Missing))


def _unless_empty(ground: Ground) -> Ground | None:
    counts = [len(ground.operating.main), len(ground.high.main)]
    if ground.rate is not None:
        counts.append(len(ground.rate.main))
    return ground if min(counts) > 0 else None

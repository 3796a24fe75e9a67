"""Settle one boiler: build the ground, search it, choose the hold, and judge the answer afresh by the whole book."""

from dataclasses import replace

import numpy as np

from evenfire.judgement.behaviour import Behaviour
from evenfire.judgement.case import Case, SettingsSet, facts_of, has_band_on_dial, prepare
from evenfire.judgement.margins import Tier, demands_on, follows_the_load, least_room, room
from evenfire.judgement.rulebook import judge
from evenfire.judgement.settle.choosing import Pick, best, nearest
from evenfire.judgement.settle.grid import (
    Floats,
    Positions,
    paired_positions,
    proved_roles,
    single_positions,
)
from evenfire.judgement.settle.result import CannotSettle, Chosen, Fits, NothingFits, NotWeighed, Room, Settlement
from evenfire.judgement.settle.search import HOLD_DEMANDS, Ground, rooms_of, stack_of, tables_of, unit_of
from evenfire.judgement.stack import Facts
from evenfire.judgement.standing import standing_of
from evenfire.plant.boiler import Boiler, Kind
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing, NotKnownError, known
from evenfire.plant.plant import Plant
from evenfire.plant.settings import DialReading, Settings
from evenfire.si import PA_PER_PSI, DiffPa, GaugePa

USUAL_HOLD_LOW_PRESSURE = 2.5 * PA_PER_PSI
"""Common practice on low pressure is 2 to 3 psi [Pa]."""
USUAL_HOLD_WATERTUBE = 100 * PA_PER_PSI
"""Common practice on water-tube boilers [Pa]."""
ASSUMED_HOLD_SHARE = 0.5
"""Where neither the dial as found nor practice gives a hold, half the needed pressure: well under any dip [1]."""


def settle(plant: Plant, boiler: Boiler) -> Settlement:
    """Settings for all the controls of one boiler together, or what stands in the way.

    Every combination of dial positions is covered. Nothing is proposed unless every demand that is never relaxed can
    be judged and is kept.
    """
    try:
        ground = _ground(plant, boiler)
        _require_judged(ground)
    except NotKnownError as missing:
        return CannotSettle(boiler=boiler.name, missing=missing.keys)
    combinations = _combinations(ground)
    likely = _likely(ground)
    if likely is not None:
        pick = best(tables_of(likely), likely, _found(boiler))
        if pick is not None:
            return Fits(boiler=boiler.name, chosen=_chosen(plant, boiler, likely, pick), combinations=combinations)
    possible = _possible(ground)
    pick = None if possible is None else nearest(tables_of(possible), possible)
    if possible is None or pick is None:
        return NothingFits(boiler=boiler.name, nearest=None, failing=_hopeless(ground), combinations=combinations)
    chosen = _chosen(plant, boiler, possible, pick)
    failing = tuple(sorted((each for each in chosen.rooms if not each.met), key=lambda each: each.weight))
    return NothingFits(boiler=boiler.name, nearest=chosen, failing=failing, combinations=combinations)


def rooms_in(case: Case) -> tuple[tuple[Room, ...], tuple[NotWeighed, ...]]:
    """Every demand on one case with its room, narrowest first, and those that could not be judged."""
    rooms, unknown = [], []
    for margin in case.demands:
        if margin.tier is Tier.USUAL:
            continue
        try:
            value = float(room(margin, case.stack, case.facts))
        except NotKnownError as missing:
            unknown.append(NotWeighed(code=margin.code, missing=missing.keys))
            continue
        unit = unit_of(margin, case.facts.off)
        rooms.append(Room(code=margin.code, room=value, unit=unit, met=value >= least_room(margin)))
    return tuple(sorted(rooms, key=lambda each: each.weight)), tuple(unknown)


def _found(boiler: Boiler) -> Settings | None:
    """The readings from which dials are turned: the last that a person left or found."""
    if boiler.as_left is not None:
        return boiler.as_left
    return None if boiler.as_found is None else boiler.as_found.settings


def _ground(plant: Plant, boiler: Boiler) -> Ground:
    facts = facts_of(plant, boiler, proved_roles(boiler))
    hold = None if boiler.controls.low_fire_hold is None else single_positions(boiler, Role.LOW_FIRE_HOLD)
    known(facts.need, facts.valve_set)
    return Ground(
        operating=paired_positions(boiler, Role.OPERATING_LIMIT),
        rate=paired_positions(boiler, Role.FIRING_RATE) if has_band_on_dial(boiler) else None,
        high=single_positions(boiler, Role.HIGH_LIMIT),
        lowest_hold=None if hold is None else float(hold.upper.min()),
        facts=facts,
        behaviour=Behaviour(boiler, plant.load, plant.site.ambient),
        demands=demands_on(boiler, plant.load),
        low_fire_at_cut_out=has_band_on_dial(boiler) or not follows_the_load(boiler),
    )


def _require_judged(ground: Ground) -> None:
    """Raise for the first thing without which a demand that is never relaxed cannot be judged."""
    small = replace(
        ground,
        operating=ground.operating.where(np.arange(len(ground.operating.main)) == 0),
        high=ground.high.where(np.arange(len(ground.high.main)) == 0),
    )
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


def _likely(ground: Ground) -> Ground | None:
    """Without the positions that no motion can save: restart below need, cut-out above its ceilings."""
    need = known(ground.facts.need)[0]
    ceiling = _ceiling(ground.facts)
    operating, rate = ground.operating, ground.rate
    operating = operating.where((operating.lower >= need) & (operating.upper <= ceiling))
    if rate is not None:
        rate = rate.where((rate.lower >= need) & (rate.upper <= ceiling))
    return _unless_empty(replace(ground, operating=operating, rate=rate, high=_below_valve(ground)))


def _possible(ground: Ground) -> Ground | None:
    """Without the positions that could never be kept: anything at or above the lowest valve."""
    valve = known(ground.facts.valve_set)[0]
    operating, rate = ground.operating, ground.rate
    operating = operating.where((operating.upper < valve) & (operating.lower > 0))
    if rate is not None:
        rate = rate.where((rate.upper < valve) & (rate.lower > 0))
    ground = replace(
        ground, operating=operating, rate=rate, high=_below_valve(ground), low_fire_at_cut_out=rate is None
    )
    return _unless_empty(ground)


def _below_valve(ground: Ground) -> Positions:
    valve = known(ground.facts.valve_set)[0]
    return ground.high.where(ground.high.upper < valve)


def _ceiling(facts: Facts) -> float:
    """No cut-out above this can meet every demand [Pa gauge]."""
    tops = [value for value in (facts.wish, facts.rated_max, facts.valve_set) if not isinstance(value, Missing)]
    return min(tops)


def _unless_empty(ground: Ground) -> Ground | None:
    counts = [len(ground.operating.main), len(ground.high.main)]
    if ground.rate is not None:
        counts.append(len(ground.rate.main))
    return ground if min(counts) > 0 else None


def _combinations(ground: Ground) -> float:
    rate = 1 if ground.rate is None else len(ground.rate.main)
    return float(len(ground.operating.main)) * rate * len(ground.high.main)


def _chosen(plant: Plant, boiler: Boiler, ground: Ground, pick: Pick) -> Chosen:
    operating = _reading(ground.operating, pick.operating)
    rate = None if ground.rate is None else _reading(ground.rate, pick.rate)
    settings = Settings(
        operating_limit=operating,
        high_limit=_reading(ground.high, pick.high),
        firing_rate=rate,
        low_fire_hold=None,
        proved=proved_roles(boiler),
    )
    settings = replace(settings, low_fire_hold=_hold(plant, boiler, settings))
    case = prepare(plant, boiler, SettingsSet.PROPOSED, settings)
    rooms, unknown = rooms_in(case)
    return Chosen(
        settings=settings,
        case=case,
        rooms=rooms,
        not_weighed=unknown,
        standing=standing_of(case),
        outcomes=judge(case),
    )


def _hold(plant: Plant, boiler: Boiler, settings: Settings) -> DialReading | None:
    """The hold nearest to practice, to the dial as found or to half the need, of those that no dip falls into."""
    if boiler.controls.low_fire_hold is None:
        return None
    positions = single_positions(boiler, Role.LOW_FIRE_HOLD)
    readings = [_reading(positions, place) for place in range(len(positions.main))]
    wanted = _wanted_hold(plant, boiler)
    codes = {margin.code for margin in HOLD_DEMANDS}
    for reading in sorted(readings, key=lambda each: abs(each.main - wanted)):
        case = prepare(plant, boiler, SettingsSet.PROPOSED, replace(settings, low_fire_hold=reading))
        if all(each.met for each in rooms_in(case)[0] if each.code in codes):
            return reading
    return readings[0]


def _wanted_hold(plant: Plant, boiler: Boiler) -> float:
    if boiler.is_low_pressure:
        return USUAL_HOLD_LOW_PRESSURE
    if boiler.kind is Kind.WATERTUBE:
        return USUAL_HOLD_WATERTUBE
    found = None if boiler.as_found is None else boiler.as_found.settings.low_fire_hold
    if found is not None:
        return found.main
    return ASSUMED_HOLD_SHARE * (plant.load.need or 0.0)


def _reading(positions: Positions, place: int) -> DialReading:
    differential: Floats | None = positions.differential
    return DialReading(
        main=GaugePa(float(positions.main[place])),
        differential=None if differential is None else DiffPa(float(differential[place])),
    )


def _hopeless(ground: Ground) -> tuple[Room, ...]:
    """The demands never relaxed that no dial position keeps, each with the best that its dials can do."""
    stack = stack_of(ground)
    failing = []
    for margin in ground.demands:
        rooms = rooms_of(margin, stack, ground.facts) if margin.tier is Tier.NEVER_RELAXED else None
        if rooms is None or not rooms.size:
            continue
        most = float(rooms.max())
        if most < least_room(margin):
            unit = unit_of(margin, ground.facts.off)
            failing.append(Room(code=margin.code, room=most, unit=unit, met=False))
    return tuple(sorted(failing, key=lambda each: each.weight))

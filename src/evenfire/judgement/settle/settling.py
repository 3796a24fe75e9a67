"""Settle one boiler: build the ground, search it, choose the hold, and judge the answer afresh by the whole book."""

from dataclasses import replace

from evenfire.judgement.case import Case, SettingsSet, prepare
from evenfire.judgement.margins import Tier, least_room, room
from evenfire.judgement.rulebook import judge
from evenfire.judgement.settle.choosing import Pick, best, nearest
from evenfire.judgement.settle.conflicts import conflicts_of
from evenfire.judgement.settle.grid import Floats, Positions, proved_roles, single_positions
from evenfire.judgement.settle.ground import combinations, ground_of, likely_part, possible_part, require_judged
from evenfire.judgement.settle.pulls import pulls_on
from evenfire.judgement.settle.result import CannotSettle, Chosen, Fits, NothingFits, NotWeighed, Room, Settlement
from evenfire.judgement.settle.search import (
    HOLD_DEMANDS,
    FireAtCutOut,
    Ground,
    rooms_of,
    stack_of,
    tables_of,
    unit_of,
)
from evenfire.judgement.settle.trade import trade_curve
from evenfire.judgement.standing import standing_of
from evenfire.plant.boiler import Boiler, Kind
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing, NotKnownError
from evenfire.plant.plant import Plant
from evenfire.plant.settings import DialReading, Settings
from evenfire.si import PA_PER_PSI, ROUNDING_PA, DiffPa, GaugePa

USUAL_HOLD_LOW_PRESSURE = 2.5 * PA_PER_PSI
"""Common practice on low pressure is 2 to 3 psi [Pa]."""
USUAL_HOLD_WATERTUBE = 100 * PA_PER_PSI
"""Common practice on water-tube boilers [Pa]."""
ASSUMED_HOLD_SHARE = 0.5
"""Where neither the dial as found nor practice gives a hold, half the needed pressure: well under any dip [1]."""


def settle(plant: Plant, boiler: Boiler) -> Settlement:
    """Settings for all the controls of one boiler together, or what stands in the way and what would mend it.

    Every combination of dial positions is covered. Nothing is proposed unless every demand that is never relaxed can
    be judged and is kept.
    """
    try:
        ground = ground_of(plant, boiler)
        require_judged(ground)
    except NotKnownError as missing:
        return CannotSettle(boiler=boiler.name, missing=missing.keys)
    likely = likely_part(ground)
    pick = None if likely is None else best(tables_of(likely), likely, _found(boiler))
    if likely is not None and pick is not None:
        chosen = _chosen(plant, boiler, likely, pick)
        return Fits(
            boiler=boiler.name,
            chosen=chosen,
            trade=trade_curve(ground),
            pulls=pulls_on(chosen.case),
            combinations=combinations(ground),
        )
    fallback = _least_bad(plant, boiler, ground)
    failing = _hopeless(ground) if fallback is None else tuple(room for room in fallback.rooms if not room.met)
    return NothingFits(
        boiler=boiler.name,
        nearest=fallback,
        failing=failing,
        conflicts=conflicts_of(plant, boiler, ground),
        combinations=combinations(ground),
    )


def _least_bad(plant: Plant, boiler: Boiler, ground: Ground) -> Chosen | None:
    """The settings that keep what is never relaxed and break the rest by the fewest tolerances.

    Looked for twice, with the burner at low fire at cut-out and with it at full fire: the first is true only where low
    fire is reached, the second is never too mild. The case itself, judged at its own fire, decides.
    """
    found = []
    for fire in (FireAtCutOut.LOW, FireAtCutOut.FULL):
        part = possible_part(ground, fire)
        pick = None if part is None else nearest(tables_of(part), part)
        if part is not None and pick is not None:
            found.append(_chosen(plant, boiler, part, pick))
    never = {demand.code for demand in ground.demands if demand.tier is Tier.NEVER_RELAXED}
    safe = [each for each in found if all(room.met for room in each.rooms if room.code in never)]
    return max(safe, key=lambda each: each.rooms[0].weight, default=None)


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
    """The hold as found if no dip falls into it, else the one nearest to practice or to half the need that is so."""
    control = boiler.controls.low_fire_hold
    if control is None:
        return None
    positions = single_positions(boiler, Role.LOW_FIRE_HOLD)
    found = _found(boiler)
    wanted = _wanted_hold(plant, boiler)
    order = sorted(range(len(positions.main)), key=lambda place: _from_wanted(float(positions.upper[place]), wanted))
    readings = [_reading(positions, place) for place in order]
    if found is not None and found.low_fire_hold is not None and _has_no_usual_hold(boiler):
        readings.insert(0, found.low_fire_hold)
    codes = {margin.code for margin in HOLD_DEMANDS}
    for reading in readings:
        case = prepare(plant, boiler, SettingsSet.PROPOSED, replace(settings, low_fire_hold=reading))
        if all(each.met for each in rooms_in(case)[0] if each.code in codes) and clears_interruptions(case):
            return reading
    return _reading(positions, int(positions.upper.argmin()))


def clears_interruptions(case: Case) -> bool:
    """Whether the hold stands below every pressure that an interruption under load was seen to reach.

    A hold that the pressure falls into pins the burner at low fire under load, for good.
    """
    simulated, hold, off = case.boiler.simulated, case.stack.hold, case.facts.off.low_fire_hold
    if simulated is None or simulated.lowest_under_load is None or isinstance(hold, Missing):
        return True
    return hold + (0.0 if isinstance(off, Missing) else off) < simulated.lowest_under_load


def _from_wanted(point: float, wanted: float) -> tuple[bool, float]:
    """A hold a little above what is wanted goes before one below it."""
    return point < wanted - ROUNDING_PA, abs(point - wanted)


def _has_no_usual_hold(boiler: Boiler) -> bool:
    return not boiler.is_low_pressure and boiler.kind is not Kind.WATERTUBE


def _wanted_hold(plant: Plant, boiler: Boiler) -> float:
    if boiler.is_low_pressure:
        return USUAL_HOLD_LOW_PRESSURE
    if boiler.kind is Kind.WATERTUBE:
        return USUAL_HOLD_WATERTUBE
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

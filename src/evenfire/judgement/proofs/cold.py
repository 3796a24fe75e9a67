"""A cold start at low fire, with its hold and without."""

from dataclasses import replace

import numpy as np

from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.motion.beginning import from_cold
from evenfire.judgement.motion.loading import FaultAt
from evenfire.judgement.outcome import Basis
from evenfire.judgement.proofs.interruptions import lowest_under_load
from evenfire.judgement.proofs.result import (
    Check,
    Fact,
    FiringSchedule,
    Found,
    NotApplicable,
    Proof,
    Scenario,
    Shown,
    Watched,
    concluded,
)
from evenfire.judgement.proofs.staging import TRUE, Stage, nothing, stages_of
from evenfire.judgement.proofs.warming import fastest_warming, firing_schedule, kept_low, wall_strain, warms_slowly
from evenfire.judgement.proofs.watching import SAME, yes_or_no
from evenfire.judgement.rules.practice import WARMED_AT_LOW_FIRE
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.happenings import Happening
from evenfire.plant.known import known
from evenfire.si import Dimension, Quantity

HOURS = 12.0


def cold_start(case: Case) -> Proof:
    """From room temperature as its controls fire it, nobody drawing, to the working band.

    And again with a hand that keeps it at low fire to the end, which is what a firing schedule is made of.
    """
    checks: list[Check] = []
    facts: list[Fact] = []
    runs: list[Shown] = []
    schedules: list[FiringSchedule] = []
    for stage in stages_of(case, TRUE):
        shown = _warmed(stage)
        by_hand = _warmed(kept_low(stage))
        runs.append(shown)
        facts += [*_times(stage, shown), *_rates(case, shown, by_hand)]
        checks += [*_checks(case, shown), *_kept_low(stage, shown)]
        schedules.append(FiringSchedule(name=shown.name, firings=firing_schedule(stage, by_hand)))
    checks += _trap(case)
    proof = concluded(Scenario.COLD_START, checks, tuple(facts), tuple(runs))
    walls = tuple(strain for strain in (wall_strain(case.boiler, shown) for shown in runs) if strain is not None)
    return replace(
        proof,
        schedules=tuple(each for each in schedules if each.firings),
        walls=walls,
        not_told=() if walls else ("boiler.wall",),
    )


def hold_absent(case: Case) -> Proof | NotApplicable:
    """The same with the hold bypassed: what it spares the boiler; says nothing of a boiler without one."""
    if not _has_hold(case):
        return NotApplicable(scenario=Scenario.HOLD_ABSENT)
    facts: list[Fact] = []
    runs: list[Shown] = []
    for stage in stages_of(case, TRUE):
        shown = _warmed(stage, FaultAt(fault=Fault.HOLD_BYPASSED, begin=0.0))
        runs.append(shown)
        facts += [*_times(stage, shown), _rate(Found.FASTEST_WARMING, shown, shown.name)]
    return concluded(Scenario.HOLD_ABSENT, [], tuple(facts), tuple(runs))


def _warmed(stage: Stage, *faults: FaultAt) -> Shown:
    first = from_cold(stage.case, stage.model)
    return stage.run(stage.burner.fuel.value, first, nothing(), hours=HOURS, faults=faults)


def _has_hold(case: Case) -> bool:
    return follows_the_load(case.boiler) and case.boiler.controls.low_fire_hold is not None


def _checks(case: Case, shown: Shown) -> list[Check]:
    checks = []
    if _has_hold(case):
        let_go = _first(shown, Happening.HOLD_LET_GO)
        checks.append(yes_or_no(Watched.HOLD_LETS_GO, let_go is not None, shown, let_go))
    slowly = warms_slowly(case.boiler, shown)
    return [*checks, slowly] if slowly is not None else checks


def _kept_low(stage: Stage, shown: Shown) -> list[Check]:
    """Without a hold: how high it fires before it steams; nothing where no practice is known, or there is one fire."""
    boiler, low = stage.case.boiler, float(stage.model.burner.lowest)
    if boiler.controls.low_fire_hold is not None or boiler.kind not in WARMED_AT_LOW_FIRE or low >= 1.0 - SAME:
        return []
    steams, series = _first(shown, Happening.VENT_CLOSED), shown.run.series
    before = series.time <= (np.inf if steams is None else steams)
    highest = float(series.firing[before].max())
    return [
        Check(
            watched=Watched.KEPT_LOW,
            observed=Quantity(highest, Dimension.FRACTION),
            limit=Quantity(low, Dimension.FRACTION),
            margin=Quantity(low - highest, Dimension.FRACTION),
            holds=highest <= low + SAME,
            shown=shown.name,
            basis=Basis.COMMON_PRACTICE,
        )
    ]


def _rates(case: Case, shown: Shown, by_hand: Shown) -> list[Fact]:
    """How fast it warms; where the burner comes up from low fire, at low fire as well."""
    fastest = _rate(Found.FASTEST_WARMING, shown, shown.name)
    if not follows_the_load(case.boiler):
        return [fastest]
    at_low_fire = _rate(Found.LOW_FIRE_WARMING, by_hand, shown.name)
    # What its controls do by themselves is told first: without a hold that is not low fire.
    return [at_low_fire, fastest] if _has_hold(case) else [fastest, at_low_fire]


def _rate(found: Found, shown: Shown, name: str) -> Fact:
    return Fact(found, Quantity(fastest_warming(shown), Dimension.TEMPERATURE_RATE), name)


def _trap(case: Case) -> list[Check]:
    """What lets go on the way up takes again on the way down, and no load comes out of it.

    How deep a dip may come is common practice: the interruptions are ours, at a load that nobody stated.
    """
    lowest = lowest_under_load(case)
    if lowest is None:
        return []
    hold = known(case.stack.hold)[0]
    return [
        Check(
            watched=Watched.HOLD_IS_NO_TRAP,
            observed=Quantity(lowest, Dimension.GAUGE_PRESSURE),
            limit=Quantity(hold, Dimension.GAUGE_PRESSURE),
            margin=Quantity(lowest - hold, Dimension.PRESSURE_DIFFERENCE),
            holds=lowest > hold,
            basis=Basis.COMMON_PRACTICE,
        )
    ]


def _times(stage: Stage, shown: Shown) -> list[Fact]:
    """First steam, working band, and when the hold let go; what did not come is left out."""
    cut_in = float(stage.model.controls.cut_in - stage.model.vessel.ambient)
    # Without an operating limit there is no band.
    in_band = np.flatnonzero((shown.run.series.pressure >= cut_in) & np.isfinite(cut_in))
    times = (
        (Found.TIME_TO_STEAM, _first(shown, Happening.VENT_CLOSED)),
        (Found.TIME_TO_BAND, float(shown.run.series.time[in_band[0]]) if len(in_band) else None),
        (Found.HOLD_RELEASED, _first(shown, Happening.HOLD_LET_GO)),
    )
    return [Fact(found, Quantity(time, Dimension.TIME), shown.name) for found, time in times if time is not None]


def _first(shown: Shown, kind: Happening) -> float | None:
    return next((event.time for event in shown.run.events if event.kind is kind), None)

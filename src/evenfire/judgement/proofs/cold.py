"""A cold start at low fire, with its hold and without."""

from dataclasses import replace

import numpy as np

from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.motion.beginning import from_cold
from evenfire.judgement.motion.loading import FaultAt
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
from evenfire.judgement.proofs.warming import allowed_warming, fastest_warming, firing_schedule, wall_strain
from evenfire.judgement.proofs.watching import yes_or_no
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.happenings import Happening
from evenfire.si import Dimension, Quantity

HOURS = 12.0


def cold_start(case: Case) -> Proof:
    """From room temperature at low fire, nobody drawing, to the working band."""
    checks: list[Check] = []
    facts: list[Fact] = []
    runs: list[Shown] = []
    schedules: list[FiringSchedule] = []
    for stage in stages_of(case, TRUE):
        shown = stage.run(stage.burner.fuel.value, from_cold(case, stage.model), nothing(), hours=HOURS)
        runs.append(shown)
        facts += _times(stage, shown)
        facts.append(
            Fact(Found.FASTEST_WARMING, Quantity(fastest_warming(shown), Dimension.TEMPERATURE_RATE), shown.name)
        )
        allowed = allowed_warming(case.boiler).rate
        if allowed is not None:
            facts.append(Fact(Found.ALLOWED_WARMING, Quantity(allowed, Dimension.TEMPERATURE_RATE), shown.name))
        schedules.append(FiringSchedule(name=shown.name, firings=firing_schedule(stage, shown)))
        if follows_the_load(case.boiler) and case.boiler.controls.low_fire_hold is not None:
            let_go = _first(shown, Happening.HOLD_LET_GO)
            checks.append(yes_or_no(Watched.HOLD_LETS_GO, let_go is not None, shown, let_go))
    proof = concluded(Scenario.COLD_START, checks, tuple(facts), tuple(runs))
    walls = tuple(strain for strain in (wall_strain(case.boiler, shown) for shown in runs) if strain is not None)
    return replace(
        proof,
        schedules=tuple(each for each in schedules if each.firings),
        walls=walls,
        not_told=() if walls else ("boiler.wall",),
    )


def hold_absent(case: Case) -> Proof | NotApplicable:
    """The same with the hold bypassed: what it spares the boiler."""
    if not follows_the_load(case.boiler):
        return NotApplicable(scenario=Scenario.HOLD_ABSENT)
    facts: list[Fact] = []
    runs: list[Shown] = []
    bypassed = FaultAt(fault=Fault.HOLD_BYPASSED, begin=0.0)
    for stage in stages_of(case, TRUE):
        first = from_cold(case, stage.model)
        shown = stage.run(stage.burner.fuel.value, first, nothing(), hours=HOURS, faults=[bypassed])
        runs.append(shown)
        facts += _times(stage, shown)
        facts.append(
            Fact(Found.FASTEST_WARMING, Quantity(fastest_warming(shown), Dimension.TEMPERATURE_RATE), shown.name)
        )
    return concluded(Scenario.HOLD_ABSENT, [], tuple(facts), tuple(runs))


def _times(stage: Stage, shown: Shown) -> list[Fact]:
    """First steam, working band, and when the hold let go; what did not come is left out."""
    cut_in = float(stage.model.controls.cut_in - stage.model.vessel.ambient)
    in_band = np.flatnonzero(shown.run.series.pressure >= cut_in)
    times = (
        (Found.TIME_TO_STEAM, _first(shown, Happening.VENT_CLOSED)),
        (Found.TIME_TO_BAND, float(shown.run.series.time[in_band[0]]) if len(in_band) else None),
        (Found.HOLD_RELEASED, _first(shown, Happening.HOLD_LET_GO)),
    )
    return [Fact(found, Quantity(time, Dimension.TIME), shown.name) for found, time in times if time is not None]


def _first(shown: Shown, kind: Happening) -> float | None:
    return next((event.time for event in shown.run.events if event.kind is kind), None)

"""What the high limit is for, and what the safety valves are for."""

from dataclasses import replace
from math import inf

from evenfire.judgement.case import Case
from evenfire.judgement.motion.loading import FaultAt
from evenfire.judgement.motion.modelling import normal_volume
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.result import Check, Fact, Found, Proof, Scenario, Shown, Watched, concluded
from evenfire.judgement.proofs.staging import LATE, Stage, nothing, stages_of
from evenfire.judgement.proofs.watching import at_most, blaming, yes_or_no
from evenfire.judgement.rules.valves import highest_accumulation
from evenfire.physics.motion import starting
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.records import copied
from evenfire.plant.known import known
from evenfire.si import AbsPa, Dimension, Quantity

HOURS = 2.0
VALVE_HOURS = 4.0


def high_limit_alone(case: Case) -> Proof:
    """Operating limit welded, drive stuck at full fire, load gone; the high limit as late as its tolerance lets it."""
    checks: list[Check] = []
    runs: list[Shown] = []
    run_on = 0.0
    for stage in stages_of(case, LATE):
        shown = _let_go(stage, (Fault.OPERATING_LIMIT_WELDED, Fault.DRIVE_STUCK_AT_FULL), HOURS)
        runs.append(shown)
        trip = float(stage.model.controls.trip - stage.model.vessel.ambient)
        highest = shown.run.highest
        run_on = max(run_on, highest.pressure - trip)
        lift = at_most(Watched.NO_LIFT, highest.pressure, known(case.facts.earliest_lift)[0], shown, highest.time)
        checks.append(blaming(lift, TermName.RUN_ON_AT_FULL_FIRE))
        relit = _relit(shown)
        checks.append(yes_or_no(Watched.STAYS_OFF, relit is None, shown, relit))
    facts = (Fact(Found.RUN_ON, Quantity(run_on, Dimension.PRESSURE_DIFFERENCE)),)
    return concluded(
        Scenario.HIGH_LIMIT_ALONE, checks, facts, tuple(runs), {TermName.RUN_ON_AT_FULL_FIRE: max(0.0, run_on)}
    )


def motion_seen(case: Case) -> dict[TermName, float]:
    """Run-on after the high limit stopped full fire with no load [Pa]; nothing without a high limit.

    Without the safety valves, which would hide how far the pressure wants to go.
    """
    if case.boiler.controls.high_limit is None:
        return {}
    run_on = 0.0
    for stage in stages_of(case, LATE):
        model = copied(stage.model)
        model.valves.count = 0
        unheld = replace(stage, model=model)
        shown = _let_go(unheld, (Fault.OPERATING_LIMIT_WELDED, Fault.DRIVE_STUCK_AT_FULL), HOURS)
        run_on = max(run_on, float(shown.run.highest.pressure - model.controls.trip + model.vessel.ambient))
    return {TermName.RUN_ON_AT_FULL_FIRE: run_on}


def valves_alone(case: Case) -> Proof:
    """Both limits failed, full fire, no load: the safety valves have to hold what the burner makes."""
    checks: list[Check] = []
    runs: list[Shown] = []
    lacking = 0.0
    limit = highest_accumulation(case.boiler)
    faults = (Fault.OPERATING_LIMIT_WELDED, Fault.HIGH_LIMIT_WELDED, Fault.DRIVE_STUCK_AT_FULL)
    for stage in stages_of(case, LATE):
        shown = _let_go(stage, faults, VALVE_HOURS)
        runs.append(shown)
        checks.append(at_most(Watched.ACCUMULATION, shown.run.highest.pressure, limit, shown, shown.run.highest.time))
        lacking = max(lacking, _lacking(stage, limit))
    facts = (Fact(Found.SHORT_OF_RELIEF, Quantity(lacking, Dimension.MASS_FLOW)),) if lacking > 0.0 else ()
    return concluded(Scenario.VALVES_ALONE, checks, facts, tuple(runs))


def _let_go(stage: Stage, faults: tuple[Fault, ...], hours: float) -> Shown:
    """Full fire at the cut-in pressure, and nobody draws any more.

    Feed keeps the level while the valves blow: a boiler that runs dry is another matter.
    """
    model = stage.model
    pressure = min(float(model.controls.cut_in), float(model.valves.lifts[: model.valves.count].min(initial=inf)) - 1e4)
    first = starting.on_line(model, AbsPa(pressure), normal_volume(stage.case), 1.0)
    return stage.run(
        stage.burner.fuel.value,
        first,
        nothing(),
        hours=hours,
        faults=[FaultAt(fault=each, begin=0.0) for each in faults],
    )


def _relit(shown: Shown) -> float | None:
    """When fuel burnt again after the high limit had stopped it [s]; also when the limit never acted."""
    tripped = next((event.time for event in shown.run.events if event.kind is Happening.HIGH_LIMIT_OPENED), None)
    if tripped is None:
        return 0.0
    series = shown.run.series
    later = (series.time > tripped + 1.0) & (series.firing > 0.0)
    return float(series.time[later][0]) if later.any() else None


def _lacking(stage: Stage, limit: float) -> float:
    """Steam that the burner makes at full fire beyond what all valves pass at the limit [kg/s]."""
    valves = stage.model.valves
    passes = float(valves.conductances[: valves.count].sum()) * (limit + stage.model.vessel.ambient)
    return max(0.0, stage.model.burner.full_heat / stage.per_steam - passes)

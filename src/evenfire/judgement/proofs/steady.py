"""Steady loads from nothing to full, and the plant's own day."""

from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.motion.beginning import at_work
from evenfire.judgement.motion.loading import profile_of, worst_steady_load
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.result import Check, Fact, Found, Proof, Scenario, Shown, concluded
from evenfire.judgement.proofs.staging import CROSSED, HIGH, LOW, TRUE, Corner, Stage, stages_of
from evenfire.judgement.proofs.watching import high_checks, low_fire_first, need_checks
from evenfire.physics.motion.model import steady
from evenfire.plant.boiler import Boiler
from evenfire.si import Dimension, Quantity

HOURS = 2.0
SHARES_BELOW_LOW_FIRE = (0.0, 0.5, 0.9)
SHARES_ABOVE = (0.25, 0.6, 1.0)
"""Between low fire and the greatest load."""
SHARES_OF_ON_OFF = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Of the greatest load."""
DAY_HOURS = 24.0


def steady_loads(case: Case) -> Proof:
    """Each load for two hours, every dial at the corner that the question is worst at."""
    checks: list[Check] = []
    runs: list[Shown] = []
    most = 0.0
    for corner in (LOW, HIGH, CROSSED):
        for stage in stages_of(case, corner):
            for share in _shares(case.boiler, stage):
                name = f"{share:.0%}{_of_which(case, stage)}"
                shown = stage.run(name, stage.standing_at(share * stage.full), steady(share * stage.full), hours=HOURS)
                checks += _checks(stage, corner, share, shown)
                if corner is HIGH:
                    runs.append(shown)
                    most = max(most, len(shown.run.cycles) / HOURS)
    facts = (Fact(Found.STARTS, Quantity(most / 3600.0, Dimension.FREQUENCY)),)
    return concluded(Scenario.STEADY_LOADS, checks, facts, tuple(runs), motion_seen(case))


def _of_which(case: Case, stage: Stage) -> str:
    """Which burner, where there are several: each has its own low fire."""
    return f" on {stage.burner.fuel.value}" if len(case.boiler.burners) > 1 else ""


def _shares(boiler: Boiler, stage: Stage) -> tuple[float, ...]:
    """Shares of full load."""
    most = stage.greatest_load / stage.full
    if not follows_the_load(boiler):
        return tuple(most * share for share in SHARES_OF_ON_OFF)
    low = stage.low / stage.full
    below = [low * share for share in SHARES_BELOW_LOW_FIRE]
    above = [low + (most - low) * share for share in SHARES_ABOVE] if most > low else []
    return tuple(share for share in below if share <= most) + tuple(above)


def _checks(stage: Stage, corner: Corner, share: float, shown: Shown) -> list[Check]:
    if corner is LOW:
        return list(need_checks(stage.case, shown))
    if corner is HIGH:
        return list(high_checks(stage, shown))
    first = (
        low_fire_first(stage, shown) if follows_the_load(stage.case.boiler) and share * stage.full < stage.low else None
    )
    return [] if first is None else [first]


def motion_seen(case: Case) -> dict[TermName, float]:
    """Run-on after cut-out without load, and undershoot after cut-in at low-fire load, dials true [Pa]."""
    run_on, undershoot = 0.0, 0.0
    for stage in stages_of(case, TRUE):
        controls, ambient = stage.model.controls, stage.model.vessel.ambient
        idle = stage.run("no load", stage.at_cut_in(), steady(0.0), hours=HOURS)
        run_on = max(run_on, float(idle.run.highest.pressure + ambient - controls.cut_out))
        loaded = stage.run("low-fire load", stage.at_cut_in(), steady(stage.worst_cycling_load), hours=0.5)
        undershoot = max(undershoot, float(controls.cut_in - loaded.run.lowest.pressure - ambient))
    return {TermName.RUN_ON_AT_CUT_OUT: run_on, TermName.UNDERSHOOT: undershoot}


def day(case: Case) -> Proof:
    """The plant's own load for a day, or the load that cycles most, dials true and feed as it comes."""
    demand = case.load.demand
    draw = profile_of(demand) if demand is not None else steady(worst_steady_load(case))
    checks: list[Check] = []
    runs: list[Shown] = []
    starts = 0.0
    for stage in stages_of(case, TRUE, slugs=True):
        shown = stage.run(stage.burner.fuel.value, at_work(case, stage.model, draw), draw, hours=DAY_HOURS)
        checks += [*need_checks(case, shown), *high_checks(stage, shown)]
        runs.append(shown)
        starts = max(starts, len(shown.run.cycles) / DAY_HOURS)
    facts = (Fact(Found.STARTS, Quantity(starts / 3600.0, Dimension.FREQUENCY)),)
    return concluded(Scenario.DAY, checks, facts, tuple(runs))

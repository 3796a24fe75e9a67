"""Steady loads from nothing to full, and the plant's own day."""

from functools import partial

from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.motion.beginning import at_work
from evenfire.judgement.motion.loading import profile_of, worst_steady_load
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.result import Check, Fact, Found, Proof, Scenario, Shown, concluded
from evenfire.judgement.proofs.staging import CROSSED, HIGH, INTERVAL, LOW, TRUE, Corner, Stage, stages_of
from evenfire.judgement.proofs.watching import high_checks, hold_check, low_fire_first, need_checks, stood_off
from evenfire.physics.motion.model import RATE_TWO_POSITION, Profile, steady
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
                shown = _run(stage, share)
                checks += _checks(stage, corner, share, shown)
                if corner is HIGH or shown.broke_off:
                    runs.append(shown)
                if corner is HIGH:
                    most = max(most, len(shown.run.cycles) / HOURS)
    facts = (Fact(Found.STARTS, Quantity(most / 3600.0, Dimension.FREQUENCY)), *_stood_off(runs))
    return concluded(Scenario.STEADY_LOADS, checks, facts, tuple(runs), motion_seen(case))


def _run(stage: Stage, share: float, interval: float = INTERVAL) -> Shown:
    flow, name = share * stage.full, f"{share:.0%}{_of_which(stage.case, stage)}"
    return stage.run(name, stage.standing_at(flow), steady(flow), hours=HOURS, interval=interval)


def _stood_off(runs: list[Shown]) -> tuple[Fact, ...]:
    """Where the high limit stopped the burner for good, the first to do so: starts counted there say nothing."""
    times = [(time, shown.name) for shown in runs if (time := stood_off(shown)) is not None]
    return tuple(Fact(Found.STOOD_OFF, Quantity(time, Dimension.TIME), name) for time, name in sorted(times)[:1])


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
        below = list(need_checks(stage.case, shown, lambda interval: _run(stage, share, interval)))
        # In the hold low fire goes on: only a load above it pulls the pressure down for good.
        return below + (hold_check(stage, shown) if share * stage.full > stage.low else [])
    if corner is HIGH:
        return list(high_checks(stage, shown))
    first = (
        low_fire_first(stage, shown) if follows_the_load(stage.case.boiler) and share * stage.full < stage.low else None
    )
    return [] if first is None else [first]


def motion_seen(case: Case) -> dict[TermName, float]:
    """Run-on after cut-out without load, and undershoot after cut-in at low-fire load, dials true [Pa]."""
    run_on, undershoot, fall = 0.0, 0.0, 0.0
    for stage in stages_of(case, TRUE):
        controls, ambient = stage.model.controls, stage.model.vessel.ambient
        idle = stage.run("no load", stage.at_cut_in(), steady(0.0), hours=HOURS)
        run_on = max(run_on, float(idle.run.highest.pressure + ambient - controls.cut_out))
        loaded = stage.run("low-fire load", stage.at_cut_in(), steady(stage.worst_cycling_load), hours=0.5)
        undershoot = max(undershoot, float(controls.cut_in - loaded.run.lowest.pressure - ambient))
        fall = max(fall, _fall_at_load(stage))
    return {TermName.RUN_ON_AT_CUT_OUT: run_on, TermName.UNDERSHOOT: undershoot, TermName.FALL_AT_LOAD: fall}


def _fall_at_load(stage: Stage) -> float:
    """Fall below the high-fire point at the greatest load, of a burner that goes up in a step [Pa]."""
    flow, controls = stage.greatest_load, stage.model.controls
    steps = stage.model.burner.rate_action == RATE_TWO_POSITION
    if not steps or flow <= stage.low or controls.low_fire >= controls.cut_out:
        return 0.0
    loaded = stage.free_of_hold().run("full load", stage.standing_at(flow), steady(flow), hours=0.5)
    return max(0.0, float(controls.high_fire - loaded.run.lowest.pressure - stage.model.vessel.ambient))


def day(case: Case) -> Proof:
    """The plant's own load for a day, or the load that cycles most, dials true and feed as it comes."""
    demand = case.load.demand
    draw = profile_of(demand) if demand is not None else steady(worst_steady_load(case))
    checks: list[Check] = []
    runs: list[Shown] = []
    starts = 0.0
    for stage in stages_of(case, TRUE, slugs=True):
        shown = _day_of(stage, draw)
        checks += [*need_checks(case, shown, partial(_day_of, stage, draw)), *high_checks(stage, shown)]
        runs.append(shown)
        starts = max(starts, len(shown.run.cycles) / DAY_HOURS)
    facts = (Fact(Found.STARTS, Quantity(starts / 3600.0, Dimension.FREQUENCY)), *_stood_off(runs))
    return concluded(Scenario.DAY, checks, facts, tuple(runs))


def _day_of(stage: Stage, draw: Profile, interval: float = INTERVAL) -> Shown:
    first = at_work(stage.case, stage.model, draw)
    return stage.run(stage.burner.fuel.value, first, draw, hours=DAY_HOURS, interval=interval)

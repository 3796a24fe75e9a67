"""What comes back by itself: a low-water stop, a power dip."""

from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.motion.loading import FaultAt
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.result import Check, Fact, Found, Proof, Scenario, Shown, Watched, concluded
from evenfire.judgement.proofs.staging import TRUE, Stage, stages_of
from evenfire.judgement.proofs.watching import at_most, blaming, longest_below, need_of, yes_or_no
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.model import steady
from evenfire.physics.motion.run import Phase
from evenfire.plant.known import known
from evenfire.si import Dimension, GaugePa, Quantity

HOURS = 2.0
BEGINS = 300.0
"""[s]"""
LOW_WATER_LASTS = 60.0
"""Until a feed pump that runs has brought the float up again [s]."""
POWER_OFF_LASTS = 10.0
"""[s]"""
ASSUMED_LOAD = 0.75
"""Share of full load at which the interruption comes: a busy hour [1]."""


def low_water(case: Case) -> Proof:
    """The low-water cutoff opens for a minute under load and makes again."""
    return _interrupted(case, Scenario.LOW_WATER, Fault.LOW_WATER, LOW_WATER_LASTS)


def power_dip(case: Case) -> Proof:
    """The power fails for ten seconds under load."""
    return _interrupted(case, Scenario.POWER_DIP, Fault.POWER_OFF, POWER_OFF_LASTS)


def _interrupted(case: Case, scenario: Scenario, fault: Fault, lasts: float) -> Proof:
    checks: list[Check] = []
    facts: list[Fact] = []
    runs: list[Shown] = []
    for stage in stages_of(case, TRUE):
        shown = _run(stage, fault, lasts)
        runs.append(shown)
        back = next(
            (
                event.time
                for event in shown.run.events
                if event.kind is Happening.PHASE_BEGAN
                and event.subject == Phase.RELEASED
                and event.time > BEGINS + lasts
            ),
            None,
        )
        is_back = back is not None and not bool(shown.run.last.contacts.holds)
        checks.append(yes_or_no(Watched.RESTARTS, is_back, shown, back))
        highest = shown.run.highest
        lift = known(case.facts.earliest_lift)[0]
        no_lift = at_most(Watched.NO_LIFT, highest.pressure, lift, shown, highest.time)
        checks.append(blaming(no_lift, TermName.RUN_ON_AT_CUT_OUT))
        below = longest_below(shown, need_of(case))
        facts.append(Fact(Found.LOWEST, Quantity(shown.run.lowest.pressure, Dimension.GAUGE_PRESSURE), shown.name))
        facts.append(Fact(Found.OUT_OF_SERVICE, Quantity(below, Dimension.TIME), shown.name))
        pinned = next((event.time for event in shown.run.events if event.kind is Happening.HOLD_TOOK), None)
        if pinned is not None:
            found, since = (Found.PINNED_BEFORE, 0.0) if pinned < BEGINS else (Found.PINNED_BY_HOLD, BEGINS)
            facts.append(Fact(found, Quantity(pinned - since, Dimension.TIME), shown.name))
    return concluded(scenario, checks, tuple(facts), tuple(runs))


def lowest_under_load(case: Case) -> GaugePa | None:
    """Lowest pressure that either interruption reaches with the hold bypassed [Pa gauge]; nothing without a hold.

    What a hold has to stay below: under load nothing brings a boiler out of it.
    """
    if case.boiler.controls.low_fire_hold is None or not follows_the_load(case.boiler):
        return None
    free = FaultAt(fault=Fault.HOLD_BYPASSED, begin=0.0)
    lowest = min(
        _run(stage, fault, lasts, free).run.lowest.pressure
        for stage in stages_of(case, TRUE)
        for fault, lasts in ((Fault.LOW_WATER, LOW_WATER_LASTS), (Fault.POWER_OFF, POWER_OFF_LASTS))
    )
    return GaugePa(max(0.0, lowest))


def _run(stage: Stage, fault: Fault, lasts: float, *others: FaultAt) -> Shown:
    flow = ASSUMED_LOAD * stage.full
    faults = [FaultAt(fault=fault, begin=BEGINS, end=BEGINS + lasts), *others]
    return stage.run(stage.burner.fuel.value, stage.standing_at(flow), steady(flow), hours=HOURS, faults=faults)

"""Changes of load: what is picked up, and what falls away."""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf

from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.result import (
    Check,
    Fact,
    Found,
    NotApplicable,
    Proof,
    Scenario,
    Shown,
    Watched,
    concluded,
)
from evenfire.judgement.proofs.staging import CROSSED, LOW, MOST_OF_FULL, TRUE, Stage, ramp, stages_of
from evenfire.judgement.proofs.watching import at_least, need_checks, yes_or_no
from evenfire.physics.control_logic import OPERATING_LIMIT
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.state import State
from evenfire.plant.known import Origin, given, known
from evenfire.plant.load import Ramp
from evenfire.si import Dimension, Quantity

HOURS = 0.75
HALVINGS = 8
"""Of a search: to one part in 256."""


def pick_up(case: Case) -> Proof | NotApplicable:
    """The design pick-up from low-fire load, every dial low.

    The need is demanded of a pick-up that the survey states; of an assumed one it is only told.
    """
    if not follows_the_load(case.boiler):
        return NotApplicable(scenario=Scenario.PICK_UP)
    change = _design_pick_up(case)
    stages = stages_of(case, LOW)
    picked = [_picked_up(stage, change, 1.001 * stage.low, stage.standing_at(1.001 * stage.low)) for stage in stages]
    checks = [check for each in picked for check in each.hold]
    if change.size.origin is not Origin.ASSUMED:
        checks += [check for each in picked for check in each.need]
    return _concluded(Scenario.PICK_UP, picked, checks)


def pick_up_after_restart(case: Case) -> Proof:
    """The same at the very moment of cut-in, when the burner is furthest from giving heat.

    Nobody can promise the need then; what it can take is found. But it may not fall into the hold, out of which no
    boiler comes under load.
    """
    change = _design_pick_up(case)
    picked = [_picked_up(stage, change, 0.9 * stage.low, stage.at_cut_in()) for stage in stages_of(case, LOW)]
    return _concluded(Scenario.PICK_UP_AFTER_RESTART, picked, [check for each in picked for check in each.hold])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Picked:
    """One burner through a pick-up."""

    shown: Shown
    need: list[Check]
    hold: list[Check]
    largest: float
    """That still holds the need, as a share of full load [1]"""


def _design_pick_up(case: Case) -> Ramp:
    return known(given(case.load.design_pick_up, "load.pick_up"))[0]


def _picked_up(stage: Stage, change: Ramp, before: float, first: State) -> _Picked:
    most = max(0.0, MOST_OF_FULL * stage.full - before)

    def picks_up(size: float) -> Shown:
        draw = ramp(before, before + size, 0.0, change.duration.value)
        return stage.run(stage.burner.fuel.value, first, draw, hours=HOURS)

    def holds_need(size: float) -> bool:
        return all(check.holds for check in need_checks(stage.case, picks_up(size)))

    shown = picks_up(min(stage.flow_of(change), most))
    return _Picked(
        shown=shown,
        need=list(need_checks(stage.case, shown)),
        hold=_hold_check(stage, shown),
        largest=_largest(holds_need, most) / stage.full,
    )


def _concluded(scenario: Scenario, picked: list[_Picked], checks: list[Check]) -> Proof:
    lowest = min((each.shown.run.lowest.pressure for each in picked), default=0.0)
    facts = (
        Fact(Found.LARGEST_PICK_UP, Quantity(min(each.largest for each in picked), Dimension.FRACTION)),
        Fact(Found.LOWEST, Quantity(lowest, Dimension.GAUGE_PRESSURE)),
    )
    return concluded(scenario, checks, facts, tuple(each.shown for each in picked))


def _hold_check(stage: Stage, shown: Shown) -> list[Check]:
    """A hold that the pressure falls into pins the boiler at low fire under load, for good."""
    if stage.case.boiler.controls.low_fire_hold is None:
        return []
    hold = float(stage.model.controls.takes_hold - stage.model.vessel.ambient)
    return [at_least(Watched.STAYS_ABOVE_HOLD, shown.run.lowest.pressure, hold, shown, shown.run.lowest.time)]


def motion_seen(case: Case) -> dict[TermName, float]:
    """Overshoot of the design drop, dials true [Pa]; nothing for a burner that follows no load."""
    if not follows_the_load(case.boiler):
        return {}
    change = known(given(case.load.design_drop, "load.drop"))[0]
    stages = stages_of(case, TRUE)
    overshoot = max(_overshoot(stage, change.duration.value, stage.flow_of(change)) for stage in stages)
    return {TermName.OVERSHOOT_OF_DROP: float(overshoot)}


def drop(case: Case) -> Proof | NotApplicable:
    """The design drop from the highest load, the cut-out low and the firing rate high."""
    if not follows_the_load(case.boiler):
        return NotApplicable(scenario=Scenario.DROP)
    change = known(given(case.load.design_drop, "load.drop"))[0]
    dropped = [_dropped(stage, change) for stage in stages_of(case, CROSSED)]
    seen = motion_seen(case)
    overshoot = seen[TermName.OVERSHOOT_OF_DROP]
    facts = [
        Fact(Found.LOWEST_LOAD_RIDDEN, Quantity(max(each.lowest for each in dropped), Dimension.FRACTION)),
        Fact(Found.OVERSHOOT, Quantity(overshoot, Dimension.PRESSURE_DIFFERENCE)),
    ]
    fastest = min(each.fastest for each in dropped)
    if fastest < inf:
        facts.append(Fact(Found.FASTEST_FALL, Quantity(fastest, Dimension.FREQUENCY)))
    checks = [each.check for each in dropped]
    shown = tuple(each.shown for each in dropped)
    return concluded(Scenario.DROP, checks, tuple(facts), shown, seen)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Dropped:
    """One burner through a drop."""

    shown: Shown
    check: Check
    lowest: float
    """Lowest load that is ridden to, as a share of full load [1]"""
    fastest: float
    """Fastest fall that is ridden, in shares of full load [1/s]; infinite when any is"""


def _dropped(stage: Stage, change: Ramp) -> _Dropped:
    least = 1.02 * stage.low
    size = max(0.0, min(stage.flow_of(change), MOST_OF_FULL * stage.full - least))
    before, lasts = least + size, change.duration.value

    def rides(after: float, seconds: float) -> Shown:
        draw = ramp(before, after, 60.0, seconds)
        return stage.run(stage.burner.fuel.value, stage.standing_at(before), draw, hours=HOURS)

    shown = rides(least, lasts)
    seconds = _shortest(lambda each: not _stopped(rides(least, each)), 1200.0)
    room = _largest(lambda fall: not _stopped(rides(before - fall, lasts)), size)
    return _Dropped(
        shown=shown,
        check=yes_or_no(Watched.NO_STOP, not _stopped(shown), shown, _when_stopped(shown)),
        lowest=(before - room) / stage.full,
        fastest=size / stage.full / seconds if seconds > 0.0 else inf,
    )


def _overshoot(stage: Stage, seconds: float, size: float) -> float:
    """Rise above the low-fire point through a drop that ends at low-fire load, nothing stopping the burner [Pa]."""
    least = 1.001 * stage.low
    before = min(MOST_OF_FULL * stage.full, least + size)
    free = stage.freed()
    shown = free.run("drop", stage.standing_at(before), ramp(before, least, 60.0, seconds), hours=HOURS)
    low_fire = float(stage.model.controls.low_fire - stage.model.vessel.ambient)
    return max(0.0, shown.run.highest.pressure - low_fire)


def _stopped(shown: Shown) -> bool:
    return _when_stopped(shown) is not None


def _when_stopped(shown: Shown) -> float | None:
    """When the operating limit first stopped the burner [s]."""
    stops = (
        event.time
        for event in shown.run.events
        if event.kind is Happening.BURNER_STOPPED and event.subject == OPERATING_LIMIT
    )
    return next(stops, None)


def _largest(holds: Callable[[float], bool], most: float) -> float:
    """Largest amount up to ``most`` that holds, by halving; nought when none does."""
    if most <= 0.0 or holds(most):
        return max(0.0, most)
    low, high = 0.0, most
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if holds(middle):
            low = middle
        else:
            high = middle
    return low


def _shortest(holds: Callable[[float], bool], most: float) -> float:
    """Shortest time up to ``most`` that holds [s], by halving; infinite when none does."""
    if holds(0.0):
        return 0.0
    if not holds(most):
        return inf
    low, high = 0.0, most
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if holds(middle):
            high = middle
        else:
            low = middle
    return high

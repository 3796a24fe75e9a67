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
from evenfire.judgement.proofs.staging import CROSSED, INTERVAL, LOW, MOST_OF_FULL, TRUE, Stage, ramp, stages_of
from evenfire.judgement.proofs.watching import (
    band_left,
    blaming,
    hold_check,
    need_checks,
    stopped_by_operating_limit,
    yes_or_no,
)
from evenfire.physics.motion.state import State
from evenfire.plant.known import Missing, Origin, given, known
from evenfire.plant.load import Ramp
from evenfire.si import Dimension, GaugePa, Quantity

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
    design: float
    """What was run, as a share of full load [1]"""
    largest: float
    """That still holds the need, as a share of full load [1]"""
    broke_off: float
    """Smallest with which a run of the search broke off, as a share of full load [1]; infinite where none did"""


def _design_pick_up(case: Case) -> Ramp:
    return known(given(case.load.design_pick_up, "load.pick_up"))[0]


def _picked_up(stage: Stage, change: Ramp, before: float, first: State) -> _Picked:
    most = max(0.0, MOST_OF_FULL * stage.full - before)
    search = _Search()

    def picks_up(size: float, interval: float = INTERVAL) -> Shown:
        draw = ramp(before, before + size, 0.0, change.duration.value)
        return stage.run(stage.burner.fuel.value, first, draw, hours=HOURS, interval=interval)

    def needs(size: float, shown: Shown) -> list[Check]:
        return list(need_checks(stage.case, shown, lambda interval: picks_up(size, interval)))

    def holds_need(size: float) -> bool:
        shown = picks_up(size)
        return search.goes_through(size, shown) and all(check.holds for check in needs(size, shown))

    design = min(stage.flow_of(change), most)
    shown = picks_up(design)
    return _Picked(
        shown=shown,
        need=needs(design, shown),
        hold=hold_check(stage, shown),
        design=design / stage.full,
        largest=_largest(holds_need, most) / stage.full,
        broke_off=search.broke_off / stage.full,
    )


@dataclass(slots=True)
class _Search:
    """What a search by halves came across."""

    broke_off: float = inf
    """Smallest change with which a run broke off [kg/s]"""

    def goes_through(self, size: float, shown: Shown) -> bool:
        """Whether a run of a change [kg/s] reached its end: one that broke off holds nothing."""
        if shown.broke_off:
            self.broke_off = min(self.broke_off, size)
        return not shown.broke_off


def _concluded(scenario: Scenario, picked: list[_Picked], checks: list[Check]) -> Proof:
    lowest = min((each.shown.run.lowest.pressure for each in picked), default=0.0)
    facts = (
        Fact(Found.LARGEST_PICK_UP, Quantity(min(each.largest for each in picked), Dimension.FRACTION)),
        Fact(Found.DESIGN_PICK_UP, Quantity(max(each.design for each in picked), Dimension.FRACTION)),
        Fact(Found.LOWEST, Quantity(lowest, Dimension.GAUGE_PRESSURE)),
        *_broke_off([each.broke_off for each in picked]),
    )
    return concluded(scenario, checks, facts, tuple(each.shown for each in picked))


def _broke_off(sizes: list[float]) -> tuple[Fact, ...]:
    smallest = min(sizes, default=inf)
    return (Fact(Found.BROKE_OFF, Quantity(smallest, Dimension.FRACTION)),) if smallest < inf else ()


def lowest_picking_up(case: Case) -> GaugePa | None:
    """Lowest pressure of either design pick-up with the hold bypassed [Pa gauge], every dial low; none without a hold.

    What a hold has to stay below, like that of every interruption.
    """
    change = given(case.load.design_pick_up, "load.pick_up")
    if case.boiler.controls.low_fire_hold is None or not follows_the_load(case.boiler) or isinstance(change, Missing):
        return None
    lowest = []
    for stage in stages_of(case, LOW):
        free, size = stage.free_of_hold(), stage.flow_of(change)
        for before, first in ((1.001 * stage.low, None), (0.9 * stage.low, stage.at_cut_in())):
            most = max(0.0, MOST_OF_FULL * stage.full - before)
            draw = ramp(before, before + min(size, most), 0.0, change.duration.value)
            shown = free.run("pick-up", free.standing_at(before) if first is None else first, draw, hours=HOURS)
            lowest.append(shown.run.lowest.pressure)
    return GaugePa(max(0.0, min(lowest)))


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
    else:
        lowest = max(each.lowest_at_once for each in dropped)
        facts.append(Fact(Found.ANY_FALL, Quantity(lowest, Dimension.FRACTION)))
    facts += _broke_off([each.broke_off for each in dropped])
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
    lowest_at_once: float
    """Load to which any fall is ridden, where any is [1]"""
    broke_off: float
    """Smallest fall with which a run of the search broke off, as a share of full load [1]; infinite where none did"""


def _dropped(stage: Stage, change: Ramp) -> _Dropped:
    least = 1.02 * stage.low
    size = max(0.0, min(stage.flow_of(change), MOST_OF_FULL * stage.full - least))
    before, lasts, search = least + size, change.duration.value, _Search()

    def rides(after: float, seconds: float) -> Shown:
        draw = ramp(before, after, 60.0, seconds)
        return stage.run(stage.burner.fuel.value, stage.standing_at(before), draw, hours=HOURS)

    def is_ridden(fall: float, seconds: float) -> bool:
        shown = rides(before - fall, seconds)
        return search.goes_through(fall, shown) and not stopped_by_operating_limit(shown)

    shown = rides(least, lasts)
    stops = stopped_by_operating_limit(shown)
    seconds = _shortest(lambda each: is_ridden(size, each), 1200.0)
    room = _largest(lambda fall: is_ridden(fall, lasts), size)
    check = yes_or_no(Watched.NO_STOP, not stops, shown, stops[0].time if stops else None)
    by = band_left(stage, stops[0].firing) if stops else 0.0
    return _Dropped(
        shown=shown,
        check=blaming(check, TermName.OVERSHOOT_OF_DROP, by),
        lowest=(before - room) / stage.full,
        fastest=size / stage.full / seconds if seconds > 0.0 else inf,
        lowest_at_once=least / stage.full,
        broke_off=search.broke_off / stage.full,
    )


def _overshoot(stage: Stage, seconds: float, size: float) -> float:
    """Rise above the low-fire point through a drop that ends at low-fire load, nothing stopping the burner [Pa]."""
    least = 1.001 * stage.low
    before = min(MOST_OF_FULL * stage.full, least + size)
    free = stage.freed()
    shown = free.run("drop", stage.standing_at(before), ramp(before, least, 60.0, seconds), hours=HOURS)
    low_fire = float(stage.model.controls.low_fire - stage.model.vessel.ambient)
    return max(0.0, shown.run.highest.pressure - low_fire)


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

"""The demands on a pressure stack, each as one margin, written once for the check of one stack and the search of all.

A margin compares an *observed* pressure at its worst corner with a *limit* at its worst corner. The rule book puts
words and weight on it; settle masks with it.
"""

from dataclasses import dataclass
from enum import Enum
from typing import Protocol

from evenfire.judgement.outcome import TermName
from evenfire.judgement.stack import Facts, Stack
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import Firing
from evenfire.plant.controls import Role
from evenfire.plant.known import known
from evenfire.plant.load import Load
from evenfire.si import LOW_PRESSURE_LIMIT_PA, ROUNDING_PA, Number


class Sense(Enum):
    """On which side of the limit the observed pressure belongs."""

    AT_LEAST = "at least"
    AT_MOST = "at most"
    BELOW = "below"


class Tier(Enum):
    """How hard a demand is for settle."""

    NEVER_RELAXED = 1
    WANTED = 2
    USUAL = 3
    """Practice: taken where it costs nothing"""


class Level(Protocol):
    """A pressure computed from a stack; a number for numbers, an array for arrays."""

    def __call__(self, stack: Stack[Number], facts: Facts) -> Number | float:
        """Pressure [Pa gauge] or difference [Pa]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Margin:
    """One demand."""

    code: str
    tier: Tier
    sense: Sense
    observed: Level
    limit: Level
    tolerances: tuple[Role, ...]
    """Controls whose tolerance is the unit in which the margin is weighed"""
    raise_to_widen: tuple[tuple[Role, str], ...] = ()
    """Dials (control, ``main`` or ``differential``) whose higher setting widens the margin"""
    lower_to_widen: tuple[tuple[Role, str], ...] = ()
    terms: tuple[TermName, ...] = ()
    bare: Level | None = None
    """The observed pressure with nothing added: where it breaks the limit alone, no unknown tolerance can mend it"""


def room(margin: Margin, stack: Stack[Number], facts: Facts) -> Number | float:
    """How far the observed pressure is on the right side of the limit [Pa]; negative on the wrong one.

    Raises :class:`~evenfire.plant.known.NotKnownError` with every missing key.
    """
    observed, limit = margin.observed(stack, facts), margin.limit(stack, facts)
    return observed - limit if margin.sense is Sense.AT_LEAST else limit - observed


def least_room(margin: Margin) -> float:
    """The room that a margin needs at least [Pa]: touching is enough, but for a demand to stay truly below."""
    return ROUNDING_PA if margin.sense is Sense.BELOW else -ROUNDING_PA


def need_at_full_load(stack: Stack[Number], facts: Facts) -> Number | float:
    """Lowest pressure at full load, the firing-rate control at its low corner, the burner late in driving up."""
    high_fire, off, fall = known(stack.high_fire, facts.off.firing_rate, stack.load_fall)
    return high_fire - off - fall


def lowest_after_restart(stack: Stack[Number], facts: Facts) -> Number | float:
    """Lowest pressure of a restart at low-fire load, the operating limit at its low corner."""
    cut_in, off, fall = known(stack.cut_in, facts.off.operating_limit, stack.undershoot)
    return cut_in - off - fall


def highest_normal(stack: Stack[Number], facts: Facts) -> Number | float:
    """Highest pressure of normal work: cut-out at its high corner, run-on above it."""
    cut_out, off, rise = known(stack.cut_out, facts.off.operating_limit, stack.run_on)
    return cut_out + off + rise


def low_fire_at_its_latest(stack: Stack[Number], facts: Facts) -> Number | float:
    """Highest pressure at which low fire may be reached, through the design drop."""
    low_fire, off, rise = known(stack.low_fire, facts.off.firing_rate, stack.drop_overshoot)
    return low_fire + off + rise


def cut_out_at_its_earliest(stack: Stack[Number], facts: Facts) -> Number | float:
    """Lowest pressure at which the operating limit may stop the burner."""
    cut_out, off = known(stack.cut_out, facts.off.operating_limit)
    return cut_out - off


def trip_at_its_earliest(stack: Stack[Number], facts: Facts) -> Number | float:
    """Lowest pressure at which the high limit may trip."""
    trip, off = known(stack.trip, facts.off.high_limit)
    return trip - off


def trip_at_its_latest(stack: Stack[Number], facts: Facts) -> Number | float:
    """Highest pressure at which the high limit may trip."""
    trip, off = known(stack.trip, facts.off.high_limit)
    return trip + off


def highest_after_trip(stack: Stack[Number], facts: Facts) -> Number | float:
    """Highest pressure after the high limit has stopped full fire with no load."""
    latest, rise = trip_at_its_latest(stack, facts), known(stack.full_fire_run_on)[0]
    return latest + rise


def hold_at_its_highest(stack: Stack[Number], facts: Facts) -> Number | float:
    """Highest pressure at which the low-fire hold may still hold."""
    hold, off = known(stack.hold, facts.off.low_fire_hold)
    return hold + off


def _trip(stack: Stack[Number], facts: Facts) -> Number | float:  # noqa: ARG001
    return known(stack.trip)[0]


def _cut_out(stack: Stack[Number], facts: Facts) -> Number | float:  # noqa: ARG001
    return known(stack.cut_out)[0]


def _cut_in(stack: Stack[Number], facts: Facts) -> Number | float:  # noqa: ARG001
    return known(stack.cut_in)[0]


def _high_fire(stack: Stack[Number], facts: Facts) -> Number | float:  # noqa: ARG001
    return known(stack.high_fire)[0]


def _need(stack: Stack[Number], facts: Facts) -> Number | float:  # noqa: ARG001
    return known(facts.need)[0]


def _wish(stack: Stack[Number], facts: Facts) -> Number | float:  # noqa: ARG001
    return known(facts.wish)[0]


def _rated_max(stack: Stack[Number], facts: Facts) -> Number | float:  # noqa: ARG001
    return known(facts.rated_max)[0]


def _mawp(stack: Stack[Number], facts: Facts) -> Number | float:  # noqa: ARG001
    return facts.mawp


def _low_pressure_limit(stack: Stack[Number], facts: Facts) -> Number | float:  # noqa: ARG001
    return LOW_PRESSURE_LIMIT_PA


def _valve_set(stack: Stack[Number], facts: Facts) -> Number | float:  # noqa: ARG001
    return known(facts.valve_set)[0]


def _earliest_lift(stack: Stack[Number], facts: Facts) -> Number | float:  # noqa: ARG001
    return known(facts.earliest_lift)[0]


def _reseat(stack: Stack[Number], facts: Facts) -> Number | float:  # noqa: ARG001
    return known(facts.reseat)[0]


def _highest_normal_allowed(stack: Stack[Number], facts: Facts) -> Number | float:  # noqa: ARG001
    valve, gap = known(facts.valve_set, facts.valve_gap)
    return valve - gap


OPERATING, HIGH, RATE, HOLD = Role.OPERATING_LIMIT, Role.HIGH_LIMIT, Role.FIRING_RATE, Role.LOW_FIRE_HOLD

CUT_OUT_BELOW_HIGH_LIMIT = Margin(
    code="cut-out-below-high-limit",
    tier=Tier.NEVER_RELAXED,
    sense=Sense.BELOW,
    observed=_cut_out,
    limit=_trip,
    tolerances=(OPERATING, HIGH),
    lower_to_widen=((OPERATING, "main"),),
)
HIGH_LIMIT_WITHIN_MAWP = Margin(
    code="high-limit-within-mawp",
    tier=Tier.NEVER_RELAXED,
    sense=Sense.AT_MOST,
    observed=_trip,
    limit=_mawp,
    tolerances=(HIGH,),
    lower_to_widen=((HIGH, "main"),),
)
HIGH_LIMIT_WITHIN_LOW_PRESSURE = Margin(
    code="high-limit-within-low-pressure",
    tier=Tier.NEVER_RELAXED,
    sense=Sense.AT_MOST,
    observed=_trip,
    limit=_low_pressure_limit,
    tolerances=(HIGH,),
    lower_to_widen=((HIGH, "main"),),
)
HIGH_LIMIT_BELOW_VALVE = Margin(
    code="high-limit-below-valve",
    tier=Tier.NEVER_RELAXED,
    sense=Sense.BELOW,
    observed=trip_at_its_latest,
    limit=_valve_set,
    tolerances=(HIGH,),
    lower_to_widen=((HIGH, "main"),),
    bare=_trip,
    terms=(TermName.TOLERANCE_OF_HIGH_LIMIT,),
)
HIGH_LIMIT_STOPS_BEFORE_VALVE = Margin(
    code="high-limit-stops-before-valve",
    tier=Tier.NEVER_RELAXED,
    sense=Sense.BELOW,
    observed=highest_after_trip,
    limit=_earliest_lift,
    tolerances=(HIGH,),
    lower_to_widen=((HIGH, "main"),),
    bare=_trip,
    terms=(TermName.TOLERANCE_OF_HIGH_LIMIT, TermName.RUN_ON_AT_FULL_FIRE, TermName.TOLERANCE_OF_VALVE),
)
CUT_OUT_WITHIN_DOWNSTREAM_RATING = Margin(
    code="cut-out-within-downstream-rating",
    tier=Tier.NEVER_RELAXED,
    sense=Sense.AT_MOST,
    observed=highest_normal,
    limit=_rated_max,
    tolerances=(OPERATING,),
    lower_to_widen=((OPERATING, "main"),),
    bare=_cut_out,
    terms=(TermName.TOLERANCE_OF_OPERATING_LIMIT, TermName.RUN_ON_AT_CUT_OUT),
)
CUT_OUT_CLEAR_OF_HIGH_LIMIT = Margin(
    code="cut-out-clear-of-high-limit",
    tier=Tier.WANTED,
    sense=Sense.BELOW,
    observed=highest_normal,
    limit=trip_at_its_earliest,
    tolerances=(OPERATING, HIGH),
    lower_to_widen=((OPERATING, "main"),),
    terms=(
        TermName.TOLERANCE_OF_OPERATING_LIMIT,
        TermName.RUN_ON_AT_CUT_OUT,
        TermName.TOLERANCE_OF_HIGH_LIMIT,
    ),
)
WORKING_PRESSURE_BELOW_VALVE = Margin(
    code="working-pressure-below-valve",
    tier=Tier.WANTED,
    sense=Sense.AT_MOST,
    observed=highest_normal,
    limit=_highest_normal_allowed,
    tolerances=(OPERATING,),
    lower_to_widen=((OPERATING, "main"),),
    bare=_cut_out,
    terms=(TermName.TOLERANCE_OF_OPERATING_LIMIT, TermName.RUN_ON_AT_CUT_OUT, TermName.VALVE_GAP),
)
WORKING_PRESSURE_BELOW_RESEAT = Margin(
    code="working-pressure-below-reseat",
    tier=Tier.WANTED,
    sense=Sense.BELOW,
    observed=highest_normal,
    limit=_reseat,
    tolerances=(OPERATING,),
    lower_to_widen=((OPERATING, "main"),),
    bare=_cut_out,
    terms=(TermName.TOLERANCE_OF_OPERATING_LIMIT, TermName.RUN_ON_AT_CUT_OUT),
)
CUT_OUT_WITHIN_WISH = Margin(
    code="cut-out-within-wish",
    tier=Tier.WANTED,
    sense=Sense.AT_MOST,
    observed=highest_normal,
    limit=_wish,
    tolerances=(OPERATING,),
    lower_to_widen=((OPERATING, "main"),),
    bare=_cut_out,
    terms=(TermName.TOLERANCE_OF_OPERATING_LIMIT, TermName.RUN_ON_AT_CUT_OUT),
)
LOW_FIRE_BEFORE_CUT_OUT = Margin(
    code="low-fire-before-cut-out",
    tier=Tier.WANTED,
    sense=Sense.BELOW,
    observed=low_fire_at_its_latest,
    limit=cut_out_at_its_earliest,
    tolerances=(OPERATING, RATE),
    raise_to_widen=((OPERATING, "main"),),
    lower_to_widen=((RATE, "main"), (RATE, "differential")),
    terms=(
        TermName.TOLERANCE_OF_FIRING_RATE,
        TermName.OVERSHOOT_OF_DROP,
        TermName.TOLERANCE_OF_OPERATING_LIMIT,
    ),
)
NEED_AT_FULL_LOAD = Margin(
    code="need-at-full-load",
    tier=Tier.WANTED,
    sense=Sense.AT_LEAST,
    observed=need_at_full_load,
    limit=_need,
    tolerances=(RATE,),
    raise_to_widen=((RATE, "main"),),
    bare=_high_fire,
    terms=(TermName.TOLERANCE_OF_FIRING_RATE, TermName.FALL_AT_LOAD, TermName.LINE_DROP),
)
RESTART_HOLDS_NEED = Margin(
    code="restart-holds-need",
    tier=Tier.WANTED,
    sense=Sense.AT_LEAST,
    observed=lowest_after_restart,
    limit=_need,
    tolerances=(OPERATING,),
    raise_to_widen=((OPERATING, "main"),),
    lower_to_widen=((OPERATING, "differential"),),
    bare=_cut_in,
    terms=(TermName.TOLERANCE_OF_OPERATING_LIMIT, TermName.UNDERSHOOT, TermName.LINE_DROP),
)
HOLD_BELOW_RESTART = Margin(
    code="hold-below-restart",
    tier=Tier.WANTED,
    sense=Sense.BELOW,
    observed=hold_at_its_highest,
    limit=lowest_after_restart,
    tolerances=(HOLD, OPERATING),
    lower_to_widen=((HOLD, "main"),),
    terms=(TermName.TOLERANCE_OF_HOLD, TermName.TOLERANCE_OF_OPERATING_LIMIT, TermName.UNDERSHOOT),
)
HOLD_BELOW_FULL_LOAD = Margin(
    code="hold-below-full-load",
    tier=Tier.WANTED,
    sense=Sense.BELOW,
    observed=hold_at_its_highest,
    limit=need_at_full_load,
    tolerances=(HOLD, RATE),
    lower_to_widen=((HOLD, "main"),),
    terms=(TermName.TOLERANCE_OF_HOLD, TermName.TOLERANCE_OF_FIRING_RATE, TermName.FALL_AT_LOAD),
)
CUT_IN_ABOVE_HIGH_FIRE = Margin(
    code="cut-in-above-high-fire",
    tier=Tier.USUAL,
    sense=Sense.AT_LEAST,
    observed=_cut_in,
    limit=_high_fire,
    tolerances=(OPERATING, RATE),
    raise_to_widen=((OPERATING, "main"),),
    lower_to_widen=((OPERATING, "differential"), (RATE, "main")),
)

ON_LIMITS = (
    CUT_OUT_BELOW_HIGH_LIMIT,
    HIGH_LIMIT_WITHIN_MAWP,
    HIGH_LIMIT_BELOW_VALVE,
    HIGH_LIMIT_STOPS_BEFORE_VALVE,
    CUT_OUT_CLEAR_OF_HIGH_LIMIT,
    WORKING_PRESSURE_BELOW_VALVE,
    WORKING_PRESSURE_BELOW_RESEAT,
    RESTART_HOLDS_NEED,
)
ON_FIRING_RATE = (LOW_FIRE_BEFORE_CUT_OUT, NEED_AT_FULL_LOAD, CUT_IN_ABOVE_HIGH_FIRE)


def demands_on(boiler: Boiler, load: Load) -> tuple[Margin, ...]:
    """The demands that a boiler and its load make on its stack.

    A burner that only goes on and off has no firing-rate point; a low-pressure boiler has its own ceiling; a wish or a
    rating that nobody stated demands nothing.
    """
    demands = list(ON_LIMITS)
    if boiler.is_low_pressure:
        demands.append(HIGH_LIMIT_WITHIN_LOW_PRESSURE)
    if load.wish is not None:
        demands.append(CUT_OUT_WITHIN_WISH)
    if load.rated_max is not None:
        demands.append(CUT_OUT_WITHIN_DOWNSTREAM_RATING)
    follows_load = follows_the_load(boiler)
    if follows_load:
        demands.extend(ON_FIRING_RATE)
    if boiler.controls.low_fire_hold is not None:
        demands.append(HOLD_BELOW_RESTART)
        if follows_load:
            demands.append(HOLD_BELOW_FULL_LOAD)
    return tuple(demands)


def follows_the_load(boiler: Boiler) -> bool:
    """Whether any burner of the boiler fires at more than one rate."""
    return any(burner.firing is not Firing.ON_OFF for burner in boiler.burners)

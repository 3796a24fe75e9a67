"""Practice numbers, behind the derived gaps and never before them; and what holds while a boiler warms up."""

from dataclasses import replace

from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.outcome import Basis, Part, Remedy, Severity, Subject
from evenfire.judgement.rule import Applies, Rule, Verdict, at_least, at_most, rule, rule_for_each, yes_or_no
from evenfire.judgement.rules.surveyed import stated
from evenfire.judgement.valve_facts import valve_tolerance
from evenfire.plant.boiler import Kind
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing, given, known
from evenfire.si import K_PER_F_DEGREE, PA_PER_PSI, DiffPa, Dimension, Quantity
from evenfire.sources import ASME_VII, Citation

USUAL_GAP_OF_LIMITS = 10 * PA_PER_PSI
"""High pressure, cut-out to high limit [Pa]."""
USUAL_GAP_OF_LIMITS_LOW = 2 * PA_PER_PSI
"""Low pressure [Pa]."""
USUAL_GAP_TO_VALVE = 5 * PA_PER_PSI
"""High pressure, high limit to lowest valve [Pa]."""
USUAL_GAP_TO_VALVE_LOW = 3 * PA_PER_PSI
"""Low pressure [Pa]."""
LOWEST_HOLD_LOW = 2 * PA_PER_PSI
"""Low pressure [Pa gauge]."""
HIGHEST_HOLD_LOW = 3 * PA_PER_PSI
"""Low pressure [Pa gauge]."""
HOLD_OF_WATER_TUBES = 100 * PA_PER_PSI
"""[Pa gauge]"""
FASTEST_WARM_UP = 100 * K_PER_F_DEGREE / 3600
"""Rise of the saturation temperature in a drum boiler [K/s]."""

WATER_TUBES = frozenset({Kind.WATERTUBE})
WARMED_AT_LOW_FIRE = frozenset(set(Kind) - {Kind.COIL})
"""Of a coil no practice is known: its walls are thin and its water is little."""
NO_LOW_FIRE_HOLD = "low-fire-hold-fitted"
"""Code of the finding that nothing keeps a boiler at low fire while it warms up from cold."""


def _with_lower(verdict: Verdict, role: Role) -> Verdict:
    """The verdict, with the dial to lower; practice never asks to raise a limit."""
    if verdict.holds or verdict.room is None:
        return verdict
    return replace(verdict, remedies=(Remedy(role, "main", DiffPa(verdict.room.value)),))


@rule(
    code="high-limit-gap-usual",
    question="Does the high limit stand as far above cut-out as is usual?",
    severity=Severity.ADVISE,
    basis=Basis.COMMON_PRACTICE,
    subject=Subject(Part.OPERATING_LIMIT),
    number="about 10 psi, or half way to the valve; low pressure: 2 to 4 psi",
)
def high_limit_stands_the_usual_gap_above_cut_out(case: Case) -> Verdict:
    """Where there is no room for the whole gap, half way to the valve is usual."""
    trip, cut_out = known(case.stack.trip, case.stack.cut_out)
    if case.boiler.is_low_pressure:
        gap = at_least(trip - cut_out, USUAL_GAP_OF_LIMITS_LOW, Dimension.PRESSURE_DIFFERENCE)
        return _with_lower(gap, Role.OPERATING_LIMIT)
    whole = at_least(trip - cut_out, USUAL_GAP_OF_LIMITS, Dimension.PRESSURE_DIFFERENCE)
    if whole.holds:
        return whole
    half = (known(case.facts.valve_set)[0] - cut_out) / 2
    if half >= USUAL_GAP_OF_LIMITS:
        return _with_lower(whole, Role.OPERATING_LIMIT)
    # Lowering cut-out moves half way down with it, so the dial must go twice as far, or until the whole gap is there.
    verdict = at_least(trip - cut_out, half, Dimension.PRESSURE_DIFFERENCE)
    if verdict.holds:
        return verdict
    twice = 2 * (half - (trip - cut_out))
    least = min(twice, USUAL_GAP_OF_LIMITS - (trip - cut_out))
    return replace(verdict, remedies=(Remedy(Role.OPERATING_LIMIT, "main", DiffPa(-least)),))


@rule(
    code="valve-gap-usual",
    question="Does the high limit stand as far below the lowest safety valve as is usual?",
    severity=Severity.ADVISE,
    basis=Basis.COMMON_PRACTICE,
    subject=Subject(Part.HIGH_LIMIT),
    number="both tolerances, at least 5 psi; low pressure: at least 3 psi",
)
def high_limit_stands_the_usual_gap_below_the_valve(case: Case) -> Verdict:
    """A gap short of the practice number is short whatever the tolerances are."""
    valve, trip = known(case.facts.valve_set, case.stack.trip)
    least = USUAL_GAP_TO_VALVE_LOW if case.boiler.is_low_pressure else USUAL_GAP_TO_VALVE
    bare = at_least(valve - trip, least, Dimension.PRESSURE_DIFFERENCE)
    if not bare.holds and isinstance(case.facts.off.high_limit, Missing):
        return _with_lower(bare, Role.HIGH_LIMIT)
    off, of_valve = known(case.facts.off.high_limit, given(valve_tolerance(case.boiler), "safety_valve.set"))
    gap = at_least(valve - trip, max(off + of_valve, least), Dimension.PRESSURE_DIFFERENCE)
    return _with_lower(gap, Role.HIGH_LIMIT)


def _low_pressure_hold(case: Case) -> tuple[tuple[Subject, None], ...]:
    """Where it should let go is no question without one; that there is none is the question of its own rule."""
    fitted = case.boiler.controls.low_fire_hold is not None
    return ((Subject(Part.LOW_FIRE_HOLD), None),) if fitted else ()


def kept_low_until(case: Case) -> float | None:
    """Pressure to which practice keeps a boiler at low fire from cold [Pa gauge]; nothing where it has no number.

    A water-tube boiler that works at less than the practice number is kept low until it works.
    """
    if case.boiler.is_low_pressure:
        return LOWEST_HOLD_LOW
    if case.boiler.kind not in WATER_TUBES:
        return None
    worked_at = [point for point in (case.stack.high_fire, case.stack.cut_in) if not isinstance(point, Missing)]
    return min(HOLD_OF_WATER_TUBES, *worked_at) if worked_at else HOLD_OF_WATER_TUBES


def _may_go_beyond_low_fire(case: Case) -> tuple[tuple[Subject, None], ...]:
    """A burner that only goes on and off has no low fire to be kept at; one that nobody described leaves it open."""
    nobody_described = not case.boiler.burners and case.boiler.electric_input is None
    asked = nobody_described or follows_the_load(case.boiler)
    return ((Subject(Part.LOW_FIRE_HOLD), None),) if asked else ()


@rule_for_each(
    items=_may_go_beyond_low_fire,
    code=NO_LOW_FIRE_HOLD,
    question="Does a low-fire hold keep the burner at low fire while the boiler warms up from cold?",
    severity=Severity.WARN,
    basis=Basis.COMMON_PRACTICE,
    number="low fire until it steams; low pressure: to 2 or 3 psi; water tubes: generally to 100 psi",
    applies_to=Applies(kinds=WARMED_AT_LOW_FIRE),
)
def something_keeps_a_cold_boiler_low(case: Case, _: None) -> Verdict:
    """From cold the firing-rate control stands below its band and asks for all there is."""
    if case.boiler.controls.low_fire_hold is not None:
        return yes_or_no(True)
    stated(case.boiler.burners or None, "burner")
    until = kept_low_until(case)
    if until is None:
        return yes_or_no(False)
    return replace(yes_or_no(False, detail="to a pressure"), limit=Quantity(until, Dimension.GAUGE_PRESSURE))


@rule_for_each(
    items=_low_pressure_hold,
    code="hold-usual-low-pressure",
    question="Does the low-fire hold of a low-pressure boiler let go at 2 to 3 psi?",
    severity=Severity.ADVISE,
    basis=Basis.COMMON_PRACTICE,
    number="2 to 3 psi",
    applies_to=Applies(low_pressure=True),
)
def low_pressure_hold_is_usual(case: Case, _: None) -> Verdict:
    """Low enough that no dip falls into it, high enough that there is steam."""
    hold = known(case.stack.hold)[0]
    low = at_least(hold, LOWEST_HOLD_LOW, Dimension.GAUGE_PRESSURE)
    if not low.holds:
        return replace(low, detail="low")
    high = at_most(hold, HIGHEST_HOLD_LOW, Dimension.GAUGE_PRESSURE)
    return high if high.holds else replace(_with_lower(high, Role.LOW_FIRE_HOLD), detail="high")


def _roomy_hold(case: Case) -> tuple[tuple[Subject, None], ...]:
    """A hold with room below its work: at 100 psi or less it would pin the boiler at low fire under load."""
    worked_at = [point for point in (case.stack.high_fire, case.stack.cut_in) if not isinstance(point, Missing)]
    has_room = all(point > HOLD_OF_WATER_TUBES for point in worked_at)
    fitted = case.boiler.controls.low_fire_hold is not None
    return ((Subject(Part.LOW_FIRE_HOLD), None),) if fitted and has_room else ()


@rule_for_each(
    items=_roomy_hold,
    code="hold-usual-watertube",
    question="Does the low-fire hold of a water-tube boiler last to 100 psi?",
    severity=Severity.ADVISE,
    basis=Basis.COMMON_PRACTICE,
    number="generally 100 psi",
    applies_to=Applies(low_pressure=False, kinds=WATER_TUBES),
)
def watertube_hold_is_usual(case: Case, _: None) -> Verdict:
    """Drum and tubes then warm together."""
    return at_least(known(case.stack.hold)[0], HOLD_OF_WATER_TUBES, Dimension.GAUGE_PRESSURE)


@rule(
    code="warm-up-rate",
    question="Does the drum warm no faster than 100 F an hour?",
    severity=Severity.WARN,
    basis=Basis.FROM_MEMORY,
    subject=Subject(Part.BOILER),
    number="100 F/h of saturation temperature, unless the maker says otherwise",
    citations=(Citation(ASME_VII),),
    applies_to=Applies(kinds=WATER_TUBES),
)
def drum_warms_slowly(case: Case) -> Verdict:
    """Thick walls heated faster strain their own metal."""
    rate = stated(case.boiler.measured.warm_up_rate, "measured.warm_up_rate")
    return at_most(rate, FASTEST_WARM_UP, Dimension.TEMPERATURE_RATE)


@rule(
    code="refractory-schedule",
    question="Is there a supplier's drying schedule for new refractory?",
    severity=Severity.WARN,
    basis=Basis.COMMON_PRACTICE,
    subject=Subject(Part.BOILER),
    number="the supplier's schedule",
)
def new_refractory_has_its_schedule(case: Case) -> Verdict:
    """No number of ours stands in for the supplier's: without a schedule the warm-up is not judged."""
    if stated(case.boiler.new_refractory, "new_refractory"):
        stated(case.boiler.refractory_schedule, "refractory_schedule")
    return yes_or_no(True)


RULES: tuple[Rule, ...] = (
    high_limit_stands_the_usual_gap_above_cut_out,
    high_limit_stands_the_usual_gap_below_the_valve,
    something_keeps_a_cold_boiler_low,
    low_pressure_hold_is_usual,
    watertube_hold_is_usual,
    drum_warms_slowly,
    new_refractory_has_its_schedule,
)

"""Rules on the safety valves: there, set low enough, close together, and large enough for all that the boiler makes."""

from dataclasses import replace

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Basis, Part, Severity, Subject
from evenfire.judgement.rule import (
    HIGH_PRESSURE_ONLY,
    Rule,
    Verdict,
    at_least,
    at_most,
    below,
    rule,
    rule_for_each,
    yes_or_no,
)
from evenfire.judgement.rules.steaming import most_steam
from evenfire.judgement.rules.surveyed import stated, valves
from evenfire.physics.relief import certified_capacity, overpressure_at_capacity
from evenfire.plant.boiler import Boiler
from evenfire.plant.known import NotKnownError
from evenfire.plant.safety_valve import SafetyValve
from evenfire.si import KG_S_PER_LB_H, M_PER_FT, PA_PER_PSI, AbsPa, Dimension, GaugePa
from evenfire.sources import (
    COLORADO,
    IOWA,
    MARYLAND,
    NATIONAL_BOARD,
    NAVEDTRA,
    NEW_YORK,
    OKLAHOMA,
    Citation,
)

HIGHEST_OTHER_VALVE = 1.03
"""Of the maximum allowable working pressure [1]."""
WIDEST_SPREAD = 0.10
"""Of the highest set pressure [1]."""
SURFACE_FOR_ONE_VALVE = 500 * M_PER_FT**2
"""[m2]"""
ELECTRIC_FOR_ONE_VALVE = 1_100_000.0
"""[W]"""
STEAM_FOR_ONE_VALVE = 4_000 * KG_S_PER_LB_H
"""Newer code, from memory [kg/s]."""
HIGH_PRESSURE_ACCUMULATION = 1.06
"""Of the maximum allowable working pressure [1]."""
LOW_PRESSURE_ACCUMULATION = 5 * PA_PER_PSI
"""Above the maximum allowable working pressure [Pa]."""
CODE_AMBIENT = AbsPa(14.7 * PA_PER_PSI)
"""Air pressure in the formula of certified capacities (NBCC) [Pa]."""
LEAST_LIFT_TEST = 0.75
"""Of the set pressure [1]."""
ASSUMED_STAMP_ROUNDING = 0.01
"""Nobody prints how far a stamp may be from the formula; orifice areas and coefficients are given to three digits, so
two of them and the stamp's own rounding agree within about one per cent [1]."""


@rule(
    code="safety-valve-fitted",
    question="Has the boiler a safety valve?",
    severity=Severity.STOP,
    basis=Basis.DERIVED,
    subject=Subject(Part.SAFETY_VALVE),
)
def safety_valve_is_fitted(case: Case) -> Verdict:
    """Nothing else holds the boiler when both limits have failed."""
    return yes_or_no(bool(case.boiler.safety_valves))


def _lowest(case: Case) -> tuple[tuple[Subject, SafetyValve | None], ...]:
    """The valve that is set lowest; a boiler without one leaves the question open."""
    first = min(valves(case), key=lambda each: each[1].set_pressure, default=None)
    return ((Subject(Part.SAFETY_VALVE), None),) if first is None else (first,)


def _others(case: Case) -> tuple[tuple[Subject, SafetyValve], ...]:
    """Every valve but the one that is set lowest."""
    return tuple(sorted(valves(case), key=lambda each: each[1].set_pressure)[1:])


@rule_for_each(
    items=_lowest,
    code="first-valve-within-mawp",
    question="Is the lowest safety valve set no higher than the maximum allowable working pressure?",
    severity=Severity.STOP,
    basis=Basis.PUBLISHED,
    number="MAWP",
    citations=(Citation(COLORADO), Citation(NAVEDTRA)),
)
def first_valve_is_within_mawp(case: Case, valve: SafetyValve | None) -> Verdict:
    """The first valve lifts before the boiler is above what it is made for."""
    first = stated(valve, "safety_valve.set")
    return at_most(first.set_pressure, case.boiler.mawp, Dimension.GAUGE_PRESSURE)


@rule_for_each(
    items=_others,
    code="other-valves-near-mawp",
    question="Is every other safety valve set no more than 3 % above the maximum allowable working pressure?",
    severity=Severity.STOP,
    basis=Basis.PUBLISHED,
    number="1.03 x MAWP",
    citations=(Citation(COLORADO), Citation(NAVEDTRA)),
)
def other_valves_are_near_mawp(case: Case, valve: SafetyValve) -> Verdict:
    """The others may follow a little later."""
    return at_most(valve.set_pressure, HIGHEST_OTHER_VALVE * case.boiler.mawp, Dimension.GAUGE_PRESSURE)


def _several(case: Case) -> tuple[tuple[Subject, tuple[GaugePa, ...]], ...]:
    """The set pressures, where there is more than one."""
    pressures = tuple(valve.set_pressure for valve in case.boiler.safety_valves)
    return ((Subject(Part.SAFETY_VALVE), pressures),) if len(pressures) > 1 else ()


@rule_for_each(
    items=_several,
    code="valve-settings-close",
    question="Do the safety valves lie within 10 % of the highest of them?",
    severity=Severity.STOP,
    basis=Basis.PUBLISHED,
    number="10 % of the highest",
    citations=(Citation(COLORADO), Citation(NAVEDTRA)),
)
def valve_settings_are_close(case: Case, pressures: tuple[GaugePa, ...]) -> Verdict:  # noqa: ARG001
    """Valves far apart do not help one another."""
    highest = max(pressures)
    return at_most(highest - min(pressures), WIDEST_SPREAD * highest, Dimension.PRESSURE_DIFFERENCE)


@rule(
    code="second-valve",
    question="Has a large boiler a second safety valve?",
    severity=Severity.WARN,
    basis=Basis.PUBLISHED,
    subject=Subject(Part.SAFETY_VALVE),
    number="two above 500 ft2 or 1,100 kW electric; recent editions accept one up to 4,000 lb/h of steam (from memory)",
    citations=(Citation(COLORADO), Citation(OKLAHOMA), Citation(IOWA)),
)
def large_boiler_has_a_second_valve(case: Case) -> Verdict:
    """One valve may stick; a large boiler has another."""
    boiler = case.boiler
    if len(boiler.safety_valves) > 1:
        return yes_or_no(True)
    sizes = []
    if boiler.electric_input is not None:
        sizes.append(at_most(boiler.electric_input, ELECTRIC_FOR_ONE_VALVE, Dimension.POWER))
    if boiler.heating_surface is not None:
        sizes.append(at_most(boiler.heating_surface, SURFACE_FOR_ONE_VALVE, Dimension.AREA))
    if not sizes:
        raise NotKnownError(("heating_surface",))
    # Too large by either measure asks for the second valve.
    size = next((each for each in sizes if not each.holds), sizes[0])
    return replace(size, detail="small" if _makes_little(case) else "")


def _makes_little(case: Case) -> bool:
    """Whether it is known to make less steam than newer code lets one valve serve."""
    try:
        return most_steam(case.boiler, AbsPa(case.site.ambient.value)) < STEAM_FOR_ONE_VALVE
    except NotKnownError:
        return False


def all_that_valves_pass(boiler: Boiler) -> float:
    """Stamped capacity of all valves together [kg/s]; none of them there, none."""
    return sum(stated(valve.capacity, "safety_valve.capacity") for valve in boiler.safety_valves)


@rule(
    code="relieving-capacity",
    question="Can the safety valves together pass all the steam that the boiler can make?",
    severity=Severity.STOP,
    basis=Basis.PUBLISHED,
    subject=Subject(Part.SAFETY_VALVE),
    number="all that it can make; low pressure: output in Btu/h / 1000, in lb/h",
    citations=(Citation(COLORADO), Citation(OKLAHOMA), Citation(NEW_YORK), Citation(MARYLAND)),
)
def valves_pass_all_that_the_boiler_makes(case: Case) -> Verdict:
    """With the steam shut off and the fire full, the valves are the only way out."""
    return at_least(
        all_that_valves_pass(case.boiler), most_steam(case.boiler, AbsPa(case.site.ambient.value)), Dimension.MASS_FLOW
    )


@rule(
    code="valve-accumulation",
    question="Do the safety valves pass all the steam before the pressure has risen too far above the MAWP?",
    severity=Severity.STOP,
    basis=Basis.PUBLISHED,
    subject=Subject(Part.SAFETY_VALVE),
    number="6 % above MAWP; low pressure: 5 psi above it",
    citations=(Citation(COLORADO), Citation(IOWA), Citation(NEW_YORK), Citation(NATIONAL_BOARD)),
)
def valves_hold_the_accumulation(case: Case) -> Verdict:
    """A valve passes its capacity only some way above its set pressure."""
    boiler, limit = case.boiler, highest_accumulation(case.boiler)
    lowest = min((valve.set_pressure for valve in boiler.safety_valves), default=None)
    if lowest is None:
        raise NotKnownError(("safety_valve.set",))
    if not below(lowest, limit, Dimension.GAUGE_PRESSURE).holds:
        # No valve has opened by then: wrong whatever the capacities are.
        return replace(at_most(lowest, limit, Dimension.GAUGE_PRESSURE), holds=False, detail="shut")
    needed = most_steam(boiler, AbsPa(case.site.ambient.value))
    reached = pressure_at_flow(boiler.safety_valves, needed)
    if reached is None:
        return yes_or_no(False, detail="never")
    return at_most(reached, limit, Dimension.GAUGE_PRESSURE)


def highest_accumulation(boiler: Boiler) -> GaugePa:
    """Highest pressure that the valves may let the boiler reach [Pa gauge]."""
    if boiler.is_low_pressure:
        return GaugePa(boiler.mawp + LOW_PRESSURE_ACCUMULATION)
    return GaugePa(boiler.mawp * HIGH_PRESSURE_ACCUMULATION)


def pressure_at_flow(safety_valves: tuple[SafetyValve, ...], flow: float) -> GaugePa | None:
    """Pressure at which the valves together pass a flow [Pa gauge]; ``None`` when they never do.

    A valve is certified at its capacity 3 % (at least 2 psi; low pressure 5 psi) above its set pressure. Between set
    pressure and there it counts in proportion: a pop valve opens faster, so this errs to the safe side.

    Raises :class:`~evenfire.plant.known.NotKnownError` for a capacity that nobody stated.
    """
    capacities = [stated(valve.capacity, "safety_valve.capacity") for valve in safety_valves]
    spans = [(valve.set_pressure, overpressure_at_capacity(valve.set_pressure)) for valve in safety_valves]

    def passed(pressure: float) -> float:
        shares = (min(1.0, max(0.0, (pressure - opens) / over)) for opens, over in spans)
        return sum(capacity * share for capacity, share in zip(capacities, shares, strict=True))

    before, flow_before = 0.0, 0.0
    for pressure in sorted({corner for opens, over in spans for corner in (opens, opens + over)}):
        here = passed(pressure)
        if here >= flow * (1 - 1e-9):
            return GaugePa(before + (pressure - before) * min(1.0, (flow - flow_before) / (here - flow_before)))
        before, flow_before = pressure, here
    return None


def _with_orifice(case: Case) -> tuple[tuple[Subject, SafetyValve], ...]:
    """Valves of which somebody gave the orifice or its coefficient; the others give nothing to compare with."""
    return tuple(
        (subject, valve)
        for subject, valve in valves(case)
        if valve.orifice_area is not None or valve.coefficient is not None
    )


@rule_for_each(
    items=_with_orifice,
    code="stamped-capacity-plausible",
    question="Can the orifice of the safety valve pass the capacity that is stamped on it?",
    severity=Severity.WARN,
    basis=Basis.PUBLISHED,
    number="51.5 A P K, P = set + 3 % (at least 2 psi) + 14.7",
    citations=(Citation(NATIONAL_BOARD),),
    applies_to=HIGH_PRESSURE_ONLY,
)
def stamped_capacity_is_plausible(case: Case, valve: SafetyValve) -> Verdict:  # noqa: ARG001
    """More than the orifice can pass is a slip of the pen or another valve's plate."""
    capacity = stated(valve.capacity, "safety_valve.capacity")
    area = stated(valve.orifice_area, "safety_valve.orifice_area")
    coefficient = stated(valve.coefficient, "safety_valve.coefficient")
    passes = certified_capacity(area, valve.set_pressure, coefficient=coefficient, ambient=CODE_AMBIENT)
    return at_most(capacity, passes * (1 + ASSUMED_STAMP_ROUNDING), Dimension.MASS_FLOW)


@rule_for_each(
    items=valves,
    code="valve-lift-test-pressure",
    question="Was the safety valve lifted by hand only at 75 % of its set pressure or more?",
    severity=Severity.WARN,
    basis=Basis.COMMON_PRACTICE,
    number="75 % of set",
)
def valve_was_lifted_under_pressure(case: Case, valve: SafetyValve) -> Verdict:  # noqa: ARG001
    """Lifted with little pressure under it, a valve does not blow its seat clean."""
    lifted = stated(valve.lift_tested_at, "safety_valve.lift_tested_at")
    return at_least(lifted, LEAST_LIFT_TEST * valve.set_pressure, Dimension.GAUGE_PRESSURE)


RULES: tuple[Rule, ...] = (
    safety_valve_is_fitted,
    first_valve_is_within_mawp,
    other_valves_are_near_mawp,
    valve_settings_are_close,
    large_boiler_has_a_second_valve,
    valves_pass_all_that_the_boiler_makes,
    valves_hold_the_accumulation,
    stamped_capacity_is_plausible,
    valve_was_lifted_under_pressure,
)

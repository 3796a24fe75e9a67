"""Rules on what is read and set: gauge, scales, sensing elements, and the water between a tap and its device."""

from dataclasses import dataclass, replace
from datetime import date

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Basis, Part, Severity, Subject
from evenfire.judgement.rule import (
    HIGH_PRESSURE_ONLY,
    LOW_PRESSURE_ONLY,
    Rule,
    Verdict,
    at_least,
    at_most,
    below,
    rule,
    rule_for_each,
    yes_or_no,
)
from evenfire.judgement.rules.surveyed import controls, fitted, stated
from evenfire.physics.relief import overpressure_at_capacity
from evenfire.plant.controls import Action, Filling, Position, Role
from evenfire.plant.known import NotKnownError, known
from evenfire.si import LOW_PRESSURE_LIMIT_PA, PA_PER_M_OF_WATER_LEG, PA_PER_PSI, Dimension
from evenfire.sources import CONNECTICUT, CSD_1, NEW_YORK, STEAM_1919, UFC_3_430, Citation

LEAST_GAUGE_RANGE = 1.5
"""Of the lowest safety valve's set pressure [1]."""
USUAL_GAUGE_RANGE = 2.0
"""The same [1]."""
HEATING_GAUGE_RANGE = 30 * PA_PER_PSI
"""[Pa gauge]"""
HEATING_GAUGE_DIVISION = 1 * PA_PER_PSI
"""[Pa]"""
LONGEST_CALIBRATION = 12
"""[months]"""
END_OF_SCALE = 0.10
"""What is left unused at either end of a scale [1]."""

GAUGE_CODES = (Citation(CONNECTICUT), Citation(NEW_YORK))
GAUGE = Subject(Part.PRESSURE_GAUGE)


@rule(
    code="gauge-range",
    question="Does the gauge read to at least one and a half times the lowest safety valve?",
    severity=Severity.STOP,
    basis=Basis.PUBLISHED,
    subject=GAUGE,
    number="1.5 x set",
    citations=GAUGE_CODES,
)
def gauge_reads_far_enough(case: Case) -> Verdict:
    """A gauge at its stop tells nothing when it matters."""
    return _gauge_range(case, LEAST_GAUGE_RANGE)


def _gauge_that_reads_far_enough(case: Case) -> tuple[tuple[Subject, None], ...]:
    """What is usual is no question for a gauge that falls short of what is needed: the stop speaks."""
    try:
        return ((GAUGE, None),) if _gauge_range(case, LEAST_GAUGE_RANGE).holds else ()
    except NotKnownError:
        return ((GAUGE, None),)


@rule_for_each(
    items=_gauge_that_reads_far_enough,
    code="gauge-range-usual",
    question="Does the gauge read to about twice the lowest safety valve?",
    severity=Severity.ADVISE,
    basis=Basis.PUBLISHED,
    number="about 2 x set",
    citations=GAUGE_CODES,
    applies_to=HIGH_PRESSURE_ONLY,
)
def gauge_stands_near_its_middle(case: Case, _: None) -> Verdict:
    """At work the pointer then stands near upright."""
    return _gauge_range(case, USUAL_GAUGE_RANGE)


def _gauge_range(case: Case, times: float) -> Verdict:
    lowest = known(case.facts.valve_set)[0]
    return at_least(stated(case.boiler.gauge.highest, "gauge.to"), times * lowest, Dimension.GAUGE_PRESSURE)


@rule(
    code="heating-gauge-range",
    question="Does the gauge of a low-pressure boiler read to 30 psi?",
    severity=Severity.WARN,
    basis=Basis.PUBLISHED,
    subject=GAUGE,
    number="0 to 30 psi",
    citations=GAUGE_CODES,
    applies_to=LOW_PRESSURE_ONLY,
)
def heating_gauge_reads_far_enough(case: Case) -> Verdict:
    """Twice the highest pressure of such a boiler."""
    return at_least(stated(case.boiler.gauge.highest, "gauge.to"), HEATING_GAUGE_RANGE, Dimension.GAUGE_PRESSURE)


@rule(
    code="heating-gauge-division",
    question="Is the gauge of a low-pressure boiler divided in steps of 1 psi or finer?",
    severity=Severity.WARN,
    basis=Basis.PUBLISHED,
    subject=GAUGE,
    number="1 psi divisions",
    citations=GAUGE_CODES,
    applies_to=LOW_PRESSURE_ONLY,
)
def heating_gauge_is_fine_enough(case: Case) -> Verdict:
    """Its controls stand a few psi apart."""
    division = stated(case.boiler.gauge.division, "gauge.division")
    return at_most(division, HEATING_GAUGE_DIVISION, Dimension.PRESSURE_DIFFERENCE)


@rule(
    code="gauge-calibration",
    question="Was the gauge calibrated within the 12 months before the settings were read on it?",
    severity=Severity.WARN,
    basis=Basis.PUBLISHED,
    subject=GAUGE,
    number="12 months; 6 in another code (from memory)",
    citations=(Citation(UFC_3_430), Citation(CSD_1)),
)
def gauge_is_calibrated(case: Case) -> Verdict:
    """A calibration after the reading says nothing for the reading."""
    calibrated, read_on = case.boiler.gauge.calibrated_on, _read_on(case)
    if read_on is None:
        raise NotKnownError(("gauge.calibrated",) * (calibrated is None) + ("settings.read_on",))
    if calibrated is None or calibrated > read_on:
        raise NotKnownError(("gauge.calibrated",))
    return at_most(_begun_months(calibrated, read_on), LONGEST_CALIBRATION, Dimension.NUMBER)


def _read_on(case: Case) -> date | None:
    """When the settings were read; a proposal stands on the readings that were found."""
    if case.settings.read_on is not None or case.boiler.as_found is None:
        return case.settings.read_on
    return case.boiler.as_found.settings.read_on


def _begun_months(start: date, end: date) -> int:
    """Months from one date to another, a begun month counted whole."""
    whole = (end.year - start.year) * 12 + end.month - start.month
    return whole + 1 if end.day > start.day else whole


@dataclass(frozen=True, slots=True)
class _Hung:
    """A device that hangs on a sensing line."""

    role: Role | None
    """``None`` is the gauge"""
    key: str


def _hung(case: Case) -> tuple[tuple[Subject, _Hung], ...]:
    """The gauge, and every control."""
    hung = tuple((subject, _Hung(role, f"controls.{role.value}.water_leg")) for subject, role in controls(case))
    return (*hung, (GAUGE, _Hung(None, "gauge.water_leg")))


@rule_for_each(
    items=_hung,
    code="water-leg",
    question="Does the water in the sensing line make the device act or read early, never late?",
    severity=Severity.WARN,
    basis=Basis.PUBLISHED,
    number="0.433 psi for each foot of water",
    citations=(Citation(STEAM_1919, "water at 62 F"),),
)
def water_leg_is_on_the_safe_side(case: Case, hung: _Hung) -> Verdict:
    """Water below the tap presses on the device, water above it hangs from it; half a leg is anybody's guess."""
    leg = stated(case.boiler.gauge.water_leg if hung.role is None else fitted(case, hung.role).water_leg, hung.key)
    device = "gauge" if hung.role is None else "control"
    head = leg.height * PA_PER_M_OF_WATER_LEG
    if leg.filling is Filling.FULL and leg.position is Position.BELOW_TAP:
        return at_most(-head, 0.0, Dimension.PRESSURE_DIFFERENCE)
    filling = "unsure" if leg.filling is Filling.UNSURE else "above"
    return replace(at_most(head, 0.0, Dimension.PRESSURE_DIFFERENCE), detail=f"{device}-{filling}")


def _dialled(case: Case) -> tuple[tuple[Subject, Role], ...]:
    """Both limits and every other control with a dial; a controller that is set by numbers has no scale to lie on."""
    numbers = {Action.PID, Action.MASTER}
    rate = case.boiler.controls.firing_rate
    return tuple(
        (subject, role)
        for subject, role in controls(case)
        if not (role is Role.FIRING_RATE and rate is not None and rate.action in numbers)
    )


@rule_for_each(
    items=_dialled,
    code="setting-within-scale",
    question="Does the setting lie in the middle 80 % of its scale?",
    severity=Severity.ADVISE,
    basis=Basis.COMMON_PRACTICE,
    number="middle 80 %",
)
def setting_lies_within_its_scale(case: Case, role: Role) -> Verdict:
    """Springs are least true at the ends of their travel."""
    scale = stated(fitted(case, role).scale, f"controls.{role.value}.scale")
    main = stated(case.settings.of(role), f"settings.{role.value}").main
    unused = END_OF_SCALE * (scale.highest - scale.lowest)
    low = at_least(main, scale.lowest + unused, Dimension.GAUGE_PRESSURE)
    high = at_most(main, scale.highest - unused, Dimension.GAUGE_PRESSURE)
    if not low.holds:
        return replace(low, detail="low")
    if not high.holds:
        return replace(high, detail="high")
    return low if main - scale.lowest < scale.highest - main else high


@rule_for_each(
    items=controls,
    code="sensing-element-rating",
    question="Is the sensing element made for the pressure that the safety valves let the boiler reach?",
    severity=Severity.ADVISE,
    basis=Basis.COMMON_PRACTICE,
    number="set pressure and accumulation of the highest valve",
)
def sensing_element_stands_the_accumulation(case: Case, role: Role) -> Verdict:
    """An element that was strained once is no longer true."""
    rating = stated(fitted(case, role).element_rating, f"controls.{role.value}.element_rating")
    if not case.boiler.safety_valves:
        raise NotKnownError(("safety_valve.set",))
    highest = max(valve.set_pressure for valve in case.boiler.safety_valves)
    return at_least(rating, highest + overpressure_at_capacity(highest), Dimension.GAUGE_PRESSURE)


@rule_for_each(
    items=controls,
    code="scale-fits-boiler",
    question="Is the control of a high-pressure boiler free of a low-pressure scale?",
    severity=Severity.ADVISE,
    basis=Basis.COMMON_PRACTICE,
    number="no scale that ends at 15 psi or below",
    applies_to=HIGH_PRESSURE_ONLY,
)
def scale_fits_the_boiler(case: Case, role: Role) -> Verdict:
    """A control for heating boilers is strained by every day's work on a power boiler."""
    if role is Role.FIRING_RATE and fitted(case, role).action in {Action.PID, Action.MASTER}:
        return yes_or_no(True)
    highest = stated(fitted(case, role).scale, f"controls.{role.value}.scale").highest
    beyond = below(LOW_PRESSURE_LIMIT_PA, highest, Dimension.GAUGE_PRESSURE)
    return replace(beyond, observed=beyond.limit, limit=beyond.observed)


RULES: tuple[Rule, ...] = (
    gauge_reads_far_enough,
    gauge_stands_near_its_middle,
    heating_gauge_reads_far_enough,
    heating_gauge_is_fine_enough,
    gauge_is_calibrated,
    water_leg_is_on_the_safe_side,
    setting_lies_within_its_scale,
    sensing_element_stands_the_accumulation,
    scale_fits_the_boiler,
)

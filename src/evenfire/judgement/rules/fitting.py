"""Rules on what is fitted: both limits, each whole, each on its own open line, none of them bypassed."""

from dataclasses import replace

from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.outcome import Basis, Part, Severity, Subject
from evenfire.judgement.rule import (
    LOW_PRESSURE_ONLY,
    Rule,
    Verdict,
    at_least,
    at_most,
    rule,
    rule_for_each,
    yes_or_no,
)
from evenfire.judgement.rules.surveyed import controls, fitted, found, stated
from evenfire.plant.controls import Reset, Role, Senses
from evenfire.plant.known import NotKnownError
from evenfire.plant.settings import Switch
from evenfire.si import LOW_PRESSURE_LIMIT_PA, Dimension
from evenfire.sources import BPVC_IV, CSD_1, Citation

LIMIT_CODES = (Citation(CSD_1, "CW-310"), Citation(BPVC_IV, "HG-605"))
HIGH, OPERATING = Role.HIGH_LIMIT, Role.OPERATING_LIMIT
MOST_UNEXPLAINED_RESETS = 1
WHOLE_FIRE = 1.0
"""A cap at full fire is no cap [1]."""


@rule(
    code="high-limit-fitted",
    question="Is a high limit fitted?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    subject=Subject(Part.HIGH_LIMIT),
    citations=LIMIT_CODES,
)
def high_limit_is_fitted(case: Case) -> Verdict:
    """A high limit that the survey does not list is none: nobody may assume that one is there."""
    return yes_or_no(case.boiler.controls.high_limit is not None)


@rule(
    code="operating-limit-fitted",
    question="Is an operating limit fitted?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    subject=Subject(Part.OPERATING_LIMIT),
    citations=LIMIT_CODES,
)
def operating_limit_is_fitted(case: Case) -> Verdict:
    """An operating limit that the survey does not list is none."""
    return yes_or_no(case.boiler.controls.operating_limit is not None)


@rule(
    code="high-limit-manual-reset",
    question="Does the high limit, once it has acted, stay open until a hand resets it?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    subject=Subject(Part.HIGH_LIMIT),
    citations=LIMIT_CODES,
)
def high_limit_waits_for_a_hand(case: Case) -> Verdict:
    """A limit that resets itself hides what made it act, and lets it happen again."""
    return yes_or_no(stated(fitted(case, HIGH).reset, "controls.high_limit.reset") is Reset.MANUAL)


@rule(
    code="high-limit-own-element",
    question="Has the high limit its own sensing element and its own switch?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    subject=Subject(Part.HIGH_LIMIT),
    citations=LIMIT_CODES,
)
def high_limit_stands_alone(case: Case) -> Verdict:
    """One failure must not take both limits."""
    return yes_or_no(stated(fitted(case, HIGH).own_element, "controls.high_limit.own_element"))


@rule(
    code="high-limit-senses-boiler",
    question="Does the high limit sense the pressure of its own boiler?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    subject=Subject(Part.HIGH_LIMIT),
    citations=LIMIT_CODES,
)
def high_limit_senses_its_boiler(case: Case) -> Verdict:
    """A stop valve between boiler and header would leave a limit on the header blind."""
    return yes_or_no(stated(fitted(case, HIGH).senses, "controls.high_limit.senses") is Senses.BOILER)


@rule(
    code="low-pressure-high-limit-scale",
    question="Is the high limit of a low-pressure boiler made so that it cannot be set above 15 psi?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    subject=Subject(Part.HIGH_LIMIT),
    number="15 psi",
    citations=(Citation(BPVC_IV, "HG-605"),),
    applies_to=LOW_PRESSURE_ONLY,
)
def high_limit_cannot_be_set_too_high(case: Case) -> Verdict:
    """Where its scale ends is as far as a dial can be set."""
    scale = stated(fitted(case, HIGH).scale, "controls.high_limit.scale")
    return at_most(scale.highest, LOW_PRESSURE_LIMIT_PA, Dimension.GAUGE_PRESSURE)


@rule_for_each(
    items=controls,
    code="sensing-line-open",
    question="Is there no shutoff valve between the boiler and the control?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    citations=LIMIT_CODES,
)
def sensing_line_is_open(case: Case, role: Role) -> Verdict:
    """A shut valve blinds the control behind it."""
    return yes_or_no(not stated(fitted(case, role).valve_in_line, f"controls.{role.value}.valve_in_line"))


@rule_for_each(
    items=controls,
    code="siphon-fitted",
    question="Does a siphon keep live steam out of the control?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    citations=LIMIT_CODES,
)
def siphon_is_fitted(case: Case, role: Role) -> Verdict:
    """Steam in the sensing element ruins it."""
    return yes_or_no(stated(fitted(case, role).siphon, f"controls.{role.value}.siphon"))


@rule(
    code="operating-limit-not-blind",
    question="Does the operating limit still see its boiler when the non-return valve closes?",
    severity=Severity.WARN,
    basis=Basis.DERIVED,
    subject=Subject(Part.OPERATING_LIMIT),
    number="not on the header behind a non-return valve",
)
def operating_limit_sees_its_boiler(case: Case) -> Verdict:
    """On the header behind a closed non-return valve it reads the other boilers."""
    senses, non_return_valve = fitted(case, OPERATING).senses, case.boiler.non_return_valve
    if senses is Senses.BOILER or non_return_valve is False:
        return yes_or_no(True)
    stated(senses, "controls.operating_limit.senses")
    return yes_or_no(not stated(non_return_valve, "non_return_valve"))


def _bypasses(case: Case) -> tuple[tuple[Subject, str | None], ...]:
    """Each bypass that was seen by name, or one question when none was."""
    seen = () if case.boiler.as_found is None else case.boiler.as_found.jumpers or ()
    return tuple((Subject(Part.BOILER, name), name) for name in seen) or ((Subject(Part.BOILER), None),)


@rule_for_each(
    items=_bypasses,
    code="nothing-bypassed",
    question="Are all limits and interlocks free of jumpers?",
    severity=Severity.STOP,
    basis=Basis.DERIVED,
)
def nothing_is_bypassed(case: Case, seen: str | None) -> Verdict:
    """Nobody looked is not the same as none seen. A jumper stands until the survey says that it is gone."""
    stated(found(case, "as_found.jumpers").jumpers, "as_found.jumpers")
    return yes_or_no(seen is None)


@rule(
    code="high-limit-resets-explained",
    question="Was a cause found for the resets of the high limit?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    subject=Subject(Part.HIGH_LIMIT),
    number="one reset without a found cause",
    citations=(Citation(CSD_1),),
)
def high_limit_resets_are_explained(case: Case) -> Verdict:
    """One trip may stay a riddle; a second says that the first was a warning."""
    resets = stated(found(case, "as_found.unexplained_resets").unexplained_resets, "as_found.unexplained_resets")
    return at_most(resets, MOST_UNEXPLAINED_RESETS, Dimension.NUMBER)


def _firing(case: Case) -> tuple[tuple[Subject, None], ...]:
    """A burner with one fire has no firing rate to leave to anybody."""
    return ((Subject(Part.FIRING_RATE), None),) if follows_the_load(case.boiler) else ()


@rule_for_each(
    items=_firing,
    code="firing-in-automatic",
    question="Is the firing rate left to its control, neither in manual nor held down by hand?",
    severity=Severity.WARN,
    basis=Basis.COMMON_PRACTICE,
)
def firing_is_left_to_its_control(case: Case, _: None) -> Verdict:
    """A hand on the firing rate makes nonsense of its control; automatic with no cap noted is automatic."""
    as_found = found(case, "as_found.switch")
    if as_found.switch is Switch.MANUAL:
        return yes_or_no(False, detail="manual")
    if as_found.manual_cap is not None and as_found.manual_cap < WHOLE_FIRE:
        return replace(at_least(as_found.manual_cap, WHOLE_FIRE, Dimension.FRACTION), detail="capped")
    if as_found.switch is None:
        raise NotKnownError(("as_found.switch",))
    return yes_or_no(True)


RULES: tuple[Rule, ...] = (
    high_limit_is_fitted,
    operating_limit_is_fitted,
    high_limit_waits_for_a_hand,
    high_limit_stands_alone,
    high_limit_senses_its_boiler,
    high_limit_cannot_be_set_too_high,
    sensing_line_is_open,
    siphon_is_fitted,
    operating_limit_sees_its_boiler,
    nothing_is_bypassed,
    high_limit_resets_are_explained,
    firing_is_left_to_its_control,
)

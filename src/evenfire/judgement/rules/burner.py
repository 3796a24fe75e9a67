"""Rules on the burner: fired no harder than its nameplate, purged, lit and watched within their times."""

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Basis, Severity, Subject
from evenfire.judgement.rule import Rule, Verdict, at_least, at_most, rule_for_each, yes_or_no
from evenfire.judgement.rules.surveyed import burners, noted, stated
from evenfire.plant.boiler import Kind
from evenfire.plant.burner import Burner
from evenfire.plant.known import NotKnownError
from evenfire.si import W_PER_BTU_H, Dimension
from evenfire.sources import ANCHORAGE, CSD_1, NFPA_85, US_46CFR62, Citation

MOST_OVER_NAMEPLATE = 1.02
"""Clocked input per nameplate [1]."""
AIR_CHANGES = 4.0
"""Volumes of furnace and passes [1]."""
AIR_CHANGES_OF_WATER_TUBES = 8.0
"""The same, for boilers with the water in the tubes [1]."""
WATER_IN_TUBES = frozenset({Kind.WATERTUBE, Kind.COIL})
LEAST_PURGE_AIR = 0.70
"""Of the air at full fire [1]."""
LONGEST_TRIAL = 15.0
"""[s]"""
LONGEST_FLAME_FAILURE = 4.0
"""[s]"""
LARGE_GAS_INPUT = 2.5e6 * W_PER_BTU_H
"""[W]"""
LARGE_OIL_INPUT = 3e6 * W_PER_BTU_H
"""[W]"""

TIMES = (Citation(ANCHORAGE), Citation(US_46CFR62))


@rule_for_each(
    items=burners,
    code="input-within-nameplate",
    question="Is the burner clocked at no more than 2 % above its nameplate?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    number="1.02 x nameplate",
    citations=(Citation(CSD_1),),
)
def input_is_within_nameplate(case: Case, burner: Burner | None) -> Verdict:  # noqa: ARG001
    """Everything on the boiler, its valves first, was chosen for the nameplate."""
    fired = stated(burner, "burner")
    nameplate, clocked = fired.input_nameplate, fired.input_clocked
    missing = [key for key, value in (("burner.input", nameplate), ("burner.input_clocked", clocked)) if value is None]
    return at_most(stated(clocked, *missing), MOST_OVER_NAMEPLATE * stated(nameplate, *missing), Dimension.POWER)


@rule_for_each(
    items=burners,
    code="prepurge-air-changes",
    question="Does the prepurge move enough air through furnace and passes?",
    severity=Severity.WARN,
    basis=Basis.FROM_MEMORY,
    number="4 air changes; 8 with the water in the tubes",
    citations=(Citation(NFPA_85), Citation(CSD_1)),
)
def prepurge_changes_the_air(case: Case, burner: Burner | None) -> Verdict:
    """What leaked in while the burner was off must be out before there is a spark."""
    least = AIR_CHANGES_OF_WATER_TUBES if case.boiler.kind in WATER_IN_TUBES else AIR_CHANGES
    changes = stated(stated(burner, "burner").prepurge_air_changes, "burner.prepurge_air_changes")
    return at_least(changes, least, Dimension.NUMBER)


@rule_for_each(
    items=burners,
    code="prepurge-air-flow",
    question="Is the prepurge done with 70 % of the full air or more?",
    severity=Severity.WARN,
    basis=Basis.FROM_MEMORY,
    number="70 % of the air at full fire",
    citations=(Citation(NFPA_85),),
)
def prepurge_blows_hard(case: Case, burner: Burner | None) -> Verdict:  # noqa: ARG001
    """A weak draught leaves corners unswept."""
    air = stated(stated(burner, "burner").prepurge_air, "burner.prepurge_air")
    return at_least(air, LEAST_PURGE_AIR, Dimension.FRACTION)


@rule_for_each(
    items=burners,
    code="pilot-trial-time",
    question="Is the trial for the pilot no longer than 15 s?",
    severity=Severity.WARN,
    basis=Basis.PUBLISHED,
    number="15 s",
    citations=TIMES,
)
def pilot_trial_is_short(case: Case, burner: Burner | None) -> Verdict:  # noqa: ARG001
    """Unlit fuel gathers all the while; a time that was only assumed is not a time that somebody took."""
    seconds = noted(stated(burner, "burner").chain.pilot_trial, "burner.start.pilot_trial")
    return at_most(seconds, LONGEST_TRIAL, Dimension.TIME)


@rule_for_each(
    items=burners,
    code="main-trial-time",
    question="Is the trial for the main flame no longer than 15 s?",
    severity=Severity.WARN,
    basis=Basis.PUBLISHED,
    number="15 s",
    citations=TIMES,
)
def main_trial_is_short(case: Case, burner: Burner | None) -> Verdict:  # noqa: ARG001
    """Unlit fuel gathers all the while."""
    seconds = noted(stated(burner, "burner").chain.main_trial, "burner.start.main_trial")
    return at_most(seconds, LONGEST_TRIAL, Dimension.TIME)


@rule_for_each(
    items=burners,
    code="flame-failure-time",
    question="Is the fuel shut within 4 s after the flame has gone?",
    severity=Severity.WARN,
    basis=Basis.PUBLISHED,
    number="4 s",
    citations=TIMES,
)
def flame_failure_is_answered(case: Case, burner: Burner | None) -> Verdict:  # noqa: ARG001
    """Unlit fuel gathers all the while."""
    seconds = stated(stated(burner, "burner").flame_failure_response, "burner.flame_failure")
    return at_most(seconds, LONGEST_FLAME_FAILURE, Dimension.TIME)


def _large_burners(case: Case) -> tuple[tuple[Subject, Burner | None], ...]:
    """Burners that are large, or may be because nobody stated their input."""
    return tuple(
        (subject, burner) for subject, burner in burners(case) if burner is None or _is_large(burner) is not False
    )


def _is_large(burner: Burner) -> bool | None:
    """Whether the input asks for a start at low fire after a prepurge; unknown without an input."""
    inputs = [value for value in (burner.input_nameplate, burner.input_clocked) if value is not None]
    if not inputs:
        return None
    return max(inputs) > (LARGE_GAS_INPUT if burner.fuel.is_gas else LARGE_OIL_INPUT)


@rule_for_each(
    items=_large_burners,
    code="low-fire-start",
    question="Does a large burner light at low fire?",
    severity=Severity.WARN,
    basis=Basis.PUBLISHED,
    number="above 2.5 million Btu/h of gas, 3 of oil",
    citations=TIMES,
)
def large_burner_lights_at_low_fire(case: Case, burner: Burner | None) -> Verdict:  # noqa: ARG001
    """A large fire that lights late lights hard."""
    fired = stated(burner, "burner")
    if fired.starts_at_low_fire is True:
        return yes_or_no(True)
    if fired.starts_at_low_fire is None and _is_large(fired) is None:
        raise NotKnownError(("burner.starts_at_low_fire", "burner.input"))
    stated(_is_large(fired), "burner.input")
    return yes_or_no(stated(fired.starts_at_low_fire, "burner.starts_at_low_fire"))


@rule_for_each(
    items=_large_burners,
    code="prepurge-before-start",
    question="Does a large burner purge before it lights?",
    severity=Severity.WARN,
    basis=Basis.PUBLISHED,
    number="above 2.5 million Btu/h of gas, 3 of oil",
    citations=TIMES,
)
def large_burner_purges_first(case: Case, burner: Burner | None) -> Verdict:  # noqa: ARG001
    """What leaked in must be out before there is a spark."""
    fired = stated(burner, "burner")
    seconds = noted(fired.chain.prepurge, "burner.start.prepurge")
    if seconds > 0:
        return yes_or_no(True)
    stated(_is_large(fired), "burner.input")
    return yes_or_no(False)


RULES: tuple[Rule, ...] = (
    input_is_within_nameplate,
    prepurge_changes_the_air,
    prepurge_blows_hard,
    pilot_trial_is_short,
    main_trial_is_short,
    flame_failure_is_answered,
    large_burner_lights_at_low_fire,
    large_burner_purges_first,
)

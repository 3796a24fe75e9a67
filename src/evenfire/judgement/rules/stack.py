"""Rules on the pressure stack: each puts a question, a weight and a source on one margin."""

from dataclasses import replace

from evenfire.judgement import margins
from evenfire.judgement.case import Case, prepare
from evenfire.judgement.margins import Margin, Sense, Tier, least_room, room
from evenfire.judgement.outcome import PART_OF_ROLE, Basis, Outcome, Remedy, Severity, Subject, Term
from evenfire.judgement.rule import Rule, Verdict, at_least, at_most, below, outcome
from evenfire.plant.controls import Counts, Role
from evenfire.plant.known import NotKnownError
from evenfire.plant.settings import is_on_dial, turned
from evenfire.si import ROUNDING_PA, DiffPa, Dimension
from evenfire.sources import ASME_VII, BPVC_IV, CSD_1, VALVE_HANDBOOK, Citation

LEAST_STEP = 0.01 * ROUNDING_PA
"""Keeps a remedy clear of the noise of arithmetic [Pa]."""
HALVINGS = 14
"""Of a turn that is enough: far finer than anybody turns."""
TRIES = 8
"""A turn is lengthened until it clears; the second try already comes within a few thousandths."""


def verdict_of(margin: Margin, case: Case) -> Verdict:
    """Answer of one margin on one case, with what entered it and which dials would widen it."""
    try:
        observed, limit = margin.observed(case.stack, case.facts), margin.limit(case.stack, case.facts)
    except NotKnownError as unknown:
        return _certain(margin, case, unknown)
    return _with_remedies(_compare(margin, observed, limit, case.named_terms(margin.terms)), margin, case)


def _certain(margin: Margin, case: Case, unknown: NotKnownError) -> Verdict:
    """A finding that holds whatever the unknown is, because tolerance and motion only make it worse."""
    if margin.bare is None:
        raise unknown
    verdict = _compare(margin, margin.bare(case.stack, case.facts), margin.limit(case.stack, case.facts), ())
    if verdict.holds:
        raise unknown
    return _with_remedies(verdict, margin, case)


def _compare(margin: Margin, observed: float, limit: float, terms: tuple[Term, ...]) -> Verdict:
    compare = {Sense.AT_LEAST: at_least, Sense.AT_MOST: at_most, Sense.BELOW: below}[margin.sense]
    return compare(observed, limit, Dimension.GAUGE_PRESSURE, terms)


def _with_remedies(verdict: Verdict, margin: Margin, case: Case) -> Verdict:
    """The verdict, with each dial that alone would clear it and how far it has to turn."""
    if verdict.holds or verdict.room is None:
        return verdict
    turns = [(dial, -1.0) for dial in margin.lower_to_widen] + [(dial, 1.0) for dial in margin.raise_to_widen]
    found = (_remedy(margin, case, role, turn, sign) for (role, turn), sign in turns)
    return replace(verdict, remedies=tuple(remedy for remedy in found if remedy is not None))


def _remedy(margin: Margin, case: Case, role: Role, turn: str, sign: float) -> Remedy | None:
    """The least turn of one scale that clears the margin, or ``None`` when that scale cannot.

    Motion changes with pressure, so the turn is tried on the whole case and lengthened by what is still short.
    """
    reach = _reach(case, role, turn)
    if reach == 0.0:
        return None
    change, tried = 0.0, case
    for _ in range(TRIES):
        try:
            short = least_room(margin) - float(room(margin, tried.stack, tried.facts))
        except NotKnownError:
            return _bare_remedy(margin, case, role, turn, sign / reach)
        if short <= 0.0:
            return _least_remedy(margin, case, role, turn, change)
        change += sign * (short + LEAST_STEP) / reach
        settings = turned(case.settings, role, turn, change)
        if settings is None or not is_on_dial(role, settings.of(role), case.boiler.controls.of(role)):
            return None
        tried = prepare(case.plant, case.boiler, case.which, settings)
    return None


def _least_remedy(margin: Margin, case: Case, role: Role, turn: str, enough: float) -> Remedy | None:
    """The remedy with its turn shortened as far as it still clears: motion may need less than the first guess."""
    too_little, best = 0.0, None
    for _ in range(HALVINGS):
        change = enough if best is None else (too_little + enough) / 2
        settings = turned(case.settings, role, turn, change)
        if settings is None:
            return None
        tried = prepare(case.plant, case.boiler, case.which, settings)
        if _is_met(margin, tried):
            enough, best = change, tried
        else:
            too_little = change
    return None if best is None or enough == 0.0 else Remedy(role, turn, DiffPa(enough), _broken_by(case, best))


def _broken_by(case: Case, tried: Case) -> tuple[str, ...]:
    """Demands that are met in one case and broken in the other."""
    demands = [each for each in case.demands if each.tier is not Tier.USUAL]
    return tuple(each.code for each in demands if _is_met(each, case) and not _is_met(each, tried))


def _is_met(margin: Margin, case: Case) -> bool:
    """Whether a demand is met; one that cannot be judged is not known to be broken."""
    try:
        return float(room(margin, case.stack, case.facts)) >= least_room(margin)
    except NotKnownError:
        return True


def _bare_remedy(margin: Margin, case: Case, role: Role, turn: str, sign: float) -> Remedy:
    """Where a tolerance is unknown: what is certainly short."""
    if margin.bare is None:
        raise AssertionError("only a bare margin is judged with unknowns")
    bare = margin.bare(case.stack, case.facts) - margin.limit(case.stack, case.facts)
    return Remedy(role, turn, DiffPa(sign * (abs(bare) + LEAST_STEP)))


def _reach(case: Case, role: Role, turn: str) -> float:
    """How far the point that a margin looks at moves for each unit that a scale is turned [1].

    A main scale carries both ends. A differential moves the far end alone: of the operating limit margins look at
    cut-in, the lower end; of the firing rate at the low-fire point, the upper one.
    """
    control = case.boiler.controls.of(role)
    if turn == "main" or control is None or control.counts is None:
        return 1.0
    if control.counts is Counts.AROUND:
        return 0.5
    far_end = Counts.BELOW if role is Role.OPERATING_LIMIT else Counts.ABOVE
    return 1.0 if control.counts is far_end else 0.0


def margin_rule(
    margin: Margin,
    *,
    question: str,
    severity: Severity,
    basis: Basis,
    role: Role,
    number: str = "",
    citations: tuple[Citation, ...] = (),
) -> Rule:
    """Make a rule of a margin; it has no outcome on a boiler on which that margin is not demanded."""
    subject = Subject(PART_OF_ROLE[role])

    def judge(case: Case) -> tuple[Outcome, ...]:
        if margin not in case.demands:
            return ()
        return (outcome(margin.code, severity, basis, subject, lambda: verdict_of(margin, case)),)

    return Rule(
        code=margin.code,
        question=question,
        severity=severity,
        basis=basis,
        number=number,
        citations=citations,
        judge=judge,
    )


CUT_OUT_BELOW_HIGH_LIMIT = margin_rule(
    margins.CUT_OUT_BELOW_HIGH_LIMIT,
    question="Does the operating limit act before the high limit?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    role=Role.OPERATING_LIMIT,
    number="cut-out < high limit",
    citations=(Citation(CSD_1, "CW-310"), Citation(BPVC_IV, "HG-605")),
)
HIGH_LIMIT_WITHIN_MAWP = margin_rule(
    margins.HIGH_LIMIT_WITHIN_MAWP,
    question="Is the high limit set no higher than the maximum allowable working pressure?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    role=Role.HIGH_LIMIT,
    number="high limit <= MAWP",
    citations=(Citation(CSD_1, "CW-310"),),
)
HIGH_LIMIT_WITHIN_LOW_PRESSURE = margin_rule(
    margins.HIGH_LIMIT_WITHIN_LOW_PRESSURE,
    question="Is the high limit of a low-pressure boiler set no higher than 15 psi?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    role=Role.HIGH_LIMIT,
    number="15 psi",
    citations=(Citation(BPVC_IV, "HG-605"),),
)
HIGH_LIMIT_BELOW_VALVE = margin_rule(
    margins.HIGH_LIMIT_BELOW_VALVE,
    question="Does the high limit, at the high end of its tolerance, trip below the set pressure of the lowest valve?",
    severity=Severity.STOP,
    basis=Basis.FROM_MEMORY,
    role=Role.HIGH_LIMIT,
    number="high limit + its tolerance < valve set pressure",
    citations=(Citation(CSD_1, "CW-310"), Citation(BPVC_IV, "HG-605")),
)
HIGH_LIMIT_STOPS_BEFORE_VALVE = margin_rule(
    margins.HIGH_LIMIT_STOPS_BEFORE_VALVE,
    question="Has the high limit stopped full fire, run-on included, before any safety valve may lift?",
    severity=Severity.WARN,
    basis=Basis.DERIVED,
    role=Role.HIGH_LIMIT,
    number="high limit + tolerance + full-fire run-on < earliest lift",
    citations=(Citation(VALVE_HANDBOOK, "set-pressure tolerances"),),
)
CUT_OUT_WITHIN_DOWNSTREAM_RATING = margin_rule(
    margins.CUT_OUT_WITHIN_DOWNSTREAM_RATING,
    question="Does normal work stay within the lowest rating downstream that has no relief of its own?",
    severity=Severity.STOP,
    basis=Basis.DERIVED,
    role=Role.OPERATING_LIMIT,
    number="cut-out + tolerance + run-on <= downstream rating",
)
CUT_OUT_CLEAR_OF_HIGH_LIMIT = margin_rule(
    margins.CUT_OUT_CLEAR_OF_HIGH_LIMIT,
    question="Does the pressure run on after cut-out without tripping the high limit for nothing?",
    severity=Severity.WARN,
    basis=Basis.DERIVED,
    role=Role.OPERATING_LIMIT,
    number="cut-out + run-on + both tolerances < high limit",
)
WORKING_PRESSURE_BELOW_VALVE = margin_rule(
    margins.WORKING_PRESSURE_BELOW_VALVE,
    question="Does the highest normal pressure keep its distance from the lowest safety valve?",
    severity=Severity.WARN,
    basis=Basis.FROM_MEMORY,
    role=Role.OPERATING_LIMIT,
    number="15 psi and below: 5 psi; to 300: 10 %, at least 7; to 1000: 7 %, at least 30; above: 5 %, at least 70",
    citations=(Citation(ASME_VII, "recommended table, also NBIC"),),
)
WORKING_PRESSURE_BELOW_RESEAT = margin_rule(
    margins.WORKING_PRESSURE_BELOW_RESEAT,
    question="Would a safety valve that has lifted close again at the highest normal pressure?",
    severity=Severity.WARN,
    basis=Basis.PUBLISHED,
    role=Role.OPERATING_LIMIT,
    number="blowdown 2 to 4 % or 2 to 4 psi",
    citations=(Citation(VALVE_HANDBOOK, "blowdown"),),
)
CUT_OUT_WITHIN_WISH = margin_rule(
    margins.CUT_OUT_WITHIN_WISH,
    question="Does normal work stay within the highest pressure that anybody wants to see?",
    severity=Severity.WARN,
    basis=Basis.DERIVED,
    role=Role.OPERATING_LIMIT,
    number="cut-out + tolerance + run-on <= wish",
)
LOW_FIRE_BEFORE_CUT_OUT = margin_rule(
    margins.LOW_FIRE_BEFORE_CUT_OUT,
    question="Has the burner come down to low fire before the operating limit stops it?",
    severity=Severity.WARN,
    basis=Basis.DERIVED,
    role=Role.OPERATING_LIMIT,
    number="low-fire point + tolerance + overshoot of the design drop < cut-out - tolerance",
)
NEED_AT_FULL_LOAD = margin_rule(
    margins.NEED_AT_FULL_LOAD,
    question="Does the plant get its pressure at full load?",
    severity=Severity.WARN,
    basis=Basis.DERIVED,
    role=Role.FIRING_RATE,
    number="high-fire point - tolerance >= need",
)
RESTART_HOLDS_NEED = margin_rule(
    margins.RESTART_HOLDS_NEED,
    question="Does the plant keep its pressure while the burner restarts?",
    severity=Severity.WARN,
    basis=Basis.DERIVED,
    role=Role.OPERATING_LIMIT,
    number="cut-in - tolerance - undershoot at low-fire load >= need",
)
HOLD_BELOW_RESTART = margin_rule(
    margins.HOLD_BELOW_RESTART,
    question="Is the low-fire hold released at every pressure that a restart falls to?",
    severity=Severity.WARN,
    basis=Basis.DERIVED,
    role=Role.LOW_FIRE_HOLD,
    number="hold + tolerance < cut-in - tolerance - undershoot",
)
HOLD_BELOW_FULL_LOAD = margin_rule(
    margins.HOLD_BELOW_FULL_LOAD,
    question="Is the low-fire hold released at the pressure of full load?",
    severity=Severity.WARN,
    basis=Basis.DERIVED,
    role=Role.LOW_FIRE_HOLD,
    number="hold + tolerance < high-fire point - tolerance",
)
CUT_IN_ABOVE_HIGH_FIRE = margin_rule(
    margins.CUT_IN_ABOVE_HIGH_FIRE,
    question="Does the burner relight above the high-fire point, so that it is not asked for full fire at once?",
    severity=Severity.ADVISE,
    basis=Basis.COMMON_PRACTICE,
    role=Role.OPERATING_LIMIT,
    number="cut-in >= high-fire point",
)

RULES: tuple[Rule, ...] = (
    CUT_OUT_BELOW_HIGH_LIMIT,
    HIGH_LIMIT_WITHIN_MAWP,
    HIGH_LIMIT_WITHIN_LOW_PRESSURE,
    HIGH_LIMIT_BELOW_VALVE,
    HIGH_LIMIT_STOPS_BEFORE_VALVE,
    CUT_OUT_WITHIN_DOWNSTREAM_RATING,
    CUT_OUT_CLEAR_OF_HIGH_LIMIT,
    WORKING_PRESSURE_BELOW_VALVE,
    WORKING_PRESSURE_BELOW_RESEAT,
    CUT_OUT_WITHIN_WISH,
    LOW_FIRE_BEFORE_CUT_OUT,
    NEED_AT_FULL_LOAD,
    RESTART_HOLDS_NEED,
    HOLD_BELOW_RESTART,
    HOLD_BELOW_FULL_LOAD,
    CUT_IN_ABOVE_HIGH_FIRE,
)

"""The settings sheet of one boiler: every answer about one set of settings, worded for paper."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from evenfire.delivery.answers import BoilerCheck, BoilerProofs, Ending, Identity
from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_svg import stack_svg
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.papers.admission import QUESTIONS, Admission, Countersigner
from evenfire.delivery.papers.content import (
    ActingLine,
    Drawing,
    MovesPart,
    ProofPart,
    SheetContent,
    Step,
    Told,
)
from evenfire.delivery.papers.of_visit import OfVisit
from evenfire.delivery.papers.shared_parts import FROM_THE_TOP, dial_lines, head_of, signing_of
from evenfire.delivery.report.boiler_text import assumption_lines, standing_lines
from evenfire.delivery.report.outcome_text import clear_of, findings_of, not_judged_of, terms_line
from evenfire.delivery.report.page import Page
from evenfire.delivery.report.settings_text import points_of, reading_text
from evenfire.delivery.units import Rounding
from evenfire.delivery.words import BASES, SEVERITIES, name_of, name_of_key, say
from evenfire.delivery.words import papers as words
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN, CAUTIONS
from evenfire.delivery.words.moves import (
    LOCK_OUT,
    NO_MOVES,
    NOT_ACROSS,
    NOTHING_TO_TURN,
    say_closing,
    say_move,
    say_obstacle,
    say_release,
)
from evenfire.delivery.words.proof_saying import found_out, sentences, to_do
from evenfire.delivery.words.proofs import SCENARIOS, STEADY_PANELS, VERDICTS
from evenfire.delivery.words.trip_tests import DIFFERENTIAL_BY_DIAL
from evenfire.judgement.case import Case, SettingsSet
from evenfire.judgement.moves.result import Moves, Why
from evenfire.judgement.proofs.result import NotProved, Proof, Proved, Scenario
from evenfire.judgement.rulebook import LEFT_TO_A_VISIT, RULES
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing
from evenfire.plant.settings import DialReading, Settings
from evenfire.si import Dimension, Quantity
from evenfire.sources import Reading

STACK_WIDE: Final = 680.0
"""[px]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetAnswers:
    """What a settings sheet is made of."""

    plant_file: PlantFile
    check: BoilerCheck
    proofs: BoilerProofs
    moves: Moves | None
    """From the settings read last to those proposed, on a sheet of these"""
    other: Case | None
    """What these settings are drawn beside: those proposed beside those found, and everything else beside those read"""
    identity: Identity
    physics_version: str
    of_visit: OfVisit | None = None
    """The visit that these settings belong to; without it they are of a plant file"""


def sheet_content(
    answers: SheetAnswers, found: Admission, countersigner: Countersigner | None, page: Page
) -> SheetContent:
    """The sheet in words; whether it may be written was asked before."""
    check, case = answers.check, answers.check.case
    head = head_of(words.SHEET, check, found, answers.identity, page)
    if check.beside_stale:
        head = replace(head, notices=(*head.notices, words.STALE_BESIDE))
    head = replace(head, made_from=f"{head.made_from} Physics {answers.physics_version}.")
    visit = answers.of_visit
    if visit is not None:
        head = visit.head_of_sheet(head, check, answers.proofs.proofs)
    return SheetContent(
        head=head,
        verdict=_verdict(found),
        acting_title=words.TO_ACT if case.which is SettingsSet.PROPOSED else words.ACTS,
        acting=tuple(_acting(case, _dials_read(answers), page)),
        dials=dial_lines(_as_read(answers), page, with_proposed=not check.beside_stale),
        stack=_stack(answers, page),
        standing=tuple(standing_lines(check.standing, case, page)),
        findings=tuple(_findings(check, page)),
        clear=tuple(say(each, page.show).what for each in clear_of(check.outcomes)),
        moves=None if answers.moves is None else moves_part(answers.moves, answers.other, page),
        proofs=tuple(proof_parts(case, answers.proofs.proofs, answers.physics_version, page)),
        assumptions=tuple(assumption_lines(answers.plant_file, page, motion=True)),
        not_judged=tuple(not_judged(check, answers.proofs.proofs)),
        left_to_a_visit=tuple(each.what for each in LEFT_TO_A_VISIT),
        sources=tuple(_sources(check)),
        cautions=(*CAUTIONS, CAUTION_OF_A_RUN),
        signing=signing_of("sheet", answers.plant_file, case.which.value, countersigner)
        if visit is None
        else visit.signing(countersigner),
    )


def moves_part(moves: Moves, start: Case | None, page: Page) -> MovesPart:
    """The moves as things to do and to tick."""
    lead = [] if start is None else [words.MOVES_FROM.format(found=start.which.value)]
    if any(each.why in {Why.GOAL_BREAKS, Why.GOAL_NOT_JUDGED} for each in moves.obstacles):
        why = (say_obstacle(each, page.show) for each in moves.obstacles)
        return MovesPart(lead=(NO_MOVES, *why), steps=(), closing=())
    lead.append(NOT_ACROSS if moves.steps else NOTHING_TO_TURN)
    if moves.look_first:
        lead.append(f"Look first; not judged: {'; '.join(name_of_key(key) for key in moves.look_first)}.")
    steps = []
    if moves.is_locked_out_first:
        locked = (*(say_obstacle(each, page.show) for each in moves.obstacles), say_release(moves))
        steps.append(Step(number="0", do=LOCK_OUT, beside=locked))
    for number, move in enumerate(moves.steps, 1):
        said = say_move(move, page.show)
        beside = (
            said.points,
            f"Burner: {said.burner}",
            f"Watch: {said.watch}",
            f"Before the next: {said.see}",
            f"Why here: {said.why}",
        )
        steps.append(Step(number=str(number), do=said.do, beside=tuple(line for line in beside if line)))
    first = len(moves.steps) + 1
    closing = (Step(number=str(n), do=say_closing(each, page.show)) for n, each in enumerate(moves.closing, first))
    return MovesPart(lead=tuple(lead), steps=tuple(steps), closing=tuple(closing))


def proof_parts(case: Case, proofs: tuple[Proved, ...], physics_version: str, page: Page) -> Iterator[ProofPart]:
    """Every scenario that was run, with its traces."""
    # What draws traces is loaded by whoever has any to draw.
    from evenfire.delivery.papers.trace_drawings import trace_drawings

    for proof in proofs:
        if isinstance(proof, Proof):
            panels = STEADY_PANELS if proof.scenario is Scenario.STEADY_LOADS else ""
            beside = (*found_out(case, proof, page.show), to_do(case, proof, page.show), panels)
            yield ProofPart(
                verdict=VERDICTS[proof.verdict],
                title=SCENARIOS[proof.scenario].title,
                said=sentences(case, proof, page.show),
                beside=tuple(line for line in beside if line),
                drawings=tuple(trace_drawings(case, proof, physics_version, page)) if proof.runs else (),
            )


def not_judged(check: BoilerCheck, proofs: tuple[Proved, ...]) -> Iterator[str]:
    """Everything that could not be looked at, with what is missing; each question once."""
    lacking: dict[tuple[str, str], dict[str, None]] = {}
    for each in not_judged_of(check.outcomes):
        key = (SEVERITIES[each.severity], QUESTIONS[each.code])
        lacking.setdefault(key, {}).update(dict.fromkeys(each.missing))
    for (weight, question), keys in lacking.items():
        missing = "; ".join(name_of_key(key) for key in keys)
        yield words.MISSING_ONLY.format(weight=weight, question=question, missing=missing)
    for proof in proofs:
        if isinstance(proof, NotProved):
            missing = "; ".join(name_of_key(key) for key in proof.missing)
            yield words.NOT_PROVED.format(title=SCENARIOS[proof.scenario].title, missing=missing)


def _verdict(found: Admission) -> str:
    return {
        Ending.STOP_FINDING: words.STOP_FOUND,
        Ending.STOP_NOT_JUDGED: words.NOT_ALL_JUDGED,
    }.get(found.ending, words.ALL_CLEAR)


def _dials_read(answers: SheetAnswers) -> Settings:
    """What the dials show: a control that a visit proved is judged where it acted, whatever its dial says."""
    case, visit = answers.check.case, answers.of_visit
    return case.settings if visit is None or case.which is not SettingsSet.AS_LEFT else visit.dials_left


def _as_read(answers: SheetAnswers) -> Boiler:
    boiler = answers.check.case.boiler
    visit = answers.of_visit
    return boiler if visit is None or boiler.as_left is None else replace(boiler, as_left=visit.dials_left)


def _acting(case: Case, dials: Settings, page: Page) -> Iterator[ActingLine]:
    """Controls that are proved lead: there the pressure counts and not the dial."""
    roles = [role for role in FROM_THE_TOP if case.settings.of(role) is not None]
    for role in sorted(roles, key=lambda role: role not in case.settings.proved):
        reading = dials.of(role)
        assert reading is not None
        is_proved = role in case.settings.proved
        how = _how(case, is_proved=is_proved).format(dial=reading_text(reading, page))
        yield ActingLine(
            control=words.NAMES_OF_ROLES[role],
            acts=", ".join(_point(name, value, page) for name, value in points_of(case, role)),
            tolerance=_within(case, role, page),
            how=f"{how} {DIFFERENTIAL_BY_DIAL}" if is_proved and _is_by_dial(case, role, reading) else how,
            leads=is_proved,
        )


def _how(case: Case, *, is_proved: bool) -> str:
    if case.which is SettingsSet.PROPOSED:
        return words.PROVE_FIRST if is_proved else words.BY_SCALE
    return words.WAS_PROVED if is_proved else words.IS_SHOWN


def _is_by_dial(case: Case, role: Role, reading: DialReading) -> bool:
    """Whether nobody read where the burner started again, so that the lower end stands where the dial has it."""
    judged = case.settings.of(role)
    if role is not Role.OPERATING_LIMIT or case.which is not SettingsSet.AS_LEFT or judged is None:
        return False
    return reading.differential is not None and judged.differential == reading.differential


def _point(name: str, value: float | Missing, page: Page) -> str:
    if isinstance(value, Missing):
        return words.POINT_UNKNOWN.format(name=name)
    return f"{name} {page.show(Quantity(value, Dimension.GAUGE_PRESSURE))}"


def _within(case: Case, role: Role, page: Page) -> str:
    control, is_proved = case.boiler.controls.of(role), role in case.settings.proved
    tolerance = None if control is None else control.tolerance.proved if is_proved else control.tolerance.dial
    if tolerance is None:
        return words.WITHIN_UNKNOWN
    told = words.WITHIN_PROVED if is_proved else words.WITHIN_DIAL
    return told.format(tolerance=page.show(Quantity(tolerance, Dimension.PRESSURE_DIFFERENCE), rounding=Rounding.UP))


def _stack(answers: SheetAnswers, page: Page) -> Drawing | None:
    case = answers.check.case
    if case.settings == Settings():
        return None
    pair = (case, answers.other) if case.which is SettingsSet.AS_FOUND else (answers.other, case)
    layout = lay_out(*pair)
    says = words.STACK_SAYS.format(boiler=case.boiler.name, site=case.site.name)
    return Drawing(svg=stack_svg(layout, page.system, STACK_WIDE), says=says)


def _findings(check: BoilerCheck, page: Page) -> Iterator[Told]:
    for finding in findings_of(check.outcomes):
        said = say(finding, page.show)
        beside = [said.why, f"Do: {said.do}"]
        if said.confirm:
            beside.append(f"Then: {said.confirm}")
        if finding.terms:
            beside.append(f"From: {terms_line(finding.terms, page)}.")
        beside.append(f"Basis: {BASES[finding.basis]} ({name_of(finding.subject)}, rule {finding.code}).")
        yield Told(label=SEVERITIES[finding.severity].upper(), text=said.what, beside=tuple(beside))


def _sources(check: BoilerCheck) -> Iterator[str]:
    """What the rules that were judged lean on, each publication once."""
    asked = {each.code for each in check.outcomes}
    cited = {citation.source for rule in RULES if rule.code in asked for citation in rule.citations}
    for source in sorted(cited, key=lambda source: source.title):
        if source.reading is Reading.MEMORY:
            yield words.FROM_MEMORY.format(title=source.title)
        else:
            yield source.title

"""What motion taught and proved of settled settings, as text."""

from collections.abc import Iterator
from dataclasses import dataclass

from evenfire.delivery.figures.stack_words import unit_of
from evenfire.delivery.report.page import Page
from evenfire.delivery.report.settle_told import SHOWN_IN_MOTION
from evenfire.delivery.units import Rounding, number_in
from evenfire.delivery.units.showing import UnitSystem
from evenfire.delivery.words import TERMS, name_of_key
from evenfire.delivery.words.proof_saying import clause, found_out, told_checks
from evenfire.delivery.words.proofs import SCENARIOS, VERDICTS
from evenfire.judgement.case import Case
from evenfire.judgement.proofs.learning import MOST_ROUNDS, Learned, case_in
from evenfire.judgement.proofs.result import NotProved, Proof, Proved
from evenfire.judgement.proofs.weighing import settings_are_unsafe, valves_are_too_small, worst_first
from evenfire.judgement.settle.result import Fits
from evenfire.si import Dimension, Quantity

UNKNOWN = "unknown"
"""Verdict of a proof that could not be run."""
UNSAFE = (
    "UNSAFE IN MOTION: the closed forms let these settings pass, and the simulation shows what FAILS below. Do not use "
    "them; nothing is written."
)
NO_RELIEF = "STOP: the safety valves alone do not hold this boiler, and no setting mends that. Do not fire it."
NOTHING_MORE = "With margins raised for it nothing fits any more. What would help stands in evenfire prove."
MORE_ROUNDS = "Every round raised the margins, and that was not enough."
NO_DIAL = "No dial that settle turns mends it: what to do stands in evenfire prove."
HOLD = (
    "An interruption or a pick-up under load was seen to pull the pressure down to {lowest}; the low-fire hold was "
    "chosen to stand below that, as far as its dial goes."
)
NEXT = "In full, once --write has put these settings into the file: evenfire prove {file} --settings proposed"
NEXT_OF_NOTHING = "In full, the settings that were read last: evenfire prove {file}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidProof:
    """One proof in short."""

    proved: Proof | NotProved
    verdict: str
    title: str
    decides: str
    """The number that decides, or what is missing"""


@dataclass(frozen=True, slots=True, kw_only=True)
class MotionTold:
    """What motion taught and proved."""

    learned: tuple[str, ...]
    """Empty where there was nothing to set in motion"""
    proofs: tuple[SaidProof, ...] = ()
    """Worst first"""
    next: str = ""
    """The command that tells it in full"""


def motion_text(learned: Learned, file: str, page: Page) -> str:
    """Lessons, rounds, one line for each proof; empty where there is nothing to set in motion."""
    return motion_as_text(motion_told(learned, file, page), page)


def motion_as_text(told: MotionTold, page: Page) -> str:
    """The same of what is put into words already."""
    if not told.learned:
        return ""
    lines = [page.heading(SHOWN_IN_MOTION), *(page.paragraph(line) for line in told.learned)]
    lines += [_line(said, page) for said in told.proofs]
    return "\n".join([*lines, page.paragraph(told.next)] if told.next else lines)


def motion_told(learned: Learned, file: str, page: Page) -> MotionTold:
    """What was learnt and what each proof says; nothing where there was nothing to set in motion."""
    case = case_in(learned.settlement)
    if learned.missing:
        keys = "; ".join(name_of_key(key) for key in learned.missing)
        return MotionTold(
            learned=(f"Not judged in motion; the settings stand on closed forms alone. Missing: {keys}.",)
        )
    if case is None:
        return MotionTold(learned=())
    said = (say_proof(case, proved, page) for proved in worst_first(learned.proofs))
    return MotionTold(
        learned=tuple(_learned(learned, page)),
        proofs=tuple(each for each in said if each is not None),
        next=_next(learned).format(file=file),
    )


def _next(learned: Learned) -> str:
    return NEXT if isinstance(learned.settlement, Fits) else NEXT_OF_NOTHING


def _learned(learned: Learned, page: Page) -> Iterator[str]:
    if settings_are_unsafe(learned.proofs):
        yield UNSAFE
    if valves_are_too_small(learned.proofs):
        yield NO_RELIEF
    if learned.still_short:
        names = ", ".join(TERMS[term] for term in learned.still_short)
        yield f"STILL SHORT after {MOST_ROUNDS} rounds: {names}. Trust no margin that rests on it."
    if learned.failing:
        names = ", ".join(SCENARIOS[proof.scenario].title.lower() for proof in learned.failing)
        yield f"STILL FAILING after {_rounds(learned)}: {names}. {_why(learned)}"
    if not learned.lessons:
        yield "The simulation found no motion that the closed forms had taken too small."
    for lesson in learned.lessons:
        name = TERMS[lesson.term]
        yield (
            f"{name[0].upper()}{name[1:]}: {_fine(lesson.seen, page)} in simulation, "
            f"{_fine(lesson.closed_form, page)} by the closed form. The margins reckon with the larger."
        )
    lowest = None if learned.boiler.simulated is None else learned.boiler.simulated.lowest_under_load
    if lowest is not None:
        shown = page.show(Quantity(lowest, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN)
        yield HOLD.format(lowest=shown)
    if len(learned.rounds) > 1:
        yield f"Settled and simulated in {_rounds(learned)}."


def _rounds(learned: Learned) -> str:
    count = len(learned.rounds)
    return f"{count} round{'' if count == 1 else 's'}"


def _why(learned: Learned) -> str:
    """Whether dials could mend what keeps failing."""
    failed = [check for proof in learned.failing for check in proof.checks if not check.holds]
    if all(check.shortfall is None for check in failed):
        return NO_DIAL
    return MORE_ROUNDS if isinstance(learned.rounds[-1].settlement, Fits) else NOTHING_MORE


def _fine(pressure: float, page: Page) -> str:
    """A motion to the hundredth of a psi: less is no lesson, and a lesson may be hardly more."""
    unit = unit_of(page.system)
    digits = 2 if page.system is UnitSystem.US else 3
    return f"{number_in(Quantity(float(pressure), Dimension.PRESSURE_DIFFERENCE), unit):.{digits}f} {unit}"


def proof_lines(case: Case, proved: Proved, page: Page) -> Iterator[str]:
    """One proof in a line: its verdict and the number that decides; nothing of one that says nothing here."""
    said = say_proof(case, proved, page)
    if said is not None:
        yield _line(said, page)


def _line(said: SaidProof, page: Page) -> str:
    return page.labelled(said.verdict, f"{said.title}: {said.decides}")


def say_proof(case: Case, proved: Proved, page: Page) -> SaidProof | None:
    """Verdict, title and the number that decides; nothing of a proof that says nothing here."""
    title = SCENARIOS[proved.scenario].title
    if isinstance(proved, NotProved):
        keys = "; ".join(name_of_key(key) for key in proved.missing)
        return SaidProof(proved=proved, verdict=UNKNOWN, title=title, decides=f"not proved. Missing: {keys}.")
    if not isinstance(proved, Proof):
        return None
    told = [clause(case, proved, check, page.show) for check in told_checks(proved)[:1]]
    told = told or [line.rstrip(".") for line in found_out(case, proved, page.show)[:1]]
    decides = f"{told[0][0].lower()}{told[0][1:]}."
    return SaidProof(proved=proved, verdict=VERDICTS[proved.verdict], title=title, decides=decides)

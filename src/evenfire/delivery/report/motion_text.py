"""What motion taught and proved of settled settings, as text."""

from collections.abc import Iterator

from evenfire.delivery.figures.stack_words import unit_of
from evenfire.delivery.report.page import Page
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


def motion_text(learned: Learned, file: str, page: Page) -> str:
    """Lessons, rounds, one line for each proof; empty where there is nothing to set in motion."""
    if learned.missing:
        keys = "; ".join(name_of_key(key) for key in learned.missing)
        return _headed(
            page.paragraph(f"Not judged in motion; the settings stand on closed forms alone. Missing: {keys}."), page
        )
    case = case_in(learned.settlement)
    if case is None:
        return ""
    lines = [page.paragraph(line) for line in _learned(learned, page)]
    lines += [line for proved in worst_first(learned.proofs) for line in proof_lines(case, proved, page)]
    return _headed("\n".join([*lines, page.paragraph(_next(learned).format(file=file))]), page)


def _next(learned: Learned) -> str:
    return NEXT if isinstance(learned.settlement, Fits) else NEXT_OF_NOTHING


def _headed(text: str, page: Page) -> str:
    return f"{page.heading('Shown in motion')}\n{text}"


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
    if isinstance(proved, NotProved):
        keys = "; ".join(name_of_key(key) for key in proved.missing)
        yield page.labelled("unknown", f"{SCENARIOS[proved.scenario].title}: not proved. Missing: {keys}.")
    if not isinstance(proved, Proof):
        return
    told = [clause(case, proved, check, page.show) for check in told_checks(proved)[:1]]
    told = told or [line.rstrip(".") for line in found_out(case, proved, page.show)[:1]]
    text = f"{told[0][0].lower()}{told[0][1:]}."
    yield page.labelled(VERDICTS[proved.verdict], f"{SCENARIOS[proved.scenario].title}: {text}")

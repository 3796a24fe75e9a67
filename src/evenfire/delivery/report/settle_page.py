"""The answer of a settle for a page that lays it out: what the terminal prints, with every proof and its picture."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from evenfire.delivery.answers import Ending, Settle, ending_of
from evenfire.delivery.figures.stack_text import stack_text
from evenfire.delivery.report.boiler_text import assumption_lines, made_from, several_boilers
from evenfire.delivery.report.page import Page
from evenfire.delivery.report.prove_text import beside_of
from evenfire.delivery.report.settle_text import was_moved
from evenfire.delivery.report.settle_told import BoilerTold, boiler_told, failing_lines
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import CAUTIONS_IN_SHORT
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN
from evenfire.delivery.words.moves import cautions_for
from evenfire.delivery.words.proof_saying import sentences
from evenfire.judgement.case import Case
from evenfire.judgement.proofs.result import Proof, Scenario
from evenfire.judgement.settle.result import Chosen, Fits, NothingFits, Settlement
from evenfire.si import Dimension, GaugePa, Quantity

if TYPE_CHECKING:
    # An idle server does without the simulation that it comes from.
    from evenfire.delivery.report.motion_text import SaidProof

UNBROKEN: Final = 10_000
"""Of a line on a page of a browser, which breaks its lines itself [characters]."""
STACK_WIDTH: Final = 72
"""Of a stack as text, which scrolls where there is less room [characters]."""
STALE: Final = "An older proposal is STALE: the survey, or a reading, has changed since it was made."
WORD_OF: Final = {
    Ending.CLEAR: "CLEAR",
    Ending.STOP_FINDING: "STOP",
    Ending.NOTHING_FITS: "WARN",
    Ending.STOP_NOT_JUDGED: "NOT JUDGED",
}
"""With the shape that goes with it on every page."""
BELOW_NEED: Final = "{pressure} is below the need of the plant."
DOES_NOT_FIT: Final = "Nothing fits at {pressure}: {failing}."
IS_UNSAFE: Final = "At {pressure} a stop rule would be broken."
CANNOT_TELL: Final = "At {pressure} it cannot be settled."
NO_DIVISIONS: Final = (
    "Divisions are counted from the need, on the scale of the operating limit: need or scale is not known, or the "
    "target is no number of divisions."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofTold:
    """One proof with all that it says."""

    said: "SaidProof"
    name: str
    """As in an address; empty where there is no picture of it"""
    in_full: str
    """What was done and what came of it"""
    beside: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepTold:
    """One division more or less."""

    target: str
    pressure: str
    why_not: str
    """Empty where it is allowed"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SettlePage:
    """Everything that a page shows of one settled boiler."""

    told: BoilerTold
    word: str
    proofs: tuple[ProofTold, ...]
    stack: str
    """As text; empty where no settings are shown"""
    assumed: tuple[str, ...]
    several: str
    cautions: tuple[str, ...]
    before_moves: tuple[str, ...]
    """Every caution, to be read before a dial is touched"""
    identity: str


def settle_page(done: Settle, system: UnitSystem) -> SettlePage:
    """The page of the one boiler that was settled."""
    page, boiler = Page(UNBROKEN, system), done.boilers[0]
    told, moved = boiler_told(done, boiler, page), was_moved(done)
    proofs = () if told.motion is None or told.settings is None else told.motion.proofs
    case = None if told.settings is None else told.settings.chosen.case
    return SettlePage(
        told=told,
        word=WORD_OF[done.ending],
        proofs=tuple(_proof(case, each, page) for each in proofs if case is not None),
        stack="" if told.settings is None else stack_text(told.settings.stack, system, STACK_WIDTH),
        assumed=tuple(assumption_lines(done.plant_file, page, motion=moved)),
        several=several_boilers(done.plant_file, page),
        cautions=(*([CAUTION_OF_A_RUN] if moved else []), *CAUTIONS_IN_SHORT),
        before_moves=() if boiler.moves is None else cautions_for(boiler.moves),
        identity=made_from(done.identity),
    )


def step_told(target: str, pressure: GaugePa, answer: Settlement | None, system: UnitSystem) -> StepTold:
    """One division more or less, and why it is not allowed; ``answer`` is nothing where the need forbids it."""
    page = Page(UNBROKEN, system)
    shown = page.show(Quantity(pressure, Dimension.GAUGE_PRESSURE))
    return StepTold(target=target, pressure=shown, why_not=_why_not(answer, page).format(pressure=shown))


def chosen_of(answer: Settlement) -> Chosen | None:
    """The settings of an answer, proposed or least bad."""
    match answer:
        case Fits(chosen=chosen):
            return chosen
        case NothingFits(nearest=nearest):
            return nearest
        case _:
            return None


def name_of(scenario: Scenario) -> str:
    """A scenario as it stands in an address."""
    return scenario.name.lower().replace("_", "-")


def scenario_of(name: str) -> Scenario | None:
    """The scenario of such a name."""
    return next((each for each in Scenario if name_of(each) == name), None)


def _why_not(answer: Settlement | None, page: Page) -> str:
    match answer:
        case None:
            return BELOW_NEED
        case Fits(chosen=chosen):
            return IS_UNSAFE if ending_of(chosen.outcomes) is Ending.STOP_FINDING else ""
        case NothingFits() as nothing:
            failing = "; ".join(failing_lines(nothing, page)).replace("{", "{{").replace("}", "}}")
            return DOES_NOT_FIT.replace("{failing}", failing or "not even what is never relaxed can be kept")
        case _:
            return CANNOT_TELL


def _proof(case: Case, said: "SaidProof", page: Page) -> ProofTold:
    proof = said.proved
    if not isinstance(proof, Proof):
        return ProofTold(said=said, name="", in_full="", beside=())
    return ProofTold(
        said=said,
        name=name_of(proof.scenario) if proof.runs else "",
        in_full=sentences(case, proof, page.show),
        beside=tuple(beside_of(case, proof, page)),
    )

"""Write the papers of a plant file: the settings sheet and the operator card of one boiler."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from evenfire.delivery.acts.checking import boiler_named, cases_of, check_boiler, has_stale_proposal
from evenfire.delivery.acts.files import write_bytes_whole
from evenfire.delivery.answers import BoilerCheck, BoilerProofs, Ending, Prove
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_file
from evenfire.delivery.papers.admission import (
    SAFE_SCENARIOS,
    Admission,
    Countersigner,
    Refusal,
    admission,
    refusal_of_card,
    refusal_of_sheet,
)
from evenfire.delivery.papers.card_content import card_content
from evenfire.delivery.papers.content import CardContent, Paper, PaperSize, SheetContent
from evenfire.delivery.papers.of_visit import OfVisit
from evenfire.delivery.papers.shared_parts import page_of
from evenfire.delivery.papers.sheet_content import SheetAnswers, sheet_content
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import papers as words
from evenfire.errors import BadRequest
from evenfire.judgement.case import Case, SettingsSet, prepare
from evenfire.judgement.moves.planning import moves_between
from evenfire.judgement.moves.result import Moves
from evenfire.plant.boiler import Boiler
from evenfire.plant.settings import Settings

if TYPE_CHECKING:
    # A proof loads arrays and a compiler, a printer its letters: to ask whether there may be a paper takes neither.
    from evenfire.judgement.proofs.learning import Progress

Watch = Callable[["Progress"], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperAsked:
    """What somebody asks for, as typed."""

    boiler: str | None = None
    settings: SettingsSet | None = None
    """Without it those left, else those proposed, else those found"""
    system: UnitSystem = UnitSystem.US
    size: PaperSize | None = None
    """Without it as the units go"""
    countersigned_by: str | None = None
    """Name and licence"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A paper that was written."""

    ending: Ending
    told: str


def write_sheet(plant: Path, output: Path, asked: PaperAsked, watch: Watch | None = None) -> Written | Refusal:
    """Write the settings sheet of a boiler as PDF/A, or say why not.

    Raises
    ------
    BadInput
        The file or what was asked cannot be used: it holds examples, its proposal is stale, nothing can be written.
    """
    return written_sheet(sheet_of(read_plant_file(plant), asked, watch), output, asked)


def write_card(plant: Path, output: Path, asked: PaperAsked, watch: Watch | None = None) -> Written | Refusal:
    """Write the operator card of a boiler as PDF/A on one page, or say why not.

    Raises
    ------
    BadInput
        As :func:`write_sheet`; or there is nothing that a card could tell.
    """
    return written_card(card_of(read_plant_file(plant), asked, watch), output, asked)


def written_sheet(
    content: tuple[SheetContent, Admission] | Refusal, output: Path, asked: PaperAsked
) -> Written | Refusal:
    """The sheet in its file, unless there is none."""
    return content if isinstance(content, Refusal) else _written(content, output, asked)


def written_card(
    content: tuple[CardContent, Admission] | Refusal, output: Path, asked: PaperAsked
) -> Written | Refusal:
    """The card in its file, unless there is none or it is longer than a page."""
    kept = on_one_page(content, asked)
    return kept if isinstance(kept, Refusal) else _written(kept, output, asked)


def on_one_page(
    content: tuple[CardContent, Admission] | Refusal, asked: PaperAsked
) -> tuple[CardContent, Admission] | Refusal:
    """The card, unless there is none or it is longer than a page."""
    if isinstance(content, Refusal):
        return content
    from evenfire.delivery.papers.printing import pages_of

    if pages_of(content[0], size_of(asked)) > 1:
        return Refusal(ending=content[1].ending, why=words.REFUSED_LONG)
    return content


def sheet_of(
    plant_file: PlantFile, asked: PaperAsked, watch: Watch | None = None, of_visit: OfVisit | None = None
) -> tuple[SheetContent, Admission] | Refusal:
    """The content of a settings sheet, and how its settings stand; ``of_visit`` is what a visit says of them."""
    countersigner = countersigner_of(asked.countersigned_by)
    check = checked(plant_file, asked, "settings sheet")
    proved, proofs = _proved(plant_file, check, (), watch)
    page = page_of(asked.system)
    found = admission(check, proofs.proofs, countersigner, page.show)
    refused = refusal_of_sheet(check, found, countersigner)
    if refused is not None:
        return refused
    other = _other(plant_file, check)
    answers = SheetAnswers(
        plant_file=plant_file,
        check=check,
        proofs=proofs,
        moves=_moves(check, other),
        other=other,
        identity=proved.identity,
        physics_version=proved.physics_version,
        of_visit=of_visit,
    )
    return sheet_content(answers, found, countersigner, page), found


def card_of(
    plant_file: PlantFile, asked: PaperAsked, watch: Watch | None = None, of_visit: OfVisit | None = None
) -> tuple[CardContent, Admission] | Refusal:
    """The content of an operator card, and how its settings stand; ``of_visit`` is what a visit says of them."""
    countersigner = countersigner_of(asked.countersigned_by)
    check = checked(plant_file, asked, "operator card")
    if check.case.settings == Settings():
        told = {"file": plant_file.name, "boiler": repr(check.case.boiler.name), "which": check.case.which.value}
        raise BadRequest(words.REFUSED_EMPTY.format(**told))
    scenarios = tuple(scenario.value for scenario in SAFE_SCENARIOS)
    proved, proofs = _proved(plant_file, check, scenarios, watch)
    page = page_of(asked.system)
    found = admission(check, proofs.proofs, countersigner, page.show)
    refused = refusal_of_card(check, found, countersigner)
    if refused is not None:
        return refused
    return card_content(plant_file, check, found, proved.identity, page, of_visit), found


def size_of(asked: PaperAsked) -> PaperSize:
    """The paper that was asked for, or the one that goes with the units."""
    return size_for(asked.system, asked.size)


def size_for(system: UnitSystem, size: PaperSize | None) -> PaperSize:
    """This paper, or the one that goes with the units."""
    if size is not None:
        return size
    return PaperSize.LETTER if system is UnitSystem.US else PaperSize.A4


def countersigner_of(text: str | None) -> Countersigner | None:
    """Name and licence of whoever answers for what could not be judged.

    Raises
    ------
    BadRequest
        One of the two is not there.
    """
    if text is None:
        return None
    name, _, licence = (part.strip() for part in text.rpartition(","))
    if not name or not licence:
        raise BadRequest(f'--countersigned-by {text!r} is not name and licence with a comma between: "NAME, LICENCE".')
    return Countersigner(name=name, licence=licence)


def checked(plant_file: PlantFile, asked: PaperAsked, paper: str) -> BoilerCheck:
    """The judgement of the settings that a paper is to tell of.

    Raises
    ------
    BadRequest
        The file still holds examples, or the proposal was made for another survey.
    """
    if plant_file.unfilled:
        lines = ", ".join(str(line) for line in plant_file.unfilled)
        raise BadRequest(words.REFUSED_EXAMPLES.format(file=plant_file.name, lines=lines, paper=paper))
    boiler = boiler_named(plant_file, asked.boiler)
    which = asked.settings or best_of(boiler)
    if which is SettingsSet.PROPOSED and has_stale_proposal(plant_file, boiler):
        told = {"file": plant_file.name, "boiler": repr(boiler.name), "paper": paper}
        raise BadRequest(words.REFUSED_STALE.format(**told))
    return check_boiler(plant_file, boiler, which)


def best_of(boiler: Boiler) -> SettingsSet | None:
    """Which settings a paper tells of unless others are asked for: as left, proposed, as found."""
    if boiler.as_left is not None:
        return SettingsSet.AS_LEFT
    return None if boiler.proposed is None else SettingsSet.PROPOSED


def _proved(
    plant_file: PlantFile, check: BoilerCheck, scenarios: tuple[str, ...], watch: Watch | None
) -> tuple[Prove, BoilerProofs]:
    from evenfire.delivery.acts.proving import ProveAsked, prove_of

    asked = ProveAsked(scenarios=scenarios, boiler=check.case.boiler.name, settings=check.case.which)
    proved = prove_of(plant_file, asked, watch)
    return proved, proved.boilers[0]


def _other(plant_file: PlantFile, check: BoilerCheck) -> Case | None:
    """The settings that these are drawn beside."""
    boiler = check.case.boiler
    read, proposed = cases_of(plant_file, boiler)
    match check.case.which:
        case SettingsSet.AS_FOUND:
            return None if has_stale_proposal(plant_file, boiler) else proposed
        case SettingsSet.PROPOSED:
            return None if read is None or read.settings == Settings() else read
        case SettingsSet.AS_LEFT:
            found = boiler.as_found
            if found is None or found.settings == Settings():
                return None
            return prepare(plant_file.plant, boiler, SettingsSet.AS_FOUND, found.settings)


def _moves(check: BoilerCheck, other: Case | None) -> Moves | None:
    """From the settings last read to those proposed, where both are there."""
    if check.case.which is not SettingsSet.PROPOSED or other is None:
        return None
    return moves_between(check.case.plant, check.case.boiler, other.settings, check.case.settings)


def _written(content: tuple[Paper, Admission], output: Path, asked: PaperAsked) -> Written:
    from evenfire.delivery.papers.printing import printed

    paper, found = content
    write_bytes_whole(output, printed(paper, size_of(asked)))
    told = words.WRITTEN.format(file=output, paper=paper.head.title.lower(), state=paper.head.state)
    return Written(ending=found.ending, told=told)

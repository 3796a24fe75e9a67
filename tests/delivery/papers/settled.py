"""Demo plants with settle's proposal in them, as the command would have written it, and their papers."""

import tomllib
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from evenfire.delivery.acts.papers import PaperAsked, card_of, sheet_of
from evenfire.delivery.acts.settling import settle, write_proposals
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_text
from evenfire.delivery.papers.admission import Refusal
from evenfire.delivery.papers.content import CardContent, SheetContent
from evenfire.delivery.units import UnitSystem
from tests.surveys import EXAMPLES

SETTLING = ("laundry", "board-mill", "rental-trailer-brewery", "rental-trailer-depot", "school", "vertical")
"""Demo plants for which some settings fit."""


@cache
def settled_text(plant: str, changes: tuple[tuple[str, str], ...] = ()) -> str:
    """The plant file, with texts replaced in it, after ``settle --write`` without motion."""
    text = (EXAMPLES / f"{plant}.toml").read_text(encoding="utf-8")
    for before, after in changes:
        assert before in text, f"{plant} does not say {before!r}"
        text = text.replace(before, after)
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"{plant}.toml"
        path.write_text(text, encoding="utf-8")
        write_proposals(settle(path, in_motion=False), UnitSystem.US)
        return path.read_text(encoding="utf-8")


def settled(plant: str, *changes: tuple[str, str]) -> PlantFile:
    """The settled plant."""
    return read_plant_text(settled_text(plant, changes), f"{plant}.toml")


@cache
def card(plant: str, system: UnitSystem = UnitSystem.US) -> CardContent:
    """The card of the proposal."""
    return written_card(settled(plant), PaperAsked(system=system))


@cache
def sheet(plant: str, system: UnitSystem = UnitSystem.US) -> SheetContent:
    """The sheet of the proposal."""
    return written_sheet(settled(plant), PaperAsked(system=system))


def written_card(plant_file: PlantFile, asked: PaperAsked) -> CardContent:
    answer = card_of(plant_file, asked)
    assert not isinstance(answer, Refusal), answer.why
    return answer[0]


def written_sheet(plant_file: PlantFile, asked: PaperAsked) -> SheetContent:
    answer = sheet_of(plant_file, asked)
    assert not isinstance(answer, Refusal), answer.why
    return answer[0]


def proposal_in(plant: str) -> dict[str, object]:
    """What stands in the file under ``proposed``, as another reader of TOML reads it."""
    document = tomllib.loads(settled_text(plant))
    found = document["boiler"][0]["proposed"]
    assert isinstance(found, dict)
    return found

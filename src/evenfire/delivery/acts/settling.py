"""Settle every boiler of a plant file, each on its own."""

from pathlib import Path

from evenfire.delivery.acts.checking import check_of
from evenfire.delivery.answers import BoilerCheck, BoilerSettle, Settle
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_file
from evenfire.judgement.moves.planning import moves_between
from evenfire.judgement.settle.result import Fits
from evenfire.judgement.settle.settling import settle as settle_boiler
from evenfire.plant.settings import Settings


def settle(path: Path) -> Settle:
    """Choose settings for every boiler of a plant file.

    Raises
    ------
    BadInput
        The file cannot be read.
    """
    return settle_of(read_plant_file(path))


def settle_of(plant_file: PlantFile) -> Settle:
    """Choose settings for every boiler of a plant file that has been read."""
    checked = check_of(plant_file)
    boilers = tuple(_settle_boiler(plant_file, now) for now in checked.boilers)
    return Settle(plant_file=plant_file, boilers=boilers, identity=checked.identity)


def _settle_boiler(plant_file: PlantFile, now: BoilerCheck) -> BoilerSettle:
    boiler = now.case.boiler
    answer = settle_boiler(plant_file.plant, boiler)
    if not isinstance(answer, Fits) or now.case.settings == Settings():
        return BoilerSettle(now=now, answer=answer, moves=None)
    moves = moves_between(plant_file.plant, boiler, now.case.settings, answer.chosen.settings)
    return BoilerSettle(now=now, answer=answer, moves=moves)

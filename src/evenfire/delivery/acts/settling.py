"""Settle every boiler of a plant file, each on its own."""

from pathlib import Path

from evenfire.delivery.acts.checking import check_of
from evenfire.delivery.answers import BoilerSettle, Settle
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_file
from evenfire.judgement.settle.settling import settle as settle_boiler


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
    boilers = tuple(
        BoilerSettle(now=now, answer=settle_boiler(plant_file.plant, now.case.boiler)) for now in checked.boilers
    )
    return Settle(plant_file=plant_file, boilers=boilers, identity=checked.identity)

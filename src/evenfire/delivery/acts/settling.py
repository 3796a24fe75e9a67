"""Settle every boiler of a plant file, each on its own."""

from dataclasses import dataclass
from pathlib import Path

from evenfire.delivery.acts.checking import BoilerCheck, Check, Ending, Identity, check_of, ending_of
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_file
from evenfire.judgement.case import Case
from evenfire.judgement.settle.result import CannotSettle, Fits, NothingFits, Settlement
from evenfire.judgement.settle.settling import settle as settle_boiler


@dataclass(frozen=True, slots=True, kw_only=True)
class BoilerSettle:
    """The answer for one boiler, beside the judgement of what was read there."""

    now: BoilerCheck
    answer: Settlement


@dataclass(frozen=True, slots=True, kw_only=True)
class Settle:
    """The answer for a plant file."""

    plant_file: PlantFile
    boilers: tuple[BoilerSettle, ...]
    identity: Identity

    @property
    def ending(self) -> Ending:
        """Nothing fits outweighs a rule that could not be judged; a stop finding on a proposal outweighs both."""
        answers = [boiler.answer for boiler in self.boilers]
        endings = [ending_of(answer.chosen.outcomes) for answer in answers if isinstance(answer, Fits)]
        if Ending.STOP_FINDING in endings:
            return Ending.STOP_FINDING
        if any(isinstance(answer, NothingFits) for answer in answers):
            return Ending.NOTHING_FITS
        if Ending.STOP_NOT_JUDGED in endings or any(isinstance(answer, CannotSettle) for answer in answers):
            return Ending.STOP_NOT_JUDGED
        return Ending.CLEAR


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
    checked: Check = check_of(plant_file)
    boilers = tuple(
        BoilerSettle(now=now, answer=settle_boiler(plant_file.plant, now.case.boiler)) for now in checked.boilers
    )
    return Settle(plant_file=plant_file, boilers=boilers, identity=checked.identity)


def proposed_case(answer: Settlement) -> Case | None:
    """The case of what is proposed, or of the nearest where nothing fits."""
    match answer:
        case Fits(chosen=chosen):
            return chosen.case
        case NothingFits(nearest=nearest):
            return None if nearest is None else nearest.case
        case CannotSettle():
            return None

"""Find which value of a survey each margin hangs on, and the one measurement that would help most."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from evenfire.delivery.acts.asked_cases import cases_asked, refusing_the_impossible
from evenfire.delivery.acts.checking import identity_of
from evenfire.delivery.answers import BoilerPulls, Measure
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_file
from evenfire.judgement.case import SettingsSet
from evenfire.judgement.proofs.learning import Progress
from evenfire.judgement.tolerance.sensitivity import Sensitivity, sensitivities
from evenfire.physics.motion.run import PHYSICS_VERSION


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureAsked:
    """What somebody asks for."""

    boiler: str | None = None
    settings: SettingsSet | None = None


def measure_plant(plant: Path, asked: MeasureAsked, watch: Callable[[Progress], None] | None = None) -> Measure:
    """What to measure at the boilers of a plant file; ``watch`` is told how far it has come.

    Raises
    ------
    BadInput
        The file or what was asked cannot be used.
    """
    return measure_of(read_plant_file(plant), asked, watch)


def measure_of(plant_file: PlantFile, asked: MeasureAsked, watch: Callable[[Progress], None] | None = None) -> Measure:
    """What to measure at the boilers of a plant file that has been read."""
    found = []
    with refusing_the_impossible(plant_file):
        for case, stale in cases_asked(plant_file, asked.boiler, asked.settings):
            for item in sensitivities(case):
                if isinstance(item, Sensitivity):
                    found.append(BoilerPulls(case=case, found=item, is_stale=stale))
                elif watch is not None:
                    watch(item)
    return Measure(
        plant_file=plant_file,
        boilers=tuple(found),
        identity=identity_of(plant_file),
        physics_version=PHYSICS_VERSION,
    )

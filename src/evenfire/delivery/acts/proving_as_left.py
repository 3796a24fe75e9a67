"""The settings of a visit as left, set in motion: this loads arrays and a compiler, and judging at rest does not."""

from collections.abc import Callable
from dataclasses import dataclass

from evenfire.delivery.acts.proving import ProveAsked, prove_of
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.judgement.case import SettingsSet
from evenfire.judgement.proofs.learning import Progress
from evenfire.judgement.proofs.result import NotProved, Proof, Proved, Verdict
from evenfire.judgement.proofs.weighing import is_unsafe
from evenfire.physics.motion.run import PHYSICS_VERSION
from evenfire.plant.boiler import Boiler


@dataclass(frozen=True, slots=True, kw_only=True)
class InMotion:
    """What motion shows of the settings as left, by the names of scenarios."""

    proofs: tuple[Proved, ...] | None
    """Worst first; nothing where not every dial was read"""
    unsafe: tuple[str, ...]
    failing: tuple[str, ...]
    """And not unsafe"""
    not_proved: tuple[str, ...]
    physics_version: str


def in_motion(
    plant_file: PlantFile, boiler: Boiler, watch: Callable[[Progress], None] | None, *, is_read: bool
) -> InMotion:
    """Prove the settings as left of a plant file, once every dial was read; else nothing is proved."""
    proofs = None
    if is_read:
        asked = ProveAsked(boiler=boiler.name, settings=SettingsSet.AS_LEFT)
        proofs = prove_of(plant_file, asked, watch).boilers[0].proofs
    return InMotion(
        proofs=proofs,
        unsafe=_named(proofs, is_unsafe),
        failing=_named(proofs, _merely_fails),
        not_proved=_named(proofs, lambda proved: isinstance(proved, NotProved)),
        physics_version=PHYSICS_VERSION,
    )


def _named(proofs: tuple[Proved, ...] | None, wanted: Callable[[Proved], bool]) -> tuple[str, ...]:
    return tuple(each.scenario.value for each in proofs or () if wanted(each))


def _merely_fails(proved: Proved) -> bool:
    return isinstance(proved, Proof) and proved.verdict is Verdict.FAILS and not is_unsafe(proved)

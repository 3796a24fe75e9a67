"""Put the settings of a plant file through their scenarios, and draw the runs that the proofs rest on."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from evenfire.delivery.acts.checking import boiler_named, has_stale_proposal, identity_of, settings_of
from evenfire.delivery.acts.files import write_bytes_whole
from evenfire.delivery.answers import BoilerProofs, Prove
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_file
from evenfire.delivery.intake.tables.quantities import described
from evenfire.delivery.units import UnitSystem, show
from evenfire.errors import BadRequest, ImpossibleValue
from evenfire.judgement.case import SettingsSet, prepare
from evenfire.judgement.proofs.learning import Progress
from evenfire.judgement.proofs.proving import SCENARIOS, prove
from evenfire.judgement.proofs.result import Proof, Scenario
from evenfire.judgement.proofs.weighing import worst_first
from evenfire.physics.motion.run import PHYSICS_VERSION
from evenfire.plant.boiler import Boiler

LONGEST_NAME: Final = 60
"""Of a boiler in a file name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProveAsked:
    """What somebody asks for, as typed."""

    scenarios: tuple[str, ...] = ()
    """All of them where none is named"""
    boiler: str | None = None
    settings: SettingsSet | None = None


def prove_plant(plant: Path, asked: ProveAsked, watch: Callable[[Progress], None] | None = None) -> Prove:
    """Prove the settings of a plant file; ``watch`` is told how far it has come.

    Raises
    ------
    BadInput
        The file or what was asked cannot be used.
    """
    return prove_of(read_plant_file(plant), asked, watch)


def prove_of(plant_file: PlantFile, asked: ProveAsked, watch: Callable[[Progress], None] | None = None) -> Prove:
    """Prove the settings of a plant file that has been read."""
    scenarios = tuple(dict.fromkeys(scenario_named(name) for name in asked.scenarios)) or tuple(SCENARIOS)
    boilers = plant_file.plant.boilers if asked.boiler is None else (boiler_named(plant_file, asked.boiler),)
    proved = []
    try:
        for item in _proofs(plant_file, boilers, scenarios, asked.settings):
            if isinstance(item, BoilerProofs):
                proved.append(item)
            elif watch is not None:
                watch(item)
    except ImpossibleValue as error:
        limit = "" if error.limit is None else f" {show(error.limit, UnitSystem.US)}"
        raise BadRequest(
            f"{plant_file.name}: this boiler cannot be run. Its {error.field} is {show(error.found, UnitSystem.US)}; "
            f"it must be {error.must_be}{limit}."
        ) from error
    return Prove(
        plant_file=plant_file,
        boilers=tuple(proved),
        identity=identity_of(plant_file),
        physics_version=PHYSICS_VERSION,
    )


def scenario_named(name: str) -> Scenario:
    """The scenario of that name, or the only one whose name holds it.

    Raises
    ------
    BadRequest
        No scenario has the name, or several might be meant.
    """
    wanted = _plain(name)
    exact = [each for each in Scenario if _plain(each.value) == wanted]
    meant = exact or [each for each in Scenario if wanted and wanted in _plain(each.value)]
    if len(meant) == 1:
        return meant[0]
    listed = ", ".join(f'"{each.value}"' for each in meant or SCENARIOS)
    why = "may be any of" if meant else "is no scenario; there are"
    raise BadRequest(f"--scenario {described(name)} {why} {listed}.")


def draw_sheets(answer: Prove, folder: Path, system: UnitSystem, width: int) -> tuple[Path, ...]:
    """Write one SVG for each scenario that was run, ``width`` pixels wide; the files.

    Raises
    ------
    BadRequest
        The folder cannot be made, or a file cannot be written.
    """
    from evenfire.delivery.figures.proof_drawing import draw_sheet
    from evenfire.delivery.figures.trace_file import trace_bytes
    from evenfire.delivery.report.proof_sheet import lay_out_sheet

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadRequest(f"{folder} cannot be made: {error.strerror}.") from error
    written = []
    for boiler in answer.boilers:
        for proof in boiler.proofs:
            if isinstance(proof, Proof) and proof.runs:
                path = folder / _file_name(answer, boiler, proof.scenario)
                sheet = lay_out_sheet(boiler.case, proof, answer.physics_version, system)
                write_bytes_whole(path, trace_bytes(draw_sheet(sheet, width), ".svg"))
                written.append(path)
    return tuple(written)


def _proofs(
    plant_file: PlantFile, boilers: tuple[Boiler, ...], scenarios: tuple[Scenario, ...], which: SettingsSet | None
) -> Iterator[Progress | BoilerProofs]:
    total = len(boilers) * len(scenarios)
    for place, boiler in enumerate(boilers):
        chosen, settings = settings_of(plant_file, boiler, which)
        case = prepare(plant_file.plant, boiler, chosen, settings)
        proofs = []
        for done, scenario in enumerate(scenarios, place * len(scenarios)):
            yield Progress(done=done, total=total, what=scenario.value)
            proofs.append(prove(case, scenario))
        stale = chosen is SettingsSet.PROPOSED and has_stale_proposal(plant_file, boiler)
        yield BoilerProofs(case=case, proofs=worst_first(tuple(proofs)), is_stale=stale)


def _plain(name: str) -> str:
    """A name as it is compared: small letters and figures only."""
    return "".join(sign for sign in name.casefold() if sign.isalnum())


def _file_name(answer: Prove, boiler: BoilerProofs, scenario: Scenario) -> str:
    several = len(answer.boilers) > 1
    words = f"{boiler.case.boiler.name[:LONGEST_NAME]} {scenario.value}" if several else scenario.value
    plain = "".join(sign if sign.isalnum() else " " for sign in words.casefold().replace("'", ""))
    return f"{'-'.join(plain.split())}.svg"

"""Judge the settings of a plant file."""

from pathlib import Path

from evenfire import __version__
from evenfire.delivery.answers import BoilerCheck, Check, Identity
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_file
from evenfire.errors import BadRequest
from evenfire.judgement.case import Case, SettingsSet, prepare
from evenfire.judgement.rulebook import RULE_BOOK_VERSION, judge
from evenfire.judgement.standing import standing_of
from evenfire.plant.boiler import Boiler
from evenfire.plant.settings import Settings


def identity_of(plant_file: PlantFile) -> Identity:
    """What a result on this plant file is made from and by."""
    return Identity(plant_revision=plant_file.revision, engine_version=__version__, rule_book_version=RULE_BOOK_VERSION)


def check(path: Path, which: SettingsSet | None = None) -> Check:
    """Judge the settings of every boiler in a plant file; by default those that a person read last.

    Raises
    ------
    BadInput
        The file cannot be read, or a boiler lacks the set of settings that was asked for.
    """
    return check_of(read_plant_file(path), which)


def check_of(plant_file: PlantFile, which: SettingsSet | None = None) -> Check:
    """Judge a plant file that has been read."""
    boilers = tuple(check_boiler(plant_file, boiler, which) for boiler in plant_file.plant.boilers)
    return Check(plant_file=plant_file, boilers=boilers, identity=identity_of(plant_file))


def cases_of(plant_file: PlantFile, boiler: Boiler) -> tuple[Case | None, Case | None]:
    """The boiler as it was last read, and as proposed where there is a proposal."""
    read = _last_read(boiler)
    now = None if read is None else prepare(plant_file.plant, boiler, read[0], read[1])
    if boiler.proposed is None:
        return now, None
    return now, prepare(plant_file.plant, boiler, SettingsSet.PROPOSED, boiler.proposed.settings)


def has_stale_proposal(plant_file: PlantFile, boiler: Boiler) -> bool:
    """Whether the file holds a proposal that was made for another survey."""
    return boiler.proposed is not None and boiler.proposed.plant_revision != plant_file.revision


def boiler_named(plant_file: PlantFile, name: str | None) -> Boiler:
    """The boiler of that name, or the only one.

    Raises
    ------
    BadRequest
        No boiler has the name, or no name was given where there are several.
    """
    boilers = plant_file.plant.boilers
    names = ", ".join(repr(boiler.name) for boiler in boilers)
    if name is None and len(boilers) == 1:
        return boilers[0]
    for boiler in boilers:
        if boiler.name == name:
            return boiler
    if name is None:
        raise BadRequest(f"{plant_file.name} has {len(boilers)} boilers: {names}. Name one with --boiler.")
    raise BadRequest(f"{plant_file.name} has no boiler {name!r}; it has {names}.")


def settings_of(plant_file: PlantFile, boiler: Boiler, which: SettingsSet | None) -> tuple[SettingsSet, Settings]:
    """The settings that are asked for, or those that a person read last, and which they are.

    Raises
    ------
    BadRequest
        The boiler lacks the set that was asked for.
    """
    if which is None:
        # A survey without readings is still judged: fittings, valves and burner need no dial.
        return _last_read(boiler) or (SettingsSet.AS_FOUND, Settings())
    settings = {
        SettingsSet.AS_FOUND: None if boiler.as_found is None else boiler.as_found.settings,
        SettingsSet.PROPOSED: None if boiler.proposed is None else boiler.proposed.settings,
        SettingsSet.AS_LEFT: boiler.as_left,
    }[which]
    if settings is None:
        table = which.value.replace(" ", "_")
        raise BadRequest(
            f"{plant_file.name}: boiler {boiler.name!r} has no settings {which.value}. "
            f"Fill in [boiler.{table}], or ask for another set."
        )
    return which, settings


def check_boiler(plant_file: PlantFile, boiler: Boiler, which: SettingsSet | None) -> BoilerCheck:
    """Judge one boiler of a plant file that has been read.

    Raises
    ------
    BadRequest
        The boiler lacks the set of settings that was asked for.
    """
    chosen, settings = settings_of(plant_file, boiler, which)
    case = prepare(plant_file.plant, boiler, chosen, settings)
    stale = chosen is SettingsSet.PROPOSED and has_stale_proposal(plant_file, boiler)
    return BoilerCheck(
        case=case,
        outcomes=judge(case),
        standing=standing_of(case),
        is_stale=stale,
        beside_stale=has_stale_proposal(plant_file, boiler),
    )


def _last_read(boiler: Boiler) -> tuple[SettingsSet, Settings] | None:
    if boiler.as_left is not None:
        return SettingsSet.AS_LEFT, boiler.as_left
    if boiler.as_found is not None:
        return SettingsSet.AS_FOUND, boiler.as_found.settings
    return None

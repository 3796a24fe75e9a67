"""The boilers of a plant file that somebody asks about, each ready to be judged."""

from collections.abc import Iterator
from contextlib import contextmanager

from evenfire.delivery.acts.checking import boiler_named, has_stale_proposal, settings_of
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.units import UnitSystem, show
from evenfire.errors import BadRequest, ImpossibleValue
from evenfire.judgement.case import Case, SettingsSet, prepare


def cases_asked(plant_file: PlantFile, boiler: str | None, which: SettingsSet | None) -> tuple[tuple[Case, bool], ...]:
    """Each boiler with its settings, and whether they are a proposal made for another survey.

    Raises
    ------
    BadRequest
        There is no such boiler, or it lacks the set of settings that was asked for.
    """
    boilers = plant_file.plant.boilers if boiler is None else (boiler_named(plant_file, boiler),)
    cases = []
    for each in boilers:
        chosen, settings = settings_of(plant_file, each, which)
        stale = chosen is SettingsSet.PROPOSED and has_stale_proposal(plant_file, each)
        cases.append((prepare(plant_file.plant, each, chosen, settings), stale))
    return tuple(cases)


@contextmanager
def refusing_the_impossible(plant_file: PlantFile) -> Iterator[None]:
    """Turn a boiler that cannot be run into a sentence about its plant file.

    Raises
    ------
    BadRequest
        The work inside met a value that cannot be.
    """
    try:
        yield
    except ImpossibleValue as error:
        limit = "" if error.limit is None else f" {show(error.limit, UnitSystem.US)}"
        raise BadRequest(
            f"{plant_file.name}: this boiler cannot be run. Its {error.field} is {show(error.found, UnitSystem.US)}; "
            f"it must be {error.must_be}{limit}."
        ) from error

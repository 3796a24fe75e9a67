"""Plants for tests: a demo plant with a few keys changed, read as a person's file would be."""

import tomllib
from collections.abc import Mapping
from pathlib import Path

import tomlkit

from evenfire.delivery.intake.plant_file import PlantFile, read_plant_text
from evenfire.judgement.case import Case, SettingsSet, prepare

EXAMPLES = Path(__file__).parents[1] / "examples"


def survey(edits: Mapping[str, object] | None = None, plant: str = "laundry") -> PlantFile:
    """A demo plant with keys replaced; ``None`` takes a key or a table away.

    A key is written as in the file, ``boiler.controls.high_limit.reset``; arrays of tables take the first element
    unless a number follows, ``boiler.safety_valve.1.set``.
    """
    document = tomllib.loads((EXAMPLES / f"{plant}.toml").read_text(encoding="utf-8"))
    for key, value in (edits or {}).items():
        _set(document, key.split("."), value)
    return read_plant_text(tomlkit.dumps(document), f"{plant} (changed)")


def case_of(plant_file: PlantFile, which: SettingsSet = SettingsSet.AS_FOUND) -> Case:
    """The case of the first boiler as found."""
    boiler = plant_file.plant.boilers[0]
    assert boiler.as_found is not None
    return prepare(plant_file.plant, boiler, which, boiler.as_found.settings)


def _set(table: dict[str, object], path: list[str], value: object) -> None:
    name, *rest = path
    if not rest:
        if value is None:
            table.pop(name, None)
        else:
            table[name] = value
        return
    below = table.setdefault(name, {})
    if isinstance(below, list):
        place = int(rest.pop(0)) if rest[0].isdigit() else 0
        below = below[place]
    assert isinstance(below, dict)
    _set(below, rest, value)

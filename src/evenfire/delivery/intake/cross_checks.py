"""What is wrong only when two places of the file are looked at together, each impossible and not merely dangerous."""

from collections.abc import Iterator

from evenfire.delivery.intake.document import Document
from evenfire.delivery.intake.limits import at, in_units_of
from evenfire.delivery.intake.problem import KeyPath, Problem
from evenfire.delivery.intake.tables.boiler import BoilerTable
from evenfire.delivery.intake.tables.quantities import described
from evenfire.delivery.intake.tables.settings import SettingsTable
from evenfire.delivery.intake.toml_text import Raw
from evenfire.errors import ImpossibleValue
from evenfire.plant.controls import Role
from evenfire.plant.settings import require_on_dial


def contradictions(document: Document, raw: Raw) -> list[Problem]:
    """Every contradiction between the tables of a file that is right table by table."""
    problems = list(_same_names([boiler.name for boiler in document.boiler], ("boiler",), "boiler"))
    for place, boiler in enumerate(document.boiler):
        path: KeyPath = ("boiler", place)
        problems += _same_names([valve.name for valve in boiler.safety_valve], (*path, "safety_valve"), "valve")
        for key, settings in _sets(boiler).items():
            problems += _off_dial(boiler, settings, (*path, key), raw)
            problems += _not_provable(boiler, settings, (*path, key))
    return problems


def _sets(boiler: BoilerTable) -> dict[str, SettingsTable]:
    sets = {"as_found": boiler.as_found, "proposed": boiler.proposed, "as_left": boiler.as_left}
    return {key: settings for key, settings in sets.items() if settings is not None}


def _same_names(names: list[str | None], path: KeyPath, what: str) -> Iterator[Problem]:
    """Names are how people and sheets tell things apart, so a difference in spaces or capitals is none."""
    seen: set[str] = set()
    for place, name in enumerate(names):
        if name is None:
            continue
        plain = " ".join(name.casefold().split())
        if plain in seen:
            yield Problem(
                path=(*path, place, "name"),
                found=f"a {what} before it is also named {described(name)}",
                do=f"Give each {what} a name of its own.",
            )
        seen.add(plain)


def _off_dial(boiler: BoilerTable, settings: SettingsTable, path: KeyPath, raw: Raw) -> Iterator[Problem]:
    controls, readings = boiler.controls.value(), settings.settings()
    for role in Role:
        try:
            require_on_dial(role, readings.of(role), controls.of(role))
        except ImpossibleValue as error:
            typed = at((*path, error.field), raw)
            end = "begins at" if error.must_be == "at least" else "ends at"
            limit = in_units_of(typed, error.limit) if error.limit is not None else "its end"
            scale = "differential_scale" if error.field.endswith("differential") else "scale"
            yield Problem(
                path=(*path, error.field),
                found=f"{described(typed)} is off its own dial, which {end} {limit}",
                do=f"Read the dial again, or correct controls.{role.value}.{scale}.",
            )


def _not_provable(boiler: BoilerTable, settings: SettingsTable, path: KeyPath) -> Iterator[Problem]:
    controls = boiler.controls.value()
    for role in settings.proved:
        control = controls.of(role)
        if control is None:
            found = f'"{role.value}" is named as proved, and the boiler lists no such control'
            do = f"Add the table [boiler.controls.{role.value}], or take the name away."
        elif settings.settings().of(role) is None:
            found = f'"{role.value}" is named as proved, and this set has no setting of it'
            do = f"Add {role.value} to this table, or take the name away."
        elif control.tolerance.proved is None:
            found = f'"{role.value}" is named as proved, and its proved tolerance is not given'
            do = (
                f"Give controls.{role.value}.tolerance.proved, how near to the reference gauge it was set, "
                "or take the name away."
            )
        else:
            continue
        yield Problem(path=(*path, "proved"), found=found, do=do)

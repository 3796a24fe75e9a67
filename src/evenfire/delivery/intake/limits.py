"""The refusal of a frozen value, told with the value as typed and the limit in the units of the one who typed it."""

import re
from typing import Final

from evenfire.delivery.intake.problem import KeyPath, Problem, spoken
from evenfire.delivery.intake.tables.quantities import described
from evenfire.delivery.intake.toml_text import Raw
from evenfire.delivery.units import UnitSystem, number_in, show
from evenfire.errors import ImpossibleValue, UnreadableQuantity
from evenfire.si import Quantity

_UNIT: Final = re.compile(r"^\s*[+\-\u2212]?[0-9.,]+(?:[eE][+-]?[0-9]+)?\s*(?P<unit>\S.*?)\s*$")


def impossible_value(path: KeyPath, error: ImpossibleValue, document: Raw, meaning: str) -> Problem:
    """What cannot be at a key, and where it would begin to be possible."""
    typed = at(path, document)
    must_be = error.must_be
    if error.limit is not None:
        must_be += f" {in_units_of(typed, error.limit)}"
    shown = described(typed) if typed is not None else show(error.found, UnitSystem.US)
    found = f"{shown} cannot be: {spoken(path[-1:])} must be {must_be}"
    return Problem(path=path, found=found, do=f"Read it again and write what is there. {meaning}".strip())


def at(path: KeyPath, document: object) -> object:
    """The value as typed at a place of the document, or nothing."""
    for part in path:
        match document, part:
            case dict(), str():
                document = document.get(part)
            case list(), int() if part < len(document):
                document = document[part]
            case _:
                return None
    return document


def unit_of(typed: object) -> str | None:
    """The unit that somebody typed behind a number."""
    match = _UNIT.match(typed) if isinstance(typed, str) and len(typed) < 100 else None
    return match["unit"] if match is not None else None


def in_units_of(typed: object, quantity: Quantity) -> str:
    """A quantity in the unit of a text as typed; in US units where that unit cannot show it."""
    unit = unit_of(typed)
    if unit is not None:
        try:
            return f"{number_in(quantity, unit):.6g} {unit}"
        except UnreadableQuantity:
            pass
    return show(quantity, UnitSystem.US)

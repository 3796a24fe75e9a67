"""One boiler of a survey as a tree whose places are the fields of a survey draft, and back into a whole plant.

Rows of a list stand under their numbers, counted from 1, so that a row which is taken away moves no other.
"""

from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Final, get_args

from evenfire.delivery.intake.document import FORMAT
from evenfire.delivery.intake.known_keys import accepted_keys, tables_in
from evenfire.delivery.intake.problem import KeyPath
from evenfire.delivery.intake.survey_fields import SHAPE, field_if_any, rows
from evenfire.delivery.intake.survey_kinds import Value
from evenfire.delivery.intake.tables.controls import NO_WATER_LEG
from evenfire.delivery.intake.tables.load import LoadTable
from evenfire.delivery.records.canonical import Plain
from evenfire.delivery.records.registers import spelled
from evenfire.delivery.records.survey_document import day_of, decimal_of, marked
from evenfire.delivery.visits.fields import NONE_SEEN

Tree = dict[str | int, Any]
"""Tables under their keys, rows of lists under their numbers, values as canonical JSON has them."""

_TOPS: Final = ("site", "boiler", "load")
_LEG: Final = "water_leg"
_HEIGHT: Final = "height"
_DEMAND: Final = SHAPE.rpartition(".")[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A whole plant with one boiler as its draft has it."""

    plant: dict[str, Plain]
    place: int
    """Of the boiler in the plant, from 0"""
    numbers: Mapping[tuple[str, ...], tuple[int, ...]]
    """Numbers of the rows of each list of this boiler, in their order in the plant"""
    idle: frozenset[str]
    """Fields that do not count, because another shape of load was chosen, or a device is level with its tap"""


def tree_of(plant: Mapping[str, Plain], boiler: str) -> Tree:
    """Site, load and one boiler of a plant; empty tables where the plant has none."""
    place = _place_of(plant, boiler)
    here = _boilers(plant)[place : place + 1]
    tops: dict[str, Any] = {"site": plant.get("site"), "load": plant.get("load"), "boiler": here[0] if here else None}
    return {top: _opened(deepcopy(tops[top] or {}), (top,)) for top in _TOPS}


def texts_of(tree: Tree) -> dict[str, str]:
    """What stands in each field, as somebody would type it."""
    return {path: text for top in _TOPS for path, text in _texts(tree[top], top)}


def numbers_in(tree: Tree, key: str) -> tuple[int, ...]:
    """The numbers of the rows of a list such as ``boiler.safety_valve``."""
    found = _at(tree, key.split("."))
    return tuple(sorted(found)) if isinstance(found, dict) else ()


def list_put(tree: Tree, other: Tree, key: str) -> None:
    """Put the list of another tree in the place of a list."""
    *above, last = key.split(".")
    found = _at(other, [*above, last])
    table = _at(tree, above)
    if isinstance(table, dict):
        table.pop(last, None)
        if found is not None:
            table[last] = deepcopy(found)


def put(tree: Tree, path: str, value: Value) -> None:
    """Put what was typed into a field."""
    *above, last = _keys(path)
    table = tree
    for part in above:
        table = table.setdefault(part, {})
    table[last] = _plain(value)


def take_away(tree: Tree, path: str) -> None:
    """Take away what stands in a field, and every table that becomes empty by that."""
    keys = _keys(path)
    tables = [tree]
    for part in keys[:-1]:
        inner = tables[-1].get(part)
        if not isinstance(inner, dict):
            return
        tables.append(inner)
    tables[-1].pop(keys[-1], None)
    for depth in range(len(tables) - 1, 1, -1):
        if not tables[depth]:
            tables[depth - 1].pop(keys[depth - 1], None)


def laid_into(tree: Tree, plant: Mapping[str, Plain], site: str, boiler: str) -> Laid:
    """The whole plant with this tree in the place of site, load and one boiler; other boilers stay as they are."""
    numbers: dict[tuple[str, ...], tuple[int, ...]] = {}
    idle: set[str] = set()
    closed = {top: _closed(tree[top], (top,), numbers, idle) for top in _TOPS}
    place = _place_of(plant, boiler)
    known = _boilers(plant)
    name = known[place].get("name", boiler) if place < len(known) else boiler
    known[place : place + 1] = [{"name": name, **closed["boiler"]}]
    whole: dict[str, Plain] = {**plant, "format": plant.get("format", FORMAT)}
    old = plant.get("site")
    site_name = old.get("name", site) if isinstance(old, dict) else site
    whole["site"] = {"name": site_name, **closed["site"]}
    whole["boiler"] = list(known)
    whole.pop("load", None)
    if closed["load"]:
        whole["load"] = closed["load"]
    return Laid(plant=whole, place=place, numbers=numbers, idle=frozenset(idle))


def path_of(laid: Laid, place: KeyPath) -> str:
    """The field, or the table of fields, that stands at a place of the plant; empty for another boiler."""
    if place[:1] == ("boiler",):
        if len(place) > 1 and place[1] != laid.place:
            return ""
        place = ("boiler", *place[2:])
    parts: list[str] = []
    for part in place:
        if isinstance(part, int):
            numbers = laid.numbers.get(tuple(parts), ())
            if part >= len(numbers):
                break
            parts.append(str(numbers[part]))
        else:
            parts.append(part)
    return ".".join(parts)


def _texts(value: Any, path: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, dict) and marked(value) is None:
        for key, each in value.items():
            yield from _texts(each, f"{path}.{key}")
        return
    # A name, or what only the program writes, stays in the plant, and nobody types it.
    if field_if_any(path) is not None:
        yield path, _text(value)


def _text(value: Any) -> str:
    mark = marked(value)
    if mark is not None:
        return mark
    match value:
        case bool():
            return "yes" if value else "no"
        case list():
            return "\n".join(_text(each) for each in value) or NONE_SEEN
        case _:
            return str(value)


def _plain(value: Value) -> Plain:
    match value:
        case Decimal():
            return decimal_of(format(value, "f"))
        case date():
            return day_of(value)
        case list():
            return [*value]
        case _:
            return value


def _opened(value: Any, path: tuple[str, ...]) -> Any:
    """A table with its lists of tables under the numbers of their rows."""
    if isinstance(value, dict) and marked(value) is None:
        return {key: _opened(each, (*path, key)) for key, each in value.items()}
    if isinstance(value, list) and _is_rowed(path):
        return {number: _opened(each, (*path, "#")) for number, each in enumerate(value, 1)}
    if path[-1] == _LEG and value == NO_WATER_LEG:
        return {_HEIGHT: NO_WATER_LEG}
    return value


def _closed(value: Any, path: tuple[str, ...], numbers: dict[tuple[str, ...], tuple[int, ...]], idle: set[str]) -> Any:
    if not isinstance(value, dict) or marked(value) is not None:
        return value
    if path[-1] == _LEG and str(value.get(_HEIGHT, "")).strip().casefold() == NO_WATER_LEG:
        idle.update(".".join((*path, key)) for key in value if key != _HEIGHT)
        return NO_WATER_LEG
    if ".".join(path) == _DEMAND:
        value = _of_shape(value, idle)
    pattern = tuple("#" if part.isdigit() else part for part in path)
    if _is_rowed(pattern):
        numbers[path] = tuple(sorted(value))
        return [_closed(value[number], (*path, str(number)), numbers, idle) for number in numbers[path]]
    return {key: _closed(each, (*path, key), numbers, idle) for key, each in value.items()}


def _of_shape(demand: Tree, idle: set[str]) -> Tree:
    """The keys of a demand that its shape has; without a shape all of them, so that the shape is asked for."""
    for table in tables_in(LoadTable.model_fields["demand"].annotation):
        if demand.get("shape") in get_args(table.model_fields["shape"].annotation):
            accepted = accepted_keys(table)
            other = {key: each for key, each in demand.items() if key not in accepted}
            idle.update(path for path, _ in _texts(other, _DEMAND))
            return {key: each for key, each in demand.items() if key in accepted}
    return demand


def _is_rowed(path: tuple[str, ...]) -> bool:
    return ".".join(path) in rows()


def _keys(path: str) -> list[str | int]:
    return [int(part) if part.isdigit() else part for part in path.split(".")]


def _at(tree: Tree, keys: list[str]) -> Any:
    found: Any = tree
    for key in keys:
        found = found.get(int(key) if key.isdigit() else key) if isinstance(found, dict) else None
    return found


def _boilers(plant: Mapping[str, Plain]) -> list[Any]:
    found = plant.get("boiler")
    return list(found) if isinstance(found, list) else []


def _place_of(plant: Mapping[str, Plain], boiler: str) -> int:
    """Where the boiler of that name stands; behind the last where it is new."""
    names = [each.get("name") if isinstance(each, dict) else None for each in _boilers(plant)]
    same = [place for place, name in enumerate(names) if isinstance(name, str) and spelled(name) == spelled(boiler)]
    return same[0] if same else len(names)

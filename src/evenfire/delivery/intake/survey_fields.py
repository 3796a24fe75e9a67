"""The fields of a survey of one boiler: every key of the plant file's own tables as one text box.

A field is named by the key that it fills, rows of a list counted from 1: ``boiler.mawp``,
``boiler.safety_valve.2.set``, ``boiler.controls.high_limit.scale.from``. Names of site and boiler are no fields: they
stand in the registers of the store, and tell which boiler is surveyed.
"""

import difflib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import Enum
from functools import cache, lru_cache
from typing import Final

from pydantic.fields import FieldInfo

from evenfire.delivery.intake.assumptions import ALL
from evenfire.delivery.intake.document import Document
from evenfire.delivery.intake.known_keys import accepted_keys, is_list, tables_in
from evenfire.delivery.intake.survey_kinds import (
    Holds,
    Listed,
    OneOf,
    Reading,
    YesNo,
    holds,
    read_text,
)
from evenfire.delivery.intake.tables.boiler import BoilerTable
from evenfire.delivery.intake.tables.controls import NO_WATER_LEG, WaterLegTable
from evenfire.delivery.intake.tables.load import LoadTable
from evenfire.delivery.intake.tables.site import SiteTable
from evenfire.delivery.intake.tables.table import Table
from evenfire.delivery.intake.template import ANOTHER_EXAMPLE, NOT_FOR, is_headed
from evenfire.delivery.units import UnitSystem, show
from evenfire.delivery.visits.entry import LONGEST_PATH
from evenfire.delivery.visits.fields import Typed
from evenfire.delivery.words import survey as words
from evenfire.errors import BadEntry
from evenfire.si import AbsPa, Dimension, Quantity

ROW: Final = "#"
"""Stands for the number of a row in a key."""
MOST_NUMBERED: Final = 999
KEPT_ELSEWHERE: Final = frozenset({"site.name", "boiler.name", "boiler.proposed"})
"""Names stand in the registers; a proposal is the program's own."""
SHAPE: Final = "load.demand.shape"
"""The field that says which others of a demand count."""
_LEG_HEIGHT: Final = "water_leg.height"
_UNIT: Final = re.compile(r"\s*[-+−]?[0-9.,]+(?:[eE][-+]?[0-9]+)?\s*(?P<unit>.*?)\s*")
_NUMBER: Final = re.compile(r"[1-9][0-9]{0,2}")


class Group(Enum):
    """Parts of a survey, in the order in which somebody walks round a boiler."""

    SITE = "site"
    NAMEPLATE = "nameplate"
    SAFETY_VALVES = "safety_valves"
    BURNER = "burner"
    CONTROLS = "controls"
    AS_FOUND = "as_found"
    AS_LEFT = "as_left"
    LOAD = "load"
    MEASURED = "measured"


_GROUPS: Final = (
    ("boiler.safety_valve", Group.SAFETY_VALVES),
    ("boiler.burner", Group.BURNER),
    ("boiler.gauge", Group.CONTROLS),
    ("boiler.controls", Group.CONTROLS),
    ("boiler.as_found", Group.AS_FOUND),
    ("boiler.as_left", Group.AS_LEFT),
    ("boiler.measured", Group.MEASURED),
    ("boiler", Group.NAMEPLATE),
    ("load", Group.LOAD),
    ("site", Group.SITE),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyField:
    """One field of a survey."""

    path: str
    """With the numbers of its rows; in the field of a key alone ``#`` stands for them"""
    key: str
    """Without the numbers of its rows: ``boiler.safety_valve.set``"""
    section: str
    """Path of the headed table in which it stands"""
    whole: str
    """Path of what is left out of a judgement when this field cannot be taken: itself, or the small table around it"""
    group: Group
    label: str
    hint: str
    example: str
    holds: Holds
    is_required: bool
    """The table in which it stands is nothing without it"""
    is_whole_required: bool
    """What it belongs to cannot be left out: nothing is judged without it"""
    is_assumed: bool
    """A named assumption stands in for it where it is left out"""
    is_asked: bool
    """It says something of the work of this part; others are taken where somebody has them, and not asked for"""
    shapes: tuple[str, ...] = ()
    """Words of the field ``load.demand.shape`` with which it counts; empty where it always does"""

    @property
    def words(self) -> tuple[str, ...]:
        """What may be chosen, where it holds one of a few words alone."""
        match self.holds:
            case OneOf(words=known):
                return known
            case YesNo():
                return ("yes", "no")
            case _:
                return ()

    @property
    def is_lines(self) -> bool:
        """Whether it holds one thing a line."""
        return isinstance(self.holds, Listed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """A list of which somebody may add rows."""

    key: str
    """``boiler.safety_valve``"""
    what: str
    """What one row is called"""
    most: int
    """[1]"""
    group: Group


def field_of(path: str) -> SurveyField:
    """The field at a path.

    Raises
    ------
    BadEntry
        A survey has no such field.
    """
    found = field_if_any(path)
    if found is None:
        plain = path[:LONGEST_PATH]
        near = difflib.get_close_matches(plain, [each.replace(ROW, "1") for each in fields()], n=1)
        hint = f"a field of a survey, such as {near[0]}" if near else "a field of a survey"
        raise BadEntry(what="path", found=plain, must_be=hint)
    return found


@lru_cache(maxsize=20_000)
def field_if_any(path: str) -> SurveyField | None:
    """The field at a path, if a survey has it."""
    if len(path) > LONGEST_PATH:
        return None
    parts = path.split(".")
    field = fields().get(".".join(ROW if _NUMBER.fullmatch(part) else part for part in parts))
    if field is None:
        return None
    numbers = iter([part for part in parts if _NUMBER.fullmatch(part)])
    filled = dict(zip(_rowed(field.path), numbers, strict=True))
    if any(int(number) > rows()[head].most for head, number in filled.items()):
        return None
    return replace(field, path=path, section=_with_rows(field.section, filled), whole=_with_rows(field.whole, filled))


@cache
def fields() -> Mapping[str, SurveyField]:
    """Every field by its path, with ``#`` for the number of a row, in the order of the plant file."""
    found: dict[str, SurveyField] = {}
    for top, table in (("site", SiteTable), ("boiler", BoilerTable), ("load", LoadTable)):
        for field in _in_table(_At(path=top, key=top, section=top), table):
            known = found.setdefault(field.path, field)
            if known is not field:
                found[field.path] = replace(known, shapes=known.shapes + field.shapes)
    shape = found[SHAPE]
    found[SHAPE] = replace(shape, holds=OneOf(shape.shapes), shapes=())
    return found


@cache
def rows() -> Mapping[str, Rows]:
    """The lists of which somebody may add rows, by their keys."""
    lists: dict[str, Rows] = {}
    for path in fields():
        head, mark, _ = path.partition(f".{ROW}.")
        if mark and head not in lists:
            most = min(_most_rows(head), MOST_NUMBERED)
            lists[head] = Rows(key=head, what=words.ROWS[head], most=most, group=_group(head))
    return lists


def typed(path: str, text: str, *, ambient: AbsPa | None = None) -> Typed:
    """What a text means in the field of a survey, as an entry keeps it; an empty one takes away what stood there.

    Raises
    ------
    BadEntry
        A survey has no such field.
    """
    if not text.strip():
        field_of(path)
        return Typed()
    reading = reading_of(path, text, ambient=ambient)
    if reading.quantity is None:
        return Typed(why_not=reading.why_not)
    unit = _UNIT.fullmatch(text)
    si = format(Decimal(repr(reading.quantity.value)), "f")
    return Typed(unit=unit["unit"] if unit and unit["unit"] else None, si=si)


@lru_cache(maxsize=20_000)
def reading_of(path: str, text: str, *, ambient: AbsPa | None = None) -> Reading:
    """What a text that is not empty means in the field of a survey.

    Raises
    ------
    BadEntry
        A survey has no such field.
    """
    field = field_of(path)
    if field.path.endswith(_LEG_HEIGHT) and text.strip().casefold() == NO_WATER_LEG:
        return Reading(value=NO_WATER_LEG)
    return read_text(field.holds, text, ambient=ambient)


def told(path: str, text: str, system: UnitSystem, *, si: str | None = None) -> str:
    """What a text means, in the reader's units; empty where the text says it all, or cannot be read.

    ``si`` is what an entry keeps of it: an absolute pressure is turned into gauge where the air is known.

    Raises
    ------
    BadEntry
        A survey has no such field.
    """
    reading = reading_of(path, text) if text.strip() else Reading()
    if reading.quantity is not None:
        return show(reading.quantity, system)
    dimension = dimension_of(path)
    return "" if si is None or dimension is None else show(Quantity(float(Decimal(si)), dimension), system)


def dimension_of(path: str) -> Dimension | None:
    """The dimension of a field that holds a quantity and nothing else.

    Raises
    ------
    BadEntry
        A survey has no such field.
    """
    held = field_of(path).holds
    return held if isinstance(held, Dimension) else None


_ASSUMED_KEYS: Final = frozenset(key for assumption in ALL for key in assumption.keys)


@dataclass(frozen=True, slots=True, kw_only=True)
class _At:
    """Where a table stands."""

    path: str
    key: str
    section: str
    whole: str = ""
    is_whole_required: bool = False
    is_asked: bool = True
    shapes: tuple[str, ...] = ()
    examples: Mapping[str, object] | None = None
    """Of its keys, where they are others than those of the table alone"""


def _rowed(pattern: str) -> list[str]:
    """The path up to each number of a row."""
    parts = pattern.split(".")
    return [".".join(parts[:place]) for place, part in enumerate(parts) if part == ROW]


def _with_rows(pattern: str, numbers: Mapping[str, str]) -> str:
    parts = pattern.split(".")
    return ".".join(numbers[".".join(parts[:place])] if part == ROW else part for place, part in enumerate(parts))


def _in_table(at: _At, table: type[Table]) -> Iterator[SurveyField]:
    part = at.key.rpartition(".")[2]
    for name, info in accepted_keys(table).items():
        key = f"{at.key}.{name}"
        if key in KEPT_ELSEWHERE:
            continue
        asked = at.is_asked and name not in NOT_FOR.get(part, ())
        inner = tables_in(info.annotation)
        if inner:
            yield from _in_tables(at, name, info, inner, is_asked=asked)
        else:
            yield _field(at, name, info, table, is_asked=asked)


def _in_tables(
    at: _At, name: str, info: FieldInfo, inner: tuple[type[Table], ...], *, is_asked: bool
) -> Iterator[SurveyField]:
    row = f".{ROW}" if is_list(info) else ""
    path, part = f"{at.path}.{name}{row}", at.key.rpartition(".")[2]
    headed = is_headed(info)
    example = ANOTHER_EXAMPLE.get((part, name))
    for table in inner:
        shape = accepted_keys(table).get("shape")
        below = _At(
            path=path,
            key=f"{at.key}.{name}",
            section=path if headed else at.section,
            whole="" if headed else at.whole or f"{at.path}.{name}",
            is_whole_required=at.is_whole_required if at.whole else info.is_required() and not headed,
            is_asked=is_asked,
            shapes=at.shapes if shape is None else _words(shape),
            examples=example if isinstance(example, dict) else None,
        )
        yield from _in_table(below, table)


def _field(at: _At, name: str, info: FieldInfo, table: type[Table], *, is_asked: bool) -> SurveyField:
    key = f"{at.key}.{name}"
    held = holds(info)
    return SurveyField(
        path=f"{at.path}.{name}",
        key=key,
        section=at.section,
        whole=at.whole or f"{at.path}.{name}",
        group=_group(at.key),
        label=words.label_of(key),
        hint=_hint(info, held, key, table),
        example=_example(at, name, info),
        holds=held,
        is_required=info.is_required(),
        is_whole_required=at.is_whole_required if at.whole else info.is_required(),
        is_assumed=key in _ASSUMED_KEYS,
        is_asked=is_asked,
        shapes=at.shapes,
    )


def _hint(info: FieldInfo, held: Holds, key: str, table: type[Table]) -> str:
    said = [info.description or ""]
    if isinstance(held, Listed):
        said.append(words.HOURS_A_LINE.format(count=held.least) if held.least else words.ONE_A_LINE)
    if table is WaterLegTable and key.endswith(_LEG_HEIGHT):
        said.append(words.NONE_WHERE_LEVEL)
    if key in _ASSUMED_KEYS:
        said.append(words.LEFT_EMPTY)
    return " ".join(said)


def _example(at: _At, name: str, info: FieldInfo) -> str:
    part = at.key.rpartition(".")[2]
    other = (at.examples or {}).get(name, ANOTHER_EXAMPLE.get((part, name)))
    example = other if other is not None else next(iter(info.examples or ()), "")
    match example:
        case bool():
            return "yes" if example else "no"
        case list():
            return str(example[0]) if example else "none"
        case _:
            return str(example)


def _words(shape: FieldInfo) -> tuple[str, ...]:
    held = holds(shape)
    return held.words if isinstance(held, OneOf) else ()


def _group(key: str) -> Group:
    return next(group for start, group in _GROUPS if key == start or key.startswith(f"{start}."))


def _most_rows(head: str) -> int:
    """How many rows a list may have, as its own table says."""
    table: type[Table] = Document
    *above, last = head.split(".")
    for part in above:
        choices = tables_in(accepted_keys(table)[part].annotation)
        table = next(each for each in choices if len(choices) == 1 or last in accepted_keys(each))
    info = accepted_keys(table)[last]
    return next(int(each.max_length) for each in info.metadata if hasattr(each, "max_length"))

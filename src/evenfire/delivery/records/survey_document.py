"""A plant file as a canonical document and back: nothing of it is lost but comments and the order of its keys.

JSON knows neither days nor decimal numbers, and a survey that is signed may hold no binary fraction. Both stand in the
document as an object with one key that no plant file can have, with the text that was typed.
"""

import hashlib
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Final

from evenfire.delivery.intake.document import Document
from evenfire.delivery.intake.known_keys import accepted_keys, tables_in
from evenfire.delivery.intake.opening import decoded
from evenfire.delivery.intake.plant_file import FILL_IN, PlantFile, read_plant_bytes
from evenfire.delivery.intake.tables.table import Table
from evenfire.delivery.records.canonical import LARGEST_INTEGER, Content, Plain, canonical_bytes, read_canonical
from evenfire.errors import BadContent, BadPlantFile

SURVEY_FORMAT: Final = "evenfire.survey/1"
KeyPath = tuple[str | int, ...]

_DECIMAL: Final = "$decimal"
_DAY: Final = "$day"
_ORIGIN: Final = re.compile(r"^# evenfire survey ([0-9a-f]{64})$", re.MULTILINE)
_ORIGIN_WITHIN: Final = 1_000
"""The line of origin stands in front of everything else [characters]."""
_LONGEST_INLINE: Final = 100
"""A small table stands on the line of its key [characters]."""
_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")


@dataclass(frozen=True, slots=True)
class _Typed:
    """A decimal number as it stands in the file."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadSurvey:
    """A plant file that was read as a person's, and the document that it is in a store."""

    plant_file: PlantFile
    document: str
    """Canonical JSON text"""
    sha256: str
    origin: str | None
    """SHA-256 of the document from which the file was given out, if it says so"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One key that differs between two surveys."""

    key: str
    """``boiler[No. 1].mawp``"""
    before: str | None
    """As written; nothing where it was not there"""
    after: str | None


def read_survey(content: bytes, name: str) -> ReadSurvey:
    """The document of a plant file.

    Raises
    ------
    BadPlantFile
        It is no good plant file, or still carries the examples of the template.
    """
    plant_file = read_plant_bytes(content, name)
    if plant_file.unfilled:
        raise BadPlantFile(
            file=name,
            line=plant_file.unfilled[0],
            key=None,
            found=f"the mark {FILL_IN} says that an example of the template stands there and no reading",
            do="Write what is there, or take the line out; then take the file into the store.",
        )
    text = decoded(content, name)
    raw = tomllib.loads(text, parse_float=_Typed)
    document = canonical_bytes({"format": SURVEY_FORMAT, "plant": _plain(raw)}).decode()
    origin = _ORIGIN.search(text[:_ORIGIN_WITHIN])
    return ReadSurvey(
        plant_file=plant_file,
        document=document,
        sha256=sha256_of(document),
        origin=None if origin is None else origin[1],
    )


def read_document(document: str, name: str) -> ReadSurvey:
    """A document that came from elsewhere, read as strictly as a person's file.

    Raises
    ------
    BadContent
        It is not canonical, or no survey.
    BadPlantFile
        What it says is no good plant file.
    """
    read = read_survey(toml_of(document).encode(), name)
    if read.document != document:
        raise BadContent(path="plant", found="something that no plant file says", must_be="what its plant file says")
    return read


def sha256_of(document: str) -> str:
    """The name of a document."""
    return hashlib.sha256(document.encode()).hexdigest()


def toml_of(document: str, *, head: str = "") -> str:
    """The plant file that says what a document says, keys in the order of the format.

    Raises
    ------
    BadContent
        It is not canonical, or no survey.
    """
    lines = [head] if head else []
    _write(lines, plant_of(document), (), Document)
    return "\n".join(lines).lstrip("\n") + "\n"


def origin_line(sha256: str) -> str:
    """What a file that is given out says of itself, so that it is known again when it comes back."""
    return f"# evenfire survey {sha256}"


def with_keys(document: str, edits: Mapping[KeyPath, str]) -> str:
    """A document with some keys written anew as text.

    A key is a path such as ``("boiler", 0, "controls", "high_limit", "tolerance", "proved")``; tables that are missing
    are made.

    Raises
    ------
    BadContent
        It is not canonical, no survey, or has no place for a key.
    """
    plant = plant_of(document)
    for path, text in edits.items():
        here: Plain = plant
        for part in path[:-1]:
            here = _inside(here, part, path)
        if not isinstance(here, dict) or not isinstance(path[-1], str):
            raise BadContent(path=".".join(map(str, path)), found="no table", must_be="a key of a table")
        here[path[-1]] = text
    return document_of_plant(plant)


def differences(before: str, after: str) -> tuple[Difference, ...]:
    """Every key that differs between two documents, by key."""
    old, new = dict(_flat(plant_of(before), "")), dict(_flat(plant_of(after), ""))
    keys = sorted(old.keys() | new.keys())
    return tuple(
        Difference(key=key, before=old.get(key), after=new.get(key)) for key in keys if old.get(key) != new.get(key)
    )


def _plain(value: object) -> Content:
    """What canonical JSON can hold of a value of a TOML file."""
    match value:
        case bool() | str():
            return value
        case int() if abs(value) <= LARGEST_INTEGER:
            return value
        case int():
            return {_DECIMAL: str(value)}
        case _Typed(text=text):
            return {_DECIMAL: text.replace("_", "").removeprefix("+")}
        case date() if not isinstance(value, datetime):
            return {_DAY: value.isoformat()}
        case dict():
            return {str(key): _plain(each) for key, each in value.items()}
        case list():
            return [_plain(each) for each in value]
        case _:
            assert isinstance(value, datetime | time)
            raise BadContent(path="plant", found=value.isoformat(), must_be="a day without a time")


def plant_of(document: str) -> dict[str, Plain]:
    """What a document says of the plant.

    Raises
    ------
    BadContent
        It is not canonical, or no survey.
    """
    whole = read_canonical(document.encode())
    if not isinstance(whole, dict) or whole.keys() != {"format", "plant"} or whole["format"] != SURVEY_FORMAT:
        raise BadContent(path="format", found="no survey that this program reads", must_be=SURVEY_FORMAT)
    plant = whole["plant"]
    if not isinstance(plant, dict):
        raise BadContent(path="plant", found="no table", must_be="a table")
    return plant


def _inside(here: Plain, part: str | int, path: KeyPath) -> Plain:
    match here, part:
        case dict(), str():
            return here.setdefault(part, {})
        case list(), int() if part < len(here):
            return here[part]
        case _:
            raise BadContent(path=".".join(map(str, path)), found="no such place", must_be="a place in the survey")


def document_of_plant(plant: Mapping[str, Plain]) -> str:
    """The document that says this of a plant: canonical JSON text."""
    return canonical_bytes({"format": SURVEY_FORMAT, "plant": plant}).decode()


def decimal_of(text: str) -> Plain:
    """A decimal number as it stands in a document."""
    return {_DECIMAL: text}


def day_of(day: date) -> Plain:
    """A day as it stands in a document."""
    return {_DAY: day.isoformat()}


def marked(value: Plain) -> str | None:
    """The text of a number or a day that JSON does not know."""
    if isinstance(value, dict) and len(value) == 1:
        ((key, text),) = value.items()
        if key in {_DECIMAL, _DAY} and isinstance(text, str):
            return text
    return None


def _flat(value: Plain, at: str) -> Iterator[tuple[str, str]]:
    """Each value with its key; boilers and valves by their names, so that one more in front changes no other key."""
    if isinstance(value, dict) and marked(value) is None:
        for key, each in value.items():
            yield from _flat(each, f"{at}.{key}" if at else key)
    elif isinstance(value, list) and any(isinstance(each, dict) for each in value):
        for place, each in enumerate(value, 1):
            name = each.get("name") if isinstance(each, dict) else None
            yield from _flat(each, f"{at}[{name if isinstance(name, str) else place}]")
    else:
        yield at, _value(value)


def _write(lines: list[str], table: Mapping[str, Plain], path: tuple[str, ...], kind: type[Table] | None) -> None:
    """The keys of a table, then the tables in it under headers of their own."""
    headed = []
    for key in _ordered(table, kind):
        if _is_inline(key, table[key], has_header=bool(path)):
            lines.append(f"{_key(key)} = {_value(table[key], _table_of(kind, key, table[key]))}")
        else:
            headed.append(key)
    for key in headed:
        _write_headed(lines, table[key], (*path, key), kind)


def _write_headed(lines: list[str], value: Plain, path: tuple[str, ...], above: type[Table] | None) -> None:
    name = ".".join(_key(part) for part in path)
    if isinstance(value, dict):
        if not value or any(_is_inline(key, each, has_header=True) for key, each in value.items()):
            lines += ["", f"[{name}]"]
        _write(lines, value, path, _table_of(above, path[-1], value))
    elif isinstance(value, list):
        for each in value:
            assert isinstance(each, dict)
            lines += ["", f"[[{name}]]"]
            _write(lines, each, path, _table_of(above, path[-1], each))


def _ordered(table: Mapping[str, Plain], kind: type[Table] | None) -> list[str]:
    known = list(accepted_keys(kind)) if kind is not None else []
    return [*(key for key in known if key in table), *(key for key in sorted(table) if key not in known)]


def _table_of(kind: type[Table] | None, key: str, value: Plain) -> type[Table] | None:
    """The table that a key holds; of several shapes the one that has all the keys which are there."""
    field = accepted_keys(kind).get(key) if kind is not None else None
    choices = tables_in(field.annotation) if field is not None else ()
    there = value.keys() if isinstance(value, dict) else set()
    return next((each for each in choices if there <= accepted_keys(each).keys()), None)


def _is_inline(key: str, value: Plain, *, has_header: bool) -> bool:
    if isinstance(value, dict):
        if marked(value) is not None:
            return True
        return has_header and len(f"{key} = {_value(value)}") <= _LONGEST_INLINE
    are_tables = isinstance(value, list) and [isinstance(each, dict) and marked(each) is None for each in value]
    return not (are_tables and all(are_tables))


def _value(value: Plain, kind: type[Table] | None = None) -> str:
    text = marked(value)
    if text is not None:
        return text
    match value:
        case bool():
            return "true" if value else "false"
        case int():
            return str(value)
        case str():
            return _quoted(value)
        case dict():
            inside = ", ".join(f"{_key(key)} = {_value(value[key])}" for key in _ordered(value, kind))
            return f"{{ {inside} }}" if inside else "{}"
        case list():
            return "[" + ", ".join(_value(each) for each in value) + "]"
        case None:
            raise BadContent(path="plant", found="nothing", must_be="a value")


def _key(key: str) -> str:
    return key if _BARE.fullmatch(key) else _quoted(key)


def _quoted(text: str) -> str:
    """A TOML text on one line; signs that cannot be seen are written as their number."""
    signs = []
    for sign in text:
        if sign in '\\"':
            signs.append("\\" + sign)
        elif sign < " " or sign == "\x7f":
            signs.append(f"\\u{ord(sign):04X}")
        else:
            signs.append(sign)
    return '"' + "".join(signs) + '"'

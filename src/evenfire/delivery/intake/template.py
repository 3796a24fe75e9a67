"""The plant file that a person starts from: every key with its explanation, in the words of the tables themselves."""

import textwrap
from collections.abc import Iterator
from typing import Final

from pydantic.fields import FieldInfo

from evenfire.delivery.intake.assumptions import ALL
from evenfire.delivery.intake.document import Document
from evenfire.delivery.intake.known_keys import accepted_keys, is_list, tables_in
from evenfire.delivery.intake.plant_file import FILL_IN
from evenfire.delivery.intake.tables.table import Table
from evenfire.delivery.intake.toml_value import toml_value

WIDTH: Final = 100
"""Longest line of the file [characters]; it fits a phone held sideways and a printed page."""

_HEAD: Final = """\
Plant file of evenfire. Fill in what you know; what you leave out is unknown, and the program says what it could not
judge for want of it. Lines with two ## explain. Take the # away from a key that you know, and put your own value in
place of the example. Values marked FILL IN are examples too: they must be replaced. Quantities stand between quotes
with their unit, US or metric: "125 psi", "8.6 bar", "4500 lb/h", "45 s". Pressures are gauge pressures unless you
write abs. Check the file with: evenfire check FILE
"""
_WRITTEN_BY_THE_PROGRAM: Final = "proposed"
_WRITTEN_LATER: Final = "as_left"
_IS_ASSUMED: Final = " Assumed when left out."
_ASSUMED_KEYS: Final = frozenset(key for assumption in ALL for key in assumption.keys)
NOT_FOR: Final = {
    "operating_limit": {"reset", "reset_differential"},
    "high_limit": {"differential_scale", "differential_counts"},
    "firing_rate": {"reset", "reset_differential", "own_element"},
    "low_fire_hold": {"differential_scale", "differential_counts", "reset", "reset_differential", "own_element"},
}
"""Keys that a control accepts and that say nothing about its work."""
ANOTHER_EXAMPLE: Final = {
    ("firing_rate", "differential_scale"): {"from": "5 psi", "to": "20 psi", "division": "5 psi"},
    ("firing_rate", "differential_counts"): "above",
}


def new_plant_file() -> str:
    """The text of a new plant file; it loads as it is, with everything but the examples unknown."""
    writer = _Writer()
    lines = [*_prose(_HEAD), "", *writer.keys("", Document), *writer.tables(Document, "")]
    return "\n".join(lines) + "\n"


class _Writer:
    """Writes tables; a key that several tables share is explained once."""

    def __init__(self) -> None:
        self._explained: set[str] = set()

    def tables(self, table: type[Table], above: str) -> Iterator[str]:
        """The tables of a table, each under its header, in the order of the format."""
        for key, field in accepted_keys(table).items():
            if not is_headed(field):
                continue
            inner, name = tables_in(field.annotation)[0], f"{above}.{key}" if above else key
            yield from ("", *_prose(field.description or ""))
            if key == _WRITTEN_BY_THE_PROGRAM:
                continue
            header = f"[[{name}]]" if is_list(field) else f"[{name}]"
            keys = list(self.keys(name, inner))
            if keys:
                yield f"# {header}" if key == _WRITTEN_LATER else header
            yield from keys
            yield from self.tables(inner, name)

    def keys(self, name: str, table: type[Table]) -> Iterator[str]:
        """The keys of a table; a key that may be absent is commented out."""
        header = name.rpartition(".")[2]
        for key, field in accepted_keys(table).items():
            if is_headed(field) or key in NOT_FOR.get(header, ()):
                continue
            meaning = field.description or ""
            if meaning not in self._explained:
                self._explained.add(meaning)
                yield from _prose(f"{meaning}{_IS_ASSUMED if f'{name}.{key}' in _ASSUMED_KEYS else ''}")
            for example in _examples(header, key, field):
                line = f"{key} = {toml_value(example)}"
                yield f"{line}  {_mark(key)}".rstrip() if field.is_required() else f"# {line}"


def is_headed(field: FieldInfo) -> bool:
    """Whether a key is a table with a header; one that has an example is short and written in braces."""
    return bool(tables_in(field.annotation)) and not field.examples


def _examples(header: str, key: str, field: FieldInfo) -> list[object]:
    """The first example, and further ones where they have other keys."""
    if (header, key) in ANOTHER_EXAMPLE:
        return [ANOTHER_EXAMPLE[header, key]]
    first, *others = field.examples or [""]
    return [first, *(other for other in others if isinstance(other, dict))]


def _mark(key: str) -> str:
    return "" if key == "format" else FILL_IN


def _prose(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="## ", subsequent_indent="## ")

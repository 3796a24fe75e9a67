"""The text of a proposal, and its place in the text of a plant file."""

from typing import TYPE_CHECKING, Final

from evenfire.delivery.intake.limits import at, unit_of
from evenfire.delivery.intake.locate import headed_tables, keys, pairs, syntax, value_of
from evenfire.delivery.intake.toml_text import Raw
from evenfire.delivery.intake.toml_value import toml_value
from evenfire.delivery.units import UnitSystem, number_in, read
from evenfire.errors import BadRequest, UnreadableQuantity
from evenfire.plant.controls import Role
from evenfire.plant.settings import Proposed
from evenfire.si import ROUNDING_PA, Dimension, Quantity

if TYPE_CHECKING:
    from tree_sitter import Node

Entries = dict[str, str | list[str]]
"""The keys of the table and their values."""

_UNITS: Final = {UnitSystem.US: "psi", UnitSystem.SI: "bar"}
_MOST_DECIMALS: Final = 9
_Edit = tuple[int, int, str]
"""From byte, to byte, and what stands there afterwards."""


def entries_of(proposed: Proposed, document: Raw, place: int, system: UnitSystem) -> Entries:
    """The keys that say a proposal, each pressure in the unit of its control's own scale."""
    entries: Entries = {}
    for role in Role:
        reading = proposed.settings.of(role)
        if reading is None:
            continue
        control = ("boiler", place, "controls", role.value)
        unit = unit_of(at((*control, "scale", "from"), document)) or _UNITS[system]
        entries[role.value] = _text(Quantity(reading.main, Dimension.GAUGE_PRESSURE), unit, system)
        if reading.differential is not None:
            scale = at((*control, "differential_scale"), document)
            own = unit_of(at(("from",), scale)) or unit_of(at(("fixed",), scale)) or unit
            difference = Quantity(reading.differential, Dimension.PRESSURE_DIFFERENCE)
            entries[f"{role.value}_differential"] = _text(difference, own, system)
    entries["proved"] = [role.value for role in Role if role in proposed.settings.proved]
    entries["plant_revision"] = proposed.plant_revision
    entries["engine_version"] = proposed.engine_version
    return entries


def with_proposed(text: str, place: int, entries: Entries) -> str:
    """The text of a plant file with these keys in the proposed table of one boiler; every other byte stays.

    Raises
    ------
    BadRequest
        The boiler is not written as a table with a header, so that there is no place for another table.
    """
    content = text.encode()
    owned = [(path, node) for path, node in headed_tables(syntax(text)) if path[:2] == ("boiler", place)]
    if not owned:
        raise BadRequest("A proposal can only be written for a boiler that has a header of its own, [[boiler]].")
    here = [node for path, node in owned if path == ("boiler", place, "proposed")]
    end = "\r\n" if "\r\n" in text else "\n"
    edits = _changes(here[0], content, entries, end) if here else [_new_table(owned[-1][1], content, entries, end)]
    for start, stop, replacement in sorted(edits, reverse=True):
        content = content[:start] + replacement.encode() + content[stop:]
    return content.decode()


def _changes(table: "Node", content: bytes, entries: Entries, end: str) -> list[_Edit]:
    """Values replaced in place with their comments kept, lines of old keys taken out, new keys behind the last."""
    edits: list[_Edit] = []
    seen: set[str] = set()
    for pair in pairs(table):
        key, value = keys(pair.children[0])[0], value_of(pair)
        seen.add(key)
        if key in entries:
            edits.append((value.start_byte, value.end_byte, toml_value(entries[key])))
        else:
            edits.append((_line_start(content, pair.start_byte), _line_end(content, pair.end_byte), ""))
    added = {key: value for key, value in entries.items() if key not in seen}
    if added:
        edits.append(_insertion(table, content, _lines(added, end), end))
    return edits


def _new_table(last: "Node", content: bytes, entries: Entries, end: str) -> _Edit:
    """A new table behind the last key of the boiler, in front of any comment that leads to what follows."""
    place, _, table = _insertion(last, content, f"{end}[boiler.proposed]{end}{_lines(entries, end)}", end)
    is_followed = content[place : place + 1] not in {b"", b"\n", b"\r"}
    return place, place, f"{table}{end}" if is_followed else table


def _insertion(table: "Node", content: bytes, addition: str, end: str) -> _Edit:
    last = max((pair.end_byte for pair in pairs(table)), default=_header_end(table))
    place = _line_end(content, last)
    is_open = place > 0 and content[place - 1 : place] != b"\n"
    return place, place, f"{end}{addition}" if is_open else addition


def _header_end(table: "Node") -> int:
    return next(child.end_byte for child in table.children if child.type in {"]", "]]"})


def _line_start(content: bytes, place: int) -> int:
    return content.rfind(b"\n", 0, place) + 1


def _line_end(content: bytes, place: int) -> int:
    found = content.find(b"\n", place)
    return found + 1 if found >= 0 else len(content)


def _lines(entries: Entries, end: str) -> str:
    return "".join(f"{key} = {toml_value(value)}{end}" for key, value in entries.items())


def _text(quantity: Quantity, unit: str, system: UnitSystem) -> str:
    """The shortest text in that unit that reads back as the same pressure."""
    for each in (unit, _UNITS[system]):
        try:
            number = number_in(quantity, each)
        except UnreadableQuantity:
            continue  # an absolute unit, say: then the one of the system
        for decimals in range(_MOST_DECIMALS):
            text = f"{number:.{decimals}f} {each}"
            if abs(read(text, quantity.dimension).value - quantity.value) <= ROUNDING_PA:
                return text
    raise BadRequest(f"{quantity.value:g} Pa cannot be written in {unit}.")

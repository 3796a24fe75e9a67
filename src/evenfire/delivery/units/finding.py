"""From a typed unit to the unit of the table: spellings, glyphs, case."""

import re
from collections.abc import Mapping
from typing import Final

from evenfire.delivery.units.table import UNITS, Case, Unit
from evenfire.si import Dimension

_GLYPHS: Final = str.maketrans(
    {
        "\u2212": "-",  # minus sign
        "\u00b2": "2",
        "\u00b3": "3",
        "\u2082": "2",  # the subscript in H2O
        "\u00ba": "\u00b0",  # the ordinal sign that keyboards offer in place of the degree sign
        "\u2103": "\u00b0C",
        "\u2109": "\u00b0F",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "\t": " ",
    }
)

_DEGREES: Final = re.compile(
    r"(?:\u00b0|\bdeg\.?|\bdegrees?\b)\s*(?=(?:[CFK]|fahrenheit|celsius|kelvins?)(?![a-z]))", re.IGNORECASE
)
_PER: Final = re.compile(r"(?:^|(?<=\s))per\s", re.IGNORECASE)
_SPACE_AROUND: Final = re.compile(r"\s*([/()])\s*")
_LAST_PER: Final = re.compile(r"/(h|hrs?|hours?|min|mins|minutes?|s|sec|seconds?|days?)$", re.IGNORECASE)
_TIME_WORDS: Final = {"h": "h", "m": "min", "s": "s", "d": "day"}


def plain(text: str) -> str:
    """The text with typographic glyphs replaced by the plain characters that they stand for."""
    return text.translate(_GLYPHS).strip()


def find_unit(spelling: str, dimension: Dimension) -> Unit | None:
    """The unit of this dimension that is spelled so, or nothing."""
    wanted = regular(plain(spelling))
    exact = _EXACT[dimension].get(wanted)
    if exact is not None:
        return exact
    unit, spelled = _FOLDED[dimension].get(wanted.casefold(), (None, ""))
    if unit is None or (unit.case is Case.PREFIX and not _prefix_is_sure(wanted, spelled)):
        return None
    return unit


def find_elsewhere(spelling: str) -> tuple[Unit, Dimension] | None:
    """The first unit of any dimension that is spelled so, to tell somebody what he gave instead."""
    for dimension in UNITS:
        unit = find_unit(spelling, dimension)
        if unit is not None:
            return unit, dimension
    return None


def regular(spelling: str) -> str:
    """One way of writing for what is written in several: degree marks, `per`, spaces, hours, a final full stop."""
    text = _DEGREES.sub("", " ".join(spelling.replace("^", "").split()))
    text = _SPACE_AROUND.sub(r"\1", _PER.sub("/", text))
    text = text.removesuffix(".") if not text.endswith("..") else text
    return _LAST_PER.sub(lambda found: "/" + _TIME_WORDS[found[1][0].lower()], text)


def _prefix_is_sure(text: str, spelled: str) -> bool:
    """Upper and lower case may differ if all of it does, or if the prefix is right: mpa and Mpa are MPa, mPa is not."""
    return text.islower() or text.isupper() or text[0] == spelled[0]


def _exact_index(units: tuple[Unit, ...]) -> dict[str, Unit]:
    return {regular(spelling): unit for unit in units for spelling in unit.spellings}


def _folded_index(units: tuple[Unit, ...]) -> dict[str, tuple[Unit, str]]:
    return {
        regular(spelling).casefold(): (unit, spelling)
        for unit in units
        if unit.case is not Case.EXACT
        for spelling in unit.spellings
    }


_EXACT: Final[Mapping[Dimension, dict[str, Unit]]] = {kind: _exact_index(units) for kind, units in UNITS.items()}
_FOLDED: Final[Mapping[Dimension, dict[str, tuple[Unit, str]]]] = {
    kind: _folded_index(units) for kind, units in UNITS.items()
}

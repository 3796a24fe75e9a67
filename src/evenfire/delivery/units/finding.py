"""From a typed unit to the unit of the table: spellings, glyphs, case."""

import re
from functools import cache
from typing import Final

from evenfire.delivery.units.table import UNITS, Case, Unit
from evenfire.si import Dimension

_GLYPHS: Final = str.maketrans(
    {
        "\u2212": "-",  # minus sign
        "\u00ba": "\u00b0",  # the ordinal sign that keyboards offer in place of the degree sign
        "\u2103": "\u00b0C",
        "\u2109": "\u00b0F",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "\t": " ",
    }
)
# Only within a unit: behind a number a raised figure is a footnote or a power, and must not become a digit of it.
_SMALL_FIGURES: Final = str.maketrans("\u00b2\u00b3\u2082", "232", "^")

# ASCII: else the long s of old print would count as an s in any case.
_ANY_CASE: Final = re.IGNORECASE | re.ASCII
_DEGREES: Final = re.compile(
    r"(?:\u00b0|\bdeg\.?|\bdegrees?\b)\s*(?=(?:[CFK]|fahrenheit|celsius|kelvins?)(?![a-z]))", _ANY_CASE
)
_PER: Final = re.compile(r"(?:^|(?<=\s))per\s", _ANY_CASE)
_SPACE_AROUND: Final = re.compile(r"\s*([/()])\s*")
_LAST_PER: Final = re.compile(r"/(h|hrs?|hours?|min|mins|minutes?|s|sec|seconds?|days?)$", _ANY_CASE)
_TIME_WORDS: Final = {"h": "h", "m": "min", "s": "s", "d": "day"}


def plain(text: str) -> str:
    """The text with typographic glyphs replaced by the plain characters that they stand for."""
    return text.translate(_GLYPHS).strip()


def find_unit(spelling: str, dimension: Dimension) -> Unit | None:
    """The unit of this dimension that is spelled so, or nothing."""
    wanted = regular(plain(spelling))
    exact, folded = _index(dimension)
    if wanted in exact:
        return exact[wanted]
    unit, spelled = folded.get(wanted.lower(), (None, ""))
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
    text = _DEGREES.sub("", " ".join(spelling.translate(_SMALL_FIGURES).split()))
    text = _SPACE_AROUND.sub(r"\1", _PER.sub("/", text))
    text = text.removesuffix(".") if not text.endswith("..") else text
    return _LAST_PER.sub(lambda found: "/" + _TIME_WORDS[found[1][0].lower()], text)


def _prefix_is_sure(text: str, spelled: str) -> bool:
    """Upper and lower case may differ if all of it does, or if the prefix is right: mpa and Mpa are MPa, mPa is not."""
    return text.islower() or text.isupper() or text[0] == spelled[0]


@cache
def _index(dimension: Dimension) -> tuple[dict[str, Unit], dict[str, tuple[Unit, str]]]:
    """Units by exact spelling, and by spelling in any case; made when first asked for, to keep the import light."""
    spelled = [(regular(spelling), unit) for unit in UNITS[dimension] for spelling in unit.spellings]
    folded = {spelling.lower(): (unit, spelling) for spelling, unit in spelled if unit.case is not Case.EXACT}
    return dict(spelled), folded

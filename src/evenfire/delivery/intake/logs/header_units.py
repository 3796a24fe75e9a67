"""The unit of a column: in brackets behind its name, behind a stroke, at the end of a tag, or in a row below."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.units.ambiguity import why_ambiguous
from evenfire.delivery.units.finding import find_elsewhere, find_unit, plain, regular
from evenfire.delivery.units.table import Datum, Unit
from evenfire.si import Dimension

_BRACKETS: Final = re.compile(r"[\[(\{<]([^\[\](){}<>]{1,24})[\])\}>]")
_BEHIND: Final = re.compile(r"(?:,| in | en |/ | / |:)\s*([^,:]{1,16})$")
_MOST_PARTS: Final = 3
LONGEST_UNIT: Final = 24
_OTHER_SPELLINGS: Final = {
    "pph": "lb/h",
    "pct": "%",
    "prozent": "%",
    "porciento": "%",
    "pourcent": "%",
    "degc": "C",
    "degf": "F",
    "deg c": "C",
    "deg f": "F",
    "barg": "bar g",
    "bara": "bar abs",
    "bar\u00fc": "bar g",
    "bar (\u00fc)": "bar g",
    "to/h": "t/h",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundUnit:
    """The unit of a column."""

    text: str
    """As it stands there"""
    dimension: Dimension
    unit: Unit | None
    """Nothing for a plain number"""

    @property
    def factor(self) -> float:
        """[SI of one]"""
        return 1.0 if self.unit is None else self.unit.si

    @property
    def zero(self) -> float:
        """[SI at nought]"""
        return 0.0 if self.unit is None else self.unit.zero

    @property
    def says_datum(self) -> bool:
        """Whether a pressure is said to be gauge or absolute."""
        return self.unit is not None and self.unit.datum is not Datum.UNSAID


def unit_texts(header: str, below: str) -> Iterator[str]:
    """What may be the unit of a column, the likeliest first."""
    if below.strip():
        yield below.strip(" []()<>{}")
    for found in reversed(_BRACKETS.findall(header)):
        yield found.strip()
    behind = _BEHIND.search(header)
    if behind is not None:
        yield behind[1].strip()
    parts = [part for part in re.split(r"[_\s]+", header) if part]
    for count in range(min(_MOST_PARTS, len(parts) - 1), 0, -1):
        last = parts[-count:]
        for mark in ("/", " "):
            yield mark.join(last)


def stated_unit_text(header: str, below: str) -> str | None:
    """What stands where a unit is written on purpose: below the header or in brackets."""
    if below.strip():
        return below.strip(" []()<>{}")
    found = _BRACKETS.findall(header)
    return found[-1].strip() if found else None


def without_unit(header: str) -> str:
    """The name of a column without the unit behind it."""
    parts = [part for part in re.split(r"[_\s]+", _BRACKETS.sub(" ", header)) if part]
    for count in range(min(_MOST_PARTS, len(parts) - 1), 0, -1):
        if any(is_unit(mark.join(parts[-count:])) for mark in ("/", " ")):
            return " ".join(parts[:-count])
    return " ".join(parts)


def unit_in(text: str, dimensions: Sequence[Dimension]) -> FoundUnit | None:
    """The unit of one of these dimensions that is spelled so."""
    if not text or len(text) > LONGEST_UNIT:
        return None
    spelling = _OTHER_SPELLINGS.get(text.casefold().strip("."), text)
    for dimension in dimensions:
        unit = find_unit(spelling, dimension)
        if unit is not None:
            is_absolute = dimension is Dimension.GAUGE_PRESSURE and unit.datum is Datum.ABSOLUTE
            kind = Dimension.ABSOLUTE_PRESSURE if is_absolute else dimension
            return FoundUnit(text=text, dimension=kind, unit=unit)
    return None


def is_unit(text: str) -> bool:
    """Whether a text is a unit of anything."""
    return (
        bool(text)
        and len(text) <= LONGEST_UNIT
        and find_elsewhere(_OTHER_SPELLINGS.get(text.casefold(), text)) is not None
    )


def why_not(text: str, dimensions: Sequence[Dimension]) -> str:
    """Why a text is no unit of these dimensions, as the rest of a sentence."""
    for dimension in dimensions:
        why = why_ambiguous(regular(plain(text)), dimension)
        if why is not None:
            return why
    return f"is no unit of {' or '.join(dimension.value for dimension in dimensions)} that is known here"

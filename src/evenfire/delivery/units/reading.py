"""From text to quantity: a number, a unit, and no guess.

What could be read in two ways is refused with the accepted spellings; a wrong guess at a boiler is worse than a
second look at the sheet.
"""

import math
import re
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.units.ambiguity import why_ambiguous
from evenfire.delivery.units.finding import find_elsewhere, find_unit, plain, regular
from evenfire.delivery.units.table import Datum, Unit, accepted
from evenfire.errors import UnreadableQuantity
from evenfire.si import AbsPa, Dimension, Quantity, gauge

LONGEST_TEXT: Final = 100
"""A quantity is a few words; what is longer is something else, and is not echoed in full."""
SHOWN_OF_LONG_TEXT: Final = 40
ASSUMED_GREATEST_NUMBER: Final = 1e15
"""No quantity of a boiler in any unit of the table is greater, or smaller than its inverse: a slipped exponent is."""

_NUMBER_AND_REST: Final = re.compile(
    r"(?P<number>[+-]?(?:[0-9][0-9,]*(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)(?P<rest>.*)"
)
_THOUSANDS: Final = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]*)?")
_SURE_THOUSANDS: Final = re.compile(r".*,.*[,.].*")
_TURNDOWN: Final = re.compile(r":\s*1")


def read(text: str, dimension: Dimension, *, ambient: AbsPa | None = None) -> Quantity:
    """The quantity that a text such as ``125 psi`` or ``1,050 gal`` states.

    A gauge pressure is gauge unless its unit is marked absolute. An absolute one (a barometer reading) is absolute, and
    a gauge mark is refused; a difference takes no mark. A fraction may be a percentage or a plain number below 1, and a
    turndown may be written ``4:1``.

    Parameters
    ----------
    text
        Number and unit, as typed.
    dimension
        What is wanted.
    ambient
        Pressure of the air at the site, needed for a gauge pressure given in an absolute unit [Pa].

    Raises
    ------
    UnreadableQuantity
        The text is no such quantity, or could be read in two ways.

    Examples
    --------
    >>> round(read("8.6 bar", Dimension.GAUGE_PRESSURE).value)
    860000
    """
    asked = _Asked(text=text, dimension=dimension)
    number, unit_text = _split(asked)
    if not unit_text or dimension is Dimension.NUMBER:
        return Quantity(_without_unit(asked, number, unit_text), dimension)
    unit = _unit(asked, unit_text)
    value = _number(asked, number, unit) * unit.si + unit.zero
    return Quantity(_on_datum(asked, value, unit, ambient), dimension)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What somebody typed and what was wanted."""

    text: str
    dimension: Dimension

    def refusal(self, why: str) -> UnreadableQuantity:
        """The error that says why, with no more of the text than a person can use."""
        cut = self.text if len(self.text) <= LONGEST_TEXT else self.text[:SHOWN_OF_LONG_TEXT] + "..."
        shown = "".join(character if character.isprintable() else "\N{REPLACEMENT CHARACTER}" for character in cut)
        return UnreadableQuantity(shown, why, accepted(self.dimension))


def _split(asked: _Asked) -> tuple[str, str]:
    """Number and unit, both as text."""
    if len(asked.text) > LONGEST_TEXT:
        raise asked.refusal(f"is {len(asked.text)} characters long, too long for a quantity")
    text = plain(asked.text)
    if not text:
        raise asked.refusal("is empty")
    if not text.isprintable():
        raise asked.refusal("holds characters that cannot be printed")
    found = _NUMBER_AND_REST.fullmatch(text)
    if found is None:
        raise asked.refusal("does not begin with a number")
    return found["number"], found["rest"].strip()


def _unit(asked: _Asked, unit_text: str) -> Unit:
    """The unit of the wanted dimension that is spelled so."""
    unit = find_unit(unit_text, asked.dimension)
    if unit is not None:
        return unit
    why = why_ambiguous(regular(unit_text), asked.dimension)
    if why is not None:
        raise asked.refusal(why)
    elsewhere = find_elsewhere(unit_text)
    if elsewhere is not None:
        raise asked.refusal(
            f"is in {elsewhere[0].name}, a unit of {elsewhere[1].value}; {asked.dimension.value} is wanted"
        )
    if unit_text[0] in ",.:/-+" or any(character.isdigit() for character in unit_text):
        raise asked.refusal("is not one number with one known unit: write a single decimal number and its unit")
    raise asked.refusal(f"has the unit {unit_text!r}, which is not known here")


def _number(asked: _Asked, number: str, unit: Unit | None) -> float:
    """The number, its comma judged: in a US unit one comma can only mark thousands, elsewhere it may mark decimals."""
    if "," in number:
        if not _THOUSANDS.fullmatch(number):
            raise asked.refusal(
                "has a comma that marks no thousands: write a point for decimals, as in 8.6, and thousands as in 1,050"
            )
        if not (_SURE_THOUSANDS.fullmatch(number) or (unit is not None and unit.customary)):
            either = f"{number.replace(',', '')} or {number.replace(',', '.')}"
            raise asked.refusal(f"has a comma that marks thousands to some and decimals to others: write {either}")
    value = float(number.replace(",", ""))
    is_nought = not re.search("[1-9]", re.split("[eE]", number)[0])
    if not is_nought and not 1 / ASSUMED_GREATEST_NUMBER <= abs(value) <= ASSUMED_GREATEST_NUMBER:
        raise asked.refusal("is larger or smaller than any quantity of a boiler")
    return value + 0.0  # so that minus nought is nought


def _without_unit(asked: _Asked, number: str, unit_text: str) -> float:
    """A plain number, where one is enough."""
    match asked.dimension:
        case Dimension.NUMBER:
            if unit_text and not _TURNDOWN.fullmatch(unit_text):
                raise asked.refusal(f"has {unit_text!r} after its number; a number takes no unit")
            return _number(asked, number, None)
        case Dimension.FRACTION:
            value = _number(asked, number, None)
            if abs(value) >= 1:
                raise asked.refusal(f"may be a percentage or a fraction: write {number} % or {value * 100:g} %")
            return value
        case _:
            raise asked.refusal("has no unit")


def _on_datum(asked: _Asked, value: float, unit: Unit, ambient: AbsPa | None) -> float:
    """The SI value counted from the zero that the dimension has."""
    match asked.dimension, unit.datum:
        case Dimension.GAUGE_PRESSURE, Datum.ABSOLUTE:
            _require_possible(asked, value, "pressure")
            if ambient is None:
                raise asked.refusal(
                    "is an absolute pressure: give the altitude or the barometer of the site to turn it into gauge, "
                    "or write the gauge pressure"
                )
            return gauge(AbsPa(value), ambient)
        case Dimension.ABSOLUTE_PRESSURE, Datum.GAUGE:
            raise asked.refusal("is a gauge pressure; a barometer reading is absolute")
        case Dimension.ABSOLUTE_PRESSURE, _:
            _require_possible(asked, value, "pressure")
        case Dimension.PRESSURE_DIFFERENCE, Datum.GAUGE | Datum.ABSOLUTE:
            raise asked.refusal(
                f"is marked {unit.datum.value}; a difference of two pressures is neither gauge nor absolute"
            )
        case Dimension.TEMPERATURE, _:
            _require_possible(asked, value, "temperature")
        case _:
            pass
    return value


def _require_possible(asked: _Asked, value: float, what: str) -> None:
    if value < 0 and not math.isclose(value, 0.0, abs_tol=1e-9):
        raise asked.refusal(f"is below the absolute zero of {what}")

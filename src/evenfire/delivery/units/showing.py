"""From quantity to text, in the units of the reader and rounded as a boiler room needs it.

Pressures go to a tenth of a psi (quarters of a psi, on which low-pressure controls are set, stay whole) or a hundredth
of a bar; other numbers to three significant digits, and never is a whole digit rounded away. A caller that shows a
limit rounds down, one that shows an amount that is needed rounds up; nothing but a true nought is shown as nought
unless it is smaller than a hundred-thousandth of the unit.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Final

from evenfire.delivery.units.finding import find_unit
from evenfire.delivery.units.table import UNITS, Datum, Unit, accepted
from evenfire.errors import UnreadableQuantity
from evenfire.si import Dimension, Quantity

MOST_DECIMALS: Final = 5
ASSUMED_CONVERSION_NOISE: Final = 1e-9
"""Relative; a number typed in one unit and kept in SI comes back a little off: rounding down must not step on it."""


class UnitSystem(Enum):
    """Whose units a quantity is shown in."""

    US = "us"
    SI = "si"


class Rounding(Enum):
    """Which way a shown number may differ from the true one."""

    NEAREST = "nearest"
    UP = "up"
    """Towards plus infinity: for an amount that is needed."""
    DOWN = "down"
    """Towards minus infinity: for a limit, and for a margin."""


class _Finest(Enum):
    """Rules for the last digit."""

    QUARTER_OR_TENTH = "quarters whole, else a tenth"
    TENTH = "a tenth"
    HUNDREDTH = "a hundredth"
    THOUSANDTH = "a thousandth"
    THREE_DIGITS = "three significant digits, whole digits kept"
    FOUR_DIGITS = "four significant digits, whole digits kept"


@dataclass(frozen=True, slots=True)
class _Shown:
    """A unit that is used from a magnitude up."""

    unit: str
    finest: _Finest = _Finest.THREE_DIGITS
    from_magnitude: float = 0.0
    """[in this unit]"""


_TIME: Final = (_Shown("h", from_magnitude=2.0), _Shown("min", from_magnitude=2.0), _Shown("s"))
_SAME_IN_BOTH: Final[Mapping[Dimension, tuple[_Shown, ...]]] = {
    Dimension.TIME: _TIME,
    Dimension.FREQUENCY: (_Shown("/h"),),
    Dimension.FRACTION: (_Shown("%", _Finest.TENTH),),
}
_SHOWN: Final[Mapping[UnitSystem, Mapping[Dimension, tuple[_Shown, ...]]]] = {
    UnitSystem.US: {
        **_SAME_IN_BOTH,
        Dimension.GAUGE_PRESSURE: (_Shown("psi", _Finest.QUARTER_OR_TENTH),),
        Dimension.ABSOLUTE_PRESSURE: (_Shown("psia", _Finest.HUNDREDTH),),
        Dimension.PRESSURE_DIFFERENCE: (_Shown("psi", _Finest.QUARTER_OR_TENTH),),
        Dimension.TEMPERATURE: (_Shown("F"),),
        Dimension.TEMPERATURE_DIFFERENCE: (_Shown("F"),),
        Dimension.TEMPERATURE_RATE: (_Shown("F/h"),),
        Dimension.MASS: (_Shown("lb"),),
        Dimension.MASS_FLOW: (_Shown("lb/h"),),
        Dimension.POWER: (_Shown("MMBtu/h", _Finest.FOUR_DIGITS, 1.0), _Shown("Btu/h")),
        Dimension.ENERGY: (_Shown("MMBtu", _Finest.FOUR_DIGITS, 1.0), _Shown("Btu")),
        Dimension.STORAGE: (_Shown("Btu/psi"),),
        Dimension.VOLUME: (_Shown("gal"),),
        Dimension.VOLUME_FLOW: (_Shown("gal/min"),),
        Dimension.AREA: (_Shown("ft2", from_magnitude=1.0), _Shown("in2")),
        Dimension.LENGTH: (_Shown("ft"),),
    },
    UnitSystem.SI: {
        **_SAME_IN_BOTH,
        Dimension.GAUGE_PRESSURE: (_Shown("bar", _Finest.HUNDREDTH, 0.1), _Shown("bar", _Finest.THOUSANDTH)),
        Dimension.ABSOLUTE_PRESSURE: (_Shown("bar abs", _Finest.THOUSANDTH),),
        Dimension.PRESSURE_DIFFERENCE: (_Shown("bar", _Finest.HUNDREDTH, 0.1), _Shown("bar", _Finest.THOUSANDTH)),
        Dimension.TEMPERATURE: (_Shown("C"),),
        Dimension.TEMPERATURE_DIFFERENCE: (_Shown("K"),),
        Dimension.TEMPERATURE_RATE: (_Shown("K/h"),),
        Dimension.MASS: (_Shown("t", _Finest.FOUR_DIGITS, 10.0), _Shown("kg")),
        Dimension.MASS_FLOW: (_Shown("t/h", _Finest.FOUR_DIGITS, 10.0), _Shown("kg/h")),
        Dimension.POWER: (_Shown("MW", _Finest.FOUR_DIGITS, 10.0), _Shown("kW")),
        Dimension.ENERGY: (_Shown("MWh", _Finest.FOUR_DIGITS, 10.0), _Shown("kWh")),
        Dimension.STORAGE: (_Shown("MJ/bar", _Finest.FOUR_DIGITS, 10.0), _Shown("kJ/bar")),
        Dimension.VOLUME: (_Shown("m3", _Finest.FOUR_DIGITS, 10.0), _Shown("L")),
        Dimension.VOLUME_FLOW: (_Shown("m3/h"),),
        Dimension.AREA: (_Shown("m2", from_magnitude=0.1), _Shown("mm2")),
        Dimension.LENGTH: (_Shown("m"),),
    },
}


def show(quantity: Quantity, system: UnitSystem, *, rounding: Rounding = Rounding.NEAREST) -> str:
    """The quantity in the reader's units, such as ``125 psi`` or ``8.62 bar``.

    Raises
    ------
    ValueError
        The quantity is not finite.

    Examples
    --------
    >>> show(Quantity(861_844.7, Dimension.GAUGE_PRESSURE), UnitSystem.US)
    '125 psi'
    """
    number, unit = _rounded(quantity, system, rounding)
    return f"{number} {unit}".rstrip()


def show_signed(quantity: Quantity, system: UnitSystem, *, rounding: Rounding = Rounding.NEAREST) -> str:
    """A difference or a margin with its sign, such as ``+3.2 psi`` or ``-1 psi``; nought has none.

    Raises
    ------
    ValueError
        The quantity is not finite.
    """
    number, unit = _rounded(quantity, system, rounding)
    sign = "" if number == "0" or number.startswith("-") else "+"
    return f"{sign}{number} {unit}".rstrip()


def number_in(quantity: Quantity, unit: str) -> float:
    """The quantity as a bare number in a unit, unrounded, for a scale or a column.

    Raises
    ------
    UnreadableQuantity
        The unit is not one of the quantity's dimension, or counts from another zero than the quantity does.
    """
    found = find_unit(unit, quantity.dimension)
    if found is None or not _counts_from_the_same_zero(found, quantity.dimension):
        raise UnreadableQuantity(
            unit, f"is no unit to show {quantity.dimension.value} in", accepted(quantity.dimension)
        )
    return _in_unit(quantity, found)


def _counts_from_the_same_zero(unit: Unit, dimension: Dimension) -> bool:
    match dimension:
        case Dimension.GAUGE_PRESSURE:
            return unit.datum is not Datum.ABSOLUTE
        case Dimension.ABSOLUTE_PRESSURE:
            return unit.datum is not Datum.GAUGE
        case _:
            return unit.datum is Datum.UNSAID


def _in_unit(quantity: Quantity, unit: Unit) -> float:
    return (quantity.value - unit.zero) / unit.si


def _rounded(quantity: Quantity, system: UnitSystem, rounding: Rounding) -> tuple[str, str]:
    """Number and unit as text; a plain number has no unit."""
    if not math.isfinite(quantity.value):
        raise ValueError(f"a {quantity.dimension.value} of {quantity.value} cannot be shown")
    if quantity.dimension is Dimension.NUMBER:
        return _written(quantity.value, _Finest.THREE_DIGITS, rounding, grouped=False), ""
    *larger, smallest = _SHOWN[system][quantity.dimension]
    shown = next((each for each in larger if _is_large_enough(quantity, each)), smallest)
    unit = _named(shown.unit, quantity.dimension)
    return _written(_in_unit(quantity, unit), shown.finest, rounding, grouped=unit.customary), unit.name


def _is_large_enough(quantity: Quantity, shown: _Shown) -> bool:
    value = _in_unit(quantity, _named(shown.unit, quantity.dimension))
    return abs(value) >= shown.from_magnitude * (1 - ASSUMED_CONVERSION_NOISE)


def _named(name: str, dimension: Dimension) -> Unit:
    return next(unit for unit in UNITS[dimension] if unit.name == name)


def _written(value: float, finest: _Finest, rounding: Rounding, *, grouped: bool) -> str:
    """The number as text, without needless noughts; thousands are grouped where a comma can be read back."""
    decimals = _decimals(value, finest)
    rounded = _to_decimals(value, decimals, rounding)
    while rounded == 0 and decimals < MOST_DECIMALS:
        decimals += 1
        rounded = _to_decimals(value, decimals, rounding)
    text = f"{rounded:{',' if grouped else ''}.{decimals}f}"
    return text.rstrip("0").rstrip(".") if decimals else text


def _decimals(value: float, finest: _Finest) -> int:
    """How many decimals are shown."""
    match finest:
        case _Finest.QUARTER_OR_TENTH:
            return 2 if abs(value) < 1 or _is_whole(value * 4) else 1
        case _Finest.TENTH:
            return 1
        case _Finest.HUNDREDTH:
            return 2
        case _Finest.THOUSANDTH:
            return 3
        case _Finest.THREE_DIGITS | _Finest.FOUR_DIGITS:
            digits = 4 if finest is _Finest.FOUR_DIGITS else 3
            before_the_point = len(str(int(abs(value)))) if abs(value) >= 1 else 0
            return max(0, digits - before_the_point)


def _is_whole(number: float) -> bool:
    return math.isclose(number, round(number), rel_tol=ASSUMED_CONVERSION_NOISE, abs_tol=ASSUMED_CONVERSION_NOISE)


def _to_decimals(value: float, decimals: int, rounding: Rounding) -> float:
    """Rounded the way that was asked; a number that is only conversion noise away from a shown one is that one."""
    power = 10.0**decimals
    scaled = value * power
    if rounding is Rounding.NEAREST:
        whole = math.copysign(math.floor(abs(scaled) + 0.5), scaled)
    elif _is_whole(scaled):
        whole = float(round(scaled))
    else:
        whole = float(math.floor(scaled) if rounding is Rounding.DOWN else math.ceil(scaled))
    return whole / power + 0.0  # so that minus nought is nought

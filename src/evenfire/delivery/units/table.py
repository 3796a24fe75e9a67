"""Every unit that evenfire reads or shows, with its multiplier to SI and the spellings it is known by.

Conventions where a unit has several values: the Btu is the international-table one; a therm is 100,000 of it; a
boiler horsepower is 33,475 Btu/h; columns of water and mercury are the conventional ones (water of 1000 kg/m3, which
is water at 4 C, mercury of 13,595.1 kg/m3, which is mercury at 0 C, both under standard gravity); a gallon is the US
gallon. The tests compare each multiplier with an independent units library.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import Enum
from typing import Final

from evenfire.si import (
    J_PER_BTU,
    K_PER_F_DEGREE,
    KG_PER_LB,
    KG_S_PER_LB_H,
    M3_PER_FT3,
    M3_PER_US_GALLON,
    M_PER_FT,
    M_PER_IN,
    PA_PER_BAR,
    PA_PER_KGF_CM2,
    PA_PER_PSI,
    STANDARD_GRAVITY_M_S2,
    W_PER_BOILER_HP,
    W_PER_BTU_H,
    ZERO_CELSIUS_K,
    Dimension,
)

CONVENTIONAL_WATER_KG_M3: Final = 1000.0
CONVENTIONAL_MERCURY_KG_M3: Final = 13_595.1
ZERO_FAHRENHEIT_K: Final = 459.67 * K_PER_F_DEGREE
M3_PER_IMPERIAL_GALLON: Final = 4.546_09e-3
PA_PER_IN_WATER: Final = CONVENTIONAL_WATER_KG_M3 * STANDARD_GRAVITY_M_S2 * M_PER_IN
PA_PER_FT_WATER: Final = CONVENTIONAL_WATER_KG_M3 * STANDARD_GRAVITY_M_S2 * M_PER_FT
PA_PER_IN_MERCURY: Final = CONVENTIONAL_MERCURY_KG_M3 * STANDARD_GRAVITY_M_S2 * M_PER_IN
PA_PER_MM_MERCURY: Final = CONVENTIONAL_MERCURY_KG_M3 * STANDARD_GRAVITY_M_S2 * 1e-3
HOUR_S: Final = 3600.0


class Datum(Enum):
    """What a unit of pressure says about its zero."""

    UNSAID = "unsaid"
    GAUGE = "gauge"
    ABSOLUTE = "absolute"


class Case(Enum):
    """How far upper and lower case may be mixed up before a unit is no longer sure."""

    FREE = "any case"
    PREFIX = "mixed case only with the first letter right: mPa is not MPa"
    EXACT = "exactly as spelled: T is not t"


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit of the trade."""

    name: str
    """The spelling that messages and displays use."""
    si: float
    """SI value of one [SI unit of the dimension]"""
    zero: float = 0.0
    """SI value of the unit's own zero [SI unit of the dimension]"""
    datum: Datum = Datum.UNSAID
    customary: bool = False
    """Is a US customary unit: there a comma marks thousands and nothing else."""
    case: Case = Case.FREE
    also: tuple[str, ...] = ()
    """Further spellings."""

    @property
    def spellings(self) -> tuple[str, ...]:
        """All spellings, the name first."""
        return (self.name, *self.also)


def _us(name: str, si: float, *also: str, zero: float = 0.0) -> Unit:
    return Unit(name=name, si=si, zero=zero, customary=True, also=also)


def _metric(name: str, si: float, *also: str, case: Case = Case.FREE, zero: float = 0.0) -> Unit:
    return Unit(name=name, si=si, zero=zero, case=case, also=also)


_MERCURY: Final = (
    _us("inHg", PA_PER_IN_MERCURY, "in Hg", "in. Hg", "inches of mercury", "inches Hg"),
    _metric("mmHg", PA_PER_MM_MERCURY, "mm Hg", case=Case.PREFIX),
)

_PRESSURE: Final = (
    _us("psi", PA_PER_PSI, "lb/in2", "lbf/in2", "lb/sq in", "lb/sq. in."),
    _metric("bar", PA_PER_BAR),
    _metric("mbar", 1e-3 * PA_PER_BAR, case=Case.PREFIX),
    _metric("kPa", 1e3),
    _metric("MPa", 1e6, case=Case.PREFIX),
    _metric("hPa", 1e2),
    _metric("Pa", 1.0),
    _metric("kgf/cm2", PA_PER_KGF_CM2, "kg/cm2"),
    _us(
        "inH2O",
        PA_PER_IN_WATER,
        "in H2O",
        "in. H2O",
        "in of water",
        "inches of water",
        "inches H2O",
        "inWC",
        "in WC",
        "in. WC",
        "in. w.c.",
        "in w.c.",
    ),
    _us(
        "ftH2O", PA_PER_FT_WATER, "ft H2O", "ft. H2O", "ft of water", "feet of water", "foot of water", "ftWC", "ft WC"
    ),
)

_GAUGE_MARKS: Final = (" g", "g", "(g)", " gauge", "gauge")
_ABSOLUTE_MARKS: Final = (" abs", "abs", " abs.", " a", "a", "(a)", "(abs)", " absolute")


def _with_mark(unit: Unit, name: str, datum: Datum, marks: Iterable[str]) -> Unit:
    spellings = tuple(spelling + mark for spelling in unit.spellings for mark in marks)
    return replace(unit, name=name, datum=datum, also=spellings)


def _marked(units: Iterable[Unit]) -> Iterator[Unit]:
    """The units as they are, and each once more marked gauge and once more marked absolute."""
    for unit in units:
        psi = unit.name == "psi"
        yield unit
        yield _with_mark(unit, "psig" if psi else f"{unit.name} g", Datum.GAUGE, _GAUGE_MARKS)
        yield _with_mark(unit, "psia" if psi else f"{unit.name} abs", Datum.ABSOLUTE, _ABSOLUTE_MARKS)


_TEMPERATURE_DIFFERENCE: Final = (
    _us("F", K_PER_F_DEGREE, "Fahrenheit"),
    _metric("C", 1.0, "Celsius"),
    _metric("K", 1.0, "kelvin", "kelvins", case=Case.EXACT),
)

UNITS: Final[Mapping[Dimension, tuple[Unit, ...]]] = {
    # Mercury is left out here: on a compound gauge it counts vacuum, so that its sign is unsure.
    Dimension.GAUGE_PRESSURE: tuple(_marked(_PRESSURE)),
    Dimension.ABSOLUTE_PRESSURE: tuple(_marked((*_PRESSURE, *_MERCURY))),
    Dimension.PRESSURE_DIFFERENCE: (
        *_marked((*_PRESSURE, *_MERCURY)),
        _us("psid", PA_PER_PSI, "psi d", "psi(d)"),
    ),
    Dimension.TEMPERATURE: (
        _us("F", K_PER_F_DEGREE, "Fahrenheit", zero=ZERO_FAHRENHEIT_K),
        _metric("C", 1.0, "Celsius", zero=ZERO_CELSIUS_K),
        _metric("K", 1.0, "kelvin", "kelvins", case=Case.EXACT),
    ),
    Dimension.TEMPERATURE_DIFFERENCE: _TEMPERATURE_DIFFERENCE,
    Dimension.TEMPERATURE_RATE: tuple(
        replace(
            unit, name=f"{unit.name}/{per}", si=unit.si / seconds, also=tuple(f"{word}/{per}" for word in unit.also)
        )
        for per, seconds in (("h", HOUR_S), ("min", 60.0))
        for unit in _TEMPERATURE_DIFFERENCE
    ),
    Dimension.MASS: (
        _us("lb", KG_PER_LB, "lbs", "pound", "pounds"),
        _metric("kg", 1.0),
        _metric("t", 1e3, "tonne", "tonnes", "metric ton", "metric tons", case=Case.EXACT),
    ),
    Dimension.MASS_FLOW: (
        _us("lb/h", KG_S_PER_LB_H, "lbs/h", "pounds/h"),
        _metric("kg/h", 1 / HOUR_S),
        _metric("kg/s", 1.0),
        _metric("t/h", 1e3 / HOUR_S, "tonnes/h", case=Case.EXACT),
    ),
    Dimension.POWER: (
        _us("Btu/h", W_PER_BTU_H, "Btuh"),
        _us("kBtu/h", 1e3 * W_PER_BTU_H, "kBtuh"),
        _us("MMBtu/h", 1e6 * W_PER_BTU_H, "MMBtuh"),
        _us("bhp", W_PER_BOILER_HP, "boiler hp", "boiler horsepower"),
        _metric("W", 1.0),
        _metric("kW", 1e3),
        _metric("MW", 1e6, case=Case.PREFIX),
    ),
    Dimension.ENERGY: (
        _us("Btu", J_PER_BTU),
        _us("kBtu", 1e3 * J_PER_BTU),
        _us("MMBtu", 1e6 * J_PER_BTU),
        _us("therm", 1e5 * J_PER_BTU, "therms"),
        _metric("kWh", 3.6e6),
        _metric("MWh", 3.6e9, case=Case.PREFIX),
        _metric("kJ", 1e3),
        _metric("MJ", 1e6, case=Case.PREFIX),
        _metric("GJ", 1e9),
    ),
    Dimension.STORAGE: (
        _us("Btu/psi", J_PER_BTU / PA_PER_PSI),
        _metric("kJ/bar", 1e3 / PA_PER_BAR),
        _metric("MJ/bar", 1e6 / PA_PER_BAR, case=Case.PREFIX),
    ),
    Dimension.VOLUME: (
        _us("gal", M3_PER_US_GALLON, "gals", "gallon", "gallons", "US gal", "US gallon", "US gallons"),
        _us("ft3", M3_PER_FT3, "cu ft", "cu. ft.", "cubic ft", "cubic foot", "cubic feet"),
        _metric("m3", 1.0, "cubic metre", "cubic metres", "cubic meter", "cubic meters"),
        _metric("L", 1e-3, "litre", "litres", "liter", "liters"),
        _us("imp gal", M3_PER_IMPERIAL_GALLON, "imperial gallon", "imperial gallons", "imperial gal", "UK gal"),
    ),
    # Standard and normal volumes of a gas are left out: whoever knows their conditions can say ft3/h or m3/h of those.
    Dimension.VOLUME_FLOW: (
        _us("gal/min", M3_PER_US_GALLON / 60.0, "gpm", "US gpm", "gals/min", "gallons/min"),
        _us("gal/h", M3_PER_US_GALLON / HOUR_S, "gph", "US gph", "gals/h", "gallons/h"),
        _us("ft3/h", M3_PER_FT3 / HOUR_S, "cfh", "cu ft/h", "cubic feet/h"),
        _us("ft3/min", M3_PER_FT3 / 60.0, "cfm", "cu ft/min", "cubic feet/min"),
        _metric("m3/h", 1 / HOUR_S),
        _metric("m3/s", 1.0),
        _metric("L/h", 1e-3 / HOUR_S),
        _metric("L/min", 1e-3 / 60.0),
        _metric("L/s", 1e-3),
    ),
    Dimension.AREA: (
        _us("ft2", M_PER_FT**2, "sq ft", "sq. ft.", "sqft", "square feet", "square foot"),
        _us("in2", M_PER_IN**2, "sq in", "sq. in.", "square inch", "square inches"),
        _metric("m2", 1.0, "sq m", "square metre", "square metres", "square meter", "square meters"),
        _metric("mm2", 1e-6, "sq mm", case=Case.PREFIX),
    ),
    Dimension.LENGTH: (
        _us("ft", M_PER_FT, "foot", "feet"),
        _us("in", M_PER_IN, "inch", "inches"),
        _metric("m", 1.0, "metre", "metres", "meter", "meters", case=Case.EXACT),
        _metric("mm", 1e-3, case=Case.PREFIX),
    ),
    Dimension.TIME: (
        _metric("s", 1.0, "sec", "secs", "second", "seconds"),
        _metric("min", 60.0, "mins", "minute", "minutes"),
        _metric("h", HOUR_S, "hr", "hrs", "hour", "hours"),
        _metric("days", 24 * HOUR_S, "day"),
    ),
    Dimension.FREQUENCY: (
        _metric("/h", 1 / HOUR_S),
        _metric("/min", 1 / 60.0),
        _metric("/s", 1.0),
        _metric("/day", 1 / (24 * HOUR_S)),
    ),
    Dimension.FRACTION: (_metric("%", 0.01, "percent", "per cent", "pct"),),
    Dimension.NUMBER: (),
}
"""Units of each dimension, the commonest first."""

_EXAMPLES: Final[Mapping[Dimension, str]] = {
    Dimension.GAUGE_PRESSURE: "125 psi or 8.6 bar",
    Dimension.ABSOLUTE_PRESSURE: "29.92 inHg or 1013 mbar",
    Dimension.PRESSURE_DIFFERENCE: "10 psi or 0.7 bar",
    Dimension.TEMPERATURE: "212 F or 100 C",
    Dimension.TEMPERATURE_DIFFERENCE: "20 F or 11 K",
    Dimension.TEMPERATURE_RATE: "100 F/h or 55 C/h",
    Dimension.MASS: "8,000 lb or 3600 kg",
    Dimension.MASS_FLOW: "6,900 lb/h or 3.1 t/h",
    Dimension.POWER: "200 bhp, 8.4 MMBtu/h or 1960 kW",
    Dimension.ENERGY: "12 MMBtu or 3500 kWh",
    Dimension.STORAGE: "6,256 Btu/psi or 95.7 MJ/bar",
    Dimension.VOLUME: "1,050 gal or 4 m3",
    Dimension.VOLUME_FLOW: "40 gal/min or 9 m3/h",
    Dimension.AREA: "1,000 ft2 or 93 m2",
    Dimension.LENGTH: "18 in or 0.46 m",
    Dimension.TIME: "45 s or 2.5 min",
    Dimension.FREQUENCY: "6 /h or 6 per hour",
}

_REMARKS: Final[Mapping[Dimension, str]] = {
    Dimension.GAUGE_PRESSURE: "gauge unless marked abs",
    Dimension.ABSOLUTE_PRESSURE: "absolute; a mark abs may be left out",
    Dimension.PRESSURE_DIFFERENCE: "no gauge or absolute mark",
    Dimension.VOLUME: "gal is the US gallon",
    Dimension.VOLUME_FLOW: "gal is the US gallon; a gas at the conditions of its meter",
    Dimension.POWER: "1 bhp is one boiler horsepower, 33,475 Btu/h; the Btu is the international-table one",
    Dimension.ENERGY: "the Btu is the international-table one; 1 therm is 100,000 Btu",
}


def accepted(dimension: Dimension) -> str:
    """One sentence with the accepted spellings of a dimension, for messages, pages and the JSON schema."""
    match dimension:
        case Dimension.NUMBER:
            return "Accepted for a number: a plain number, for example 4; a turndown may be written 4:1."
        case Dimension.FRACTION:
            return "Accepted for a fraction: a percentage or a plain number between -1 and 1; for example 80 % or 0.8."
        case _:
            names = ", ".join(unit.name for unit in UNITS[dimension] if _is_listed(unit, dimension))
            remark = f" ({_REMARKS[dimension]})" if dimension in _REMARKS else ""
            return f"Accepted for {dimension.value}: {names}{remark}; for example {_EXAMPLES[dimension]}."


def _is_listed(unit: Unit, dimension: Dimension) -> bool:
    """Of the marked pressures only the commonest are named; the remark says how the rest are marked."""
    named = ("psig", "psia", "bar abs") if dimension is Dimension.GAUGE_PRESSURE else ()
    return unit.datum is Datum.UNSAID or unit.name in named

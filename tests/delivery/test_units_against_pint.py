"""Every multiplier of the unit table against pint, an independent units library.

pint has no gauge pressure, its Btu is the ISO one (1055.056 J) unless the international-table one is named, and its
MBtu is a million Btu; so gauge is tested by hand with an ambient pressure, `Btu_it` is named, and MBtu is not used.
"""

from typing import Final

import pint
import pytest

from evenfire.delivery.units import number_in, read
from evenfire.delivery.units.table import UNITS, Datum, Unit
from evenfire.si import AbsPa, Dimension, Quantity

REGISTRY: Final[pint.UnitRegistry[float]] = pint.UnitRegistry()
EXACT: Final = 1e-12
ISO_BTU: Final = 2e-7
"""Relative; the ISO Btu is 1055.056 J, the international-table one 1055.05585262 J: they differ by 1.4e-7."""

MULTIPLES: Final = {
    "psi": "psi",
    "psid": "psi",
    "bar": "bar",
    "mbar": "millibar",
    "kPa": "kilopascal",
    "MPa": "megapascal",
    "hPa": "hectopascal",
    "Pa": "pascal",
    "kgf/cm2": "kilogram_force / centimeter ** 2",
    "inH2O": "inH2O",
    "ftH2O": "feet_H2O",
    "inHg": "inch_Hg_32F",
    "mmHg": "millimeter_Hg",
    "F/h": "delta_degree_Fahrenheit / hour",
    "C/h": "delta_degree_Celsius / hour",
    "K/h": "kelvin / hour",
    "F/min": "delta_degree_Fahrenheit / minute",
    "C/min": "delta_degree_Celsius / minute",
    "K/min": "kelvin / minute",
    "lb": "pound",
    "kg": "kilogram",
    "t": "metric_ton",
    "lb/h": "pound / hour",
    "kg/h": "kilogram / hour",
    "kg/s": "kilogram / second",
    "t/h": "metric_ton / hour",
    "Btu/h": "Btu_it / hour",
    "kBtu/h": "1000 * Btu_it / hour",
    "MMBtu/h": "1e6 * Btu_it / hour",
    "bhp": "33475 * Btu_it / hour",
    "W": "watt",
    "kW": "kilowatt",
    "MW": "megawatt",
    "Btu": "Btu_it",
    "kBtu": "1000 * Btu_it",
    "MMBtu": "1e6 * Btu_it",
    "therm": "1e5 * Btu_it",
    "kWh": "kilowatt * hour",
    "MWh": "megawatt * hour",
    "kJ": "kilojoule",
    "MJ": "megajoule",
    "GJ": "gigajoule",
    "Btu/psi": "Btu_it / psi",
    "kJ/bar": "kilojoule / bar",
    "MJ/bar": "megajoule / bar",
    "gal": "US_liquid_gallon",
    "ft3": "foot ** 3",
    "m3": "meter ** 3",
    "L": "liter",
    "imp gal": "imperial_gallon",
    "gal/min": "US_liquid_gallon / minute",
    "gal/h": "US_liquid_gallon / hour",
    "ft3/h": "foot ** 3 / hour",
    "ft3/min": "foot ** 3 / minute",
    "m3/h": "meter ** 3 / hour",
    "m3/s": "meter ** 3 / second",
    "L/h": "liter / hour",
    "L/min": "liter / minute",
    "L/s": "liter / second",
    "ft2": "foot ** 2",
    "in2": "inch ** 2",
    "m2": "meter ** 2",
    "mm2": "millimeter ** 2",
    "ft": "foot",
    "in": "inch",
    "m": "meter",
    "mm": "millimeter",
    "s": "second",
    "min": "minute",
    "h": "hour",
    "days": "day",
    "/s": "1 / second",
    "/min": "1 / minute",
    "/h": "1 / hour",
    "/day": "1 / day",
    "%": "percent",
}
SCALES: Final = {
    Dimension.TEMPERATURE: {"F": "degree_Fahrenheit", "C": "degree_Celsius", "K": "kelvin"},
    Dimension.TEMPERATURE_DIFFERENCE: {"F": "delta_degree_Fahrenheit", "C": "delta_degree_Celsius", "K": "kelvin"},
}
MULTIPLIED: Final = [
    pytest.param(dimension, unit, id=f"{dimension.value}-{unit.name}")
    for dimension, units in UNITS.items()
    for unit in units
    if unit.datum is Datum.UNSAID and dimension not in SCALES
]
MARKED: Final = [
    pytest.param(dimension, unit, id=f"{dimension.value}-{unit.name}")
    for dimension in (Dimension.GAUGE_PRESSURE, Dimension.ABSOLUTE_PRESSURE)
    for unit in UNITS[dimension]
    if unit.datum is Datum.ABSOLUTE or (unit.datum is Datum.GAUGE and dimension is Dimension.GAUGE_PRESSURE)
]
SCALED: Final = [
    pytest.param(dimension, ours, theirs, id=f"{dimension.value}-{ours}")
    for dimension, names in SCALES.items()
    for ours, theirs in names.items()
]


def si(number: float, expression: str) -> float:
    """What pint makes of a number in a unit, in SI base units."""
    return number * float(REGISTRY(expression).to_base_units().m)


@pytest.mark.parametrize(("dimension", "unit"), MULTIPLIED)
def test_a_number_read_in_a_unit_is_what_pint_makes_of_it(dimension: Dimension, unit: Unit) -> None:
    assert read(f"37.25 {unit.name}", dimension).value == pytest.approx(si(37.25, MULTIPLES[unit.name]), rel=EXACT)


@pytest.mark.parametrize(("dimension", "unit"), MULTIPLIED)
def test_a_quantity_in_a_unit_is_the_number_that_pint_gives(dimension: Dimension, unit: Unit) -> None:
    quantity = Quantity(si(37.25, MULTIPLES[unit.name]), dimension)
    assert number_in(quantity, unit.name) == pytest.approx(37.25, rel=EXACT)


@pytest.mark.parametrize(("dimension", "unit"), MARKED)
def test_a_mark_moves_the_zero_and_not_the_multiplier(dimension: Dimension, unit: Unit) -> None:
    ambient = AbsPa(84_000.0)  # the air at about 1,550 m
    base = unit.name.removesuffix(" g").removesuffix(" abs")
    base = "psi" if base in ("psig", "psia") else base
    moved = unit.datum is Datum.ABSOLUTE and dimension is Dimension.GAUGE_PRESSURE
    expected = si(2000.0, MULTIPLES[base]) - (ambient if moved else 0.0)
    assert read(f"2000 {unit.name}", dimension, ambient=ambient).value == pytest.approx(expected, rel=EXACT, abs=1e-6)


@pytest.mark.parametrize(("dimension", "ours", "theirs"), SCALED)
@pytest.mark.parametrize("number", [-40.0, 0.0, 32.0, 62.5, 212.0, 400.0])
def test_temperatures_and_their_differences_agree_with_pint(
    dimension: Dimension, ours: str, theirs: str, number: float
) -> None:
    if ours == "K" and number < 0 and dimension is Dimension.TEMPERATURE:
        number = -number
    kelvins = float(REGISTRY.Quantity(number, theirs).to("kelvin").m)
    assert read(f"{number} {ours}", dimension).value == pytest.approx(kelvins, rel=EXACT, abs=1e-12)
    assert number_in(Quantity(kelvins, dimension), ours) == pytest.approx(number, rel=EXACT, abs=1e-10)


def test_every_unit_of_the_table_is_compared() -> None:
    names = {unit.name for units in UNITS.values() for unit in units if unit.datum is Datum.UNSAID}
    assert names == set(MULTIPLES) | {name for scale in SCALES.values() for name in scale}


def test_boiler_horsepower_and_therm_are_pints_but_for_its_iso_btu() -> None:
    assert read("1 bhp", Dimension.POWER).value == pytest.approx(si(1.0, "boiler_horsepower"), rel=ISO_BTU)
    assert read("1 therm", Dimension.ENERGY).value == pytest.approx(si(1.0, "therm"), rel=ISO_BTU)
    assert read("1 MMBtu", Dimension.ENERGY).value == pytest.approx(si(1e6, "Btu_iso"), rel=ISO_BTU)


def test_the_inch_of_water_is_the_cold_one() -> None:
    # pint carries a 60 F water column too, 0.1 % lighter; the conventional 4 C one is what we read.
    cold, warm = si(1.0, "inH2O"), si(1.0, "inch_H2O_60F")
    assert warm == pytest.approx(0.999 * cold, rel=1e-5)
    assert read("1 inH2O", Dimension.GAUGE_PRESSURE).value == pytest.approx(cold, rel=EXACT)

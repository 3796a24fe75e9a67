"""Showing quantities in the reader's units."""

import math
from typing import Final

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.units import Rounding, UnitSystem, number_in, read, show, show_signed
from evenfire.errors import UnreadableQuantity
from evenfire.si import AbsPa, Dimension, Quantity

US: Final = UnitSystem.US
SI: Final = UnitSystem.SI

# Each row: a text, its dimension, what a US and an SI reader see. Conversions by hand from 1 psi = 0.0689476 bar,
# 1 lb = 0.453592 kg, 1 gal = 3.78541 L, 1 Btu/h = 0.293071 W, 1 ft = 0.3048 m, 1 Btu/psi = 15.3023 kJ/bar.
SHOWN: Final = [
    ("125 psi", Dimension.GAUGE_PRESSURE, "125 psi", "8.62 bar"),
    ("8.6 bar", Dimension.GAUGE_PRESSURE, "124.7 psi", "8.6 bar"),
    ("0 psi", Dimension.GAUGE_PRESSURE, "0 psi", "0 bar"),
    ("-5 inH2O", Dimension.GAUGE_PRESSURE, "-0.18 psi", "-0.012 bar"),
    ("14.25 psi", Dimension.GAUGE_PRESSURE, "14.25 psi", "0.98 bar"),
    ("14.27 psi", Dimension.GAUGE_PRESSURE, "14.3 psi", "0.98 bar"),
    ("0.5 psi", Dimension.PRESSURE_DIFFERENCE, "0.5 psi", "0.034 bar"),
    ("0.25 psi", Dimension.PRESSURE_DIFFERENCE, "0.25 psi", "0.017 bar"),
    ("1013.25 mbar", Dimension.ABSOLUTE_PRESSURE, "14.7 psia", "1.013 bar abs"),
    ("212 F", Dimension.TEMPERATURE, "212 F", "100 C"),
    ("180 F", Dimension.TEMPERATURE, "180 F", "82.2 C"),
    ("-40 C", Dimension.TEMPERATURE, "-40 F", "-40 C"),
    ("20 F", Dimension.TEMPERATURE_DIFFERENCE, "20 F", "11.1 K"),
    ("100 F/h", Dimension.TEMPERATURE_RATE, "100 F/h", "55.6 K/h"),
    ("8,000 lb", Dimension.MASS, "8,000 lb", "3629 kg"),
    ("30,000 lb", Dimension.MASS, "30,000 lb", "13.61 t"),
    ("6,900 lb/h", Dimension.MASS_FLOW, "6,900 lb/h", "3130 kg/h"),
    ("13,975 lb/h", Dimension.MASS_FLOW, "13,975 lb/h", "6339 kg/h"),
    ("30,000 lb/h", Dimension.MASS_FLOW, "30,000 lb/h", "13.61 t/h"),
    ("200 bhp", Dimension.POWER, "6.695 MMBtu/h", "1962 kW"),
    ("1 bhp", Dimension.POWER, "33,475 Btu/h", "9.81 kW"),
    ("1 MMBtu/h", Dimension.POWER, "1 MMBtu/h", "293 kW"),
    ("12.5 MW", Dimension.POWER, "42.65 MMBtu/h", "12.5 MW"),
    ("1,050 gal", Dimension.VOLUME, "1,050 gal", "3975 L"),
    ("20 m3", Dimension.VOLUME, "5,283 gal", "20 m3"),
    ("1,000 ft2", Dimension.AREA, "1,000 ft2", "92.9 m2"),
    ("1.838 in2", Dimension.AREA, "1.84 in2", "1186 mm2"),
    ("8.5 ft", Dimension.LENGTH, "8.5 ft", "2.59 m"),
    ("3 in", Dimension.LENGTH, "0.25 ft", "0.076 m"),
    ("6,256 Btu/psi", Dimension.STORAGE, "6,256 Btu/psi", "95.73 MJ/bar"),
    ("100 Btu/psi", Dimension.STORAGE, "100 Btu/psi", "1530 kJ/bar"),
    ("10 kWh", Dimension.ENERGY, "34,121 Btu", "10 kWh"),
    ("45 s", Dimension.TIME, "45 s", "45 s"),
    ("119 s", Dimension.TIME, "119 s", "119 s"),
    ("120 s", Dimension.TIME, "2 min", "2 min"),
    ("36 h", Dimension.TIME, "36 h", "36 h"),
    ("13.38 /h", Dimension.FREQUENCY, "13.4 /h", "13.4 /h"),
    ("80 %", Dimension.FRACTION, "80 %", "80 %"),
    ("0.7825", Dimension.FRACTION, "78.3 %", "78.3 %"),
    ("4:1", Dimension.NUMBER, "4", "4"),
    ("0.975", Dimension.NUMBER, "0.975", "0.975"),
    ("1234567", Dimension.NUMBER, "1234567", "1234567"),
]


@pytest.mark.parametrize(("text", "dimension", "us", "si"), SHOWN)
def test_a_quantity_is_shown_in_the_units_of_the_reader(text: str, dimension: Dimension, us: str, si: str) -> None:
    quantity = read(text, dimension)
    assert (show(quantity, US), show(quantity, SI)) == (us, si)


# Each row: text, dimension, rounded down, nearest, up.
ROUNDED: Final = [
    ("124.96 psi", Dimension.GAUGE_PRESSURE, "124.9 psi", "125 psi", "125 psi"),
    ("125 psi", Dimension.GAUGE_PRESSURE, "125 psi", "125 psi", "125 psi"),
    ("12.25 psi", Dimension.GAUGE_PRESSURE, "12.25 psi", "12.25 psi", "12.25 psi"),
    ("-3.26 psi", Dimension.PRESSURE_DIFFERENCE, "-3.3 psi", "-3.3 psi", "-3.2 psi"),
    ("6900.4 lb/h", Dimension.MASS_FLOW, "6,900 lb/h", "6,900 lb/h", "6,901 lb/h"),
    ("79.96 %", Dimension.FRACTION, "79.9 %", "80 %", "80 %"),
    ("99.96 F", Dimension.TEMPERATURE, "99.9 F", "100 F", "100 F"),
]


@pytest.mark.parametrize(("text", "dimension", "down", "nearest", "up"), ROUNDED)
def test_a_caller_chooses_which_way_a_number_is_rounded(
    text: str, dimension: Dimension, down: str, nearest: str, up: str
) -> None:
    quantity = read(text, dimension)
    shown = [show(quantity, US, rounding=way) for way in (Rounding.DOWN, Rounding.NEAREST, Rounding.UP)]
    assert shown == [down, nearest, up]


@pytest.mark.parametrize("tenths", range(0, 3000, 7))
@pytest.mark.parametrize("rounding", list(Rounding))
def test_a_dial_reading_survives_conversion_whichever_way_it_is_rounded(tenths: int, rounding: Rounding) -> None:
    text = f"{tenths / 10:.1f}".removesuffix(".0") + " psi"
    assert show(read(text, Dimension.GAUGE_PRESSURE), US, rounding=rounding) == text


# Each row: text, shown with sign. Nothing but nought is shown as nought above a hundred-thousandth of the unit.
SIGNED: Final = [
    ("3.2 psi", "+3.2 psi"),
    ("-1 psi", "-1 psi"),
    ("0 psi", "0 psi"),
    ("0.004 psi", "+0.004 psi"),
    ("-0.0002 psi", "-0.0002 psi"),
    ("0.000001 psi", "0 psi"),
]


@pytest.mark.parametrize(("text", "shown"), SIGNED)
def test_a_difference_is_shown_with_its_sign(text: str, shown: str) -> None:
    assert show_signed(read(text, Dimension.PRESSURE_DIFFERENCE), US) == shown


def test_a_broken_margin_never_reads_as_nought_when_rounded_down() -> None:
    barely = Quantity(-1.0, Dimension.PRESSURE_DIFFERENCE)  # 1 Pa is 0.000145 psi
    assert show_signed(barely, US, rounding=Rounding.DOWN) == "-0.01 psi"
    assert show_signed(barely, SI, rounding=Rounding.DOWN) == "-0.001 bar"


# Each row: dimension, lowest and greatest value to show, and half of the last digit that a reader is promised at least,
# all in SI: a tenth of a psi or a hundredth of a bar for pressures, 1 F or C from a hundred degrees up, a tenth of a
# per cent; the rest go to three significant digits, but not below a thousandth of their unit (the larger of US and SI).
RANGES: Final = [
    (Dimension.GAUGE_PRESSURE, -1e5, 2e7, 500.0),
    (Dimension.ABSOLUTE_PRESSURE, 1e3, 2e7, 50.0),
    (Dimension.PRESSURE_DIFFERENCE, -2e7, 2e7, 500.0),
    (Dimension.TEMPERATURE, 200.0, 1e3, 0.5),
    (Dimension.TEMPERATURE_DIFFERENCE, -1e3, 1e3, 5e-4),
    (Dimension.TEMPERATURE_RATE, -1.0, 1.0, 5e-4 / 3600),
    (Dimension.MASS, 0.0, 1e6, 5e-4),
    (Dimension.MASS_FLOW, -1e3, 1e3, 5e-4 / 3600),
    (Dimension.POWER, -1e9, 1e9, 0.5),
    (Dimension.ENERGY, -1e15, 1e15, 1800.0),
    (Dimension.STORAGE, 0.0, 1e6, 8e-5),
    (Dimension.VOLUME, 0.0, 1e4, 2e-6),
    (Dimension.AREA, 0.0, 1e5, 4e-7),
    (Dimension.LENGTH, -1e3, 1e3, 5e-4),
    (Dimension.TIME, 0.0, 1e9, 5e-4),
    (Dimension.FREQUENCY, 0.0, 10.0, 5e-4 / 3600),
    (Dimension.FRACTION, -2.0, 2.0, 5e-4),
    (Dimension.NUMBER, -1e6, 1e6, 5e-4),
]
FIXED_LAST_DIGIT: Final = {
    Dimension.GAUGE_PRESSURE,
    Dimension.ABSOLUTE_PRESSURE,
    Dimension.PRESSURE_DIFFERENCE,
    Dimension.TEMPERATURE,
    Dimension.FRACTION,
}


@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize(("dimension", "lowest", "greatest", "half_last_digit"), RANGES)
@given(data=st.data())
def test_what_is_shown_reads_back_within_its_last_digit_and_on_the_asked_side(
    data: st.DataObject,
    system: UnitSystem,
    dimension: Dimension,
    lowest: float,
    greatest: float,
    half_last_digit: float,
) -> None:
    quantity = Quantity(data.draw(st.floats(lowest, greatest)), dimension)
    down, nearest, up = (
        read(show(quantity, system, rounding=way), dimension).value
        for way in (Rounding.DOWN, Rounding.NEAREST, Rounding.UP)
    )
    three_digits = 0.0 if dimension in FIXED_LAST_DIGIT else 5e-3
    # The promised noise of conversion, a billionth of the value and of a hundred-thousandth of the unit.
    noise = 2e-9 * max(abs(quantity.value), half_last_digit)
    assert down - noise <= quantity.value <= up + noise
    assert down - noise <= nearest <= up + noise
    assert abs(nearest - quantity.value) <= noise + max(half_last_digit, three_digits * abs(quantity.value))


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_not_shown(value: float) -> None:
    with pytest.raises(ValueError, match="cannot be shown"):
        show(Quantity(value, Dimension.GAUGE_PRESSURE), US)


def test_a_bare_number_for_a_scale_is_in_the_unit_that_was_asked() -> None:
    pressure = Quantity(AbsPa(101_325.0), Dimension.ABSOLUTE_PRESSURE)
    assert number_in(pressure, "psia") == pytest.approx(14.696, abs=0.0005)
    assert number_in(Quantity(310.15, Dimension.TEMPERATURE), "F") == pytest.approx(98.6)  # body heat, 37 C


@pytest.mark.parametrize(
    ("dimension", "unit"),
    [
        (Dimension.GAUGE_PRESSURE, "psia"),
        (Dimension.ABSOLUTE_PRESSURE, "psig"),
        (Dimension.PRESSURE_DIFFERENCE, "psig"),
        (Dimension.GAUGE_PRESSURE, "gal"),
        (Dimension.MASS, ""),
    ],
)
def test_a_bare_number_on_another_zero_or_of_another_kind_is_refused(dimension: Dimension, unit: str) -> None:
    with pytest.raises(UnreadableQuantity, match="is no unit to show"):
        number_in(Quantity(1.0, dimension), unit)

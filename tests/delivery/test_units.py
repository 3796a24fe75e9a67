"""Reading quantities from text, and naming them in JSON.

Multipliers are compared with an independent library in test_units_against_pint.py; here stands what a text means, and
what is refused. Which spellings the trade finds ambiguous is common practice, no source.
"""

import doctest
import importlib
import math
import subprocess
import sys
from typing import Final

import pytest
import seuif97
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.units import accepted, json_key, json_value, number_in, read
from evenfire.delivery.units.finding import regular
from evenfire.delivery.units.table import UNITS, Case
from evenfire.errors import UnreadableQuantity
from evenfire.si import STANDARD_ATMOSPHERE_PA, AbsPa, Dimension, Quantity

GAUGE: Final = Dimension.GAUGE_PRESSURE
ABSOLUTE: Final = Dimension.ABSOLUTE_PRESSURE
DIFFERENCE: Final = Dimension.PRESSURE_DIFFERENCE
TEMPERATURE: Final = Dimension.TEMPERATURE
PSI: Final = 6_894.757_293_168  # Pa, NIST SP 811 appendix B.8 prints 6.894 757 E+03 (from memory)


def refusal(text: str, dimension: Dimension, ambient: AbsPa | None = None) -> UnreadableQuantity:
    with pytest.raises(UnreadableQuantity) as caught:
        read(text, dimension, ambient=ambient)
    return caught.value


# Each row: two spellings of the same quantity.
SAME: Final = [
    ("125 psi", "125 psig", GAUGE),
    ("125 psi", "125psi", GAUGE),
    ("125 psi", "125 PSI", GAUGE),
    ("125 psi", "+125.0 Psi.", GAUGE),
    ("125 psi", "1.25e2 psi (g)", GAUGE),
    ("125 psi", "125 psi gauge", GAUGE),
    ("125 psi", "125 lb/sq. in.", GAUGE),
    ("0.5 psi", ".5 psi", GAUGE),
    ("8.6 bar", "8.6 barg", GAUGE),
    ("8.6 bar", "8.6 bar(g)", GAUGE),
    ("8.6 bar", "860 kPa", GAUGE),
    ("8.6 bar", "0.86 Mpa", GAUGE),
    ("8.6 bar", "0.86 mpa", GAUGE),
    ("8.6 bar", "8600 mbar", GAUGE),
    ("7 kgf/cm2", "7 kgf/cm²", GAUGE),
    ("7 kgf/cm2", "7 kg/cm^2", GAUGE),
    ("-5 inH2O", "−5 inH₂O", GAUGE),
    ("-5 inH2O", "-5 in. w.c.", GAUGE),
    ("-5 inH2O", "-5 inches of water", GAUGE),
    ("12 ftH2O", "12 ft of water", GAUGE),
    ("12 ftH2O", "144 inH2O", GAUGE),
    ("14.7 psi", "14.7 psia", ABSOLUTE),
    ("1013 mbar", "1.013 bar abs", ABSOLUTE),
    ("1013 mbar", "1.013 bara", ABSOLUTE),
    ("1013 mbar", "1.013 bar(a)", ABSOLUTE),
    ("1013 mbar", "101.3 kPa", ABSOLUTE),
    ("1013 mbar", "1,013.0 hPa", ABSOLUTE),
    ("29.92 inHg", "29.92 in. Hg", ABSOLUTE),
    ("10 psi", "10 psid", DIFFERENCE),
    ("212 F", "212 °F", TEMPERATURE),
    ("212 F", "212°F", TEMPERATURE),
    ("212 F", "212 deg F", TEMPERATURE),
    ("212 F", "212 degrees Fahrenheit", TEMPERATURE),
    ("212 F", "212℉", TEMPERATURE),
    ("100 C", "373.15 K", TEMPERATURE),
    ("100 F/h", "100 °F per hour", Dimension.TEMPERATURE_RATE),
    ("55 C/h", "55 K/hr", Dimension.TEMPERATURE_RATE),
    ("180 F/h", "100 C/h", Dimension.TEMPERATURE_RATE),
    ("60 F/h", "1 degF/min", Dimension.TEMPERATURE_RATE),
    ("9 F", "5 K", Dimension.TEMPERATURE_DIFFERENCE),
    ("6,900 lb/h", "6900 lbs/hr", Dimension.MASS_FLOW),
    ("6,900 lb/h", "6900 pounds per hour", Dimension.MASS_FLOW),
    ("1.5e3 kg/h", "1.5 t/h", Dimension.MASS_FLOW),
    ("8.4 MMBtu/h", "8.4 MMBTU/HR", Dimension.POWER),
    ("8.4 MMBtu/h", "8,400 kBtu/h", Dimension.POWER),
    ("8.4 MMBtu/h", "8400000 btuh", Dimension.POWER),
    ("200 bhp", "200 boiler hp", Dimension.POWER),
    ("2 MW", "2,000.0 KW", Dimension.POWER),
    ("10 therm", "1 MMBtu", Dimension.ENERGY),
    ("1 kWh", "3.6 MJ", Dimension.ENERGY),
    ("1,050 gal", "1050 US gallons", Dimension.VOLUME),
    ("1728 gal", "231 ft3", Dimension.VOLUME),
    ("4 m3", "4 m³", Dimension.VOLUME),
    ("4 m3", "4000 litres", Dimension.VOLUME),
    ("60 ft3", "60 cu. ft.", Dimension.VOLUME),
    ("1,000 ft2", "1000 sq ft", Dimension.AREA),
    ("1 ft2", "144 in²", Dimension.AREA),
    ("1 ft", "12 inches", Dimension.LENGTH),
    ("1 in", "25.4 mm", Dimension.LENGTH),
    ("90 s", "1.5 minutes", Dimension.TIME),
    ("2 h", "120 min", Dimension.TIME),
    ("1 day", "24 hours", Dimension.TIME),
    ("3 /h", "3 per hour", Dimension.FREQUENCY),
    ("3 /h", "72/day", Dimension.FREQUENCY),
    ("80 %", "0.8", Dimension.FRACTION),
    ("80 %", "80 percent", Dimension.FRACTION),
    ("4", "4:1", Dimension.NUMBER),
    ("4", "4 : 1", Dimension.NUMBER),
]


@pytest.mark.parametrize(("one", "other", "dimension"), SAME)
def test_two_spellings_of_one_quantity_read_alike(one: str, other: str, dimension: Dimension) -> None:
    assert read(other, dimension).value == pytest.approx(read(one, dimension).value, rel=1e-6)


# Each row: text, dimension, SI value known without our table.
KNOWN: Final = [
    ("125 psi", GAUGE, 125 * PSI),
    ("0 psi", GAUGE, 0.0),
    ("-0 psi", GAUGE, 0.0),
    ("212 F", TEMPERATURE, 373.15),  # boiling point, by definition of both scales
    ("-40 F", TEMPERATURE, 233.15),  # where both scales meet
    ("180 F", Dimension.TEMPERATURE_DIFFERENCE, 100.0),  # freezing to boiling
    ("29.92 inHg", ABSOLUTE, 101_325.0),  # the standard atmosphere as aviation prints it, to its last digit
    ("14.7 psi", ABSOLUTE, 101_325.0),
    ("1013.25 mbar", ABSOLUTE, 101_325.0),
    ("760 mmHg", ABSOLUTE, 101_325.0),
    ("33.9 ftH2O", DIFFERENCE, 101_325.0),  # lift of a perfect suction pump, common practice
    ("1 bhp", Dimension.POWER, 9_810.0),  # 9.81 kW, common practice
    ("3412 Btu/h", Dimension.POWER, 1000.0),  # common practice
    ("34.5 lb/h", Dimension.MASS_FLOW, 15.65 / 3600),  # 15.65 kg/h, common practice
    ("264.2 gal", Dimension.VOLUME, 1.0),  # common practice
    ("80 %", Dimension.FRACTION, 0.8),
    ("-0.5", Dimension.FRACTION, -0.5),
    ("0", Dimension.FRACTION, 0.0),
    ("4:1", Dimension.NUMBER, 4.0),
    ("1,234,567", Dimension.NUMBER, 1_234_567.0),
]


@pytest.mark.parametrize(("text", "dimension", "si"), KNOWN)
def test_a_quantity_reads_as_print_has_it(text: str, dimension: Dimension, si: float) -> None:
    quantity = read(text, dimension)
    assert quantity.dimension is dimension
    assert quantity.value == pytest.approx(si, rel=5e-4, abs=1e-12)
    assert math.copysign(1.0, quantity.value) == math.copysign(1.0, si)


def test_a_water_column_at_62_f_weighs_what_the_1919_handbook_prints() -> None:
    # HB1919: 0.433 psi per foot, 27.71 inches per psi, at 62 F. Our column is the conventional one at 4 C, which is
    # 0.1 % heavier; the density of water at 62 F comes from IAPWS-IF97 through seuif97.
    relative_density = 1e-3 / float(seuif97.pt2v(STANDARD_ATMOSPHERE_PA / 1e6, (62 - 32) / 1.8))
    foot = number_in(read("1 ftH2O", GAUGE), "psi") * relative_density
    inches = number_in(read("1 psi", GAUGE), "inH2O") / relative_density
    assert foot == pytest.approx(0.433, abs=0.0005)
    assert inches == pytest.approx(27.71, abs=0.005)


def test_an_absolute_unit_is_turned_into_gauge_with_the_air_of_the_site() -> None:
    # 14.7 psi of air: the rounded standard atmosphere of the trade, common practice.
    ambient = AbsPa(14.7 * PSI)
    assert read("139.7 psia", GAUGE, ambient=ambient).value == pytest.approx(125 * PSI, rel=1e-9)
    assert read("4.7 psia", GAUGE, ambient=ambient).value == pytest.approx(-10 * PSI, rel=1e-9)


def test_gauge_units_do_not_look_at_the_air() -> None:
    assert read("125 psi", GAUGE, ambient=AbsPa(70_000.0)) == read("125 psi", GAUGE)


def test_an_absolute_unit_without_the_air_is_refused_and_asks_for_altitude_or_barometer() -> None:
    why = refusal("139.7 psia", GAUGE).why
    assert "altitude" in why
    assert "barometer" in why


# Each row: text, dimension, what the refusal has to say.
AMBIGUOUS: Final = [
    ("8.4 MBtu/h", Dimension.POWER, "MMBtu"),
    ("8.4 Mbtuh", Dimension.POWER, "MMBtu"),
    ("8400 MBH", Dimension.POWER, "kBtu"),
    ("8400 mbh", Dimension.POWER, "kBtu"),
    ("12 MBtu", Dimension.ENERGY, "MMBtu"),
    ("5 M", Dimension.POWER, "thousand"),
    ("5 M", Dimension.LENGTH, "metre"),
    ("5 Mlb/h", Dimension.MASS_FLOW, "thousand"),
    ("2 m", Dimension.TIME, "min"),
    ("212 degrees", TEMPERATURE, "F or C"),
    ("212 deg", TEMPERATURE, "F or C"),
    ("212°", TEMPERATURE, "F or C"),
    ("20 deg", Dimension.TEMPERATURE_DIFFERENCE, "F or C"),
    ("100 degrees per hour", Dimension.TEMPERATURE_RATE, "F or C"),
    ("200 hp", Dimension.POWER, "bhp"),
    ("200 horsepower", Dimension.POWER, "bhp"),
    ("5 ton", Dimension.MASS, "tonne"),
    ("5 tons", Dimension.MASS, "tonne"),
    ("5 T", Dimension.MASS, "tonne"),
    ("5 tons/h", Dimension.MASS_FLOW, "tonne"),
    ("5 T/h", Dimension.MASS_FLOW, "tonne"),
    ("5 tph", Dimension.MASS_FLOW, "tonne"),
    ("20 oz", Dimension.MASS, "ounce"),
    ("6 oz", GAUGE, "psi"),
    ("125 lb", GAUGE, "psi"),
    ("125 lbs", GAUGE, "psi"),
    ("125#", GAUGE, "psi"),
    ("5 pounds", DIFFERENCE, "psi"),
    ("7 kg", GAUGE, "kgf/cm2"),
    ("500 #", Dimension.MASS, "lb"),
    ("5 in", GAUGE, "inH2O"),
    ("5 inches", DIFFERENCE, "inH2O"),
    ('5"', GAUGE, "inH2O"),
    ("12 ft", GAUGE, "ftH2O"),
    ("10 inHg", GAUGE, "vacuum"),
    ("10 in Hg vac", GAUGE, "vacuum"),
    ("1 atm", GAUGE, "atmospheres"),
    ("1 ata", ABSOLUTE, "atmospheres"),
    ("6'", Dimension.LENGTH, "ft"),
    ("80", Dimension.FRACTION, "80 %"),
    ("1", Dimension.FRACTION, "100 %"),
    ("-1.0", Dimension.FRACTION, "-100 %"),
    ("1,050 m3", Dimension.VOLUME, "1.050"),
    ("1,013 bar", ABSOLUTE, "1.013"),
    ("1,250 t/h", Dimension.MASS_FLOW, "1250"),
    ("1,200 s", Dimension.TIME, "1200"),
    ("1,050", Dimension.NUMBER, "1050"),
]

UNREADABLE: Final = [
    ("", GAUGE, "empty"),
    ("   ", GAUGE, "empty"),
    ("psi", GAUGE, "number"),
    ("about 125 psi", GAUGE, "number"),
    ("~125 psi", GAUGE, "number"),
    ("±5 psi", DIFFERENCE, "number"),
    ("- 5 psi", GAUGE, "number"),
    ("nan psi", GAUGE, "number"),
    ("inf psi", GAUGE, "number"),
    ("-inf", Dimension.NUMBER, "number"),
    ("0x7D psi", GAUGE, "one number"),
    ("１２５ psi", GAUGE, "number"),
    ("1e400 psi", GAUGE, "larger"),
    ("-1e400 psi", GAUGE, "larger"),
    ("1e-400 psi", GAUGE, "smaller"),
    ("1e16", Dimension.NUMBER, "larger"),
    ("9" * 90 + " psi", GAUGE, "larger"),
    ("125", GAUGE, "no unit"),
    ("212", TEMPERATURE, "no unit"),
    ("45", Dimension.TIME, "no unit"),
    ("8,6 bar", GAUGE, "8.6"),
    ("0,125 bar", GAUGE, "comma"),
    ("0,125 psi", GAUGE, "comma"),
    ("10,50 gal", Dimension.VOLUME, "comma"),
    ("1,0500 gal", Dimension.VOLUME, "comma"),
    ("1050, gal", Dimension.VOLUME, "comma"),
    ("1,050e3 gal", Dimension.VOLUME, "comma"),
    ("1.050,5 kg", Dimension.MASS, "one number"),
    ("1 050 gal", Dimension.VOLUME, "one number"),
    ("100-110 psi", GAUGE, "one number"),
    ("5 ft 3 in", Dimension.LENGTH, "one number"),
    ("1 1/2 in", Dimension.LENGTH, "one number"),
    ("1/2 in", Dimension.LENGTH, "one number"),
    ("8.6.5 bar", GAUGE, "one number"),
    ("125² psi", GAUGE, "one number"),  # a footnote mark must not become a digit
    ("12^3 psi", GAUGE, "one number"),
    ("1:30", Dimension.TIME, "one number"),
    ("4:2", Dimension.NUMBER, "no unit"),
    ("1:4", Dimension.NUMBER, "no unit"),
    ("4 psi", Dimension.NUMBER, "no unit"),
    ("5 furlongs", Dimension.LENGTH, "furlongs"),
    ("5 mPa", GAUGE, "mPa"),
    ("5 mW", Dimension.POWER, "mW"),
    ("5 Mbar", GAUGE, "Mbar"),
    ("5 \u212a", TEMPERATURE, "not known"),  # the kelvin sign is a letter of its own
    ("5 k", TEMPERATURE, "'k'"),
    ("125 psi\nset", GAUGE, "printed"),
    ("125\u200bpsi", GAUGE, "printed"),
    ("125 psi\x00", GAUGE, "printed"),
    ("\ud800 psi", GAUGE, "printed"),
    ("3/\u017f", Dimension.FREQUENCY, "one known unit"),  # the long s, which in any case is an s
    ("125 gal", GAUGE, "a unit of volume; gauge pressure is wanted"),
    ("5 psid", GAUGE, "a unit of pressure difference"),
    ("100 F", Dimension.TEMPERATURE_RATE, "a unit of temperature"),
    ("12 MMBtu", Dimension.POWER, "a unit of energy"),
    ("80 %", GAUGE, "a unit of fraction"),
    ("14.7 psig", ABSOLUTE, "gauge"),
    ("1 bar(g)", ABSOLUTE, "gauge"),
    ("-1 psia", ABSOLUTE, "absolute zero"),
    ("-30 inHg", ABSOLUTE, "absolute zero"),
    ("5 psia", DIFFERENCE, "neither gauge nor absolute"),
    ("5 psig", DIFFERENCE, "neither gauge nor absolute"),
    ("0.5 bar abs", DIFFERENCE, "neither gauge nor absolute"),
    ("-460 F", TEMPERATURE, "absolute zero"),
    ("-273.2 C", TEMPERATURE, "absolute zero"),
    ("-1 K", TEMPERATURE, "absolute zero"),
]


@pytest.mark.parametrize(("text", "dimension", "says"), AMBIGUOUS + UNREADABLE)
def test_what_is_ambiguous_or_unreadable_is_refused_with_why_and_the_accepted_spellings(
    text: str, dimension: Dimension, says: str
) -> None:
    error = refusal(text, dimension)
    assert says in error.why
    assert error.accepted == accepted(dimension)
    assert error.accepted in str(error)


def test_a_negative_absolute_pressure_is_refused_where_gauge_is_wanted() -> None:
    assert "absolute zero" in refusal("-5 psia", GAUGE, AbsPa(STANDARD_ATMOSPHERE_PA)).why


@pytest.mark.parametrize("text", ["7" * 5_000_000, "\x00" * 10_000, "125 psi" + " " * 200])
def test_a_huge_text_is_refused_and_not_echoed(text: str) -> None:
    error = refusal(text, GAUGE)
    assert "characters long" in error.why
    assert len(str(error)) < 500


def test_a_binary_text_is_shown_without_its_control_characters() -> None:
    error = refusal("\x1b[31m125\x07 psi", GAUGE)
    assert error.text.isprintable()
    assert str(error).isprintable()


@pytest.mark.parametrize("dimension", list(Dimension))
def test_the_examples_in_the_accepted_sentence_can_be_read(dimension: Dimension) -> None:
    sentence = accepted(dimension)
    examples = sentence.rpartition("for example ")[2].partition(";")[0].removesuffix(".")
    texts = [part for piece in examples.split(" or ") for part in piece.split(", ")]
    assert all(math.isfinite(read(text, dimension).value) for text in texts)
    assert len(texts) >= (1 if dimension is Dimension.NUMBER else 2)


@pytest.mark.parametrize("dimension", [kind for kind in Dimension if UNITS[kind] and kind is not Dimension.FRACTION])
def test_every_unit_that_the_accepted_sentence_names_can_be_read(dimension: Dimension) -> None:
    names = accepted(dimension).partition(": ")[2].partition(";")[0].partition(" (")[0].split(", ")
    ambient = AbsPa(STANDARD_ATMOSPHERE_PA)
    assert len([read(f"2 {name}", dimension, ambient=ambient) for name in names]) >= 3


@pytest.mark.parametrize("dimension", list(UNITS))
def test_no_two_units_share_a_spelling(dimension: Dimension) -> None:
    exact: dict[str, str] = {}
    folded: dict[str, str] = {}
    for unit in UNITS[dimension]:
        for spelling in unit.spellings:
            assert exact.setdefault(regular(spelling), unit.name) == unit.name
            if unit.case is not Case.EXACT:
                assert folded.setdefault(regular(spelling).lower(), unit.name) == unit.name


@pytest.mark.parametrize("dimension", list(Dimension))
@given(text=st.text(max_size=120))
def test_any_text_reads_as_a_finite_quantity_or_is_refused(dimension: Dimension, text: str) -> None:
    assert_read_or_refused(text, dimension)


@given(
    number=st.from_regex(r"[+-]?[0-9,.]{1,8}([eE][+-]?[0-9]{1,4})?", fullmatch=True),
    between=st.sampled_from(["", " ", "\t", "\u00a0", ":", "/", " per "]),
    unit=st.sampled_from([spelling for units in UNITS.values() for unit in units for spelling in unit.spellings])
    | st.text(max_size=6),
    dimension=st.sampled_from(Dimension),
)
def test_any_number_with_any_unit_reads_as_a_finite_quantity_or_is_refused(
    number: str, between: str, unit: str, dimension: Dimension
) -> None:
    assert_read_or_refused(f"{number}{between}{unit}", dimension)


def assert_read_or_refused(text: str, dimension: Dimension) -> None:
    try:
        quantity = read(text, dimension, ambient=AbsPa(STANDARD_ATMOSPHERE_PA))
    except UnreadableQuantity as error:
        said = error
    else:
        assert math.isfinite(quantity.value)
        assert quantity.dimension is dimension
        return
    assert said.text.isprintable()
    assert said.why


KEYS: Final = {
    GAUGE: "observed_pa_gauge",
    ABSOLUTE: "observed_pa_abs",
    DIFFERENCE: "observed_pa",
    TEMPERATURE: "observed_k",
    Dimension.TEMPERATURE_DIFFERENCE: "observed_k",
    Dimension.TEMPERATURE_RATE: "observed_k_s",
    Dimension.MASS: "observed_kg",
    Dimension.MASS_FLOW: "observed_kg_s",
    Dimension.POWER: "observed_w",
    Dimension.ENERGY: "observed_j",
    Dimension.STORAGE: "observed_j_per_pa",
    Dimension.VOLUME: "observed_m3",
    Dimension.VOLUME_FLOW: "observed_m3_s",
    Dimension.AREA: "observed_m2",
    Dimension.LENGTH: "observed_m",
    Dimension.TIME: "observed_s",
    Dimension.FREQUENCY: "observed_per_s",
    Dimension.FRACTION: "observed_fraction",
    Dimension.NUMBER: "observed",
}


@pytest.mark.parametrize("dimension", list(Dimension))
def test_a_json_key_ends_in_its_unit(dimension: Dimension) -> None:
    assert json_key("observed", dimension) == KEYS[dimension]


def test_a_json_value_is_the_si_number_and_never_infinite() -> None:
    assert json_value(Quantity(861_844.661646045, GAUGE)) == 861_844.661646045
    for value in (math.inf, -math.inf, math.nan):
        with pytest.raises(ValueError, match="JSON"):
            json_value(Quantity(value, GAUGE))


@pytest.mark.parametrize("module", ["reading", "showing"])
def test_the_examples_in_the_docstrings_are_true(module: str) -> None:
    results = doctest.testmod(importlib.import_module(f"evenfire.delivery.units.{module}"))
    assert results.attempted > 0
    assert results.failed == 0


def test_the_units_load_nothing_heavy() -> None:
    heavy = {"numpy", "pint", "decimal", "pydantic", "seuif97", "scipy"}
    program = "import sys, evenfire.delivery.units; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout.split()
    assert "evenfire.delivery.units.table" in loaded
    assert not heavy & set(loaded)

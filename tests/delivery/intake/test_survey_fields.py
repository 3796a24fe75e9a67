from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.intake.schema import plant_file_schema
from evenfire.delivery.intake.survey_fields import Group, dimension_of, field_of, fields, reading_of, rows, told, typed
from evenfire.delivery.intake.survey_kinds import Value
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visits.entry import LONGEST_PATH
from evenfire.delivery.words.survey import GROUPS, LABELS, ROWS, SECTIONS
from evenfire.errors import BadEntry
from evenfire.si import AbsPa, Dimension
from tests.delivery.intake.samples import PSI

KEPT_ELSEWHERE = {"format", "site.name", "boiler.#.name"}
"""Names stand in the registers of a store."""


def keys_of_the_schema() -> set[str]:
    """Every key of a plant file that holds no table, by the JSON Schema that editors get."""
    schema = plant_file_schema()
    return set(_keys(schema, schema["$defs"], ""))


def _keys(node: dict[str, Any], defs: dict[str, Any], at: str) -> Iterator[str]:
    if "$ref" in node:
        yield from _keys(defs[node["$ref"].rpartition("/")[2]], defs, at)
        return
    for each in (*node.get("anyOf", ()), *node.get("oneOf", ())):
        yield from _keys(each, defs, at)
    if "properties" in node:
        for key, inner in node["properties"].items():
            inside = list(_keys(inner, defs, f"{at}.{key}" if at else key))
            yield from inside or [f"{at}.{key}" if at else key]
    rows_of = defs.get(str(node.get("items", {}).get("$ref", "")).rpartition("/")[2], {})
    if "properties" in rows_of:
        yield from _keys(rows_of, defs, f"{at}.#")


def test_every_key_of_a_plant_file_is_a_field_and_nothing_else_is() -> None:
    # How a log is laid out is said of a file at a desk, and not surveyed at the boiler.
    elsewhere = (*KEPT_ELSEWHERE, *(key for key in keys_of_the_schema() if key.startswith("log.")))
    keys = {key for key in keys_of_the_schema() if key not in elsewhere and ".proposed." not in key}
    assert {
        path.replace("boiler.", "boiler.#.", 1) if path.startswith("boiler.") else path for path in fields()
    } == keys


def test_every_path_can_be_the_path_of_an_entry() -> None:
    assert all(len(path.replace("#", "999")) <= LONGEST_PATH for path in fields())


def test_every_field_has_a_label_a_hint_and_an_example_that_it_takes_itself() -> None:
    for path, field in fields().items():
        here = path.replace("#", "1")
        assert field.label
        assert field.hint
        if not (field.is_lines and path.endswith("hours")):
            assert reading_of(here, field.example).why_not is None, (here, field.example)


def test_no_two_fields_of_a_part_are_called_the_same() -> None:
    for section in {field.section for field in fields().values()}:
        labels = [field.label for field in fields().values() if field.section == section]
        assert len(labels) == len(set(labels)), section


def test_every_word_of_the_survey_is_used() -> None:
    keys = [field.key for field in fields().values()]
    assert {label for label in LABELS if not any(f".{key}".endswith(f".{label}") for key in keys)} == set()
    assert set(ROWS) == set(rows())
    assert {section.replace(".#", "") for section in (field.section for field in fields().values())} == set(SECTIONS)
    assert list(GROUPS) == [group.value for group in Group]


@pytest.mark.parametrize(
    ("path", "text", "value"),
    [
        ("boiler.mawp", " 150 psi ", "150 psi"),
        ("boiler.burner.1.turndown", "4:1", "4:1"),
        ("boiler.burner.1.turndown", "4", 4),
        ("boiler.burner.1.prepurge_air_changes", "5.5", Decimal("5.5")),
        ("boiler.burner.2.fuel", "Natural  Gas", "natural gas"),
        ("boiler.vacuum_breaker", "Yes", True),
        ("boiler.new_refractory", "false", False),
        ("boiler.gauge.calibrated", "2026-07-02", date(2026, 7, 2)),
        ("boiler.gauge.water_leg.height", "None", "none"),
        ("boiler.as_found.jumpers", "none", []),
        (
            "boiler.as_found.jumpers",
            "wire across the high limit\n\n  a second",
            ["wire across the high limit", "a second"],
        ),
        ("boiler.as_found.proved", "high_limit\noperating_limit", ["high_limit", "operating_limit"]),
        ("boiler.as_found.unexplained_resets", "0", 0),
        ("boiler.standing_loss", "1 %", "1 %"),
        ("boiler.standing_loss", "60 kBtu/h", "60 kBtu/h"),
        ("boiler.measured.run_on.50.firing", "Low", "low"),
        ("boiler.measured.run_on.1.load", "30 %", "30 %"),
        ("site.fuel_price.price", "11.50", Decimal("11.50")),
        ("load.demand.shape", "recorded", "recorded"),
    ],
)
def test_a_text_is_read_as_the_plant_file_reads_it(path: str, text: str, value: Value) -> None:
    reading = reading_of(path, text)
    assert (reading.value, type(reading.value)) == (value, type(value))
    assert reading.why_not is None


@pytest.mark.parametrize(
    ("path", "text", "why"),
    [
        ("boiler.mawp", "150", "it has no unit. Accepted for gauge pressure: psi"),
        ("boiler.mawp", "150 lb", "is a weight as it stands: write psi"),
        ("boiler.burner.1.input", "8 MBtu/h", "write kBtu or MMBtu"),
        ("boiler.kind", "fire-tube", "it is none of: firetube, watertube, vertical, cast-iron, coil"),
        ("boiler.vacuum_breaker", "perhaps", "it is neither yes nor no"),
        ("boiler.gauge.calibrated", "2026-02-30", "it is no day"),
        ("boiler.gauge.calibrated", "July", "it is no day"),
        ("boiler.as_found.unexplained_resets", "two", "it is no whole number"),
        ("boiler.as_found.unexplained_resets", "1.5", "it is no whole number"),
        ("boiler.as_found.unexplained_resets", "10001", "it must be at most 10,000"),
        ("boiler.as_found.unexplained_resets", "-1", "it must be at least 0"),
        ("site.fuel_price.price", "$11", "it is no plain number"),
        ("site.fuel_price.price", "0", "it must be above 0"),
        ("site.jurisdiction", "x" * 101, "it is longer than 100 characters"),
        ("site.jurisdiction", "a\nb", "cannot be printed on one line"),
        ("boiler.as_found.proved", "high_limit\nvalve", "in line 2 it is none of: operating_limit"),
        ("boiler.as_found.jumpers", "\n".join("wire" for _ in range(51)), "more than 50 lines"),
        ("load.demand.hours", "3000 lb/h", "it has 1 lines, and 24 are wanted"),
        ("load.demand.hours", "\n".join(["3000 lb/h"] * 23 + ["3000"]), "in line 24 it has no unit"),
        ("boiler.measured.undershoot.load", "full", "does not begin with a number"),
    ],
)
def test_what_cannot_be_read_says_why_and_what_is_accepted(path: str, text: str, why: str) -> None:
    reading = reading_of(path, text)
    assert reading.value is None
    assert why in str(reading.why_not)
    assert typed(path, text).why_not == reading.why_not


@pytest.mark.parametrize(
    "path",
    [
        "site.name",
        "boiler.name",
        "boiler.1.mawp",
        "boiler.proposed.high_limit",
        "boiler.burner.fuel",
        "boiler.burner.0.fuel",
        "boiler.burner.11.fuel",
        "boiler.burner.01.fuel",
        "boiler.safety_valve.21.set",
        "boiler.safety_valve.2",
        "load.demand.steps.1000.for",
        "load",
        "",
        "boiler." + "a" * 500,
    ],
)
def test_what_is_no_field_of_a_survey_is_refused_with_one_that_is(path: str) -> None:
    with pytest.raises(BadEntry, match="a field of a survey"):
        field_of(path)
    with pytest.raises(BadEntry, match="a field of a survey"):
        typed(path, "")


def test_an_entry_keeps_unit_and_value_in_si() -> None:
    # 125 psi is 861,845 Pa (NIST SP 811, appendix B.8).
    kept = typed("load.need", "125 psi")
    assert (kept.unit, kept.why_not) == ("psi", None)
    assert float(str(kept.si)) == pytest.approx(125 * PSI)
    assert typed("load.need", "  ") == typed("boiler.kind", "firetube")
    assert typed("load.need", "").why_not is None


def test_an_absolute_pressure_wants_the_air_of_the_site() -> None:
    # The standard atmosphere is 101,325 Pa (ISO 2533).
    assert "give the altitude" in str(typed("boiler.mawp", "11.01325 bar abs").why_not)
    kept = typed("boiler.mawp", "11.01325 bar abs", ambient=AbsPa(101_325.0))
    assert float(str(kept.si)) == pytest.approx(1e6)
    assert told("boiler.mawp", "11.01325 bar abs", UnitSystem.SI, si=kept.si) == "10 bar"


def test_a_reading_is_told_in_the_readers_units() -> None:
    assert told("load.need", "8.6 bar", UnitSystem.US) == "124.7 psi"
    assert told("load.need", "125 psi", UnitSystem.SI) == "8.62 bar"
    assert told("boiler.standing_loss", "1 %", UnitSystem.US) == "1 %"
    assert told("boiler.kind", "coil", UnitSystem.US) == ""
    assert told("load.need", "", UnitSystem.US) == ""


def test_what_decides_whether_it_is_a_plant_cannot_be_left_out() -> None:
    needed = {path for path, field in fields().items() if field.is_whole_required}
    assert needed == {
        "boiler.kind",
        "boiler.mawp",
        "boiler.burner.#.fuel",
        "boiler.burner.#.firing",
        "boiler.safety_valve.#.set",
    }
    assert field_of("boiler.controls.high_limit.scale.to").whole == "boiler.controls.high_limit.scale"
    assert dimension_of("boiler.controls.high_limit.scale.to") is Dimension.GAUGE_PRESSURE


@given(path=st.sampled_from(sorted(fields())), text=st.text(max_size=300))
def test_reading_any_text_gives_a_value_or_a_reason(path: str, text: str) -> None:
    here = path.replace("#", "1")
    if not text.strip():
        return
    reading = reading_of(here, text)
    assert (reading.value is None) != (reading.why_not is None)

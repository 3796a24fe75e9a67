"""The JSON Schema against an independent validator: it accepts what the program reads, and refuses the common slips."""

import json
import tomllib
from collections.abc import Iterator
from typing import Any

import jsonschema
import pytest

from evenfire.delivery.intake.schema import plant_file_schema
from evenfire.delivery.intake.template import new_plant_file
from tests.delivery.intake.samples import EXAMPLES, LAUNDRY, SMALLEST, changed

Validator = jsonschema.Draft202012Validator


def errors(text: str) -> list[str]:
    """What the validator says; days become text, as editors hand them over."""
    document = json.loads(json.dumps(tomllib.loads(text), default=lambda day: day.isoformat()))
    return [error.message for error in Validator(plant_file_schema()).iter_errors(document)]


def referred(field: dict[str, Any]) -> dict[str, Any]:
    """The table that a key refers to; where both say the same, the key says nothing."""
    table: dict[str, Any] = plant_file_schema()["$defs"][field["$ref"].rpartition("/")[2]]
    return table


def properties(schema: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for name, table in {"Document": schema, **schema["$defs"]}.items():
        for key, field in table.get("properties", {}).items():
            yield name, key, field


def test_the_schema_is_a_schema_and_can_be_written_as_json() -> None:
    Validator.check_schema(json.loads(json.dumps(plant_file_schema())))


@pytest.mark.parametrize("name", ["laundry", "school", "school-by-dial"])
def test_the_examples_are_valid(name: str) -> None:
    assert errors((EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")) == []


def test_the_new_plant_file_and_the_smallest_one_are_valid() -> None:
    assert errors(new_plant_file()) == []
    assert errors(SMALLEST) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("turndown = 4", "turndwn = 4"),
        ('mawp = "150 psi"', ""),
        ('mawp = "150 psi"', "mawp = 150"),
        ('mawp = "150 psi"', 'mawp = "150"'),
        ('mawp = "150 psi"', 'mawp = "high"'),
        ('kind = "firetube"', 'kind = "fire tube"'),
        ("format = 1", "format = 2"),
        ("siphon = true", 'siphon = "yes"'),
        ("read_on = 2026-11-03", "read_on = 3"),
        ('may_dip_for = "60 s"', 'demand = { shape = "weekly" }'),
        ("[site]", "[[site]]"),
    ],
)
def test_the_common_slips_are_not_valid(old: str, new: str) -> None:
    assert errors(changed(old, new)) != []


def test_the_word_none_is_valid_for_a_water_leg() -> None:
    leg = 'water_leg = { height = "0.5 ft", position = "below", filling = "full" }'
    assert errors(changed(leg, 'water_leg = "none"')) == []
    assert errors(changed(leg, 'water_leg = "some"')) != []


def test_every_key_is_described_in_a_sentence() -> None:
    found = list(properties(plant_file_schema()))
    assert len(found) > 100
    for table, key, field in found:
        description = field.get("description") or referred(field)["description"]
        assert description.endswith("."), f"{table}.{key}"
        assert description[0].isupper(), f"{table}.{key}"


def test_every_key_that_is_no_table_has_an_example_that_its_own_schema_accepts() -> None:
    schema = plant_file_schema()
    by_the_program = {"plant_revision", "engine_version"}
    seen = 0
    for table, key, field in properties(schema):
        is_table = "$ref" in json.dumps(field) and not field.get("examples")
        if is_table or key in by_the_program:
            continue
        assert field.get("examples"), f"{table}.{key} has no example"
        for example in field["examples"]:
            seen += 1
            checked = Validator({**field, "$defs": schema["$defs"]})
            assert list(checked.iter_errors(example)) == [], f"{table}.{key}: {example}"
    assert seen > 100


def test_no_unknown_key_is_let_in_anywhere() -> None:
    for name, table in plant_file_schema()["$defs"].items():
        if table["type"] == "object":
            assert table["additionalProperties"] is False, name


def test_the_laundry_is_what_the_slips_start_from() -> None:
    assert errors(LAUNDRY) == []

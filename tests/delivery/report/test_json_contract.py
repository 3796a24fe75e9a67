"""The JSON answers keep their published schema, and say what the contract names."""

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from evenfire.delivery.acts.checking import check_of
from evenfire.delivery.acts.proving import ProveAsked, prove_of
from evenfire.delivery.acts.settling import settle_of
from evenfire.delivery.report.check_json import check_json
from evenfire.delivery.report.prove_json import prove_json
from evenfire.delivery.report.schemas import CHECK_SCHEMA, PROVE_SCHEMA, SETTLE_SCHEMA
from evenfire.delivery.report.settle_json import settle_json
from evenfire.delivery.units import UnitSystem
from tests.surveys import EXAMPLES, survey

PLANTS = sorted(path.stem for path in EXAMPLES.glob("*.toml"))
STRANGE: list[dict[str, object]] = [
    {},
    {"load.need": "128 psi"},
    {"boiler.water_volume": None},
    {"boiler.controls.firing_rate.action": "pid"},
    {"boiler.controls": None, "boiler.as_found": None},
    {"boiler.safety_valve": None},
    {"boiler.as_found.high_limit": "155 psi"},
]


@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize("plant", PLANTS)
def test_every_demo_plant_keeps_the_schema(plant: str, system: UnitSystem) -> None:
    plant_file = survey(plant=plant)
    Draft202012Validator(CHECK_SCHEMA).validate(json.loads(check_json(check_of(plant_file), system)))
    Draft202012Validator(SETTLE_SCHEMA).validate(json.loads(settle_json(settle_of(plant_file), system)))
    Draft202012Validator(PROVE_SCHEMA).validate(json.loads(prove_json(prove_of(plant_file, ProveAsked()), system)))


@pytest.mark.parametrize("edits", STRANGE, ids=str)
def test_strange_plants_keep_the_schema(edits: dict[str, object]) -> None:
    plant_file = survey(edits)
    Draft202012Validator(CHECK_SCHEMA).validate(json.loads(check_json(check_of(plant_file), UnitSystem.US)))
    Draft202012Validator(SETTLE_SCHEMA).validate(json.loads(settle_json(settle_of(plant_file), UnitSystem.US)))
    proved = prove_of(plant_file, ProveAsked())
    Draft202012Validator(PROVE_SCHEMA).validate(json.loads(prove_json(proved, UnitSystem.US)))


def test_the_contract_of_a_check_is_as_promised() -> None:
    told = json.loads(check_json(check_of(survey({"boiler.as_found.switch": None})), UnitSystem.US))
    assert told["format"] == "evenfire.check/1"
    outcomes = told["boilers"][0]["outcomes"]
    assert {outcome["outcome"] for outcome in outcomes} == {"finding", "clear", "not judged"}
    for outcome in outcomes:
        assert {"code", "outcome", "severity", "basis"} <= outcome.keys()
    found = next(outcome for outcome in outcomes if outcome["code"] == "low-fire-before-cut-out")
    assert found["outcome"] == "finding"
    assert found["observed_pa_gauge"] > found["limit_pa_gauge"]
    assert found["short_by_pa"] == pytest.approx(found["observed_pa_gauge"] - found["limit_pa_gauge"])


def test_the_schemas_are_closed() -> None:
    told = json.loads(check_json(check_of(survey()), UnitSystem.US))
    told["boilers"][0]["outcomes"][0]["surprise"] = 1
    with pytest.raises(ValidationError):
        Draft202012Validator(CHECK_SCHEMA).validate(told)


def test_the_schemas_are_schemas() -> None:
    for schema in (CHECK_SCHEMA, SETTLE_SCHEMA, PROVE_SCHEMA):
        Draft202012Validator.check_schema(schema)


def test_the_published_schemas_are_these() -> None:
    folder = Path(__file__).parents[3] / "docs" / "reference"
    for name, schema in (("check", CHECK_SCHEMA), ("settle", SETTLE_SCHEMA), ("prove", PROVE_SCHEMA)):
        assert json.loads((folder / f"{name}.schema.json").read_text(encoding="utf-8")) == schema

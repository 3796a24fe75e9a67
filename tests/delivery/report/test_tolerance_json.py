"""JSON of odds and measure: the schema is kept whatever a plant lacks, and closed."""

import json
from copy import deepcopy
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from evenfire.delivery.acts.measuring import MeasureAsked, measure_of
from evenfire.delivery.acts.odds import OddsAsked, odds_of
from evenfire.delivery.report.measure_json import measure_json
from evenfire.delivery.report.odds_json import odds_json
from evenfire.delivery.report.schemas import MEASURE_SCHEMA, ODDS_SCHEMA
from evenfire.delivery.units import UnitSystem
from tests.surveys import survey

ODDS = Draft202012Validator(ODDS_SCHEMA)
MEASURE = Draft202012Validator(MEASURE_SCHEMA)
FEW = OddsAsked(draws=2_000, most_reruns=4)
STRANGE: list[dict[str, object]] = [
    {},
    {"load.need": None},
    {"load.need": "128 psi"},
    {"boiler.water_volume": None},
    {"boiler.controls.firing_rate.action": "pid"},
    {"boiler.burner.firing": "on-off", "boiler.burner.turndown": None, "boiler.burner.stroke": None},
    {"boiler.controls": None, "boiler.as_found": None},
    {"boiler.as_found": None},
    {"boiler.safety_valve": None},
    {"boiler.as_found.high_limit": "155 psi"},
    {"boiler.safety_valve.set": "155 psi", "boiler.safety_valve.1.set": "155 psi"},
    {"boiler.safety_valve.tested_lift": "149 psi"},
    {"boiler.measured.run_on": [{"rise": "3 psi", "firing": "full", "load": "none"}]},
    {"boiler.measured.undershoot": {"fall": "4 psi", "load": "25 %"}},
]


@pytest.mark.parametrize("edits", STRANGE, ids=str)
def test_strange_plants_keep_the_schemas(edits: dict[str, object]) -> None:
    plant_file = survey(edits)
    odds = json.loads(odds_json(odds_of(plant_file, FEW), UnitSystem.US))
    ODDS.validate(odds)
    measured = json.loads(measure_json(measure_of(plant_file, MeasureAsked()), UnitSystem.SI))
    MEASURE.validate(measured)
    for boiler in (odds["boilers"][0], measured["boilers"][0]):
        told = boiler.get("answers", boiler.get("margins"))
        # Silence is never all right: what is not told is not judged.
        assert told or boiler["not_judged"]
        assert all(each["missing"] for each in boiler["not_judged"])


def test_the_schemas_are_closed() -> None:
    odds = json.loads(odds_json(odds_of(survey(), FEW), UnitSystem.US))
    measured = json.loads(measure_json(measure_of(survey(), MeasureAsked()), UnitSystem.US))
    for validator, document, part in ((ODDS, odds, "answers"), (MEASURE, measured, "margins")):
        changed = deepcopy(document)
        changed["boilers"][0][part][0]["surprise"] = 1
        with pytest.raises(ValidationError):
            validator.validate(changed)
        del document["boilers"][0]["identity"]
        with pytest.raises(ValidationError):
            validator.validate(document)


def test_a_count_that_was_stopped_keeps_the_schema_as_well() -> None:
    def at_once(_: object) -> None:
        raise KeyboardInterrupt

    told = json.loads(odds_json(odds_of(survey(), FEW, at_once), UnitSystem.US))
    ODDS.validate(told)
    assert (told["stopped"], told["boilers"], told["not_begun"], told["exit_code"]) == (True, [], ["No. 1"], 4)


@pytest.mark.parametrize(("name", "schema"), [("odds", ODDS_SCHEMA), ("measure", MEASURE_SCHEMA)])
def test_the_published_schemas_are_these(name: str, schema: dict[str, object]) -> None:
    Draft202012Validator.check_schema(schema)
    folder = Path(__file__).parents[3] / "docs" / "reference"
    assert json.loads((folder / f"{name}.schema.json").read_text(encoding="utf-8")) == schema

"""A visit as JSON keeps its published schema at every stage, and what is signed is what it showed."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from evenfire.delivery.report.visit_json import visit_json
from evenfire.delivery.report.visit_schema import VISIT_BODY_SCHEMA, VISIT_SCHEMA
from evenfire.delivery.units import UnitSystem
from tests.delivery.acts.on_visit import FOUND, WHOLE, Call, new_store, opened

ODD = {
    "trip.1.opened": "no",
    "trip.1.stopped_by_hand": "141 psi",
    "trip.2.method": "setting turned down",
    "device.1.kind": "flame failure",
    "device.1.took": "5 s",
    "device.1.works": "yes",
    "as_left.jumpers": "a wire\nanother",
    "as_found.manual_cap": "half",
    "note.3.text": "ash \u00e9",
}


@pytest.fixture
def call(tmp_path: Path) -> Iterator[Call]:
    with new_store(tmp_path / "store.sqlite") as store:
        yield Call(store, tmp_path, opened(store, tmp_path))


def valid(call: Call) -> dict[str, object]:
    told: dict[str, object] = json.loads(visit_json(call.judged(), UnitSystem.SI))
    Draft202012Validator(VISIT_SCHEMA).validate(told)
    return told


def test_the_schema_itself_is_one() -> None:
    Draft202012Validator.check_schema(VISIT_SCHEMA)


def test_every_stage_of_a_visit_keeps_the_schema_and_the_signature_seals_what_was_shown(call: Call) -> None:
    empty = valid(call)
    assert empty["format"] == "evenfire.visit/1"
    assert empty["exit_code"] == 4
    call.enter(FOUND)
    valid(call)
    call.settled()
    call.enter({**FOUND, **WHOLE, **ODD})
    odd = valid(call)
    against = odd["stands_against_signing"]
    assert isinstance(against, list)
    assert [each["bar"] for each in against][:2] == [
        "limit failed, left in service",
        "safety device failed, left in service",
    ]
    assert odd["exit_code"] == 1
    call.enter({**FOUND, **dict.fromkeys(ODD, ""), **WHOLE})
    whole = valid(call)
    assert whole["stands_against_signing"] == []
    signed = json.loads(call.signed().record.content)["body"]
    Draft202012Validator(VISIT_BODY_SCHEMA).validate(signed)
    assert {**signed, "judged_as_left": 0, "judged_as_found": 0} == {
        **whole["body"],  # type: ignore[dict-item]
        "judged_as_left": 0,
        "judged_as_found": 0,
    }, "all but the words, which are in the reader's units"
    assert valid(call)["is_open"] is False


@pytest.mark.parametrize("spoil", ["site", "body", "exit_code"])
def test_an_answer_without_one_of_its_keys_does_not_keep_the_schema(call: Call, spoil: str) -> None:
    told = valid(call)
    del told[spoil]
    with pytest.raises(ValidationError):
        Draft202012Validator(VISIT_SCHEMA).validate(told)

"""No settle passes over a stop rule that it could not judge; least bad settings never come as if to be turned to."""

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from evenfire.delivery.report.schemas import SETTLE_SCHEMA
from tests.delivery.cli.test_commands import LAUNDRY, as_one_line, changed, evenfire
from tests.surveys import EXAMPLES

INPUT = ("boiler", 0, "burner", 0, "input_clocked")


def without_input(folder: Path, need: str) -> str:
    """The laundry with a need, and nobody clocked its meter: whether it is overfired is a stop rule left open."""
    file = Path(changed(folder, *INPUT, None))
    file.write_text(file.read_text(encoding="utf-8").replace('need = "105 psi"', f'need = "{need}"'), encoding="utf-8")
    return str(file)


def settled(file: str) -> dict[str, object]:
    document = json.loads(evenfire("settle", file, "--without-motion", "--json").output)
    Draft202012Validator(SETTLE_SCHEMA).validate(document)
    (boiler,) = document["boilers"]
    assert isinstance(boiler, dict)
    return boiler


@pytest.mark.parametrize(("need", "headline"), [("105 psi", "SETTLED"), ("128 psi", "NOTHING FITS")])
def test_a_stop_rule_that_could_not_be_judged_stands_under_the_headline(
    tmp_path: Path, need: str, headline: str
) -> None:
    file = without_input(tmp_path, need)
    text = as_one_line(evenfire("settle", file, "--without-motion").output)
    assert headline in text
    begin = text.index("STOP RULES NOT JUDGED")
    told = text[begin : text.index(" settings ---", begin)]
    assert "stop: input-within-nameplate. Missing:" in told
    assert text.index(headline) < begin < text.index("ressure stack")
    boiler = settled(file)
    assert [each["code"] for each in boiler["not_judged"]] == ["input-within-nameplate"]  # type: ignore[attr-defined]
    assert boiler["not_judged"][0]["missing"] == ["burner.input_clocked"]  # type: ignore[index]


def test_a_fallback_lists_what_is_not_judged_as_a_proposal_does(tmp_path: Path) -> None:
    boiler = settled(without_input(tmp_path, "128 psi"))
    fallback = boiler["fallback"]
    assert isinstance(fallback, dict)
    assert fallback["not_judged"] == boiler["not_judged"] != []


def test_where_nothing_can_be_settled_an_open_stop_rule_is_named_too(tmp_path: Path) -> None:
    # How far the high limit may be off decides safety: without it nothing is proposed, and the valves are left open.
    file = changed(tmp_path, "boiler", 0, "controls", "high_limit", "tolerance", None)
    text = as_one_line(evenfire("settle", file, "--without-motion").output)
    assert "CANNOT SETTLE" in text
    assert "high-limit-below-valve" in text[text.index("STOP RULES NOT JUDGED") :]


def test_where_every_stop_rule_was_judged_nothing_is_said() -> None:
    assert "STOP RULES NOT JUDGED" not in evenfire("settle", LAUNDRY, "--without-motion").output
    assert settled(str(EXAMPLES / "laundry.toml"))["not_judged"] == []


def test_least_bad_settings_say_that_the_burner_is_locked_out_before_a_dial_is_turned(tmp_path: Path) -> None:
    text = as_one_line(evenfire("settle", changed(tmp_path, "load", "need", "128 psi"), "--without-motion").output)
    assert "BURNER OFF AND LOCKED OUT before any dial is turned towards them" in text
    assert "no order of moves is given to settings that do not fit" in text
    assert "BURNER OFF AND LOCKED OUT before" not in evenfire("settle", LAUNDRY, "--without-motion").output

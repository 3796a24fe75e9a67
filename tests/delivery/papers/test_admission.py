"""Which settings get a paper, which are marked, which are refused, and with which exit code."""

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
import tomlkit

from evenfire.delivery.acts.papers import PaperAsked, card_of, countersigner_of, sheet_of, write_card
from evenfire.delivery.answers import Ending
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_text
from evenfire.delivery.intake.template import new_plant_file
from evenfire.delivery.papers.admission import Countersigner, Refusal
from evenfire.delivery.papers.content import PaperSize
from evenfire.delivery.papers.printing import printed
from evenfire.errors import BadRequest
from evenfire.judgement.case import SettingsSet
from evenfire.judgement.outcome import NotJudged, Severity
from evenfire.judgement.rulebook import RULES, judge
from tests.delivery.papers.pages import reader
from tests.delivery.papers.settled import settled, settled_text, written_card, written_sheet
from tests.surveys import EXAMPLES, case_of, survey

AS_FOUND = PaperAsked(settings=SettingsSet.AS_FOUND)
AS_LEFT = PaperAsked(settings=SettingsSet.AS_LEFT)
SIGNER = "Imke Tarrow, HB-2214"
UNKNOWN: dict[str, object] = {
    "boiler.controls.high_limit.reset": None,
    "boiler.controls.high_limit.own_element": None,
    "boiler.controls.high_limit.water_leg": None,
    "boiler.controls.high_limit.valve_in_line": None,
    "boiler.controls.operating_limit.tolerance": None,
    "boiler.as_found.jumpers": None,
}
"""What nobody looked at; a stop rule asks for each."""
ABOVE_THE_VALVES = {"boiler.as_found.high_limit": "155 psi"}
"""The laundry's valves are set to 150 psi: a high limit above them is a stop finding (rule book)."""


def as_left(plant_file: PlantFile) -> PlantFile:
    """The same readings, taken as those that somebody left."""
    boiler = plant_file.plant.boilers[0]
    assert boiler.as_found is not None
    left = replace(boiler, as_left=boiler.as_found.settings)
    return replace(plant_file, plant=replace(plant_file.plant, boilers=(left,)))


def pages_of_text(content: bytes) -> list[str]:
    return [" ".join(page.extract_text().replace("\u200b", "").split()) for page in reader(content).pages]


def test_settings_as_left_with_a_stop_finding_get_neither_paper() -> None:
    plant_file = as_left(survey(ABOVE_THE_VALVES))
    for answer in (sheet_of(plant_file, AS_LEFT), card_of(plant_file, AS_LEFT)):
        assert isinstance(answer, Refusal)
        assert answer.ending is Ending.STOP_FINDING
        assert "154.8 psi" in answer.why
    refused = sheet_of(plant_file, AS_LEFT)
    assert isinstance(refused, Refusal)
    assert "--settings as-found" in refused.why


def test_settings_as_found_with_a_stop_finding_get_a_record_that_is_marked_so_on_every_page() -> None:
    answer = sheet_of(survey(ABOVE_THE_VALVES), AS_FOUND)
    assert not isinstance(answer, Refusal)
    content, found = answer
    assert found.ending is Ending.STOP_FINDING
    pages = pages_of_text(printed(content, PaperSize.LETTER))
    assert len(pages) > 5
    for page in pages:
        assert "AS FOUND 2026-11-03: A RECORD, NO ADVICE. DO NOT FIRE IT LIKE THIS" in page
    assert "STOP: " in pages[0]


def test_nobody_gets_a_card_for_a_boiler_that_must_not_be_fired_as_found_or_not() -> None:
    answer = card_of(survey(ABOVE_THE_VALVES), AS_FOUND)
    assert isinstance(answer, Refusal)
    assert answer.ending is Ending.STOP_FINDING


def test_what_fails_only_in_motion_is_refused_as_a_broken_rule_is() -> None:
    """The school by dial: check finds no stop, and the high limit alone does not stop it below its valve."""
    plant_file = survey(plant="school-by-dial")
    answer = card_of(plant_file, PaperAsked())
    assert isinstance(answer, Refusal)
    assert answer.ending is Ending.STOP_FINDING
    assert "High limit alone" in answer.why


@pytest.mark.parametrize("paper", ["sheet", "card"])
def test_a_stop_rule_that_could_not_be_judged_refuses_until_somebody_answers_for_it_by_name(paper: str) -> None:
    plant_file = as_left(survey({"boiler.controls.high_limit.own_element": None}))
    write = {"sheet": sheet_of, "card": card_of}[paper]
    refused = write(plant_file, AS_LEFT)
    assert isinstance(refused, Refusal)
    assert refused.ending is Ending.STOP_NOT_JUDGED
    assert "own sensing element" in refused.why
    signed = write(plant_file, replace(AS_LEFT, countersigned_by=SIGNER))
    assert not isinstance(signed, Refusal)
    content, found = signed
    assert found.ending is Ending.STOP_NOT_JUDGED
    first = pages_of_text(printed(content, PaperSize.LETTER))[0]
    typed = {"sheet": "typed when this was printed, not part of any signed record", "card": "Typed, not signed."}[paper]
    for said in ("Imke Tarrow", "HB-2214", "NOT ALL STOP RULES JUDGED", "own sensing element", typed):
        assert said in first


def test_every_stop_rule_that_was_not_judged_stands_at_the_head_of_the_sheet() -> None:
    plant_file = survey(UNKNOWN)
    lacking = {each.code for each in judge(case_of(plant_file)) if isinstance(each, NotJudged)}
    stops = {rule.question for rule in RULES if rule.code in lacking and rule.severity is Severity.STOP}
    assert len(stops) == len(UNKNOWN)
    content = written_sheet(plant_file, replace(AS_FOUND, countersigned_by=SIGNER))
    for question in stops:
        assert any(question in notice for notice in content.head.notices)


def test_a_card_that_cannot_name_all_that_was_not_judged_on_one_page_is_refused(tmp_path: Path) -> None:
    document = tomllib.loads((EXAMPLES / "laundry.toml").read_text(encoding="utf-8"))
    boiler = document["boiler"][0]
    for key in ("reset", "own_element", "valve_in_line"):
        del boiler["controls"]["high_limit"][key]
    del boiler["as_found"]["jumpers"]
    path = tmp_path / "plant.toml"
    path.write_text(tomlkit.dumps(document), encoding="utf-8")
    answer = write_card(path, tmp_path / "card.pdf", PaperAsked(countersigned_by=SIGNER))
    assert isinstance(answer, Refusal)
    assert answer.ending is Ending.STOP_NOT_JUDGED
    assert "one page" in answer.why
    assert not (tmp_path / "card.pdf").exists()


def test_a_stale_proposal_is_refused_and_says_how_to_make_a_new_one() -> None:
    text = settled_text("laundry").replace('mawp = "150 psi"', 'mawp = "149 psi"')
    stale = read_plant_text(text, "laundry.toml")
    for write in (sheet_of, card_of):
        with pytest.raises(BadRequest, match=r"another survey.*evenfire settle laundry\.toml --write"):
            write(stale, PaperAsked())


def test_beside_settings_that_were_read_a_stale_proposal_is_told_and_not_shown() -> None:
    text = settled_text("laundry").replace('mawp = "150 psi"', 'mawp = "149.5 psi"')
    content = written_sheet(read_plant_text(text, "laundry.toml"), AS_FOUND)
    assert all(line.proposed == "" for line in content.dials)
    assert any("stale" in notice for notice in content.head.notices)


def test_a_plant_file_that_still_holds_examples_is_refused() -> None:
    example = read_plant_text(new_plant_file(), "new.toml")
    for write in (sheet_of, card_of):
        with pytest.raises(BadRequest, match="FILL IN"):
            write(example, PaperAsked())


def test_a_card_of_nothing_is_refused() -> None:
    with pytest.raises(BadRequest, match="no settings proposed"):
        card_of(survey(), PaperAsked(settings=SettingsSet.PROPOSED))
    with pytest.raises(BadRequest, match="nothing for a card"):
        card_of(survey({"boiler.as_found": None}), PaperAsked())


@pytest.mark.parametrize("text", ["Imke Tarrow", "Imke Tarrow,", ", HB-2214", ""])
def test_a_countersigner_has_a_name_and_a_licence(text: str) -> None:
    with pytest.raises(BadRequest, match="NAME, LICENCE"):
        countersigner_of(text)


def test_a_name_may_hold_a_comma() -> None:
    assert countersigner_of("Tarrow, Imke, HB-2214") == Countersigner(name="Tarrow, Imke", licence="HB-2214")


def test_without_being_asked_a_paper_tells_of_those_left_then_proposed_then_found() -> None:
    assert written_card(survey(), PaperAsked()).head.state.startswith("AS FOUND")
    assert written_card(settled("laundry"), PaperAsked()).head.state.startswith("PROPOSED")
    assert written_card(as_left(settled("laundry")), PaperAsked()).head.state.startswith("AS LEFT")

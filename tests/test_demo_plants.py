"""Each demo plant shows the one fault it was made to show, and settle finds settings that are free of it."""

import tomllib
from typing import Any

import pytest

from evenfire.judgement.case import SettingsSet, prepare
from evenfire.judgement.outcome import Finding, NotJudged, Severity
from evenfire.judgement.rulebook import judge
from evenfire.judgement.settle.result import Fits
from evenfire.judgement.settle.settling import settle
from tests.surveys import EXAMPLES, case_of, survey

HEAVY = {Severity.STOP, Severity.WARN}

# The heads of the files say in words what was planted; these are the rules that must see it, all of them and no other.
PLANTED: dict[str, set[str]] = {
    "board-mill": {"high-limit-stops-before-valve"},
    "rental-trailer-depot": {"hold-below-restart", "hold-below-full-load"},
    "rental-trailer-brewery": {"need-at-full-load", "restart-holds-need"},
    "vertical": {"cut-out-clear-of-high-limit"},
}
DEPOT, BREWERY = "rental-trailer-depot", "rental-trailer-brewery"


@pytest.mark.parametrize("plant", PLANTED)
def test_the_planted_fault_is_found_and_nothing_else_as_grave(plant: str) -> None:
    outcomes = judge(case_of(survey(plant=plant)))
    graves = {each.code for each in outcomes if isinstance(each, Finding) and each.severity in HEAVY}
    assert graves == PLANTED[plant]


@pytest.mark.parametrize("plant", PLANTED)
def test_nothing_is_left_unjudged_for_want_of_a_key(plant: str) -> None:
    assert [each.code for each in judge(case_of(survey(plant=plant))) if isinstance(each, NotJudged)] == []


@pytest.mark.parametrize("plant", PLANTED)
def test_nothing_is_assumed(plant: str) -> None:
    assert survey(plant=plant).filled == ()


@pytest.mark.parametrize("plant", PLANTED)
def test_settle_fits_without_a_stop_or_warn_finding(plant: str) -> None:
    surveyed = survey(plant=plant).plant
    answer = settle(surveyed, surveyed.boilers[0])
    assert isinstance(answer, Fits), answer
    assert [each for each in judge(answer.chosen.case) if isinstance(each, Finding) and each.severity in HEAVY] == []
    assert answer.chosen.not_weighed == ()


def test_the_trailer_is_one_boiler_at_both_sites() -> None:
    assert trailer(DEPOT) == trailer(BREWERY)


def test_the_trailer_comes_to_the_brewery_with_dials_that_are_right_for_the_depot() -> None:
    depot, arrived = survey(plant=DEPOT).plant, survey(plant=BREWERY).plant.boilers[0].as_found
    assert arrived is not None
    left = prepare(depot, depot.boilers[0], SettingsSet.AS_LEFT, arrived.settings)
    assert [each for each in judge(left) if isinstance(each, Finding) and each.severity in HEAVY] == []


def trailer(plant: str) -> dict[str, Any]:
    """What the file says of the boiler itself, without the settings that it was found with."""
    boiler = tomllib.loads((EXAMPLES / f"{plant}.toml").read_text(encoding="utf-8"))["boiler"][0]
    return {key: value for key, value in boiler.items() if key != "as_found"}

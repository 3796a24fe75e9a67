"""The operator card: one page, type that is read from a few steps away, every pressure, what to do and not to do."""

import re
from dataclasses import replace

import pytest

from evenfire.delivery.acts.papers import PaperAsked
from evenfire.delivery.papers.content import PaperSize
from evenfire.delivery.papers.printing import pages_of, printed
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words.cautions import CAUTIONS
from evenfire.judgement.case import SettingsSet
from tests.delivery.papers.pages import boxes, outside, overlapping, size_in_points, text_of
from tests.delivery.papers.settled import SETTLING, card, proposal_in, settled, written_card

LEAST_NUMBER, LEAST_TEXT = 36.0, 16.0
"""[pt], as the work that asked for the card says."""
PAPERS = {PaperSize.LETTER: (612.0, 792.0), PaperSize.A4: (595.28, 841.89)}
"""8.5 x 11 in and 210 x 297 mm (ISO 216, from memory) [pt]."""
LONGEST = ("W" * 100, "Wm " * 33 + "W", ("A boiler house with a very long name " * 3)[:99])
"""Names of as many characters as a plant file takes."""


@pytest.mark.parametrize("system", UnitSystem)
@pytest.mark.parametrize("size", PaperSize)
@pytest.mark.parametrize("plant", SETTLING)
def test_the_card_of_every_demo_plant_is_one_page_of_large_type(
    plant: str, size: PaperSize, system: UnitSystem
) -> None:
    content = card(plant, system)
    paper = printed(content, size)
    found = boxes(paper)
    assert {box.page for box in found} == {0}
    assert size_in_points(paper) == pytest.approx(PAPERS[size], abs=0.01)
    numbers = {line.number for line in content.lines}
    shown = [box for box in found if box.text in numbers]
    assert len(shown) == len(content.lines) > 3
    assert min(box.size for box in shown) >= LEAST_NUMBER
    assert min(box.size for box in found) >= LEAST_TEXT
    assert not outside(paper)
    assert not overlapping(paper)


@pytest.mark.parametrize("size", PaperSize)
@pytest.mark.parametrize("name", LONGEST)
def test_the_longest_names_and_the_widest_numbers_still_leave_one_page(name: str, size: PaperSize) -> None:
    plant_file = settled("laundry", ('"Gull Quay Laundry"', f'"{name}"'), ('"No. 1"', f'"{name}"'))
    content = written_card(plant_file, PaperAsked())
    wide = replace(content, lines=tuple(replace(line, number="2,393.1") for line in content.lines))
    paper = printed(wide, size)
    assert pages_of(wide, size) == 1
    assert sum(box.text == "2,393.1" and box.size >= LEAST_NUMBER for box in boxes(paper)) == 7
    assert not outside(paper)
    assert not overlapping(paper)


@pytest.mark.parametrize("plant", SETTLING)
def test_the_pressures_stand_in_order_from_the_highest_down(plant: str) -> None:
    numbers = [float(line.number) for line in card(plant).lines]
    assert numbers == sorted(numbers, reverse=True)
    assert card(plant).lines[0].name == "Safety valves"


def test_the_pressures_of_the_laundry_are_those_of_its_proposal() -> None:
    """The dials of the proposal less 0.21 psi: six inches of water leg below the tap, at 27.71 in/psi (P: HB1919)."""
    proposal = proposal_in("laundry")
    leg = 6 / 27.71
    number = {(line.name, line.does.split(" ")[0]): float(line.number) for line in card("laundry").lines}

    def dial(key: str) -> float:
        text = proposal[key]
        assert isinstance(text, str)
        return float(text.split(" ")[0])

    assert number["High limit", "stops"] == pytest.approx(dial("high_limit") - leg, abs=0.06)
    cut_out = dial("operating_limit") - leg
    assert number["Operating limit", "stops"] == pytest.approx(cut_out, abs=0.06)
    cut_in = cut_out - dial("operating_limit_differential")
    assert number["Operating limit", "starts"] == pytest.approx(cut_in, abs=0.06)
    assert number["Firing rate", "is"] == pytest.approx(dial("firing_rate") - leg, abs=0.06)
    assert number["Low-fire hold", "lets"] == pytest.approx(dial("low_fire_hold") - leg, abs=0.06)


def test_the_card_says_what_to_do_and_not_to_do_when_the_high_limit_has_acted() -> None:
    text = text_of(printed(card("laundry"), PaperSize.LETTER))
    for said in ("The high limit has acted", "Reset ONCE", "It acts again: leave it off", "Never reset twice", "Call"):
        assert said in text


def test_the_card_carries_the_cautions_that_concern_operators_word_for_word() -> None:
    text = text_of(printed(card("laundry"), PaperSize.LETTER))
    theirs = [line for line in CAUTIONS if re.search(r"kill|Bypass|stays out of service|warms up|discharge", line)]
    assert len(theirs) == 5
    assert all(line in text for line in theirs)


def test_a_card_of_no_signed_visit_says_that_it_is_not_signed() -> None:
    text = text_of(printed(card("laundry"), PaperSize.LETTER))
    assert "Not signed." in text
    assert "PROPOSED: NOT SET YET" in text


def test_low_fire_before_the_stop_is_told_only_where_the_settings_make_it_so() -> None:
    """As found the laundry's fire is shut off before it is down: low fire from 124.8 psi, cut-out 119.8 psi."""
    told = "The burner is at low fire before it stops."
    assert told in card("laundry").daily
    found = written_card(settled("laundry"), PaperAsked(settings=SettingsSet.AS_FOUND))
    assert told not in found.daily

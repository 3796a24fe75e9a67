"""The operator card: one page, type that is read from a few steps away, every pressure, what to do and not to do."""

import re
from dataclasses import replace

import pytest

from evenfire.delivery.acts.papers import PaperAsked, card_of
from evenfire.delivery.papers.admission import Refusal
from evenfire.delivery.papers.content import CardContent, PaperSize
from evenfire.delivery.papers.of_visit import OfVisit
from evenfire.delivery.papers.printing import pages_of, printed
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words.cautions import CAUTIONS
from evenfire.judgement.case import SettingsSet
from evenfire.plant.settings import Settings
from tests.delivery.papers.filled import SIGNED
from tests.delivery.papers.pages import boxes, outside, overlapping, size_in_points, text_of
from tests.delivery.papers.settled import SETTLING, card, proposal_in, settled, written_card
from tests.surveys import EXAMPLES

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
    for said in ("The high limit has acted", "reset ONCE", "It acts again: leave it off", "Never reset twice", "Call"):
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


def acted(content: CardContent) -> str:
    return " ".join(content.acted)


@pytest.mark.parametrize("plant", SETTLING)
def test_looking_and_calling_come_before_any_reset(plant: str) -> None:
    """A high limit that was reset before its cause was found will act again (common practice, no source)."""
    told = acted(card(plant))
    places = [
        told.index(each) for each in ("gauge, water glass, flame", "Call before any reset", "no cause", "reset ONCE")
    ]
    assert places == sorted(places)
    assert told.count("reset ONCE") == 1
    assert told.endswith("call again."), "one reset, then call"
    assert "who you called agrees" in told
    assert "wait until the pressure has fallen" not in told


@pytest.mark.parametrize("system", UnitSystem)
@pytest.mark.parametrize("plant", SETTLING)
def test_nobody_resets_above_the_pressure_at_which_the_burner_starts_in_normal_work(
    plant: str, system: UnitSystem
) -> None:
    content = card(plant, system)
    (starts,) = [line for line in content.lines if line.does.startswith("starts it again")]
    found = re.search(r"Gauge above ([\d.]+) (\w+), or no cause found: nobody resets\.", acted(content))
    assert found is not None
    assert found[2] == starts.unit
    # Shown rounded down: never more than the cut-in, and no more than the last digit below it.
    assert float(starts.number) - 0.11 <= float(found[1]) <= float(starts.number)


def test_where_no_cut_in_is_known_the_card_allows_no_reset() -> None:
    plant_file = settled("laundry", ("operating_limit_differential = ", "# operating_limit_differential = "))
    asked = PaperAsked(settings=SettingsSet.AS_FOUND, countersigned_by="Imke Tarrow, HB-2214")
    content = written_card(plant_file, asked)
    assert not any(line.does.startswith("starts it again") for line in content.lines)
    assert "nobody resets until somebody qualified is there" in acted(content)
    assert "ONCE" not in acted(content)


def without_hold(plant: str) -> CardContent:
    """The demo plant as if it had no low-fire hold."""
    text = (EXAMPLES / f"{plant}.toml").read_text(encoding="utf-8")
    (block,) = re.findall(r"\[boiler\.controls\.low_fire_hold\]\n(?:[^\[\n].*\n|\n)*", text)
    (reading,) = re.findall(r'\nlow_fire_hold = ".*"', text)
    return written_card(settled(plant, (block, ""), (reading, "")), PaperAsked())


def test_a_hold_that_is_not_there_is_not_told_of() -> None:
    """Low fire by hand until steam comes (common practice, no source); the school burner only goes on and off."""
    told = " ".join(without_hold("laundry").cautions)
    assert "No low-fire hold: keep it at low fire by hand until steam comes, and stay." in told
    assert "the low-fire hold does not replace you" not in told
    for plant in ("school", "vertical"):
        cautions = card(plant).cautions
        assert "Stay with a boiler that warms up." in cautions
        assert "hold" not in " ".join(cautions)


def test_a_water_tube_boiler_without_a_hold_is_kept_low_to_100_psi() -> None:
    """Generally 100 psi before it leaves low fire (common practice, no source)."""
    told = " ".join(without_hold("board-mill").cautions)
    assert "keep it at low fire by hand until 100 psi, and stay." in told


@pytest.mark.parametrize("size", PaperSize)
@pytest.mark.parametrize("name", LONGEST)
def test_the_mark_of_an_unknown_signer_stands_on_the_one_page_beside_the_longest_names(
    name: str, size: PaperSize
) -> None:
    plant_file = settled("laundry", ('"Gull Quay Laundry"', f'"{name}"'), ('"No. 1"', f'"{name}"'))
    of_visit = OfVisit(
        body={},
        dials_left=Settings(),
        notices=(),
        stops=(),
        signed=replace(SIGNED, mark="SIGNER NOT KNOWN HERE"),
        is_amended=True,
        versions="",
    )
    made = card_of(plant_file, PaperAsked(), None, of_visit)
    assert not isinstance(made, Refusal)
    wide = replace(made[0], lines=tuple(replace(line, number="2,393.1") for line in made[0].lines))
    paper = printed(wide, size)
    assert pages_of(wide, size) == 1
    assert text_of(paper).count("SIGNER NOT KNOWN HERE") == 2, "at the head and at the foot"
    assert not outside(paper)
    assert not overlapping(paper)

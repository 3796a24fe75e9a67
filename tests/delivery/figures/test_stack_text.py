from dataclasses import replace
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.figures.measured_text import cells
from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_levels import StackLayout
from evenfire.delivery.figures.stack_text import stack_text
from evenfire.delivery.report.boiler_text import standing_lines
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import UnitSystem, show
from evenfire.delivery.words import say
from evenfire.judgement.case import SettingsSet, prepare
from evenfire.judgement.outcome import Clear, Finding
from evenfire.judgement.rulebook import judge
from evenfire.judgement.standing import standing_of
from evenfire.plant.burner import Firing
from evenfire.plant.controls import Action
from evenfire.plant.known import Datum
from evenfire.plant.load import Ramp
from evenfire.plant.readings import Measured, RunOn, Undershoot
from evenfire.plant.settings import Settings
from evenfire.si import DiffPa
from tests.delivery.figures.stacks import FOUND, burner, case, dial, found_and_proposed, laundry, layouts, psi, valve

US = UnitSystem.US


def _levels(text: str) -> list[str]:
    return [
        line for line in text.splitlines() if line.count("|") + line.count("<") > 1 and line.lstrip(" -")[0].isdigit()
    ]


@given(layouts(), st.sampled_from((44, 60, 72, 100)), st.sampled_from(UnitSystem))
def test_no_line_of_any_stack_is_wider_than_asked(layout: StackLayout, width: int, system: UnitSystem) -> None:
    assert max(cells(line) for line in stack_text(layout, system, width).splitlines()) <= width


@given(layouts(), st.sampled_from((44, 72)))
def test_any_stack_has_one_line_for_each_label(layout: StackLayout, width: int) -> None:
    assert len(_levels(stack_text(layout, US, width))) == len(layout.labels)


@given(layouts())
def test_pressures_fall_from_line_to_line_and_stand_under_each_other(layout: StackLayout) -> None:
    lines = _levels(stack_text(layout, US))
    numbers = [line.split()[0].replace(",", "").rstrip("|<") for line in lines]
    assert [float(number) for number in numbers] == sorted((float(number) for number in numbers), reverse=True)
    assert len({line.index("|") for line in lines}) == 1


def test_the_laundry_on_a_telephone_shows_where_the_fire_is_cut() -> None:
    """By hand: at 119.8 psi half fire as found (3 of 6 signs) and low fire, a quarter, as proposed (1.5, so 2)."""
    lines = stack_text(found_and_proposed(), US, 44).splitlines()
    assert " 119.8 |###---<##    | cut-out +-2" in lines
    assert " 127.8 |      |##----< cut-out +-0.5" in lines
    assert " 109.8 |######<######< high fire +-2" in lines
    assert " 150   |......|......| MAWP" in lines
    assert " 145.5 |......|......| earliest lift" in lines
    assert "steady at 75 % load          114.8     113.1" in lines
    assert "steady at 50 % load         cycles     116.5" in lines


@pytest.mark.parametrize(
    "words",
    [
        "MAWP", "2 safety valves set", "earliest lift", "reseat", "high limit trip", "operating limit cut-out",
        "operating limit cut-in", "high fire", "low fire", "low-fire hold", "need", "wish", "downstream rating",
    ],
)  # fmt: skip
def test_every_level_is_named_in_the_words_of_the_trade(words: str) -> None:
    assert any(words in line for line in _levels(stack_text(found_and_proposed(), US, 72)))


def test_the_text_is_plain_characters() -> None:
    assert stack_text(found_and_proposed(), US, 72).isascii()
    assert stack_text(found_and_proposed(), UnitSystem.SI, 44).isascii()


def test_the_mark_and_not_a_colour_says_whose_level_it_is() -> None:
    lines = _levels(stack_text(found_and_proposed(), US, 44))
    found, proposed = (next(line for line in lines if number in line) for number in ("139.8", "136.3"))
    assert found.split("high")[0] == " 139.8 |------<      | "
    assert proposed.split("high")[0] == " 136.3 |      |------< "


def test_control_characters_in_names_never_reach_the_terminal() -> None:
    boiler = replace(
        laundry()[1], name="a\x1b[2Jb\u202ec\x00\nd", safety_valves=(valve("x\x1b]0;y\x07", 150), valve("z", 140))
    )
    text = stack_text(lay_out(case(boiler, FOUND), None), US, 100)
    assert all(sign.isprintable() or sign == "\n" for sign in text)
    assert text.splitlines()[0] == "Pressure stack: a [2Jb c d, Gull Quay Laundry"


def test_long_names_are_shortened_and_the_tolerance_is_kept() -> None:
    boiler = replace(laundry()[1], name="n" * 200, safety_valves=(valve("v" * 200, 150), valve("w" * 200, 145)))
    text = stack_text(lay_out(case(boiler, FOUND), None), US, 44)
    assert text.splitlines()[0].endswith("nnn...")
    assert any("valve set, vvv" in line and line.endswith("...") for line in text.splitlines())
    assert "high limit trip +-2" in text


def test_metric_readers_get_bar() -> None:
    """150 psi are 10.34 bar, 105 psi 7.24 bar, 2 psi 0.14 bar (6894.757 Pa a psi)."""
    lines = stack_text(found_and_proposed(), UnitSystem.SI, 72).splitlines()
    assert any(line.startswith(" 10.34 |") and "MAWP" in line for line in lines)
    assert any(line.startswith("  7.24 |") and "need" in line for line in lines)
    assert any(line.endswith("high limit trip +-0.14") for line in lines)


def test_a_band_that_is_not_on_a_dial_is_said_and_not_drawn() -> None:
    boiler = laundry()[1]
    control = boiler.controls.firing_rate
    assert control is not None
    pid = replace(boiler, controls=replace(boiler.controls, firing_rate=replace(control, action=Action.PID)))
    text = stack_text(lay_out(case(pid, FOUND), None), US)
    assert "band is not on a dial" in text
    assert "#" not in text


def test_what_is_not_surveyed_is_said() -> None:
    boiler = replace(laundry()[1], safety_valves=(valve("only", 150),))
    text = stack_text(lay_out(case(boiler, replace(FOUND, high_limit=None)), None), US)
    assert "Not surveyed: blowdown of safety valve; high limit trip." in text


def test_a_cut_out_within_tolerance_of_low_fire_is_not_called_sure() -> None:
    """Low fire 120 + 2 against cut-out 123 - 2: by the dials in order, at the worst corner not."""
    near = replace(FOUND, operating_limit=dial(123, 8), firing_rate=dial(110, 10))
    text = " ".join(stack_text(lay_out(case(laundry()[1], near), None), US).split())
    assert "before the cut-out by the dials, but within tolerance it may not." in text


def test_an_on_off_burner_is_shown_at_full_fire_up_to_its_cut_out() -> None:
    boiler = replace(laundry()[1], burners=(burner(Firing.ON_OFF, None),))
    settings = Settings(operating_limit=dial(120, 8), high_limit=dial(140))
    lines = _levels(stack_text(lay_out(case(boiler, settings), None), US, 44))
    bars = {line.split()[0]: line.count("#") for line in lines}
    assert bars["130"] == 0
    assert bars["119.8"] == bars["111.8"] == bars["105"] > 0


def test_the_bars_below_the_hold_are_low_fire() -> None:
    lines = stack_text(found_and_proposed(), US, 44).splitlines()
    hold = next(place for place, line in enumerate(lines) if "low-fire hold" in line)
    assert lines[hold + 1] == "       |##    |##    |"


def test_the_tolerance_and_the_worst_pressures_are_never_rounded_to_the_better_side() -> None:
    """A foot of unsure leg adds 0.2165 psi to 2 psi: 2.2165, shown as 2.3."""
    boiler = laundry()[1]
    limit = boiler.controls.high_limit
    assert limit is not None
    assert limit.water_leg is not None
    leg = replace(limit.water_leg, height=0.3048, filling=type(limit.water_leg.filling).UNSURE)
    boiler = replace(boiler, controls=replace(boiler.controls, high_limit=replace(limit, water_leg=leg)))
    assert "high limit trip +-2.3" in stack_text(lay_out(case(boiler, FOUND), None), US)


def test_a_run_on_that_cannot_be_computed_is_called_not_known() -> None:
    """Without its water volume nobody can say how far the pressure of a boiler goes on."""
    boiler = replace(laundry()[1], water_volume=None)
    lines = stack_text(lay_out(case(boiler, FOUND), None), US, 44).splitlines()
    told = [line.split("  ")[0] for line in lines if line.endswith("not known")]
    assert told == ["after cut-in, down to", "after cut-out, up to", "after high limit, up to"]


def test_the_worst_pressures_take_tolerance_and_run_on_together() -> None:
    """A measured run-on of 1 psi and a tolerance of 2 psi above a trip at 139.78 psi: 142.78, rounded up to 142.8."""
    run_on = RunOn(rise=DiffPa(psi(1)), firing=1.0, load=0.0)
    boiler = replace(laundry()[1], measured=Measured(run_on=(run_on,)))
    lines = stack_text(lay_out(case(boiler, FOUND), None), US, 44).splitlines()
    assert any(line.startswith("after high limit, up to") and line.endswith("142.8") for line in lines)


def test_low_fire_before_the_cut_out_is_weighed_as_the_rule_weighs_it() -> None:
    """Low fire 120 + 2 against cut-out 125 - 2 leaves 1 psi by the dials. Half of the load falling away within seconds,
    while the drive needs half a minute, overshoots more than that; falling away through ten hours it does not.
    """
    near = replace(FOUND, operating_limit=dial(125, 8), firing_rate=dial(110, 10))
    plant, boiler = laundry()
    text = {}
    for seconds in (10.0, 36000.0):
        drop = Ramp(size=Datum(0.5), share=True, duration=Datum(seconds))
        loaded = replace(plant, load=replace(plant.load, design_drop=drop))
        found = prepare(loaded, boiler, SettingsSet.AS_FOUND, near)
        rule = next(each for each in judge(found) if each.code == "low-fire-before-cut-out")
        said = " ".join(stack_text(lay_out(found, None), US, 72).split())
        text[type(rule)] = said
    assert "tolerances counted, but not where a falling load overshoots: then it may not." in text[Finding]
    assert "before the cut-out, tolerances and the overshoot of the design drop counted." in text[Clear]


def test_a_boiler_without_a_hold_is_told_as_one_and_not_as_not_surveyed() -> None:
    boiler = laundry()[1]
    boiler = replace(boiler, controls=replace(boiler.controls, low_fire_hold=None))
    text = stack_text(lay_out(case(boiler, replace(FOUND, low_fire_hold=None)), None), US, 100)
    assert "No low-fire hold is listed: in automatic it goes beyond low fire from cold." in text
    assert not any("hold" in line for line in text.splitlines() if line.startswith("Not surveyed"))
    fitted = stack_text(lay_out(case(laundry()[1], replace(FOUND, low_fire_hold=None)), None), US, 100)
    assert "No low-fire hold is listed" not in fitted
    assert any("low-fire hold" in line for line in fitted.splitlines() if line.startswith("Not surveyed"))


def test_a_fall_below_nought_is_told_as_beyond_the_closed_form() -> None:
    """An undershoot of 20 psi from a cut-in near 12 psi: a gauge stops at nought, where air comes in."""
    undershoot = Undershoot(fall=DiffPa(psi(20)), load=0.25)
    boiler = replace(laundry()[1], measured=Measured(undershoot=undershoot))
    low = replace(FOUND, operating_limit=dial(20, 8))
    found = case(boiler, low)
    lines = stack_text(lay_out(found, None), US, 72).splitlines()
    assert any(line.startswith("after cut-in, down to") and line.endswith("0 or below") for line in lines)
    standing = " ".join(standing_lines(standing_of(found), found, Page(200, US)))
    assert "swings between zero gauge or below (beyond what the closed form tells) and" in standing
    rule = next(each for each in judge(found) if each.code == "restart-holds-need")
    said = say(rule, partial(show, system=US)).what
    assert "may fall to zero gauge or below (beyond what the closed form tells)" in said

"""The stack at the size of a stamp: the same levels as the large one, in order, none of its words upon another."""

import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given

from evenfire.delivery.figures.measured_text import width
from evenfire.delivery.figures.small_stack import (
    BOTTOM,
    EXPECTED,
    HEIGHT,
    LINE,
    NOT_KNOWN,
    SHOWN,
    TOP,
    WIDTH,
    small_stack,
    small_stack_in_words,
)
from evenfire.delivery.figures.small_stack_svg import BOLD, small_stack_svg
from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_levels import Column, LevelKind, StackLayout
from evenfire.delivery.units import UnitSystem
from evenfire.plant.settings import Settings
from tests.delivery.figures.stacks import FOUND, case, laundry, layouts, valve

US, SI = UnitSystem.US, UnitSystem.SI
SVG = "{http://www.w3.org/2000/svg}"
LEAST_TYPE = 11.0
"""[px]; as for the large stack"""


def found() -> StackLayout:
    return lay_out(case(laundry()[1], FOUND), None)


def texts(svg: str) -> list[tuple[float, float, float, float, str]]:
    """Left, top, right and bottom of every text, rather too wide than too narrow, with its words [px]."""
    boxes = []
    for element in ET.fromstring(svg).iter(f"{SVG}text"):
        size, words = float(element.attrib["font-size"]), "".join(element.itertext())
        wide = width(words, size) * (BOLD if element.get("font-weight") else 1.0)
        x, y = float(element.attrib["x"]), float(element.attrib["y"])
        left = x - wide if element.get("text-anchor") == "end" else x
        boxes.append((left, y - 0.75 * size, left + wide, y + 0.22 * size, words))
    return boxes


def test_the_levels_of_the_laundry_stand_in_the_order_of_their_pressures() -> None:
    # The order that every stack has to have: the need below the cut-in, the limit below the valve (the dials of the
    # demo laundry as its file tells them, a quarter psi less by half a foot of water on each).
    labels = small_stack(found(), US).labels
    assert [label.kind for label in labels] == [
        LevelKind.SAFETY_VALVE,
        LevelKind.HIGH_LIMIT,
        LevelKind.CUT_OUT,
        LevelKind.CUT_IN,
        LevelKind.NEED,
        LevelKind.LOW_FIRE_HOLD,
    ]
    assert [label.number for label in labels] == ["150", "139.8", "119.8", "111.8", "105", "59.8"]


@given(layouts())
def test_what_stands_higher_is_told_higher_and_no_label_lies_upon_another(layout: StackLayout) -> None:
    labels = small_stack(layout, US).labels
    known = [label.level_y for label in labels if label.level_y is not None]
    assert known == sorted(known)
    assert all(TOP - 1e-6 <= y <= BOTTOM + 1e-6 for y in known)
    assert all(below.y - above.y >= LINE - 1e-6 for above, below in pairwise(labels))


@given(layouts())
@pytest.mark.parametrize("system", UnitSystem)
def test_every_word_fits_into_the_picture_and_touches_no_other(system: UnitSystem, layout: StackLayout) -> None:
    boxes = texts(small_stack_svg(layout, system))
    for left, top, right, bottom, words in boxes:
        assert left >= 0.0, words
        assert right <= WIDTH, words
        assert top >= 0.0, words
        assert bottom <= HEIGHT, words
    for index, one in enumerate(boxes):
        for other in boxes[index + 1 :]:
            apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            assert apart, (one, other)


@given(layouts())
def test_each_expected_level_is_told_or_said_not_to_be_known(layout: StackLayout) -> None:
    labels = small_stack(layout, US).labels
    kinds = [label.kind for label in labels]
    assert set(EXPECTED) <= set(kinds) <= set(SHOWN)
    assert len(kinds) == len(set(kinds))
    for label in labels:
        assert (label.number == NOT_KNOWN) is (label.level_y is None)


def test_a_boiler_whose_valve_and_limits_nobody_knows_says_so_in_the_picture_and_in_its_words() -> None:
    boiler = replace(laundry()[1], safety_valves=())
    layout = lay_out(case(boiler, Settings(firing_rate=FOUND.firing_rate)), None)
    unknown = [label.kind for label in small_stack(layout, US).labels if label.number == NOT_KNOWN]
    assert unknown == [LevelKind.SAFETY_VALVE, LevelKind.HIGH_LIMIT, LevelKind.CUT_OUT]
    assert "Not known: safety valve set, high limit trip, cut-out." in small_stack_in_words(layout, US)


def test_of_several_safety_valves_the_one_that_is_set_lowest_is_drawn() -> None:
    boiler = replace(laundry()[1], safety_valves=(valve("rear", 155), valve("front", 148)))
    layout = lay_out(case(boiler, FOUND), None)
    assert small_stack(layout, US).labels[0].number == "148"


def test_a_limit_above_its_valve_is_drawn_above_it() -> None:
    boiler = replace(laundry()[1], safety_valves=(valve("front", 130),))
    labels = small_stack(lay_out(case(boiler, FOUND), None), US).labels
    assert [label.kind for label in labels[:2]] == [LevelKind.HIGH_LIMIT, LevelKind.SAFETY_VALVE]


def test_words_and_picture_give_the_same_numbers_in_the_units_of_the_reader() -> None:
    # 1 bar is 100 kPa and 1 psi 6.894757 kPa (NIST SP 811): 150 psi is 10.34 bar.
    layout = found()
    for system, valve_set in ((US, "150"), (SI, "10.34")):
        words = small_stack_in_words(layout, system)
        assert f"safety valve set {valve_set}" in words
        for label in small_stack(layout, system).labels:
            assert re.search(rf"\b{re.escape(label.number)}\b", words), label


def test_the_fire_is_full_at_the_foot_and_ends_at_the_cut_out() -> None:
    small = small_stack(found(), US)
    assert small.column is Column.AS_FOUND
    cut_out = next(label for label in small.labels if label.kind is LevelKind.CUT_OUT)
    firing, heights = zip(*small.fire, strict=True)
    assert max(firing) == pytest.approx(1.0)
    # The laundry cuts out before it is down at low fire: the fire is still well above its least there.
    assert min(heights) == pytest.approx(cut_out.level_y, abs=0.1)
    assert small.fire[-1][0] > 0.25


def test_the_document_is_small_runs_nothing_and_has_type_that_can_be_read() -> None:
    svg = small_stack_svg(found(), US)
    root = ET.fromstring(svg)
    assert len(svg.encode()) < 8_000
    assert {each.tag.removeprefix(SVG) for each in root.iter()} <= {
        "svg", "title", "style", "rect", "text", "line", "polyline", "polygon",
    }  # fmt: skip
    assert not [name for each in root.iter() for name in each.attrib if name.startswith("on") or "href" in name]
    assert all(float(each.attrib["font-size"]) >= LEAST_TYPE for each in root.iter(f"{SVG}text"))

import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.figures import stack_looks as looks
from evenfire.delivery.figures.measured_text import width
from evenfire.delivery.figures.stack_frame import frame_of
from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_levels import Column, LevelKind, StackLayout
from evenfire.delivery.figures.stack_svg import stack_svg
from evenfire.delivery.units import UnitSystem
from tests.delivery.figures.stacks import FOUND, case, found_and_proposed, laundry, layouts, valve

US = UnitSystem.US
SVG = "{http://www.w3.org/2000/svg}"
SMALLEST_TYPE = 11.0
widths = st.sampled_from((340, 360, 412, 560, 720))


def _parsed(layout: StackLayout, total_width: float = 360) -> ET.Element:
    return ET.fromstring(stack_svg(layout, US, total_width))


def _words(element: ET.Element) -> str:
    return "".join(element.itertext())


def _shown(root: ET.Element) -> list[ET.Element]:
    """All elements but those inside a pattern, which have coordinates of their own."""
    hidden = {id(inside) for definitions in root.iter(f"{SVG}defs") for inside in definitions.iter()}
    return [element for element in root.iter() if id(element) not in hidden]


def _corners(element: ET.Element) -> Iterator[tuple[float, float]]:
    def at(name: str) -> float:
        return float(element.attrib[name])

    match element.tag.removeprefix(SVG):
        case "line":
            yield from ((at("x1"), at("y1")), (at("x2"), at("y2")))
        case "rect":
            x, y = float(element.get("x", "0")), float(element.get("y", "0"))
            yield from ((x, y), (x + at("width"), y + at("height")))
        case "circle":
            yield from ((at("cx") - at("r"), at("cy") - at("r")), (at("cx") + at("r"), at("cy") + at("r")))
        case "polyline" | "polygon":
            for pair in element.attrib["points"].split():
                across, _, down = pair.partition(",")
                yield float(across), float(down)
        case "text":
            yield from _text_corners(element)
        case _:
            return


def _text_corners(element: ET.Element) -> Iterator[tuple[float, float]]:
    x, y, size = (float(element.attrib[name]) for name in ("x", "y", "font-size"))
    wide = width(_words(element), size) * (1.08 if "font-weight" in element.attrib else 1.0)
    before = {"start": 0.0, "middle": 0.5, "end": 1.0}[element.get("text-anchor", "start")]
    left = x - before * wide
    yield from ((left, y - 0.75 * size), (left + wide, y + 0.22 * size))


@given(layouts(), widths, st.sampled_from(UnitSystem))
def test_everything_of_any_stack_stays_inside_the_drawing(
    layout: StackLayout, total_width: int, system: UnitSystem
) -> None:
    root = ET.fromstring(stack_svg(layout, system, total_width))
    left, top, wide, high = map(float, root.attrib["viewBox"].split())
    assert (left, top, wide) == (0.0, 0.0, total_width)
    for element in _shown(root):
        for x, y in _corners(element):
            assert -0.01 <= x <= wide + 0.01, (element.attrib, _words(element))
            assert -0.01 <= y <= high + 0.01, (element.attrib, _words(element))


@given(layouts(), widths)
def test_no_two_labels_of_any_stack_overlap_and_all_stand_beside_the_scale(
    layout: StackLayout, total_width: int
) -> None:
    frame = frame_of(layout, US, total_width, top=60.0)
    boxes = [placed.box for placed in frame.labels]
    assert len(boxes) == len(layout.labels)
    assert all(above.bottom <= below.top + 1e-6 for above, below in pairwise(boxes))
    assert all(frame.plot.top - 1e-6 <= box.top and box.bottom <= frame.plot.bottom + 1e-6 for box in boxes)
    assert all(frame.plot.right <= box.left and box.right <= total_width for box in boxes)


@given(layouts(), widths)
def test_words_of_any_label_fit_between_their_columns(layout: StackLayout, total_width: int) -> None:
    frame = frame_of(layout, US, total_width, top=60.0)
    for placed in frame.labels:
        assert width(placed.words, frame.sizes.usual) <= frame.columns.right - frame.columns.words + 1e-6
        assert 1.08 * width(placed.number, frame.sizes.usual) <= frame.columns.number_right - frame.columns.left + 1e-6


@given(layouts(), widths)
def test_no_type_is_smaller_than_can_be_read_on_a_telephone(layout: StackLayout, total_width: int) -> None:
    sizes = [float(element.attrib["font-size"]) for element in _parsed(layout, total_width).iter(f"{SVG}text")]
    assert min(sizes) >= SMALLEST_TYPE


@given(layouts())
def test_every_level_of_any_stack_has_its_number_and_its_words(layout: StackLayout) -> None:
    texts = [_words(text) for text in _parsed(layout, 720).iter(f"{SVG}text")]
    frame = frame_of(layout, US, 720, top=60.0)
    for placed in frame.labels:
        assert placed.number + placed.unseen in texts
        assert placed.words in texts


@pytest.mark.parametrize(
    "words",
    [
        "MAWP: never above this", "2 safety valves set", "earliest lift of 2 safety valves",
        "reseat of 2 safety valves",
        "high limit trip \u00b12", "high limit trip \u00b10.5", "operating limit cut-out \u00b12",
        "operating limit cut-out \u00b10.5", "operating limit cut-in \u00b12", "operating limit cut-in \u00b10.5",
        "low fire, top of firing band \u00b12", "high fire, foot of firing band \u00b12", "low-fire hold \u00b12",
        "need: users want at least this", "wish: nobody wants more", "downstream rating",
    ],
)  # fmt: skip
def test_the_laundry_has_all_its_labels(words: str) -> None:
    assert words in [_words(text) for text in _parsed(found_and_proposed(), 720).iter(f"{SVG}text")]


def test_a_level_stands_at_its_pressure_on_the_scale() -> None:
    """Between the ticks of 110 and 130 psi a cut-out at 119.78 psi stands 48.9 % of the way up."""
    frame = frame_of(found_and_proposed(), US, 360, top=60.0)
    low, high, cut_out = (frame.y_of(number * 6894.757) for number in (110.0, 130.0, 119.7835))
    assert (cut_out - low) / (high - low) == pytest.approx((119.7835 - 110) / 20)


def test_the_drawing_says_in_words_what_it_shows() -> None:
    root = _parsed(found_and_proposed())
    assert root.attrib["role"] == "img"
    assert root[0].tag == f"{SVG}title"
    assert root[0].text == "Pressure stack of No. 1, Gull Quay Laundry"
    description = root[1].text or ""
    assert "MAWP: never above this 150;" in description
    assert "operating limit cut-out as found 119.8 \u00b12" in description
    assert "high fire, foot of firing band as found and proposed 109.8 \u00b12" in description
    assert "the cut-out stops the burner at 50\u00a0% of full fire" in description


def test_the_drawing_needs_nothing_from_elsewhere() -> None:
    text = stack_svg(found_and_proposed(), US).replace("http://www.w3.org/2000/svg", "")
    assert "http" not in text
    assert "href" not in text
    assert "<script" not in text
    assert set(re.findall(r"url\((.*?)\)", text)) <= {"#ps-hatch", "#ps-cross", "#ps-dots"}


def test_hostile_names_are_text_and_nothing_else() -> None:
    name = "<script>&\"' \x00\x08\ud800\uffff]]>"
    valves = (valve("</svg><b>", 150), valve("&amp;", 140))
    boiler = replace(laundry()[1], name=name, safety_valves=valves)
    root = _parsed(lay_out(case(boiler, FOUND), None), 720)
    texts = [_words(text) for text in root.iter(f"{SVG}text")]
    assert "<script>&\"' ]]>" in texts
    assert "safety valve set, </svg><b>" in texts
    assert "safety valve set, &amp;" in texts
    assert not list(root.iter(f"{SVG}script"))


def test_long_names_are_shortened() -> None:
    boiler = replace(laundry()[1], name="n" * 300, safety_valves=(valve("v" * 300, 150), valve("w" * 300, 140)))
    texts = [_words(text) for text in _parsed(lay_out(case(boiler, FOUND), None)).iter(f"{SVG}text")]
    assert max(len(text) for text in texts) < 80
    assert any(text.startswith("nnn") and text.endswith("...") for text in texts)


def test_the_same_stack_gives_the_same_bytes_in_another_process() -> None:
    script = (
        "from tests.delivery.figures.stacks import found_and_proposed as f;"
        "from evenfire.delivery.figures.stack_svg import stack_svg as s;"
        "from evenfire.delivery.units import UnitSystem as u;"
        "import sys; sys.stdout.buffer.write(s(f(), u.US).encode())"
    )
    here = stack_svg(found_and_proposed(), US).encode()
    for seed in ("1", "2"):
        found = subprocess.run(
            [sys.executable, "-c", script], capture_output=True, check=True, env={"PYTHONHASHSEED": seed}
        )
        assert found.stdout == here


def test_every_kind_of_level_has_a_line_of_its_own_without_colour() -> None:
    assert set(looks.LEVEL_LOOKS) == set(LevelKind)
    strokes = {(look.width, look.dash) for look in looks.LEVEL_LOOKS.values()}
    assert len(strokes) == len(LevelKind)


def test_as_found_and_proposed_differ_without_colour() -> None:
    for found, proposed in (
        (looks.LINE[Column.AS_FOUND], looks.LINE[Column.PROPOSED]),
        (looks.MARK[Column.AS_FOUND], looks.MARK[Column.PROPOSED]),
        (looks.FIRE[Column.AS_FOUND], looks.FIRE[Column.PROPOSED]),
    ):
        assert (found.dash, found.fill, found.width) != (proposed.dash, proposed.fill, proposed.width)


def test_zones_differ_by_hatch() -> None:
    assert len({looks.VALVE_ZONE.fill, looks.FORBIDDEN.fill, looks.TOLERANCE.fill}) == 3


def test_print_has_no_colour_at_all() -> None:
    """Colours stand in rules for screens only; what the elements carry themselves is grey, black or white."""
    root = _parsed(found_and_proposed())
    styles = "".join(style.text or "" for style in root.iter(f"{SVG}style"))
    assert re.sub(r"@media screen[^{]*\{(?:[^{}]*\{[^{}]*\})*\}", "", styles) == ".ps-unseen{fill:none}"
    for element in root.iter():
        for name in ("fill", "stroke"):
            colour = element.get(name, "none")
            grey = re.fullmatch(r"#([0-9a-f])\1\1|#([0-9a-f]{2})\2\2", colour)
            assert grey or colour == "none" or colour.startswith("url(#ps-"), colour


def _luminance(colour: str) -> float:
    """Relative luminance, W3C WCAG 2.2."""
    digits = "".join(sign * 2 for sign in colour[1:]) if len(colour) == 4 else colour[1:]
    shares = [int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    linear = [share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(one: str, other: str) -> float:
    bright, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("colours", [looks.LIGHT, looks.DARK], ids=["light", "dark"])
def test_lines_and_type_stand_out_on_every_ground(colours: dict[str, tuple[str, str]]) -> None:
    """WCAG 2.2: 7 to 1 for text that must be read in bad light (AAA), 3 to 1 for what is drawn."""
    page = colours["ps-page"][0]
    assert _contrast(colours["ps-ink"][0], page) >= 7.0
    for ground in ("ps-page", "ps-panel", "ps-fire", "ps-fire-found"):
        for stroke in ("ps-line", "ps-danger", "ps-plant", "ps-limit", "ps-rate"):
            assert _contrast(colours[stroke][1], colours[ground][0]) >= 3.0, (stroke, ground)


def test_every_class_that_is_drawn_is_coloured_on_both_screens() -> None:
    assert set(looks.LIGHT) == set(looks.DARK)
    used = {element.get("class") for element in _parsed(found_and_proposed()).iter()} - {None, "ps-unseen", "ps-zone"}
    assert used <= set(looks.LIGHT)


def test_a_drawing_narrower_than_can_be_read_is_made_as_wide_as_needed() -> None:
    assert _parsed(found_and_proposed(), 200).attrib["viewBox"].split()[2] == "340"

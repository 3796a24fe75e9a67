"""The sheet of a proof: a panel for each run, all on the same axes, and nothing that leaves the page."""

import re
import xml.etree.ElementTree as ET  # reads only what was drawn here
from functools import cache

import pytest

from evenfire.delivery.figures.proof_drawing import draw_sheet
from evenfire.delivery.figures.proof_layout import ProofSheet
from evenfire.delivery.figures.trace_file import trace_bytes
from evenfire.delivery.report.proof_sheet import lay_out_sheet
from evenfire.delivery.units import UnitSystem
from evenfire.judgement.proofs.result import Scenario
from evenfire.si import PA_PER_PSI
from tests.judgement.proofs.cases import as_found, proof_of

SVG = "{http://www.w3.org/2000/svg}"


@cache
def sheet_of(plant: str, scenario: Scenario) -> ProofSheet:
    case = as_found(plant)
    return lay_out_sheet(case, proof_of(case, scenario), "2026.1", UnitSystem.US)


def drawn(plant: str, scenario: Scenario, wide: int) -> tuple[float, float, list[str]]:
    """Width and height [pt] of the drawing, and every text in it."""
    root = ET.fromstring(trace_bytes(draw_sheet(sheet_of(plant, scenario), wide), ".svg"))
    texts = ["".join(text.itertext()).replace("\N{NO-BREAK SPACE}", " ").strip() for text in root.iter(f"{SVG}text")]
    width, height = (float(root.attrib[side].removesuffix("pt")) for side in ("width", "height"))
    return width, height, texts


@pytest.mark.parametrize("wide", [360, 720])
def test_each_steady_load_has_a_panel_with_its_share(wide: int) -> None:
    width, _, texts = drawn("laundry", Scenario.STEADY_LOADS, wide)
    assert width == pytest.approx(wide * 72 / 96)
    loads = [text for text in texts if text.startswith("Load ")]
    shares = [int(match.group()) for text in loads if (match := re.search(r"\d+", text))]
    assert len(shares) == 6
    assert shares == sorted(shares)
    assert shares[0] == 0
    assert shares[-1] > 90


def test_all_panels_of_a_sheet_have_the_same_axes() -> None:
    figure = draw_sheet(sheet_of("board-mill", Scenario.STEADY_LOADS), 360)
    assert len({axes.get_ylim() for axes in figure.axes[::2]}) == 1
    assert len({axes.get_xlim() for axes in figure.axes}) == 1


def test_a_phone_has_one_column_and_a_screen_two() -> None:
    for wide, columns in ((360, 1), (720, 2)):
        figure = draw_sheet(sheet_of("board-mill", Scenario.STEADY_LOADS), wide)
        assert len({round(axes.get_position().x0, 6) for axes in figure.axes}) == columns


@pytest.mark.parametrize("scenario", list(Scenario))
def test_no_panel_leaves_the_page_and_none_covers_another(scenario: Scenario) -> None:
    figure = draw_sheet(sheet_of("board-mill", scenario), 360)
    boxes = [axes.get_position() for axes in figure.axes]
    assert all(0 < box.x0 < box.x1 < 1 and 0 < box.y0 < box.y1 < 1 for box in boxes)
    for place, one in enumerate(boxes):
        assert not any(one.overlaps(other) for other in boxes[place + 1 :])


def test_the_verdict_stands_over_the_panels_and_the_caution_under_them() -> None:
    _, _, texts = drawn("board-mill", Scenario.HIGH_LIMIT_ALONE, 720)
    text = " ".join(texts)
    assert "FAILS. With the operating limit welded" in text
    assert "A simulation proves nothing about the hardware" in text
    assert text.index("FAILS") < text.index("A simulation proves")


def test_what_a_limit_does_is_shown_in_minutes_and_a_warm_up_in_hours() -> None:
    assert sheet_of("laundry", Scenario.HIGH_LIMIT_ALONE).window.end <= 1800
    assert sheet_of("laundry", Scenario.COLD_START).window.end >= 3600


def test_the_highest_pressure_of_every_run_is_within_the_scale() -> None:
    sheet = sheet_of("board-mill", Scenario.VALVES_ALONE)
    for panel in sheet.panels:
        assert panel.trace.pressure.value.max() <= sheet.highest
    # Both limits failed: the valves of 250 and 255 psi have to be seen.
    assert sheet.highest > 250 * PA_PER_PSI


def test_the_same_proof_gives_the_same_bytes() -> None:
    once, again = (trace_bytes(draw_sheet(sheet_of("laundry", Scenario.DROP), 360), ".svg") for _ in range(2))
    assert once == again


def test_a_shutdown_shows_both_ways_of_cooling_down_to_the_vacuum() -> None:
    # Nobody says whether air gets in at the laundry: both are drawn, on one scale that reaches below zero gauge.
    sheet = sheet_of("laundry", Scenario.SHUTDOWN)
    assert [panel.label for panel in sheet.panels] == ["Where air gets in", "Where it is tight"]
    assert sheet.lowest < -10 * PA_PER_PSI
    for panel in sheet.panels:
        assert panel.trace.pressure.value.min() >= sheet.lowest


def test_what_a_warm_up_and_a_shutdown_found_out_stands_on_their_sheets() -> None:
    for plant, scenario, said in (
        ("board-mill", Scenario.COLD_START, "min on (start chain included)"),
        ("laundry", Scenario.SHUTDOWN, "at zero gauge after"),
    ):
        _, _, texts = drawn(plant, scenario, 720)
        assert said in " ".join(texts)

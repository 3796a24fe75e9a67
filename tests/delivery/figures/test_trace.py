"""The trace of a run: no peak is lost, everything stands on the page, the same run gives the same bytes."""

import re
import xml.etree.ElementTree as ET
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from evenfire.delivery.acts.running import RunAsked, run_of
from evenfire.delivery.answers import BoilerRun, Ran
from evenfire.delivery.figures import trace_looks
from evenfire.delivery.figures.stack_levels import LevelKind
from evenfire.delivery.figures.trace_drawing import draw_trace, scale_of
from evenfire.delivery.figures.trace_file import trace_bytes
from evenfire.delivery.figures.trace_layout import TraceLayout, lay_out_trace
from evenfire.delivery.figures.trace_points import Points, envelope, pressure_points, seconds_below, thinned
from evenfire.delivery.units import UnitSystem
from evenfire.si import PA_PER_PSI
from tests.surveys import survey

TRIP = RunAsked(
    hours=6.0,
    load="2000 lb/h",
    faults=("operating limit welded @ 2h", "load gone @ 2h"),
    resets=("2:10", "4h"),
)
DAY = RunAsked()
SVG = "{http://www.w3.org/2000/svg}"


@cache
def answer(plant: str, asked: RunAsked = DAY) -> BoilerRun:
    return run_of(survey(plant=plant), asked)


def laid_out(plant: str, asked: RunAsked = DAY, system: UnitSystem = UnitSystem.US) -> TraceLayout:
    done = answer(plant, asked)
    assert isinstance(done.result, Ran)
    return lay_out_trace(done.case, done.result.run, "A boiler $x$ & <its> site", ("A caption.",), system)


def test_thinning_keeps_every_peak_of_a_week_of_spikes() -> None:
    time = np.arange(0, 120_000, dtype=float)
    value = np.zeros_like(time)
    value[77_123], value[5_001] = 50.0, -20.0
    kept = thinned(Points(time=time, value=value), 200)
    assert len(kept.time) < 1000
    assert kept.value.max() == 50.0
    assert kept.value.min() == -20.0
    assert (np.diff(kept.time) > 0).all()
    assert kept.time[0] == 0
    assert kept.time[-1] == 119_999
    _, low, high = envelope(Points(time=time, value=value), 200)
    assert (low.min(), high.max()) == (-20.0, 50.0)


def test_time_below_a_limit_by_hand() -> None:
    # A tent from 10 down to 0 and back in 20 s lies below 5 for the middle 10 s; the second one below for 2 x 2.5 s.
    time = np.array([0.0, 10.0, 20.0, 25.0, 30.0])
    value = np.array([10.0, 0.0, 10.0, 0.0, 10.0])
    total, longest = seconds_below(Points(time=time, value=value), 5.0)
    assert total == pytest.approx(15.0)
    assert longest == pytest.approx(10.0)


def test_the_highest_pressure_of_the_run_is_on_the_line() -> None:
    done = answer("laundry", TRIP)
    assert isinstance(done.result, Ran)
    assert pressure_points(done.result.run).value.max() == done.result.run.highest.pressure


def test_no_two_levels_and_no_two_marks_look_the_same_without_colour() -> None:
    strokes = [(look.width, look.dashes) for look in trace_looks.LEVELS.values()]
    assert len(set(strokes)) == len(strokes)
    symbols = [(look.symbol, look.filled) for look in trace_looks.MARKS.values()]
    assert len(set(symbols)) == len(symbols)


def test_a_level_that_is_far_away_is_named_and_not_drawn() -> None:
    layout = laid_out("rental-trailer-depot")
    mawp = next(level for level in layout.levels if level.kind is LevelKind.MAWP)
    assert scale_of(layout).shows(mawp) == (mawp.pressure <= layout.highest)
    need = next(level for level in layout.levels if level.kind is LevelKind.NEED)
    assert scale_of(layout).shows(need)


@pytest.mark.parametrize("width", [360, 1200])
@pytest.mark.parametrize(
    ("plant", "asked"), [("laundry", TRIP), ("school", DAY), ("board-mill", RunAsked(hours=168.0))]
)
def test_every_text_stands_on_the_page_and_no_two_level_names_overlap(plant: str, asked: RunAsked, width: int) -> None:
    figure = draw_trace(laid_out(plant, asked), width)
    figure.canvas.draw()
    page = figure.bbox
    for panel in figure.axes:
        texts = [text for text in (*panel.texts, *panel.get_xticklabels(), *panel.get_yticklabels()) if text.get_text()]
        assert texts
        for text in texts:
            box = text.get_window_extent()
            assert page.x0 <= box.x0
            assert box.x1 <= page.x1 + 1
        names = sorted((text.get_window_extent() for text in panel.texts), key=lambda box: box.y0)
        for below, above in pairwise(names):
            # A name is as high as its tallest letter: a pixel of overlap is the descender of another.
            assert below.y0 + 8 < above.y0
        labels = [text.get_window_extent() for text in panel.get_xticklabels() if text.get_text()]
        for left, right in pairwise(labels):
            assert left.x1 < right.x0
    for text in figure.texts:
        box = text.get_window_extent()
        assert page.x0 <= box.x0
        assert box.x1 <= page.x1
        assert page.y0 <= box.y0


def test_the_drawing_is_valid_svg_of_the_width_asked_with_its_words_as_text() -> None:
    svg = trace_bytes(draw_trace(laid_out("laundry", TRIP), 360), ".svg")
    root = ET.fromstring(svg)
    assert root.tag == f"{SVG}svg"
    assert root.attrib["width"] == "270pt"  # 360 pixels of 96 to the inch
    words = " ".join("".join(each.itertext()) for each in root.iter(f"{SVG}text"))
    for said in ("need 105", "high limit 139.8", "reset refused", "high limit opens", "A boiler $x$ & <its> site"):
        assert said in words
    assert re.search(r"\d{4}-\d\d-\d\dT", svg.decode()) is None


def test_the_same_run_gives_the_same_bytes() -> None:
    for suffix in (".svg", ".pdf", ".png"):
        first, second = (trace_bytes(draw_trace(laid_out("laundry", TRIP), 360), suffix) for _ in range(2))
        assert first == second
    assert first.startswith(b"\x89PNG")


def test_si_readers_see_bar() -> None:
    svg = trace_bytes(draw_trace(laid_out("laundry", TRIP, UnitSystem.SI), 360), ".svg").decode()
    assert "Pressure, bar" in svg
    assert "psi" not in svg
    # 105 psi is 7.24 bar.
    assert f"need {105 * PA_PER_PSI / 1e5:.2f}" in svg

"""The figure of a history: every test where it belongs, the band, the line, and nothing beyond the paper."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from evenfire.delivery.figures.history_drawing import draw_history
from evenfire.delivery.figures.history_layout import (
    HistoryPanel,
    HistorySheet,
    KeyWords,
    Mark,
    PlottedLine,
    PlottedTest,
)
from evenfire.delivery.units import UnitSystem
from evenfire.si import PA_PER_PSI

TESTS = (
    PlottedTest(on=date(2022, 3, 8), error=-0.5 * PA_PER_PSI, half_width=0.5 * PA_PER_PSI, mark=Mark.PASSED),
    PlottedTest(on=date(2023, 3, 7), error=1.0 * PA_PER_PSI, half_width=0.5 * PA_PER_PSI, mark=Mark.FAILED),
    PlottedTest(on=date(2024, 3, 5), error=2.0 * PA_PER_PSI, half_width=0.0, mark=Mark.NOT_COUNTED),
)
PANEL = HistoryPanel(
    label="high limit HL-4711: inside its band",
    tests=TESTS,
    band=4.0 * PA_PER_PSI,
    line=PlottedLine(
        days=(date(2022, 3, 8), date(2025, 3, 8)),
        middle=(-0.5 * PA_PER_PSI, 3.0 * PA_PER_PSI),
        half_width=(40.0 * PA_PER_PSI, 60.0 * PA_PER_PSI),
    ),
    stretches=(date(2023, 3, 7),),
    due=date(2025, 3, 8),
)
SHEET = HistorySheet(
    title="Where the limits of Gull Quay Laundry/No. 1 acted",
    lead="Error of each trip point, psi.",
    caption="Bars: 95 % of each test.",
    key=KeyWords(
        marks={Mark.PASSED: "passed", Mark.FAILED: "failed", Mark.NOT_COUNTED: "not counted"},
        band="band",
        line="drift",
        stretch="stretch",
        due="due",
    ),
    panels=(PANEL,),
    system=UnitSystem.US,
)


def panel_of(figure: Figure) -> Axes:
    (axes,) = figure.axes
    return axes


def markers(axes: Axes) -> list[tuple[float, float]]:
    return [
        (float(np.asarray(line.get_xdata())[0]), float(np.asarray(line.get_ydata())[0]))
        for line in axes.get_lines()
        if line.get_marker() in {"o", "s", "x"}
    ]


@pytest.mark.parametrize("wide", [360, 720])
def test_every_test_stands_at_its_day_and_its_error_in_the_reader_s_unit(wide: int) -> None:
    axes = panel_of(draw_history(SHEET, wide))
    seen = markers(axes)
    assert [day for day, _ in seen] == [each.on.toordinal() for each in TESTS]
    assert [error for _, error in seen] == pytest.approx([-0.5, 1.0, 2.0])
    in_bar = panel_of(draw_history(replace(SHEET, system=UnitSystem.SI), wide))
    # 1 psi = 0.0689476 bar.
    assert [value for _, value in markers(in_bar)] == pytest.approx([-0.0344738, 0.0689476, 0.1378951], rel=1e-5)


def test_the_band_and_every_test_are_on_the_paper_however_wide_the_doubt_of_the_line() -> None:
    axes = panel_of(draw_history(SHEET, 720))
    low, high = axes.get_ylim()
    assert low < -4.0 < 4.0 < high
    assert high < 10.0, "the doubt of a line through two points would press everything else flat"
    first, last = axes.get_xlim()
    assert first < date(2022, 3, 8).toordinal()
    assert last > date(2025, 3, 8).toordinal()
    rows = [np.asarray(line.get_ydata(), dtype=float) for line in axes.get_lines()]
    assert {-4.0, 4.0} <= {round(float(row[0]), 9) for row in rows if len(row) > 1 and np.ptp(row) == 0.0}


@pytest.mark.parametrize("wide", [360, 720, 1200])
def test_nothing_is_written_beyond_the_edge(wide: int) -> None:
    sheet = replace(
        SHEET,
        title="Where the limits of a very long name of a site at the end of a long road/boiler No. 12 acted " * 2,
        panels=(PANEL, replace(PANEL, label="operating limit " + "OL-123456789 " * 8)),
    )
    figure = draw_history(sheet, wide)
    canvas = FigureCanvasAgg(figure)
    canvas.draw()  # type: ignore[no-untyped-call]
    page, renderer = figure.bbox, canvas.get_renderer()  # type: ignore[no-untyped-call]
    for text in [*figure.texts, *(label for axes in figure.axes for label in axes.get_xticklabels())]:
        box = text.get_window_extent(renderer)
        assert box.x0 >= -1.0, text.get_text()
        assert box.x1 <= page.width + 1.0, text.get_text()
        assert box.y0 >= -1.0, text.get_text()


def test_the_key_names_what_is_there_and_nothing_else() -> None:
    def named(sheet: HistorySheet) -> list[str]:
        (legend,) = draw_history(sheet, 720).legends
        return [text.get_text() for text in legend.get_texts()]

    assert named(SHEET) == ["passed", "failed", "not counted", "band", "drift", "stretch", "due"]
    bare = replace(PANEL, tests=TESTS[:1], band=None, line=None, stretches=(), due=None)
    assert named(replace(SHEET, panels=(bare,))) == ["passed"]


def test_a_single_test_and_a_century_can_be_drawn() -> None:
    alone = replace(PANEL, tests=TESTS[:1], line=None, due=None, stretches=())
    axes = panel_of(draw_history(replace(SHEET, panels=(alone,)), 360))
    assert axes.get_xlim()[1] - axes.get_xlim()[0] >= 20
    long = replace(PANEL, due=date(2125, 3, 8))
    names = [
        label.get_text() for label in panel_of(draw_history(replace(SHEET, panels=(long,)), 360)).get_xticklabels()
    ]
    assert 2 <= len(names) <= 12

"""US DOE steam tip sheet 9: feedwater at two blowdown rates."""

import math

import pytest

from evenfire.physics.evaporation import feed_flow_with_blowdown
from evenfire.si import KG_S_PER_LB_H
from evenfire.sources import DOE_TIP_9
from tests.published.printed import Disagreement, Printed


def _feed_lb_h(blowdown: float) -> float:
    return feed_flow_with_blowdown(100_000 * KG_S_PER_LB_H, blowdown) / KG_S_PER_LB_H


def _feed(blowdown: float, printed: str) -> Printed:
    return Printed(
        source=DOE_TIP_9,
        place="example",
        quantity="feedwater for 100,000 lb/h of steam",
        at=f"{blowdown:.0%} blowdown",
        printed=printed,
        unit="lb/h",
        ours=lambda: _feed_lb_h(blowdown),
    )


PRINTED: tuple[Printed, ...] = (_feed(0.06, "106383"),)

DISAGREEING: tuple[Disagreement, ...] = (
    Disagreement(printed=_feed(0.08, "108695"), why="cut off instead of rounded: 100,000/0.92 is 108,695.65"),
)


@pytest.mark.parametrize("value", PRINTED, ids=str)
def test_feedwater_at_a_blowdown_rate_agrees_with_the_tip_sheet(value: Printed) -> None:
    assert value.agrees, value.report


@pytest.mark.parametrize("value", DISAGREEING, ids=str)
def test_the_feedwater_that_is_cut_off_in_print_still_differs(value: Disagreement) -> None:
    assert not value.printed.agrees, value.printed.report


def test_the_feedwater_that_is_cut_off_in_print_is_ours_without_its_decimals() -> None:
    assert math.floor(_feed_lb_h(0.08)) == 108_695

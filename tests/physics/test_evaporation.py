"""Steam from heat and heat from steam. Printed values are in ``tests/published``."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.errors import ImpossibleValue, OutOfRange
from evenfire.physics.evaporation import (
    BOILER_HP_EVAPORATION,
    FROM_AND_AT_ENTHALPY,
    evaporation_heat,
    factor_of_evaporation,
    feed_flow_with_blowdown,
    heat_for_steam,
    steam_flow_for_heat,
)
from evenfire.physics.steam import saturation
from evenfire.si import KG_S_PER_LB_H, PA_PER_PSI, W_PER_BOILER_HP, AbsPa

_PRESSURE = AbsPa(114.7 * PA_PER_PSI)
_FEED = (180 + 459.67) / 1.8


@given(st.floats(1e3, 1e8), st.floats(1.1e5, 40e5).map(AbsPa), st.floats(273.15, 372.0))
def test_heat_and_steam_undo_each_other(heat: float, pressure: AbsPa, feed: float) -> None:
    assert heat_for_steam(steam_flow_for_heat(heat, pressure, feed), pressure, feed) == pytest.approx(heat, rel=1e-12)


def test_feed_that_boils_already_takes_only_the_heat_of_evaporation() -> None:
    state = saturation(_PRESSURE)
    assert evaporation_heat(_PRESSURE, state.temperature) == pytest.approx(state.evaporation_enthalpy, rel=1e-9)


def test_from_and_at_is_the_definition_of_the_boiler_horsepower() -> None:
    assert pytest.approx(W_PER_BOILER_HP, rel=1e-15) == BOILER_HP_EVAPORATION * FROM_AND_AT_ENTHALPY


def test_colder_feed_makes_less_steam() -> None:
    warm, cold = steam_flow_for_heat(1e6, _PRESSURE, _FEED), steam_flow_for_heat(1e6, _PRESSURE, 278.15)
    # By hand in the trade's units (steam tables, from memory): 1188.6 - 148 = 1041 and 1188.6 - 9 = 1180 Btu/lb.
    assert cold / warm == pytest.approx(1041 / 1180, rel=0.002)


def test_a_hundred_boiler_horsepower_makes_about_three_thousand_three_hundred_pounds_at_100_psig() -> None:
    # 34.5 lb/h x 100 over the factor of evaporation, which is near 1.073 by (H - h)/970.4 = (1188.6 - 147.9)/970.4.
    flow = steam_flow_for_heat(100 * W_PER_BOILER_HP, _PRESSURE, _FEED) / KG_S_PER_LB_H
    assert flow == pytest.approx(3450 / 1.0725, rel=0.002)
    assert flow * factor_of_evaporation(_PRESSURE, _FEED) == pytest.approx(3450, rel=1e-9)


@pytest.mark.parametrize("value", [-1.0, math.nan, math.inf])
def test_a_flow_or_a_heat_that_cannot_be_is_refused(value: float) -> None:
    with pytest.raises(ImpossibleValue, match="steam flow"):
        heat_for_steam(value, _PRESSURE, _FEED)
    with pytest.raises(ImpossibleValue, match="heat"):
        steam_flow_for_heat(value, _PRESSURE, _FEED)
    with pytest.raises(ImpossibleValue, match="steam flow"):
        feed_flow_with_blowdown(value, 0.05)


@pytest.mark.parametrize("blowdown", [-0.01, 0.51, 1.0, math.nan])
def test_a_blowdown_that_leaves_little_or_no_steam_is_refused(blowdown: float) -> None:
    with pytest.raises(ImpossibleValue, match="blowdown"):
        feed_flow_with_blowdown(1.0, blowdown)


def test_frozen_feed_is_refused() -> None:
    with pytest.raises(OutOfRange, match="liquid"):
        evaporation_heat(_PRESSURE, 273.0)


def test_no_steam_takes_no_heat() -> None:
    assert heat_for_steam(0.0, _PRESSURE, _FEED) == 0.0

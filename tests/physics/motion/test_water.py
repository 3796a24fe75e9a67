"""The splines of water and steam in themselves; ``tests/published/test_motion_water.py`` compares them with others."""

from math import log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.physics.compiled import plain
from evenfire.physics.motion.water import (
    EXCHANGE_ENERGY,
    INTERVALS,
    LIQUID_DENSITY,
    LIQUID_ENERGY,
    PROPERTIES,
    SPACE_ENERGY,
    STEAM_DENSITY,
    STEAM_ENTHALPY,
    TEMPERATURE,
    at,
    interval,
    slope,
    water_table,
)
from evenfire.physics.steam import HIGHEST_PRESSURE, LOWEST_PRESSURE, saturation
from evenfire.physics.vessel import steam_draw_enthalpy
from evenfire.si import AbsPa

_pressures = st.floats(0.0, 1.0).map(lambda share: 1e3 * (float(HIGHEST_PRESSURE) / 1e3) ** share)


def _value(pressure: float, which: int) -> float:
    index, share = plain(interval)(pressure)
    return plain(at)(water_table(), index, share, which)


def _slope(pressure: float, which: int) -> float:
    """Per logarithm of the pressure [SI]."""
    index, share = plain(interval)(pressure)
    return plain(slope)(water_table(), index, share, which)


def test_the_table_is_made_once_and_locked() -> None:
    table = water_table()
    assert water_table() is table
    assert table.shape == (INTERVALS, PROPERTIES, 4)
    assert np.isfinite(table).all()
    with pytest.raises(ValueError, match="read-only"):
        table[0, 0, 0] = 1.0


@given(pressure=_pressures)
def test_what_the_table_holds_follows_from_the_steam_library(pressure: float) -> None:
    here = saturation(AbsPa(pressure))
    exchange = here.steam_enthalpy - steam_draw_enthalpy(AbsPa(pressure))
    space = here.steam_density * (here.steam_enthalpy - exchange) - pressure
    liquid = here.liquid_enthalpy - pressure / here.liquid_density
    for which, expected in (
        (TEMPERATURE, here.temperature),
        (EXCHANGE_ENERGY, exchange),
        (SPACE_ENERGY, space),
        (LIQUID_ENERGY, liquid),
        (STEAM_ENTHALPY, here.steam_enthalpy),
        (LIQUID_DENSITY, here.liquid_density),
        (STEAM_DENSITY, here.steam_density),
    ):
        assert _value(pressure, which) == pytest.approx(expected, rel=1e-7)


@given(pressure=_pressures)
def test_the_saturation_line_obeys_clausius_and_clapeyron(pressure: float) -> None:
    # dp/dT = h_fg / (T v_fg): a law of nature that no fit was asked to keep. The formulation keeps it to some 1e-4.
    here = saturation(AbsPa(pressure))
    swelling = 1.0 / here.steam_density - 1.0 / here.liquid_density
    expected = here.temperature * swelling / here.evaporation_enthalpy * pressure
    assert _slope(pressure, TEMPERATURE) == pytest.approx(expected, rel=5e-4)


@given(pressure=_pressures)
def test_the_interval_and_share_find_back_the_pressure(pressure: float) -> None:
    index, share = plain(interval)(pressure)
    assert 0 <= index < INTERVALS
    assert -1e-9 <= share <= 1 + 1e-9
    step = log(HIGHEST_PRESSURE / LOWEST_PRESSURE) / INTERVALS
    assert log(pressure / LOWEST_PRESSURE) == pytest.approx((index + share) * step, abs=1e-9)


def test_beyond_its_ends_the_table_goes_on_without_a_jump() -> None:
    for end, beyond in ((float(LOWEST_PRESSURE), 0.999), (float(HIGHEST_PRESSURE), 1.001)):
        for which in range(PROPERTIES):
            step = abs(_value(end * beyond, which) - _value(end, which))
            assert step <= 2 * abs(_slope(end, which) * log(beyond)) + 1e-9 * abs(_value(end, which))

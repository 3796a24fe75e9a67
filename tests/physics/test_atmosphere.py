"""Air pressure at the altitude of a site."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.errors import OutOfRange
from evenfire.physics.atmosphere import HIGHEST_ALTITUDE, LOWEST_ALTITUDE, ambient_pressure


@pytest.mark.parametrize(
    ("altitude", "printed"),
    # US Standard Atmosphere 1976, table I by geometric altitude (from memory), five printed digits.
    [(0, 1.01325e5), (1000, 8.9876e4), (2000, 7.9501e4), (3000, 7.0121e4), (4000, 6.1660e4), (5000, 5.4048e4)],
)
def test_air_pressure_agrees_with_the_standard_atmosphere(altitude: float, printed: float) -> None:
    assert ambient_pressure(altitude) == pytest.approx(printed, abs=0.5)


@pytest.mark.parametrize("altitude", [-500.1, 5000.1, math.inf, -math.inf, math.nan])
def test_an_altitude_outside_the_formula_is_refused(altitude: float) -> None:
    with pytest.raises(OutOfRange, match="ambient pressure"):
        ambient_pressure(altitude)


@given(st.floats(LOWEST_ALTITUDE, HIGHEST_ALTITUDE - 1))
def test_air_pressure_falls_with_height(altitude: float) -> None:
    fall = ambient_pressure(altitude) - ambient_pressure(altitude + 1)
    # Hydrostatics: one metre of air weighs its density times g, between 0.73 kg/m3 at 5 km and 1.29 at -500 m.
    assert 0.70 * 9.8 < fall < 1.30 * 9.81

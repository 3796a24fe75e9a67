"""Safety valves: where they may lift and what they are certified for. In psi, by hand from the tables named."""

import math

import pytest

from evenfire.errors import ImpossibleValue
from evenfire.physics.relief import (
    certified_capacity,
    earliest_lift,
    is_low_pressure,
    overpressure_at_capacity,
    set_tolerance,
)
from evenfire.si import PA_PER_PSI, AbsPa, GaugePa


def _psi(value: float) -> GaugePa:
    return GaugePa(value * PA_PER_PSI)


@pytest.mark.parametrize(
    ("set_psi", "tolerance_psi"),
    [
        (15, 2.0),  # low pressure: BPVC section IV, from memory
        (30, 2.0),  # the rest: Valve Selection Handbook, section I set-pressure tolerances
        (70, 2.0),
        (71, 2.13),
        (150, 4.5),
        (300, 9.0),
        (301, 10.0),
        (1000, 10.0),
        (1500, 15.0),
    ],
)
def test_a_valve_may_lift_within_the_tolerance_of_its_code(set_psi: float, tolerance_psi: float) -> None:
    assert set_tolerance(_psi(set_psi)) / PA_PER_PSI == pytest.approx(tolerance_psi, rel=1e-12)
    assert earliest_lift(_psi(set_psi)) / PA_PER_PSI == pytest.approx(set_psi - tolerance_psi, rel=1e-12)


def test_the_noise_of_unit_conversion_does_not_move_a_valve_to_the_next_row() -> None:
    assert set_tolerance(GaugePa(_psi(70) + 1e-3)) / PA_PER_PSI == pytest.approx(2.0, rel=1e-12)
    assert is_low_pressure(GaugePa(_psi(15) + 1e-3))
    assert not is_low_pressure(_psi(15.1))


@pytest.mark.parametrize(
    ("set_psi", "over_psi"),
    # Low pressure 5 psi (BPVC section IV, from memory); else 3 %, at least 2 psi (National Board), even at 66.7 psi.
    [(5, 5.0), (15, 5.0), (16, 2.0), (60, 2.0), (66.6, 2.0), (66.8, 2.004), (100, 3.0), (250, 7.5)],
)
def test_a_valve_passes_its_capacity_at_the_overpressure_of_its_code(set_psi: float, over_psi: float) -> None:
    assert overpressure_at_capacity(_psi(set_psi)) / PA_PER_PSI == pytest.approx(over_psi, rel=1e-12)


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_a_set_pressure_that_cannot_be_is_refused(value: float) -> None:
    for relation in (set_tolerance, earliest_lift, overpressure_at_capacity):
        with pytest.raises(ImpossibleValue, match="set pressure"):
            relation(GaugePa(value))
    with pytest.raises(ImpossibleValue, match="set pressure"):
        certified_capacity(1e-3, GaugePa(value), coefficient=0.9, ambient=AbsPa(101_325.0))


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_an_area_a_coefficient_or_an_air_pressure_that_cannot_be_is_refused(value: float) -> None:
    ambient = AbsPa(101_325.0)
    with pytest.raises(ImpossibleValue, match="area"):
        certified_capacity(value, _psi(150), coefficient=0.9, ambient=ambient)
    with pytest.raises(ImpossibleValue, match="coefficient"):
        certified_capacity(1e-3, _psi(150), coefficient=value, ambient=ambient)
    with pytest.raises(ImpossibleValue, match="ambient pressure"):
        certified_capacity(1e-3, _psi(150), coefficient=0.9, ambient=AbsPa(value))


def test_thinner_air_takes_a_little_capacity_away() -> None:
    low, high = (
        certified_capacity(1e-3, _psi(15), coefficient=0.9, ambient=AbsPa(psia * PA_PER_PSI)) for psia in (14.7, 12.2)
    )
    # P is 15 + 2 + 14.7 = 31.7 psia at the sea and 29.2 psia at 1600 m.
    assert high / low == pytest.approx(29.2 / 31.7, rel=1e-12)

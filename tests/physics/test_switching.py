"""Where a control acts: water legs and dial conventions, worked by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.physics.switching import ends, leg_shift
from evenfire.plant.controls import Control, Counts, Filling, Position, WaterLeg
from evenfire.si import M_PER_FT, PA_PER_PSI


def control(feet: float, position: Position, filling: Filling) -> Control:
    return Control(water_leg=WaterLeg(height=feet * M_PER_FT, position=position, filling=filling))


@pytest.mark.parametrize(
    ("position", "filling", "offset", "spread"),
    [
        # 10 ft of water at 62 F is 4.33 psi: HB1919, 0.433 psi per foot.
        (Position.BELOW_TAP, Filling.FULL, -4.33, 0.0),
        (Position.ABOVE_TAP, Filling.FULL, 4.33, 0.0),
        (Position.BELOW_TAP, Filling.UNSURE, -2.165, 2.165),
        (Position.ABOVE_TAP, Filling.UNSURE, 2.165, 2.165),
    ],
)
def test_ten_feet_of_water_shift_a_control_by_4_33_psi(
    position: Position, filling: Filling, offset: float, spread: float
) -> None:
    shift = leg_shift(control(10, position, filling))
    assert shift.offset / PA_PER_PSI == pytest.approx(offset, abs=1e-9)
    assert shift.spread / PA_PER_PSI == pytest.approx(spread, abs=1e-9)


@pytest.mark.parametrize("position", list(Position))
@given(feet=st.floats(0, 60))
def test_an_unsure_leg_reaches_from_none_to_full(position: Position, feet: float) -> None:
    full = leg_shift(control(feet, position, Filling.FULL)).offset
    unsure = leg_shift(control(feet, position, Filling.UNSURE))
    reach = sorted((unsure.offset - unsure.spread, unsure.offset + unsure.spread))
    assert reach == pytest.approx(sorted((0.0, full)), abs=1e-6)


def test_a_control_without_a_surveyed_leg_is_not_shifted() -> None:
    assert leg_shift(Control()).offset == 0.0


@pytest.mark.parametrize(
    ("counts", "lower", "upper"),
    [
        (Counts.BELOW, 112.0, 120.0),
        (Counts.ABOVE, 120.0, 128.0),
        (Counts.AROUND, 116.0, 124.0),
    ],
)
def test_a_differential_of_8_lies_where_the_dial_counts_it(counts: Counts, lower: float, upper: float) -> None:
    # Arithmetic on the three dial conventions of the trade (common practice, no source).
    assert ends(120.0, 8.0, counts) == (lower, upper)

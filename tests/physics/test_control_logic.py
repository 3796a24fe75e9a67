"""What each control does: rows worked by hand at every boundary, and the same states in plain Python and compiled."""

from collections.abc import Callable
from itertools import product
from math import inf

import numba
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.physics import control_logic as logic

# Truth for every row: how such a switch works, common practice; pressures in psi.


@pytest.mark.parametrize(
    ("was_open", "pressure", "opens"),
    [
        (False, 119.9, False),
        (False, 120.0, True),  # it opens at cut-out itself
        (False, 130.0, True),
        (True, 119.9, True),  # and stays open through its differential
        (True, 112.1, True),
        (True, 112.0, False),  # until cut-in itself
        (True, 50.0, False),
        (False, 115.0, False),
        (False, -inf, False),
        (True, inf, True),
    ],
)
def test_an_operating_limit_opens_at_cut_out_and_remakes_at_cut_in(
    was_open: bool, pressure: float, opens: bool
) -> None:
    assert logic.operating_limit_opens(was_open, pressure, 120.0, 112.0) is opens


def test_an_operating_limit_that_is_not_there_never_opens() -> None:
    assert not logic.operating_limit_opens(False, 1e9, inf, inf)


@pytest.mark.parametrize(
    ("was_open", "pressure", "is_manual", "opens"),
    [
        (False, 139.9, True, False),
        (False, 140.0, True, True),
        (True, 139.9, True, True),
        (True, 0.0, True, True),  # no fall of pressure brings a manual one back
        (True, 135.1, False, True),
        (True, 135.0, False, False),
        (True, 140.0, False, True),
        (False, 135.0, False, False),
    ],
)
def test_only_an_automatic_high_limit_remakes_by_itself(
    was_open: bool, pressure: float, is_manual: bool, opens: bool
) -> None:
    assert logic.high_limit_opens(was_open, pressure, 140.0, 135.0, is_manual) is opens


def test_a_high_limit_without_width_is_open_at_its_trip() -> None:
    assert logic.high_limit_opens(True, 140.0, 140.0, 140.0, False)
    assert logic.high_limit_opens(False, 140.0, 140.0, 140.0, True)


@pytest.mark.parametrize(
    ("was_open", "pressure", "stays"),
    [(True, 135.1, True), (True, 135.0, False), (True, 20.0, False), (False, 150.0, False)],
)
def test_a_reset_takes_only_after_the_pressure_has_fallen(was_open: bool, pressure: float, stays: bool) -> None:
    assert logic.stays_latched(was_open, pressure, 135.0) is stays


@pytest.mark.parametrize(
    ("held", "pressure", "holds"),
    [
        (True, 59.9, True),
        (True, 65.1, False),  # it lets go above its upper point
        (True, 65.0, True),  # a pressure that stands on a point changes nothing
        (False, 60.0, False),
        (True, 62.0, True),  # and keeps what it did between
        (False, 62.0, False),
        (False, 59.9, True),
        (False, 65.0, False),
        (True, inf, False),
        (False, -inf, True),
    ],
)
def test_a_low_fire_hold_holds_below_its_set(held: bool, pressure: float, holds: bool) -> None:
    assert logic.holds_low_fire(held, pressure, 60.0, 65.0) is holds


@given(pressure=st.floats(-1e6, 1e8), held=st.booleans())
def test_a_hold_whose_two_points_are_one_makes_up_its_mind_at_any_pressure(pressure: float, held: bool) -> None:
    """One that takes and lets go at the same standing pressure would chatter without end."""
    once = logic.holds_low_fire(held, pressure, pressure, pressure)
    assert logic.holds_low_fire(once, pressure, pressure, pressure) is once


def test_a_hold_that_is_not_there_never_holds() -> None:
    assert not logic.holds_low_fire(False, 0.0, -inf, -inf)
    assert not logic.holds_low_fire(True, 0.0, -inf, -inf)


@pytest.mark.parametrize(
    ("pressure", "region", "demand"),
    [
        (99.0, logic.UNDER, 1.0),
        (100.0, logic.UNDER, 1.0),
        (102.5, logic.WITHIN, 0.75),
        (105.0, logic.WITHIN, 0.5),
        (109.0, logic.WITHIN, 0.1),
        (110.0, logic.OVER, 0.0),
        (200.0, logic.OVER, 0.0),
    ],
)
def test_the_demand_is_a_straight_line_between_high_fire_and_low_fire(
    pressure: float, region: int, demand: float
) -> None:
    assert logic.region_of(pressure, 100.0, 110.0) == region
    assert logic.rate_demand(region, pressure, 100.0, 110.0) == pytest.approx(demand, abs=1e-12)


@pytest.mark.parametrize(
    ("was_high", "pressure", "wants"),
    [(False, 100.0, True), (False, 100.1, False), (True, 109.9, True), (True, 110.0, False), (False, 99.0, True)],
)
def test_a_two_position_control_goes_high_at_its_low_point_and_low_at_its_high_point(
    was_high: bool, pressure: float, wants: bool
) -> None:
    assert logic.two_position_wants_high(was_high, pressure, 100.0, 110.0) is wants


def test_the_first_in_rank_of_every_set_of_open_contacts_is_named() -> None:
    """Rank: lockout, power, high limit, low water, operating limit."""
    ranks = [logic.LOCKOUT, logic.NO_POWER, logic.HIGH_LIMIT, logic.LOW_WATER, logic.OPERATING_LIMIT]
    for contacts in product((False, True), repeat=5):
        expected = ranks[contacts.index(True)] if any(contacts) else logic.NOTHING
        assert logic.what_stops(*contacts) == expected


def test_every_reason_to_stop_and_every_place_on_the_range_has_a_number_of_its_own() -> None:
    assert len({*logic.STOPS, logic.NOTHING}) == 6
    assert len({logic.OVER, logic.WITHIN, logic.UNDER}) == 3


@pytest.mark.parametrize(
    ("holds", "rate", "cap", "wanted"),
    [
        (False, 0.7, 1.0, 0.7),
        (False, 0.7, 0.4, 0.4),
        (True, 0.7, 1.0, 0.0),
        (True, 0.0, 0.4, 0.0),
        (False, 0.2, 0.4, 0.2),
    ],
)
def test_the_hold_wins_over_the_rate_and_the_cap_bounds_both(
    holds: bool, rate: float, cap: float, wanted: float
) -> None:
    assert logic.position_wanted(holds, rate, cap) == wanted


POINTS = (0.0, 60.0, 100.0, 112.0, 120.0, inf, -inf)
"""Few, so that a pressure stands on a threshold and thresholds are equal again and again."""
PRESSURE = st.sampled_from(POINTS) | st.floats(allow_nan=False)
FLAG = st.booleans()
ARGUMENTS: dict[Callable[..., object], st.SearchStrategy[tuple[float, ...]]] = {
    logic.operating_limit_opens: st.tuples(FLAG, PRESSURE, PRESSURE, PRESSURE),
    logic.high_limit_opens: st.tuples(FLAG, PRESSURE, PRESSURE, PRESSURE, FLAG),
    logic.stays_latched: st.tuples(FLAG, PRESSURE, PRESSURE),
    logic.holds_low_fire: st.tuples(FLAG, PRESSURE, PRESSURE, PRESSURE),
    logic.region_of: st.tuples(PRESSURE, PRESSURE, PRESSURE),
    logic.two_position_wants_high: st.tuples(FLAG, PRESSURE, PRESSURE, PRESSURE),
    logic.what_stops: st.tuples(FLAG, FLAG, FLAG, FLAG, FLAG),
    logic.position_wanted: st.tuples(FLAG, st.floats(0.0, 1.0), st.floats(0.0, 1.0)),
}
COMPILED = {function: numba.njit(function, error_model="numpy") for function in [*ARGUMENTS, logic.rate_demand]}


@pytest.mark.parametrize("function", ARGUMENTS, ids=lambda function: function.__name__)
@given(data=st.data())
def test_a_control_comes_to_the_same_state_in_plain_python_and_compiled(
    function: Callable[..., object], data: st.DataObject
) -> None:
    arguments = data.draw(ARGUMENTS[function])
    assert COMPILED[function](*arguments) == function(*arguments)


@given(
    region=st.sampled_from((logic.OVER, logic.WITHIN, logic.UNDER)),
    pressure=st.floats(-1e8, 1e8),
    high_fire=st.floats(-1e8, 1e8),
    width=st.floats(1e-3, 1e8),
)
def test_a_demand_has_the_same_digits_in_plain_python_and_compiled(
    region: int, pressure: float, high_fire: float, width: float
) -> None:
    low_fire = high_fire + width
    if low_fire > high_fire:
        plain = logic.rate_demand(region, pressure, high_fire, low_fire)
        assert COMPILED[logic.rate_demand](region, pressure, high_fire, low_fire) == plain

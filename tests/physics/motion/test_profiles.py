"""Quantities over time in straight pieces."""

from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.physics.compiled import compiled
from evenfire.physics.motion.model import Profile, steady
from evenfire.physics.motion.profiles import count_until, piece_at
from evenfire.physics.motion.records import Floats


@compiled
def _count(times: Floats, now: float) -> int:
    return count_until(times, now)


@compiled
def _piece(profile: Profile, now: float) -> tuple[float, float, float]:
    return piece_at(profile, now)


def _profile(rows: list[tuple[float, float, float]], period: float = inf) -> Profile:
    return Profile(np.array(rows), period)


@given(times=st.lists(st.integers(0, 50), max_size=30, unique=True), now=st.integers(-2, 52))
def test_times_are_counted_as_numpy_counts_them(times: list[int], now: int) -> None:
    rising = np.array(sorted(times), dtype=np.float64)
    assert _count(rising, float(now)) == np.searchsorted(rising, now, side="right")


def test_a_steady_quantity_never_ends() -> None:
    assert _piece(steady(3.5), 1e6) == (3.5, 0.0, inf)


def test_a_piece_tells_its_value_its_slope_and_its_end() -> None:
    profile = _profile([(0.0, 1.0, 0.5), (10.0, 20.0, -2.0)])
    assert _piece(profile, 0.0) == (1.0, 0.5, 10.0)
    assert _piece(profile, 4.0) == (3.0, 0.5, 10.0)
    assert _piece(profile, 10.0) == (20.0, -2.0, inf)
    assert _piece(profile, 15.0) == (10.0, -2.0, inf)


@pytest.mark.parametrize("just_before", [0.0, 1e-9, 5e-8])
def test_a_moment_that_rounding_put_before_a_piece_belongs_to_it(just_before: float) -> None:
    profile = _profile([(0.0, 1.0, 0.0), (10.0, 2.0, 0.0)], 24.0)
    assert _piece(profile, 10.0 - just_before)[0] == 2.0
    assert _piece(profile, 24.0 - just_before)[0] == 1.0
    assert _piece(profile, 24.0 - just_before)[2] == 34.0


@given(day=st.integers(0, 400), second=st.floats(0.0, 86399.0))
def test_a_day_repeats(day: int, second: float) -> None:
    profile = _profile([(0.0, 1.0, 1e-4), (30_000.0, 5.0, 0.0), (70_000.0, 0.5, 0.0)], 86400.0)
    value, slope, ends = _piece(profile, day * 86400.0 + second)
    first = _piece(profile, second)
    assert value == pytest.approx(first[0], abs=1e-8)
    assert slope == first[1]
    assert ends == pytest.approx(day * 86400.0 + first[2], rel=1e-12)
    assert ends > day * 86400.0 + second


@given(begins=st.lists(st.integers(1, 99), max_size=8, unique=True), now=st.floats(0.0, 1e4), periodic=st.booleans())
def test_a_piece_always_ends_later_than_now(begins: list[int], now: float, periodic: bool) -> None:
    rows = [(float(begin), float(begin), 0.0) for begin in (0, *sorted(begins))]
    assert _piece(_profile(rows, 100.0 if periodic else inf), now)[2] > now

"""Repeatability pooled over tests, against an independent library."""

from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.judgement.trip_test.repeatability import Pool, Repeatability, Scatter, repeatability_of, scatter_of

READINGS = st.lists(st.floats(1e5, 1e6), min_size=2, max_size=6)


@given(st.lists(READINGS, min_size=1, max_size=5))
def test_sums_of_squares_and_degrees_of_freedom_add(sets: list[list[float]]) -> None:
    # JCGM 100, H.3.6, from memory: a pooled variance is the mean of the variances weighted by degrees of freedom.
    scatters = [scatter_of(each) for each in sets]
    expected = sum(np.var(each, ddof=1) * (len(each) - 1) for each in sets)
    assert sum(each.sum_of_squares for each in scatters) == pytest.approx(expected, rel=1e-6, abs=1e-3)
    assert sum(each.degrees_of_freedom for each in scatters) == sum(len(each) - 1 for each in sets)


def test_a_single_reading_alone_says_nothing_of_repeatability() -> None:
    assert repeatability_of([140.0]) is None
    assert repeatability_of([]) is None


def test_a_single_reading_today_takes_the_scatter_of_earlier_tests() -> None:
    found = repeatability_of([140.0], this_control=(scatter_of([139.0, 140.0, 141.0]), scatter_of([10.0, 12.0])))
    assert found is not None
    # By hand: sums of squares 2 and 2 over 2 + 1 degrees of freedom.
    assert found.standard_deviation == pytest.approx(sqrt(4 / 3))
    assert (found.degrees_of_freedom, found.pool) == (3, Pool.THIS_CONTROL)


def test_others_of_its_kind_are_asked_only_while_the_control_has_told_little() -> None:
    kind = (Scatter(sum_of_squares=900.0, degrees_of_freedom=9),)
    little = repeatability_of([1.0, 2.0], same_kind=kind)
    much = repeatability_of(
        [1.0, 2.0], this_control=(Scatter(sum_of_squares=2.0, degrees_of_freedom=4),), same_kind=kind
    )
    assert little is not None
    assert much is not None
    assert (little.pool, little.degrees_of_freedom) == (Pool.SAME_KIND, 10)
    assert (much.pool, much.degrees_of_freedom) == (Pool.THIS_CONTROL, 5)


def test_a_control_that_has_gone_bad_is_not_made_good_by_its_past() -> None:
    past = (Scatter(sum_of_squares=0.8, degrees_of_freedom=20),)
    found = repeatability_of([138.0, 142.0, 140.0], this_control=past)
    assert found is not None
    assert found.is_erratic_today
    assert found.pool is Pool.TODAY
    assert found.standard_deviation == pytest.approx(np.std([138.0, 142.0, 140.0], ddof=1))


@pytest.mark.parametrize(("ratio", "erratic"), [(3.4, False), (3.6, True)])
def test_gone_bad_begins_where_one_in_twenty_of_good_controls_would_scatter_so_much(
    ratio: float, erratic: bool
) -> None:
    # F of 2 and 20 degrees of freedom at 95 % is 3.49, any statistical table.
    spread = sqrt(ratio)
    found = repeatability_of(
        [-spread, 0.0, spread], this_control=(Scatter(sum_of_squares=20.0, degrees_of_freedom=20),)
    )
    assert found is not None
    assert found.is_erratic_today is erratic


@pytest.mark.parametrize(("freedom", "pool"), [(2, Pool.SAME_KIND), (3, Pool.THIS_CONTROL)])
def test_a_control_speaks_for_itself_from_four_degrees_of_freedom_on(freedom: int, pool: Pool) -> None:
    # The four are an assumption, and said to be one; two readings of today are one of them.
    found = repeatability_of(
        [1.0, 2.0],
        this_control=(Scatter(sum_of_squares=1.0, degrees_of_freedom=freedom),),
        same_kind=(Scatter(sum_of_squares=9.0, degrees_of_freedom=9),),
    )
    assert found is not None
    assert found.pool is pool


@pytest.mark.parametrize(
    ("this_control", "same_kind"), [((), ()), ((Scatter(),), ()), ((), (Scatter(),)), ((Scatter(),), (Scatter(),))]
)
def test_tests_of_a_single_reading_each_have_told_nothing(
    this_control: tuple[Scatter, ...], same_kind: tuple[Scatter, ...]
) -> None:
    # JCGM 100, 4.2.2, from memory: the deviation of 1 and 3 is the root of 2.
    found = repeatability_of([1.0, 3.0], this_control=this_control, same_kind=same_kind)
    assert found is not None
    assert (found.pool, found.degrees_of_freedom, found.is_erratic_today) == (Pool.TODAY, 1, False)
    assert found.standard_deviation == pytest.approx(sqrt(2.0))


def test_nobody_calls_a_control_erratic_of_which_nobody_says_so() -> None:
    assert not Repeatability(standard_deviation=1.0, degrees_of_freedom=3, pool=Pool.TODAY).is_erratic_today

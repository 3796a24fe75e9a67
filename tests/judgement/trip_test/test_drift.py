"""Drift of a control over years, against the guide's own regression, a library, and dice of the test's own."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.errors import ImpossibleValue
from evenfire.judgement.trip_test.drift import Drift, Follows, PastTest, drift_of
from evenfire.judgement.trip_test.due import Interval
from evenfire.judgement.trip_test.line import Point, fitted_line
from evenfire.plant.known import Missing
from evenfire.si import PA_PER_PSI, DiffPa
from tests.judgement.trip_test.trips_at_140 import psi

YEARLY = Interval(months=12)
FIRST = date(2020, 3, 1)

# JCGM 100, table H.6, from memory: temperatures of a reference thermometer and corrections to another [C].
TEMPERATURES = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
CORRECTIONS = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)


def past(years: float, error: float, doubt: float = 0.2, stretch: int = 0) -> PastTest:
    return PastTest(
        on=FIRST + timedelta(days=round(365.25 * years)),
        set_error=psi(error),
        standard_uncertainty=psi(doubt),
        stretch=stretch,
    )


def found(*tests: PastTest, band: float = 2.0) -> Drift:
    drift = drift_of(tests, psi(band), YEARLY)
    assert isinstance(drift, Drift)
    return drift


def test_the_thermometer_of_the_guide_comes_out_as_printed() -> None:
    # JCGM 100, H.3, from memory: y1 = -0.1712 (0.0029), y2 = 0.00218 (0.00067), b(30 C) = -0.1494 (0.0041).
    pairs = zip(TEMPERATURES, CORRECTIONS, strict=True)
    line = fitted_line(tuple(Point(at=t - 20.0, value=b, standard_uncertainty=1e-6) for t, b in pairs))
    assert line.value(0.0) == pytest.approx(-0.1712, abs=5e-5)
    assert line.doubt(0.0) == pytest.approx(0.0029, abs=5e-5)
    assert line.slope == pytest.approx(0.00218, abs=5e-6)
    assert line.standard_uncertainty == pytest.approx(0.00067, abs=5e-6)
    assert line.value(10.0) == pytest.approx(-0.1494, abs=5e-5)
    assert line.doubt(10.0) == pytest.approx(0.0041, abs=5e-5)
    assert line.degrees_of_freedom == 9


@given(st.lists(st.tuples(st.floats(-5, 5), st.floats(0.05, 1.0)), min_size=3, max_size=8))
def test_the_line_agrees_with_an_independent_library(rows: list[tuple[float, float]]) -> None:
    places = np.arange(len(rows), dtype=float)
    values, doubts = np.array(rows).T
    line = fitted_line(
        tuple(Point(at=x, value=y, standard_uncertainty=u) for x, y, u in zip(places, values, doubts, strict=True))
    )
    coefficients, covariance = np.polyfit(places, values, 1, w=1 / doubts, cov="unscaled")
    assert line.slope == pytest.approx(coefficients[0], abs=1e-9)
    assert line.standard_uncertainty / line.scatter == pytest.approx(np.sqrt(covariance[0, 0]), rel=1e-6)
    assert line.value(2.5) == pytest.approx(np.polyval(coefficients, 2.5), abs=1e-9)


def test_a_level_may_jump_where_the_control_was_adjusted() -> None:
    # By hand: half a psi a year in both stretches, back to nought in between.
    drift = found(past(0, 0.0), past(1, 0.5), past(2, 1.0), past(2, 0.0, stretch=1), past(3, 0.5, stretch=1))
    assert drift.a_year / PA_PER_PSI == pytest.approx(0.5, abs=0.003)
    assert drift.last_error / PA_PER_PSI == pytest.approx(0.5, abs=0.01)
    assert drift.degrees_of_freedom == 2


def test_the_fewer_the_tests_the_wider_the_interval() -> None:
    # t at 97.5 %: one degree of freedom 12.71, two 4.30 (any table); two tests are taken as one.
    two, three = found(past(0, 0.0), past(1, 0.0)), found(past(0, 0.0), past(1, 0.0), past(2, 0.0))
    four = found(past(0, 0.0), past(1, 0.0), past(2, 0.0), past(3, 0.0))
    for drift, factor in ((two, 12.71), (three, 12.71), (four, 4.30)):
        half = (drift.a_year_highest - drift.a_year_lowest) / 2
        assert half / drift.standard_uncertainty == pytest.approx(factor, abs=0.01)
    # 0.2 psi each, a year apart: 0.2 x root of 2.
    assert two.standard_uncertainty / PA_PER_PSI == pytest.approx(0.283, abs=0.001)
    assert (two.follows, two.next_due) == (Follows.TOO_FEW_TESTS, date(2022, 3, 1))


def test_a_steady_drift_shortens_the_interval_before_the_band_is_left() -> None:
    # By hand: 0.8 psi a year, at 1.6 psi after two years with four tests; 2 psi is half a year away, less the doubt.
    drift = found(*(past(years, 0.8 * years, 0.02) for years in (0.0, 0.5, 1.0, 1.5, 2.0)))
    assert drift.is_shown
    assert drift.leaves_above is not None
    assert date(2022, 6, 1) < drift.leaves_above < date(2022, 8, 31)
    assert drift.follows is Follows.DRIFT
    assert drift.next_due == drift.leaves_above
    assert drift.leaves_below is None


def test_a_falling_trip_point_leaves_below() -> None:
    drift = found(*(past(years, -0.3 * years, 0.02) for years in (0.0, 1.0, 2.0, 3.0)))
    assert drift.leaves_below is not None
    assert drift.leaves_above is None
    # Three years of 365.25 days end on 2 March 2023. 0.9 psi off by then, 1.1 left at 0.3 a year: 3.7 years at most;
    # the code asks before.
    assert date(2026, 3, 1) < drift.leaves_below < date(2026, 11, 12)
    assert (drift.follows, drift.next_due) == (Follows.CODE, date(2024, 3, 2))


def test_a_control_that_stands_still_is_left_to_the_code() -> None:
    drift = found(*(past(years, 0.01 * (-1) ** years, 0.05) for years in range(8)))
    assert not drift.is_shown
    assert drift.follows is Follows.CODE


def test_two_tests_of_which_the_line_runs_out_of_the_band_do_not_wait_for_the_code() -> None:
    # 0 to 1.5 psi in a year: the line is at 2 psi four months later.
    drift = found(past(0, 0.0), past(1, 1.5))
    assert drift.follows is Follows.DRIFT
    assert abs((drift.next_due - date(2021, 7, 1)).days) <= 3


def test_what_stands_outside_already_is_due_at_once() -> None:
    drift = found(*(past(years, 0.8 * years, 0.05) for years in range(5)))
    assert drift.leaves_above == drift.next_due == past(4, 0.0).on


NOTHING_TO_FIT = [
    (),
    (past(0, 0.0),),
    (past(0, 0.0), past(0, 0.3)),
    (past(0, 0.0), past(1, 0.3, stretch=1)),
]


@pytest.mark.parametrize("tests", NOTHING_TO_FIT)
def test_fewer_than_two_tests_of_one_stretch_are_not_judged(tests: tuple[PastTest, ...]) -> None:
    assert drift_of(tests, psi(2.0), YEARLY) == Missing(("history.second_test",))
    assert drift_of(tests, None, YEARLY) == Missing(("trip.within", "history.second_test"))


def test_a_test_without_any_doubt_is_refused() -> None:
    with pytest.raises(ImpossibleValue):
        past(0, 0.0, doubt=0.0)


@pytest.mark.parametrize("count", [2, 3, 4, 6])
def test_the_interval_of_a_drift_covers_the_truth_as_often_as_it_says(count: int) -> None:
    dice, runs, outside = np.random.default_rng(11), 800, 0
    for _ in range(runs):
        slope = dice.uniform(-1.0, 1.0)
        errors = [slope * years + dice.normal(0.0, 0.2) for years in range(count)]
        drift = found(*(past(years, error) for years, error in enumerate(errors)))
        outside += not drift.a_year_lowest <= psi(slope) <= drift.a_year_highest
    assert outside / runs <= 0.05 + 3 * np.sqrt(0.05 * 0.95 / runs)


@given(st.lists(st.floats(-1.5, 1.5), min_size=2, max_size=6), st.floats(0.0, 3.0))
def test_a_wider_band_is_never_left_sooner(errors: list[float], wider: float) -> None:
    tests = tuple(past(years, error) for years, error in enumerate(errors))
    narrow, wide = found(*tests), found(*tests, band=2.0 + wider)
    assert narrow.next_due <= wide.next_due
    for before, after in ((narrow.leaves_above, wide.leaves_above), (narrow.leaves_below, wide.leaves_below)):
        assert after is None or (before is not None and before <= after)


def test_the_order_in_which_tests_are_given_does_not_matter() -> None:
    tests = (past(0, 0.0), past(1, 0.2), past(2, 0.1), past(2, 0.0, stretch=1))
    assert found(*tests) == found(*reversed(tests))


def by_day(days: int, error: float, doubt: float = 0.2) -> PastTest:
    return PastTest(on=FIRST + timedelta(days=days), set_error=psi(error), standard_uncertainty=psi(doubt))


@pytest.mark.parametrize(
    ("days_left", "follows", "due"),
    [
        (364.5, Follows.DRIFT, date(2022, 2, 28)),
        (365.5, Follows.TOO_FEW_TESTS, date(2022, 3, 1)),
        (366.5, Follows.TOO_FEW_TESTS, date(2022, 3, 1)),
    ],
)
def test_a_drift_counts_where_it_comes_before_the_code_and_not_on_its_day(
    days_left: float, follows: Follows, due: date
) -> None:
    # By hand: half a psi in 365 days; the line leaves the band so many days after the last test, and the code asks on
    # the 365th.
    drift = found(by_day(0, 0.0), by_day(365, 0.5), band=0.5 * (1.0 + days_left / 365))
    assert (drift.follows, drift.next_due) == (follows, due)


def test_the_band_is_left_where_the_widened_line_leaves_it_and_the_first_side_counts() -> None:
    # By hand: 0.2 psi a year over four years running, u 0.2 psi each, t 4.30 (2 degrees of freedom, any table). A year
    # after the last the line is at 0.8 psi, its doubt 4.30 x 0.2 x root(1/4 + 2.5^2 / 5) = 1.05: 1.85 together; half a
    # year later 2.13. The line alone needs seven years for 2 psi, and three for the other side even when widened.
    tests = [past(years, 0.2 * years) for years in range(4)]
    drift = found(*tests, band=2.0)
    assert drift.leaves_above is not None
    assert date(2024, 3, 2) < drift.leaves_above < date(2024, 9, 1)
    assert drift.leaves_below is not None
    assert drift.leaves_below > date(2026, 3, 1)
    assert drift.follows is Follows.CODE
    # A band of 1.7 psi is left above within the year that the code allows, and below long after.
    narrow = found(*tests, band=1.7)
    assert narrow.leaves_above is not None
    assert narrow.leaves_below is not None
    assert narrow.leaves_above < date(2024, 3, 2) < narrow.leaves_below
    assert (narrow.follows, narrow.next_due) == (Follows.DRIFT, narrow.leaves_above)


@pytest.mark.parametrize(
    ("count", "follows"), [(2, Follows.TOO_FEW_TESTS), (3, Follows.TOO_FEW_TESTS), (4, Follows.CODE)]
)
def test_four_tests_are_enough_to_tell_a_control_that_stands_still(count: int, follows: Follows) -> None:
    # Two degrees of freedom; that they are enough is an assumption, and said to be one.
    assert found(*(past(years, 0.0) for years in range(count)), band=9.0).follows is follows


def test_two_tests_are_enough_where_the_drift_is_far_beyond_its_doubt() -> None:
    # 1.5 psi in a year, doubt 12.71 x 0.02 x root 2 = 0.36. At 1.86 a year it has 8.5 psi left: four years and a half.
    drift = found(past(0, 0.0, 0.02), past(1, 1.5, 0.02), band=10.0)
    assert drift.is_shown
    assert drift.follows is Follows.CODE


def test_two_tests_of_a_falling_trip_point_do_not_wait_for_the_code_either() -> None:
    # As its mirror image above: 2 psi below four months later.
    drift = found(past(0, 0.0), past(1, -1.5))
    assert drift.follows is Follows.DRIFT
    assert abs((drift.next_due - date(2021, 7, 1)).days) <= 3


@pytest.mark.parametrize(("a_year", "is_shown"), [(0.5, True), (-0.5, True), (0.0, False)])
def test_a_drift_is_shown_to_either_side_however_small_it_is(a_year: float, is_shown: bool) -> None:
    # Half a pascal a year, and a doubt of a thousandth; none at all is none.
    tests = (
        PastTest(on=date(2020 + year, 1, 1), set_error=DiffPa(a_year * year), standard_uncertainty=DiffPa(0.001))
        for year in range(5)
    )
    assert found(*tests).is_shown is is_shown


def test_what_stands_outside_is_due_at_once_though_it_comes_back() -> None:
    # 3.5 and then 3.0 psi too high, within 2.
    drift = found(past(0, 3.5, 0.001), past(1, 3.0, 0.001))
    assert drift.leaves_above == drift.next_due == past(1, 0.0).on


@pytest.mark.parametrize(("years", "is_told"), [(95, True), (105, False)])
def test_nothing_is_told_of_what_lies_more_than_a_hundred_years_ahead(years: int, is_told: bool) -> None:
    # 0.02 psi a year for nine years, and next to no doubt.
    tests = (past(year, 0.02 * year, 1e-5) for year in range(10))
    assert (found(*tests, band=0.02 * (9 + years)).leaves_above is not None) is is_told


def test_only_the_band_is_missing_where_the_tests_are_enough() -> None:
    assert drift_of((past(0, 0.0), past(1, 0.1)), None, YEARLY) == Missing(("trip.within",))


def test_a_test_of_which_nobody_says_the_stretch_belongs_to_the_first() -> None:
    assert found(by_day(0, 0.0), past(1, 0.1, stretch=0)).degrees_of_freedom == 0

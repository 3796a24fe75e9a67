"""A line through readings, by hand and by what a regression is; the guide's own example stands in ``test_drift``."""

import pytest

from evenfire.errors import ImpossibleValue
from evenfire.judgement.trip_test.line import Point, fitted_line


def point(at: float, value: float, stretch: int = 0) -> Point:
    return Point(at=at, value=value, standard_uncertainty=1.0, stretch=stretch)


@pytest.mark.parametrize(
    ("points", "freedom"),
    [
        # Readings less a slope, less a level for each stretch (any book on regression).
        ((point(0, 1), point(1, 2)), 0),
        ((point(0, 1), point(1, 2), point(2, 3)), 1),
        ((point(0, 1), point(1, 2), point(2, 0, 1)), 0),
        ((point(0, 1), point(1, 2), point(2, 0, 1), point(3, 1, 1)), 1),
    ],
)
def test_each_level_and_the_slope_take_a_degree_of_freedom(points: tuple[Point, ...], freedom: int) -> None:
    assert fitted_line(points).degrees_of_freedom == freedom


def test_two_readings_of_one_place_make_no_line() -> None:
    for points in ((point(1, 1), point(1, 2)), (point(0, 1), point(1, 2, 1))):
        with pytest.raises(ImpossibleValue):
            fitted_line(points)


def test_readings_that_scatter_more_than_they_should_widen_every_doubt() -> None:
    # By hand: 3, -6, 3 about their mean of 0 have a sum of squares of 54 with one degree of freedom, no slope.
    wild = fitted_line((point(-1, 3), point(0, -6), point(1, 3)))
    assert wild.slope == pytest.approx(0.0)
    assert wild.scatter == pytest.approx(54**0.5)
    assert wild.standard_uncertainty == pytest.approx((54 / 2) ** 0.5)
    assert wild.level_uncertainty == pytest.approx((54 / 3) ** 0.5)
    # Readings that lie on a line by luck make nothing surer than each of them is.
    calm = fitted_line((point(-1, 0), point(0, 0), point(1, 0)))
    assert calm.scatter == 1.0
    assert calm.standard_uncertainty == pytest.approx(0.5**0.5)


def test_readings_of_which_nobody_says_the_stretch_belong_to_the_first() -> None:
    points = (Point(at=0.0, value=1.0, standard_uncertainty=1.0), point(1, 2), point(2, 3))
    assert fitted_line(points).degrees_of_freedom == 1

"""A straight line through readings of different doubt, where the level may jump between stretches."""

from dataclasses import dataclass
from math import sqrt

from evenfire.judgement.trip_test.budget import CONFIDENCE
from evenfire.judgement.trip_test.student import t_quantile
from evenfire.plant.possible import require_inside
from evenfire.si import Dimension


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One reading."""

    at: float
    """[any unit of time or temperature]"""
    value: float
    """[any unit]"""
    standard_uncertainty: float
    """[unit of the value]"""
    stretch: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """The line of the last stretch, with one slope for all of them."""

    slope: float
    """[unit of the value/unit of the place]"""
    standard_uncertainty: float
    """Of the slope [unit of the value/unit of the place]"""
    degrees_of_freedom: int
    """[1]"""
    middle: float
    """Weighted mean place of the last stretch [unit of the place]"""
    level: float
    """Weighted mean value there [unit of the value]"""
    level_uncertainty: float
    """Its standard uncertainty [unit of the value]"""
    scatter: float
    """How much more the readings scatter than they should, at least 1 [1]"""

    @property
    def coverage_factor(self) -> float:
        """At 95 %, both sides; with no degree of freedom left it is that of one [1]."""
        return t_quantile(0.5 * (1.0 + CONFIDENCE), max(1, self.degrees_of_freedom))

    def value(self, at: float) -> float:
        """Of the line at a place [unit of the value]."""
        return self.level + self.slope * (at - self.middle)

    def doubt(self, at: float) -> float:
        """Standard uncertainty of the line at a place [unit of the value]."""
        return sqrt(self.level_uncertainty**2 + ((at - self.middle) * self.standard_uncertainty) ** 2)


def fitted_line(points: tuple[Point, ...]) -> Line:
    """A line by weighted least squares, one slope for all stretches and a level for each.

    Parameters
    ----------
    points
        In the order of their stretches; at least one stretch holds two places.

    Raises
    ------
    ImpossibleValue
        No stretch holds two different places.

    Notes
    -----
    Each reading weighs 1/u^2. Where the readings scatter more than their own doubt explains, every doubt of the line is
    widened by the root of chi-square over its degrees of freedom; where they scatter less it stands, for a lucky row of
    readings makes no gauge better.

    References
    ----------
    JCGM-100, H.3 (calibration of a thermometer), from memory.

    Examples
    --------
    >>> line = fitted_line(tuple(Point(at=x, value=2.0 * x, standard_uncertainty=1.0) for x in (0.0, 1.0, 2.0)))
    >>> line.slope, round(line.standard_uncertainty, 4)
    (2.0, 0.7071)
    """
    stretches: dict[int, list[Point]] = {}
    for point in points:
        stretches.setdefault(point.stretch, []).append(point)
    fits = [_Stretch.of(each) for each in stretches.values()]
    spread = sum(fit.spread for fit in fits)
    require_inside("spread of the places", spread, 0.0, float("inf"), Dimension.NUMBER)
    slope = sum(fit.together for fit in fits) / spread
    freedom = len(points) - len(fits) - 1
    residual = sum(fit.residual(slope) for fit in fits)
    scatter = sqrt(max(1.0, residual / freedom)) if freedom > 0 else 1.0
    last = fits[-1]
    return Line(
        slope=slope,
        standard_uncertainty=scatter / sqrt(spread),
        degrees_of_freedom=max(0, freedom),
        middle=last.middle,
        level=last.level,
        level_uncertainty=scatter / sqrt(last.weight),
        scatter=scatter,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stretch:
    """Weighted sums of one stretch."""

    points: list[Point]
    weight: float
    """[1/unit of the value2]"""
    middle: float
    """[unit of the place]"""
    level: float
    """[unit of the value]"""
    spread: float
    """Of the places, weighted [unit of the place2/unit of the value2]"""
    together: float
    """Of places and values, weighted [unit of the place/unit of the value]"""

    @classmethod
    def of(cls, points: list[Point]) -> "_Stretch":
        weights = [each.standard_uncertainty**-2 for each in points]
        weight = sum(weights)
        middle = sum(each.at * by for each, by in zip(points, weights, strict=True)) / weight
        level = sum(each.value * by for each, by in zip(points, weights, strict=True)) / weight
        return cls(
            points=points,
            weight=weight,
            middle=middle,
            level=level,
            spread=sum(by * (each.at - middle) ** 2 for each, by in zip(points, weights, strict=True)),
            together=sum(
                by * (each.at - middle) * (each.value - level) for each, by in zip(points, weights, strict=True)
            ),
        )

    def residual(self, slope: float) -> float:
        """Weighted sum of squares around a line of this slope [1]."""
        return sum(
            ((each.value - self.level - slope * (each.at - self.middle)) / each.standard_uncertainty) ** 2
            for each in self.points
        )

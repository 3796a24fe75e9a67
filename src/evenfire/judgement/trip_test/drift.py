"""How the trip point of one control wanders from test to test, and when it leaves its band."""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum
from math import floor
from typing import Final

from evenfire.judgement.trip_test.due import DAYS_A_YEAR, Interval, due_on
from evenfire.judgement.trip_test.line import Line, Point, fitted_line
from evenfire.plant.known import Missing
from evenfire.plant.possible import require_positive
from evenfire.si import DiffPa, Dimension

LONGEST_OUTLOOK: Final = 100.0
"""[year]"""
ASSUMED_FIRM_DEGREES_OF_FREEDOM: Final = 2
"""From here on the interval around a drift, and not the line alone, says when the band is left [1].

With two tests or three the factor is 12.7, and every control would seem to leave its band within weeks.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PastTest:
    """One test of a control, for its history."""

    on: date
    set_error: DiffPa
    """Trip point less where it shall act [Pa]"""
    standard_uncertainty: DiffPa
    """Of the trip point [Pa]"""
    stretch: int = 0
    """Counts up whenever the control was adjusted or changed: between two stretches the error may jump"""

    def __post_init__(self) -> None:
        require_positive("standard_uncertainty", self.standard_uncertainty, Dimension.PRESSURE_DIFFERENCE)


class Follows(Enum):
    """What sets the interval to the next test."""

    CODE = "the code"
    DRIFT = "the drift"
    TOO_FEW_TESTS = "the code, for there are too few tests"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """What a history says."""

    a_year: float
    """[Pa/year]"""
    a_year_lowest: float
    """At 95 % [Pa/year]"""
    a_year_highest: float
    """At 95 % [Pa/year]"""
    standard_uncertainty: float
    """[Pa/year]"""
    degrees_of_freedom: int
    """[1]"""
    last_error: DiffPa
    """Fitted, at the last test [Pa]"""
    leaves_below: date | None
    """Earliest day, at 95 %, at which it acts below its band; nothing within a hundred years"""
    leaves_above: date | None
    """The same above its band"""
    follows: Follows
    next_due: date
    line: Line
    """Set error [Pa] against years since the last test"""

    @property
    def is_shown(self) -> bool:
        """Whether it drifts at all, at 95 %."""
        return self.a_year_lowest > 0.0 or self.a_year_highest < 0.0


def drift_of(history: tuple[PastTest, ...], band: DiffPa | None, code: Interval) -> Drift | Missing:
    """What the tests of one control say of its drift; missing where fewer than two of one stretch are there.

    Parameters
    ----------
    history
        Every test, found and left apart when the control was adjusted in between.
    band
        How far it may act from where it shall [Pa].
    code
        Interval that is asked for anyway.

    Notes
    -----
    The band is left on the first day on which the fitted error, widened to 95 %, passes an end of it. While few tests
    leave that day anywhere, the fitted line itself has to serve; the interval of the code is never stretched.
    """
    tests = tuple(sorted(history, key=lambda test: (test.stretch, test.on)))
    if band is None or not _can_be_fitted(tests):
        keys = (("trip.within",) if band is None else ()) + (() if _can_be_fitted(tests) else ("history.second_test",))
        return Missing(keys)
    last = max(test.on for test in tests)
    line = fitted_line(
        tuple(
            Point(
                at=(test.on - last).days / DAYS_A_YEAR,
                value=test.set_error,
                standard_uncertainty=test.standard_uncertainty,
                stretch=test.stretch,
            )
            for test in tests
        )
    )
    width = line.coverage_factor * line.standard_uncertainty
    below, above = _leaves(line, band, last, -1.0), _leaves(line, band, last, 1.0)
    is_firm = line.degrees_of_freedom >= ASSUMED_FIRM_DEGREES_OF_FREEDOM or abs(line.slope) > width
    if is_firm:
        days = [day for day in (below, above) if day is not None]
    else:
        plain = (_leaves(line, band, last, side, widened=False) for side in (-1.0, 1.0))
        days = [day for day in plain if day is not None]
    by_code = due_on(last, code)
    follows = Follows.CODE if is_firm else Follows.TOO_FEW_TESTS
    return Drift(
        a_year=line.slope,
        a_year_lowest=line.slope - width,
        a_year_highest=line.slope + width,
        standard_uncertainty=line.standard_uncertainty,
        degrees_of_freedom=line.degrees_of_freedom,
        last_error=DiffPa(line.value(0.0)),
        leaves_below=below,
        leaves_above=above,
        follows=Follows.DRIFT if days and min(days) < by_code else follows,
        next_due=min([by_code, *days]),
        line=line,
    )


def _can_be_fitted(tests: tuple[PastTest, ...]) -> bool:
    """Whether any stretch holds tests of two days."""
    days: dict[int, set[date]] = {}
    for test in tests:
        days.setdefault(test.stretch, set()).add(test.on)
    return any(len(each) > 1 for each in days.values())


def _leaves(line: Line, band: DiffPa, last: date, side: float, *, widened: bool = True) -> date | None:
    """The day on which an end of the band is passed; the room left is concave in time, so it is passed once."""

    def room(years: float) -> float:
        doubt = line.coverage_factor * line.doubt(years) if widened else 0.0
        return band - side * line.value(years) - doubt

    if room(0.0) <= 0.0:
        return last
    if room(LONGEST_OUTLOOK) > 0.0:
        return None
    low, high = 0.0, LONGEST_OUTLOOK
    while (high - low) * DAYS_A_YEAR > 0.01:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if room(middle) > 0.0 else (low, middle)
    return last + timedelta(days=floor(low * DAYS_A_YEAR))

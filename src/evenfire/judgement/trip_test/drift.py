"""How the trip point of one control wanders from test to test, and when it leaves its band."""

from dataclasses import dataclass
from datetime import date
from enum import Enum

from evenfire.judgement.trip_test.due import Interval
from evenfire.plant.known import Missing
from evenfire.si import DiffPa


@dataclass(frozen=True, slots=True, kw_only=True)
class Tested:
    """One test of a control, for its history."""

    on: date
    set_error: DiffPa
    """Trip point less where it shall act [Pa]"""
    standard_uncertainty: DiffPa
    """Of the trip point [Pa]"""
    stretch: int = 0
    """Counts up whenever the control was adjusted or changed: between two stretches the error may jump"""


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

    @property
    def is_shown(self) -> bool:
        """Whether it drifts at all, at 95 %."""
        return self.a_year_lowest > 0.0 or self.a_year_highest < 0.0


def drift_of(history: tuple[Tested, ...], band: DiffPa | None, code: Interval) -> Drift | Missing:
    """What the tests of one control say of its drift; missing where fewer than two of one stretch are there."""
    raise NotImplementedError

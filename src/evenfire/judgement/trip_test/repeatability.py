"""How well a control repeats itself, from the readings of today and of earlier tests together."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from math import sqrt
from typing import Final

from evenfire.judgement.trip_test.student import f_quantile

ASSUMED_ENOUGH_DEGREES_OF_FREEDOM: Final = 4
"""From here on a control speaks for itself, and others of its kind are no longer asked [1].

With four the factor of a one-sided 95 % is 2.1, against 1.6 with endlessly many and 6.3 with one.
"""
ERRATIC_AT: Final = 0.05
"""Chance at which a scatter as large as today's counts as no chance any more [1]."""


class Pool(Enum):
    """Whose readings a repeatability rests on."""

    TODAY = "today alone"
    THIS_CONTROL = "today and earlier tests of this control"
    SAME_KIND = "tests of controls of its kind as well"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """What one set of repeated readings tells of repeatability, or several sets together."""

    sum_of_squares: float = 0.0
    """Of the differences from the mean of each set [Pa2]"""
    degrees_of_freedom: int = 0
    """Readings less sets [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeatability:
    """Scatter of single actions of one control around its trip point."""

    standard_deviation: float
    """[Pa]"""
    degrees_of_freedom: float
    """[1]"""
    pool: Pool
    is_erratic_today: bool = False
    """Today's readings scatter more than the earlier ones explain; today's alone count then"""


def scatter_of(readings: Sequence[float]) -> Scatter:
    """What one set of readings [Pa] tells; nothing where it is a single one."""
    if len(readings) < 2:
        return Scatter()
    mean = sum(readings) / len(readings)
    return Scatter(sum_of_squares=sum((each - mean) ** 2 for each in readings), degrees_of_freedom=len(readings) - 1)


def repeatability_of(
    today: Sequence[float], *, this_control: Sequence[Scatter] = (), same_kind: Sequence[Scatter] = ()
) -> Repeatability | None:
    """How well a control repeats itself; nothing where no two readings of one set were ever taken.

    Parameters
    ----------
    today
        Readings of this test [Pa].
    this_control
        Earlier tests of the same control.
    same_kind
        Tests of others of its kind; asked only while the control itself has told little.

    Notes
    -----
    Sums of squares and degrees of freedom add (JCGM 100, H.3.6 and H.5 pool in this way). A scatter of today that
    the earlier ones do not explain (F test at 5 %) is not thinned by them: a control that has gone bad must show.

    References
    ----------
    JCGM-100, from memory.
    """
    now = scatter_of(today)
    before, pool = _added(this_control), Pool.THIS_CONTROL if this_control else Pool.TODAY
    if now.degrees_of_freedom + before.degrees_of_freedom < ASSUMED_ENOUGH_DEGREES_OF_FREEDOM and same_kind:
        before, pool = _added([*this_control, *same_kind]), Pool.SAME_KIND
    if _is_erratic(now, before):
        return _repeatability(now, Pool.TODAY, is_erratic=True)
    both = _added([now, before])
    if both.degrees_of_freedom == 0:
        return None
    return _repeatability(both, pool if before.degrees_of_freedom else Pool.TODAY, is_erratic=False)


def _added(scatters: Sequence[Scatter]) -> Scatter:
    return Scatter(
        sum_of_squares=sum(each.sum_of_squares for each in scatters),
        degrees_of_freedom=sum(each.degrees_of_freedom for each in scatters),
    )


def _is_erratic(now: Scatter, before: Scatter) -> bool:
    if not now.degrees_of_freedom or not before.degrees_of_freedom:
        return False
    ratio = f_quantile(1.0 - ERRATIC_AT, now.degrees_of_freedom, before.degrees_of_freedom)
    # Earlier readings that were all alike (a coarse gauge) make every scatter of today look wild, and it may be.
    return now.sum_of_squares / now.degrees_of_freedom > ratio * before.sum_of_squares / before.degrees_of_freedom


def _repeatability(scatter: Scatter, pool: Pool, *, is_erratic: bool) -> Repeatability:
    return Repeatability(
        standard_deviation=sqrt(scatter.sum_of_squares / scatter.degrees_of_freedom),
        degrees_of_freedom=scatter.degrees_of_freedom,
        pool=pool,
        is_erratic_today=is_erratic,
    )

"""How well a control repeats itself, from the readings of today and of earlier tests together."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum


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
    raise NotImplementedError


def repeatability_of(
    today: Sequence[float], *, this_control: Sequence[Scatter] = (), same_kind: Sequence[Scatter] = ()
) -> Repeatability | None:
    """How well a control repeats itself; nothing where no two readings of one set were ever taken."""
    raise NotImplementedError

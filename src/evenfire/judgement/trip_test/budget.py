"""An uncertainty budget: components, what they come to together, and how surely (JCGM 100)."""

from dataclasses import dataclass
from enum import Enum
from math import floor, inf, isinf, sqrt
from typing import Final

from evenfire.judgement.trip_test.student import t_quantile

CONFIDENCE: Final = 0.95
"""Of an expanded uncertainty, both sides together, and of what is shown on one side [1]."""


class Kind(Enum):
    """How a component was evaluated."""

    A = "A"
    """By statistics of repeated readings"""
    B = "B"
    """By any other knowledge"""


class Shape(Enum):
    """How a component is spread over its half-width."""

    NORMAL = "normal"
    RECTANGULAR = "rectangular"
    T = "t"


class Origin(Enum):
    """What a component comes from."""

    CALIBRATION = "calibration of the gauge"
    PERMISSIBLE_ERROR = "class of the gauge"
    RESOLUTION = "reading of the gauge"
    WATER_LEG = "water leg of the gauge"
    PARTLY_EMPTY_LEG = "water leg that may be part empty"
    READING_DELAY = "delay of the reading"
    REPEATABILITY = "repeatability of the control"


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One row of a budget."""

    origin: Origin
    kind: Kind
    shape: Shape
    half_width: float
    """Of the input; of a normal or t distribution the standard uncertainty times its coverage factor [SI unit]"""
    divisor: float
    """Half-width over standard uncertainty [1]"""
    sensitivity: float
    """Change of the result for a change of the input [Pa/SI unit]"""
    degrees_of_freedom: float = inf
    """[1]"""

    @property
    def standard_uncertainty(self) -> float:
        """Of the result, from this component alone [Pa]."""
        return abs(self.sensitivity) * self.half_width / self.divisor


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """All components, combined."""

    components: tuple[Component, ...]
    standard_uncertainty: float
    """Combined [Pa]"""
    degrees_of_freedom: float
    """Effective [1]"""

    @property
    def coverage_factor(self) -> float:
        """At 95 %, both sides [1]."""
        return t_quantile(0.5 * (1.0 + CONFIDENCE), self.whole_degrees_of_freedom)

    @property
    def expanded_uncertainty(self) -> float:
        """At 95 %, to either side [Pa]."""
        return self.coverage_factor * self.standard_uncertainty

    @property
    def one_sided(self) -> float:
        """What is kept from a limit that must not be passed: at 95 % on that one side [Pa]."""
        return t_quantile(CONFIDENCE, self.whole_degrees_of_freedom) * self.standard_uncertainty

    @property
    def whole_degrees_of_freedom(self) -> float:
        """Cut to a whole number, as JCGM 100 G.4.1 has it: never more certain than it is [1]."""
        return inf if isinf(self.degrees_of_freedom) else max(1.0, float(floor(self.degrees_of_freedom + 1e-9)))


def combined(components: tuple[Component, ...]) -> Budget:
    """The budget of independent components.

    Notes
    -----
    The standard uncertainties add as squares (JCGM 100, 5.1.2); the effective degrees of freedom are
    u^4 / sum(u_i^4 / v_i), after Welch and Satterthwaite (G.4.1).

    References
    ----------
    JCGM-100, from memory.

    Examples
    --------
    >>> rows = [Component(origin=Origin.RESOLUTION, kind=Kind.B, shape=Shape.RECTANGULAR, half_width=3.0,
    ...     divisor=sqrt(3.0), sensitivity=1.0)] * 2
    >>> round(combined(tuple(rows)).standard_uncertainty, 4)
    2.4495
    """
    variance = sum(each.standard_uncertainty**2 for each in components)
    loss = sum(each.standard_uncertainty**4 / each.degrees_of_freedom for each in components)
    return Budget(
        components=components,
        standard_uncertainty=sqrt(variance),
        degrees_of_freedom=variance**2 / loss if loss > 0.0 else inf,
    )

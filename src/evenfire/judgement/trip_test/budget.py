"""An uncertainty budget: components, what they come to together, and how surely (JCGM 100)."""

from dataclasses import dataclass
from enum import Enum
from math import inf


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
    coverage_factor: float
    """At 95 %, both sides [1]"""

    @property
    def expanded_uncertainty(self) -> float:
        """At 95 % [Pa]."""
        return self.coverage_factor * self.standard_uncertainty


def combined(components: tuple[Component, ...]) -> Budget:
    """The budget of independent components."""
    raise NotImplementedError

"""What a figure of the history of limits holds, before it is drawn: numbers and words, no sizes."""

from dataclasses import dataclass
from datetime import date
from enum import Enum

from evenfire.delivery.units import UnitSystem


class Mark(Enum):
    """How a test is marked."""

    PASSED = "passed"
    FAILED = "not passed"
    NOT_COUNTED = "not counted"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlottedTest:
    """A test with a trip point."""

    on: date
    error: float
    """Trip point less where it shall act [Pa]"""
    half_width: float
    """Of its 95 %; nought where nobody knows it [Pa]"""
    mark: Mark


@dataclass(frozen=True, slots=True, kw_only=True)
class PlottedLine:
    """The fitted line of the last stretch with its 95 %, day by day; three rows of one length."""

    days: tuple[date, ...]
    middle: tuple[float, ...]
    """[Pa]"""
    half_width: tuple[float, ...]
    """[Pa]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryPanel:
    """One control."""

    label: str
    tests: tuple[PlottedTest, ...]
    band: float | None
    """Either way [Pa]"""
    line: PlottedLine | None
    stretches: tuple[date, ...]
    """Days of the tests that begin a new stretch"""
    due: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyWords:
    """What each thing in the figure is called."""

    marks: dict[Mark, str]
    band: str
    line: str
    stretch: str
    due: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HistorySheet:
    """The whole figure."""

    title: str
    lead: str
    caption: str
    key: KeyWords
    panels: tuple[HistoryPanel, ...]
    system: UnitSystem

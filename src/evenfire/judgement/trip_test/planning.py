"""Which gauge could decide a trip test: said before anybody raises a pressure."""

from dataclasses import dataclass
from datetime import date
from enum import Enum

from evenfire.judgement.behaviour import Estimate
from evenfire.judgement.case import Case
from evenfire.judgement.trip_test.budget import Budget
from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.judgement.trip_test.repeatability import Repeatability
from evenfire.judgement.trip_test.trip import Acceptance
from evenfire.plant.known import Missing
from evenfire.si import DiffPa, GaugePa


class Suits(Enum):
    """What a gauge can do for a test."""

    DECIDES = "can decide"
    CANNOT_DECIDE = "cannot decide"
    OUT_OF_RANGE = "out of range"
    OUT_OF_DATE = "out of date"
    NOT_KNOWN = "too little is known of it"


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A test that is to be made."""

    set_pressure: GaugePa
    """[Pa gauge]"""
    band: DiffPa
    """Either way [Pa]"""
    on: date
    repeats: int = 3
    rate: float | None = None
    """Rise that is expected at low fire [Pa/s]"""
    repeatability: Repeatability | None = None
    """From earlier tests; nothing where there are none"""


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugePlan:
    """What one gauge can do."""

    gauge: ReferenceGauge
    suits: Suits
    budget: Budget | None = None
    acceptance: Acceptance | None = None
    share_undecided: float | None = None
    """Of healthy controls, every place in the band as likely [1]"""
    fewest_repeats: int | None = None
    """With which it can decide; nothing where no number would do"""
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TripPlan:
    """What the gauges in the bag can do, best first."""

    gauges: tuple[GaugePlan, ...]
    take: ReferenceGauge | None
    """The one to take; nothing where none can decide"""
    widest: DiffPa | None
    """Widest expanded uncertainty at 95 % that can still decide; nothing where not even a perfect gauge could [Pa]"""
    assumptions: tuple[str, ...] = ()


def plan_of(planned: Planned, bag: tuple[ReferenceGauge, ...]) -> TripPlan:
    """What each gauge can do for a test."""
    raise NotImplementedError


def expected_rate(case: Case, set_pressure: GaugePa) -> Estimate | Missing:
    """Rise of the pressure at low fire with no steam drawn [Pa/s]."""
    raise NotImplementedError

"""Which gauge could decide a trip test: said before anybody raises a pressure."""

from dataclasses import dataclass, replace
from datetime import date
from enum import Enum
from math import inf, sqrt
from statistics import NormalDist
from typing import Final

from evenfire.judgement.trip_test import components
from evenfire.judgement.trip_test.budget import CONFIDENCE, Budget, Component, Kind, Origin, Shape, combined
from evenfire.judgement.trip_test.deciding import acceptance_of
from evenfire.judgement.trip_test.gauge import InDate, ReferenceGauge
from evenfire.judgement.trip_test.repeatability import Pool, Repeatability
from evenfire.judgement.trip_test.trip import Acceptance
from evenfire.plant.known import Missing
from evenfire.plant.possible import require_between, require_positive
from evenfire.si import PA_PER_PSI, ROUNDING_PA, DiffPa, Dimension, GaugePa

ASSUMED_REPEATABILITY: Final = 0.003
"""Standard deviation of single actions of a control in order, as a share of its set pressure [1].

For planning alone, where no earlier test tells: a snap switch on a bellows repeats within a few tenths of a percent. No
published figure was found; the verdict of a test never rests on it.
"""
ASSUMED_LEAST_REPEATABILITY: Final = 0.05 * PA_PER_PSI
"""The same at low pressure, where friction of the linkage and not a share of the setting counts [Pa]."""
MOST_REPEATS: Final = 10
"""More than that nobody raises a boiler to its high limit in one visit."""
_NORMAL: Final = NormalDist()
_HALVINGS: Final = 40
_PLACES: Final = 64
_HAIR: Final = 1e-6
_STEP: Final = 0.1
_REACH: Final = 60


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
    ceiling: GaugePa | None = None
    """Lower of MAWP and earliest lift, above which no band reaches [Pa gauge]"""
    could_meet: GaugePa | None = None
    """What the pressure may come to in the test, where a control does not act: the earliest lift [Pa gauge]"""

    def __post_init__(self) -> None:
        require_positive("set", self.set_pressure, Dimension.GAUGE_PRESSURE)
        require_positive("within", self.band, Dimension.PRESSURE_DIFFERENCE)
        require_between("repeats", self.repeats, 1, MOST_REPEATS, Dimension.NUMBER)


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
    ends_too_low: bool = False
    """The pressure may go beyond the end of its scale: it is not to be connected"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TripPlan:
    """What the gauges in the bag can do, surest first."""

    gauges: tuple[GaugePlan, ...]
    take: ReferenceGauge | None
    """The one to take; nothing where none can decide"""
    widest: DiffPa | None
    """Widest expanded uncertainty at 95 % that can still decide; nothing where not even a perfect gauge could [Pa]"""
    assumptions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Decision:
    """What a test with so many repeats and this doubt could say."""

    mean: Budget
    acceptance: Acceptance
    passes_in_the_middle: float
    """A control that acts where it shall: probability that it passes [1]"""
    undecided: float
    """[1]"""


def plan_of(planned: Planned, bag: tuple[ReferenceGauge, ...]) -> TripPlan:
    """What each gauge can do for a test.

    Parameters
    ----------
    planned
        The test that is to be made.
    bag
        The gauges that are at hand, each with the water leg with which it would hang.

    Notes
    -----
    A gauge can decide when a control that acts exactly where it shall passes with 95 %; one whose guard bands only just
    leave a place in the middle would leave nearly every control undecided. The share of healthy controls left undecided
    takes every place in the band as equally likely.

    References
    ----------
    JCGM-106, 9 (risks of a decision), from memory.
    """
    expected = _expected(planned)
    plans = tuple(_plan(planned, expected, gauge) for gauge in bag)
    order = list(Suits)
    ranked = tuple(sorted(plans, key=lambda plan: (order.index(plan.suits), _doubt(plan))))
    best = ranked[0] if ranked and ranked[0].suits is Suits.DECIDES else None
    assumed = () if planned.repeatability else ("ASSUMED_REPEATABILITY", "ASSUMED_LEAST_REPEATABILITY")
    return TripPlan(
        gauges=ranked,
        take=None if best is None else best.gauge,
        widest=_widest(planned, expected),
        assumptions=(*components.ASSUMPTIONS, *assumed),
    )


def _expected(planned: Planned) -> Repeatability:
    """How the control is expected to repeat itself, before any reading of today."""
    if planned.repeatability is not None:
        return planned.repeatability
    deviation = max(ASSUMED_REPEATABILITY * planned.set_pressure, ASSUMED_LEAST_REPEATABILITY)
    return Repeatability(standard_deviation=deviation, degrees_of_freedom=0.0, pool=Pool.TODAY)


def _plan(planned: Planned, expected: Repeatability, gauge: ReferenceGauge) -> GaugePlan:
    # The range comes first: a gauge that the pressure overruns is a danger, whatever its certificate says.
    top = GaugePa(max(planned.set_pressure + planned.band, planned.could_meet or 0.0))
    ends = [components.on_gauge(each, gauge) for each in (GaugePa(planned.set_pressure - planned.band), top)]
    ends_too_low = ends[1] > gauge.highest + ROUNDING_PA
    if ends_too_low or ends[0] < gauge.lowest:
        return GaugePlan(gauge=gauge, suits=Suits.OUT_OF_RANGE, ends_too_low=ends_too_low)
    parts = components.of_gauge(gauge, planned.rate)
    if isinstance(parts, Missing):
        return GaugePlan(gauge=gauge, suits=Suits.NOT_KNOWN, missing=parts.keys)
    if gauge.in_date(planned.on) is InDate.NO:
        return GaugePlan(gauge=gauge, suits=Suits.OUT_OF_DATE)
    decision = _decision(planned, expected, parts, planned.repeats)
    fewest = next(
        (repeats for repeats in range(1, MOST_REPEATS + 1) if _decides(planned, expected, parts, repeats)), None
    )
    return GaugePlan(
        gauge=gauge,
        suits=Suits.DECIDES if _decides(planned, expected, parts, planned.repeats) else Suits.CANNOT_DECIDE,
        budget=None if decision is None else decision.mean,
        acceptance=None if decision is None else decision.acceptance,
        share_undecided=1.0 if decision is None else decision.undecided,
        fewest_repeats=fewest,
    )


def _doubt(plan: GaugePlan) -> float:
    """By the standard uncertainty: with few repeats the t factor can make a coarser gauge look the better one."""
    return inf if plan.budget is None else plan.budget.standard_uncertainty


def _decides(planned: Planned, expected: Repeatability, parts: tuple[Component, ...], repeats: int) -> bool:
    decision = _decision(planned, expected, parts, repeats)
    return decision is not None and decision.passes_in_the_middle >= CONFIDENCE


def _decision(
    planned: Planned, expected: Repeatability, parts: tuple[Component, ...], repeats: int
) -> _Decision | None:
    """What such a test could say; nothing where it would leave no degree of freedom."""
    freedom = expected.degrees_of_freedom + repeats - 1
    if freedom < 1:
        return None
    scatter = replace(expected, degrees_of_freedom=freedom)
    mean = combined((*parts, components.of_mean(scatter, repeats)))
    next_action = combined((*parts, components.of_next_action(scatter, repeats)))
    acceptance = acceptance_of(planned.set_pressure, planned.band, mean, next_action, planned.ceiling)
    read = _Read.of(mean, planned)
    band = planned.band
    low, high = acceptance.lowest - planned.set_pressure, acceptance.highest - planned.set_pressure
    has_room = high > low
    # The highest of the readings is enough to call it high, and it stands so far above their mean.
    called_high = acceptance.upper_limit - planned.set_pressure - _highest_of(repeats) * expected.standard_deviation
    return _Decision(
        mean=mean,
        acceptance=acceptance,
        passes_in_the_middle=read.below(high) - read.below(low) if has_room else 0.0,
        undecided=read.share_below(max(called_high, high))
        - read.share_below(-band)
        - (read.share_below(high) - read.share_below(low) if has_room else 0.0),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """How the mean reading is spread: the widest rectangle as it is, all the rest as a normal distribution.

    A coarse gauge is one wide rectangle, and that is far from normal.
    """

    spread: float
    """Of the rest [Pa]"""
    offsets: tuple[float, ...]
    """Places all over the widest rectangle [Pa]"""
    band: float
    """[Pa]"""

    @classmethod
    def of(cls, mean: Budget, planned: Planned) -> "_Read":
        even = [each for each in mean.components if each.shape is Shape.RECTANGULAR]
        widest = max((each.standard_uncertainty for each in even), default=0.0)
        half = widest * sqrt(3.0)
        rest = sqrt(max(0.0, mean.standard_uncertainty**2 - widest**2))
        places = tuple(half * ((2 * place + 1) / _PLACES - 1.0) for place in range(_PLACES))
        # A hair of spread stands for none: the readings then lie where the rectangle has them.
        return cls(spread=max(rest, _HAIR * planned.band), offsets=places, band=planned.band)

    def below(self, limit: float) -> float:
        """Probability that a control in the middle is read at or below a limit [1]."""
        return sum(_NORMAL.cdf((limit - each) / self.spread) for each in self.offsets) / _PLACES

    def share_below(self, limit: float) -> float:
        """Share of healthy controls, all over the band alike, read at or below a limit [1]."""
        return sum(self._share_below(limit - each) for each in self.offsets) / _PLACES

    def _share_below(self, limit: float) -> float:
        spread, band = self.spread, self.band
        return spread / (2.0 * band) * (_rising((limit + band) / spread) - _rising((limit - band) / spread))


def _highest_of(repeats: int) -> float:
    """How far the highest of so many normal readings stands above their mean, in standard deviations [1]."""
    steps = [_STEP * place for place in range(-_REACH, _REACH + 1)]
    highest = (step * repeats * _NORMAL.pdf(step) * _NORMAL.cdf(step) ** (repeats - 1) for step in steps)
    return sum(highest) * _STEP


def _rising(score: float) -> float:
    """Integral of the normal distribution up to a score."""
    return score * _NORMAL.cdf(score) + _NORMAL.pdf(score)


def _widest(planned: Planned, expected: Repeatability) -> DiffPa | None:
    """Widest expanded uncertainty that can still decide [Pa]: the doubt of the gauge is widened until it cannot."""

    def rows(doubt: float) -> tuple[Component, ...]:
        normal = Component(
            origin=Origin.CALIBRATION,
            kind=Kind.B,
            shape=Shape.NORMAL,
            half_width=doubt,
            divisor=1.0,
            sensitivity=1.0,
        )
        return (normal,)

    if not _decides(planned, expected, rows(0.0), planned.repeats):
        return None
    low, high = 0.0, float(planned.band)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _decides(planned, expected, rows(middle), planned.repeats) else (low, middle)
    decision = _decision(planned, expected, rows(low), planned.repeats)
    return None if decision is None else DiffPa(decision.mean.expanded_uncertainty)

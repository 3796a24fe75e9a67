"""What a plan says in numbers, against an integration of the test's own over the band and the class of a gauge.

A control acts somewhere in its band; the gauge is off by its widest component, evenly, and by all the rest as a normal
distribution; it passes between the guarded limits of JCGM 106 (8.3, from memory), and one reading above the upper limit
calls it high.
"""

from dataclasses import dataclass, replace
from math import sqrt

import numpy as np
import pytest
from scipy import optimize, stats

from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.judgement.trip_test.planning import MOST_REPEATS, GaugePlan, Planned, Suits, plan_of
from evenfire.judgement.trip_test.repeatability import Pool, Repeatability
from evenfire.si import PA_PER_PSI, DiffPa, GaugePa
from tests.judgement.trip_test.trips_at_140 import PERFECT, TODAY, gauge, gauge_psi, psi

ENDLESS = 1e9
SCATTER = 0.2
"""[psi]"""
WELL_KNOWN = Repeatability(standard_deviation=psi(SCATTER), degrees_of_freedom=ENDLESS, pool=Pool.THIS_CONTROL)
PLANNED = Planned(set_pressure=gauge_psi(140.0), band=psi(2.0), on=TODAY, rate=psi(0.1), repeatability=WELL_KNOWN)
NEVER_TESTED = replace(PLANNED, repeatability=None, rate=0.0)

# How far the highest of so many normal readings stands above their mean, in standard deviations: tables of order
# statistics, from memory.
HIGHEST_OF = {1: 0.0, 2: 0.5642, 3: 0.8463, 5: 1.1630, 10: 1.5388}


@dataclass(frozen=True)
class ByHand:
    """A plan with endless degrees of freedom, in psi."""

    error: float
    division: float
    calibration: float
    band: float
    repeats: int

    @property
    def gauge(self) -> ReferenceGauge:
        """As it lies in the bag."""
        return gauge(self.error, self.division, self.calibration)

    def doubt(self, of_control: float) -> float:
        """Standard uncertainty: class, half a division, a second at 0.1 psi/s, certificate (k = 2), control."""
        even = self.error**2 + (0.5 * self.division) ** 2 + 0.1**2
        return sqrt(even / 3 + (0.5 * self.calibration) ** 2 + SCATTER**2 * of_control)

    @property
    def mean(self) -> float:
        """Standard uncertainty of the mean."""
        return self.doubt(1 / self.repeats)

    @property
    def low(self) -> float:
        """Guarded from both sides, above the lower limit."""
        return -self.band + 1.95996 * self.mean

    @property
    def high(self) -> float:
        """Guarded on the one side, below the upper limit, for the next action."""
        return self.band - 1.64485 * self.doubt(1 + 1 / self.repeats)

    def read_below(self, limit: float, acts_at: float) -> float:
        """Share of mean readings at or below a limit."""
        half = max(self.error, 0.5 * self.division, 0.1)
        rest = sqrt(self.mean**2 - half**2 / 3)
        off = half * (np.arange(400) + 0.5) / 200 - half
        return float(np.mean(stats.norm.cdf((limit - acts_at - off) / rest)))

    def share_below(self, limit: float) -> float:
        """The same over all places in the band."""
        places = self.band * ((np.arange(800) + 0.5) / 400 - 1)
        return float(np.mean([self.read_below(limit, each) for each in places]))

    @property
    def undecided(self) -> float:
        """Above the lower limit, not called high by one reading, and not passed."""
        called_high = max(self.band - HIGHEST_OF[self.repeats] * SCATTER, self.high)
        passed = self.share_below(self.high) - self.share_below(self.low) if self.high > self.low else 0.0
        return self.share_below(called_high) - self.share_below(-self.band) - passed

    @property
    def plan(self) -> GaugePlan:
        """What is said of it."""
        planned = replace(PLANNED, band=psi(self.band), repeats=self.repeats)
        (found,) = plan_of(planned, (self.gauge,)).gauges
        return found


FINE = ByHand(error=0.25, division=0.2, calibration=0.1, band=2.0, repeats=3)
NUMBERS = [
    FINE,
    *(replace(FINE, repeats=repeats) for repeats in (1, 2, 5, 10)),
    ByHand(error=0.1, division=0.5, calibration=0.4, band=4.0, repeats=3),
    ByHand(error=1.0, division=1.0, calibration=0.3, band=4.0, repeats=3),
    ByHand(error=1.0, division=1.0, calibration=0.3, band=1.0, repeats=3),  # its guard bands leave no place at all
]


@pytest.mark.parametrize("by_hand", NUMBERS)
def test_the_share_of_healthy_controls_left_undecided_is_what_an_integration_finds(by_hand: ByHand) -> None:
    assert by_hand.plan.share_undecided == pytest.approx(by_hand.undecided, abs=2e-4)


@pytest.mark.parametrize("by_hand", NUMBERS)
def test_a_plan_shows_the_budget_and_the_limits_that_the_test_will_have(by_hand: ByHand) -> None:
    plan = by_hand.plan
    assert plan.budget is not None
    assert plan.budget.standard_uncertainty / PA_PER_PSI == pytest.approx(by_hand.mean, rel=1e-4)
    assert plan.acceptance is not None
    assert plan.acceptance.lowest / PA_PER_PSI == pytest.approx(140.0 + by_hand.low, abs=1e-3)
    assert plan.acceptance.highest / PA_PER_PSI == pytest.approx(140.0 + by_hand.high, abs=1e-3)


def test_a_gauge_decides_where_a_control_in_the_middle_passes_with_95_percent() -> None:
    # The error of the class at which it just does, by an integration of the test's own; a little to either side.
    def lacking(error: float) -> float:
        one = replace(FINE, error=error)
        return one.read_below(one.high, 0.0) - one.read_below(one.low, 0.0) - 0.95

    just = optimize.brentq(lacking, 0.3, 1.0)
    assert replace(FINE, error=0.995 * just).plan.suits is Suits.DECIDES
    assert replace(FINE, error=1.005 * just).plan.suits is Suits.CANNOT_DECIDE


def test_the_widest_uncertainty_that_can_still_decide_is_the_root_of_its_definition() -> None:
    # The control repeats perfectly, all doubt is normal: 95 % lie between the lower limit and 1.96 u and the upper less
    # 1.645 u.
    def lacking(doubt: float) -> float:
        low, high = -2.0 + 1.959964 * doubt, 2.0 - 1.644854 * doubt
        return float(stats.norm.cdf(high / doubt) - stats.norm.cdf(low / doubt)) - 0.95

    perfect = replace(WELL_KNOWN, standard_deviation=0.0)
    widest = plan_of(replace(PLANNED, repeatability=perfect), ()).widest
    assert widest is not None
    assert widest / PA_PER_PSI == pytest.approx(1.959964 * optimize.brentq(lacking, 0.2, 1.0), rel=1e-4)


def test_the_fewest_repeats_are_the_first_number_with_which_it_decides() -> None:
    (known,) = plan_of(replace(PLANNED, band=psi(5.0)), (FINE.gauge,)).gauges
    assert known.fewest_repeats == 1
    # Nobody knows how it scatters: two readings are the first that tell (one degree of freedom), and in a band as wide
    # as that their 6.31 and 12.71 times the doubt (t, any table) find room.
    for repeats, suits in ((1, Suits.CANNOT_DECIDE), (2, Suits.DECIDES)):
        (never,) = plan_of(replace(NEVER_TESTED, band=psi(60.0), repeats=repeats), (FINE.gauge,)).gauges
        assert (never.suits, never.fewest_repeats) == (suits, 2)


def test_the_most_repeats_are_tried_as_well() -> None:
    # What decides with ten and not with nine: the scatter is raised until nine no longer do.
    def decides(scatter: float, repeats: int) -> bool:
        wild = replace(WELL_KNOWN, standard_deviation=psi(scatter))
        (found,) = plan_of(replace(PLANNED, repeatability=wild, repeats=repeats), (FINE.gauge,)).gauges
        assert repeats != MOST_REPEATS or (found.fewest_repeats is not None) is (found.suits is Suits.DECIDES)
        return found.suits is Suits.DECIDES

    low, high = 0.2, 2.0
    for _ in range(12):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if decides(middle, MOST_REPEATS) else (low, middle)
    assert decides(low, MOST_REPEATS)
    assert not decides(low, MOST_REPEATS - 1)


def test_readings_less_one_are_the_degrees_of_freedom_of_a_control_never_tested() -> None:
    # JCGM 100, G.3.3, from memory. 0.3 % of 140 psi are 0.42 psi; at low pressure a twentieth of a psi is the least.
    for set_at, scatter in ((140.0, 0.42), (10.0, 0.05)):
        planned = replace(NEVER_TESTED, set_pressure=gauge_psi(set_at), band=psi(8.0))
        (found,) = plan_of(planned, (PERFECT,)).gauges
        assert found.budget is not None
        assert found.budget.degrees_of_freedom == pytest.approx(2.0)
        assert found.budget.standard_uncertainty / PA_PER_PSI == pytest.approx(scatter / sqrt(3))


def test_of_two_gauges_that_decide_the_surer_comes_first() -> None:
    fine, finer = gauge(0.25, 0.2, 0.1, serial="fine"), gauge(0.05, 0.1, 0.02, serial="finer")
    coarse, coarser = gauge(3.0, 5.0, 0.5, serial="coarse"), gauge(4.0, 5.0, 0.5, serial="coarser")
    short = [gauge(to=each, serial=str(each)) for each in (30.0, 60.0)]
    plan = plan_of(PLANNED, (short[0], coarser, fine, short[1], coarse, finer))
    assert [each.gauge for each in plan.gauges] == [finer, fine, coarse, coarser, *short]
    assert plan.take is finer


def test_a_scale_that_just_holds_the_band_is_not_out_of_range() -> None:
    # 10 bar within 1 bar, in whole pascals, on a scale from 9 to 11 bar.
    planned = replace(PLANNED, set_pressure=GaugePa(1e6), band=DiffPa(1e5))
    just = replace(FINE.gauge, lowest=GaugePa(9e5), highest=GaugePa(1.1e6))
    assert plan_of(planned, (just,)).take is just
    for shorter in (replace(just, lowest=GaugePa(9.001e5)), replace(just, highest=GaugePa(1.0999e6))):
        (found,) = plan_of(planned, (shorter,)).gauges
        assert found.suits is Suits.OUT_OF_RANGE
        assert found.ends_too_low is (shorter.highest < just.highest)

"""Budgets against the worked examples of the guide (JCGM 100, annex H, from memory)."""

from math import inf, sqrt

import pytest
from scipy import stats

from evenfire.judgement.trip_test.budget import Budget, Component, Kind, Origin, Shape, combined
from evenfire.judgement.trip_test.components import at_boiler, of_gauge, of_mean, of_next_action, on_gauge
from evenfire.judgement.trip_test.repeatability import Pool, Repeatability
from evenfire.judgement.trip_test.student import t_quantile
from evenfire.plant.controls import Filling, Position
from evenfire.plant.known import Missing
from evenfire.si import PA_PER_PSI
from tests.judgement.trip_test.trips_at_140 import gauge, gauge_psi, leg, psi


def row(standard: float, freedom: float = inf) -> Component:
    return Component(
        origin=Origin.REPEATABILITY,
        kind=Kind.A,
        shape=Shape.T,
        half_width=standard,
        divisor=1.0,
        sensitivity=1.0,
        degrees_of_freedom=freedom,
    )


def as_rounded(budget: Budget, printed: float) -> float:
    """Degrees of freedom of a budget whose standard uncertainty was rounded before it was raised."""
    return budget.degrees_of_freedom * (printed / budget.standard_uncertainty) ** 4


def test_the_end_gauge_of_the_guide_comes_out_as_printed() -> None:
    # JCGM 100, H.1, from memory [nm]: u of the difference 9.7 with 25.6 degrees of freedom; u of the length 32
    # with 17.5; U at 99 % 93. The guide raises the rounded 9.7 and 32 to the fourth power, which moves its degrees of
    # freedom.
    difference = combined((row(5.8, 24), row(3.9, 5), row(6.7, 8)))
    assert difference.standard_uncertainty == pytest.approx(9.7, abs=0.05)
    assert as_rounded(difference, 9.7) == pytest.approx(25.6, abs=0.05)
    whole = combined((row(25.0, 18), row(9.7, 25.6), row(2.9, 50), row(16.6, 2)))
    assert whole.standard_uncertainty == pytest.approx(32, abs=0.5)
    assert as_rounded(whole, 32.0) == pytest.approx(17.5, abs=0.05)
    at_99 = t_quantile(0.995, whole.whole_degrees_of_freedom) * whole.standard_uncertainty
    assert at_99 == pytest.approx(93, abs=1.0)


def test_a_rectangular_component_is_its_half_width_over_the_root_of_three() -> None:
    # JCGM 100, 4.3.7: a^2 / 3; and F.2.2.1: a resolution of 1 has a standard uncertainty of 0.29.
    parts = of_gauge(gauge(3.0, 1.0, 0.5), psi(0.0))
    assert not isinstance(parts, Missing)
    by_origin = {part.origin: part.standard_uncertainty / PA_PER_PSI for part in parts}
    assert by_origin[Origin.PERMISSIBLE_ERROR] == pytest.approx(sqrt(3.0))
    assert by_origin[Origin.RESOLUTION] == pytest.approx(0.29, abs=0.002)
    assert by_origin[Origin.CALIBRATION] == pytest.approx(0.25)


def test_a_rise_of_a_psi_in_ten_seconds_read_a_second_late_is_a_tenth_of_a_psi() -> None:
    parts = of_gauge(gauge(), psi(0.1))
    assert not isinstance(parts, Missing)
    (delay,) = (part for part in parts if part.origin is Origin.READING_DELAY)
    assert delay.half_width * delay.sensitivity / PA_PER_PSI == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("position", "filling", "at_100"),
    [
        # HB1919: 0.433 psi a foot of water; ten feet below the tap press 4.33 psi on the gauge, which shows too much.
        (Position.BELOW_TAP, Filling.FULL, 95.67),
        (Position.ABOVE_TAP, Filling.FULL, 104.33),
        (Position.BELOW_TAP, Filling.UNSURE, 97.835),
    ],
)
def test_a_gauge_is_read_with_its_water_leg_off(position: Position, filling: Filling, at_100: float) -> None:
    hung = gauge(water_leg=leg(10.0, position, filling))
    pressure = at_boiler(gauge_psi(100.0), hung)
    assert pressure / PA_PER_PSI == pytest.approx(at_100, abs=0.001)
    assert on_gauge(pressure, hung) / PA_PER_PSI == pytest.approx(100.0)


def test_a_leg_that_may_be_part_empty_counts_from_nothing_to_full() -> None:
    parts = of_gauge(gauge(water_leg=leg(10.0, filling=Filling.UNSURE)), psi(0.0))
    assert not isinstance(parts, Missing)
    (emptied,) = (part for part in parts if part.origin is Origin.PARTLY_EMPTY_LEG)
    assert emptied.half_width / PA_PER_PSI == pytest.approx(2.165, abs=0.001)


def test_the_next_action_is_less_sure_than_the_mean() -> None:
    scatter = Repeatability(standard_deviation=300.0, degrees_of_freedom=2, pool=Pool.TODAY)
    assert of_mean(scatter, 3).standard_uncertainty == pytest.approx(300 / sqrt(3))
    assert of_next_action(scatter, 3).standard_uncertainty == pytest.approx(300 * sqrt(4 / 3))


def test_expanded_uncertainty_takes_the_whole_degrees_of_freedom_below() -> None:
    budget = Budget(components=(), standard_uncertainty=2.0, degrees_of_freedom=4.99)
    assert budget.expanded_uncertainty == pytest.approx(2.0 * stats.t.ppf(0.975, 4))
    assert budget.one_sided == pytest.approx(2.0 * stats.t.ppf(0.95, 4))


def test_what_nobody_knows_of_a_gauge_is_missing_and_not_nought() -> None:
    unread = of_gauge(gauge(water_leg=None), None)
    assert isinstance(unread, Missing)
    assert unread.keys == ("trip.gauge_leg", "trip.rise")


def test_a_gauge_without_any_doubt_has_a_budget_of_nought() -> None:
    nothing = combined(())
    assert (nothing.standard_uncertainty, nothing.degrees_of_freedom) == (0.0, inf)
    assert nothing.expanded_uncertainty == 0.0


def test_a_budget_has_one_degree_of_freedom_at_least() -> None:
    # t for less than one is in no table.
    assert Budget(components=(), standard_uncertainty=1.0, degrees_of_freedom=0.7).whole_degrees_of_freedom == 1.0


def test_a_single_row_keeps_its_degrees_of_freedom_however_small_it_is() -> None:
    # JCGM 100, G.4.1: of one component alone the effective degrees of freedom are its own.
    assert combined((row(0.01, 4),)).degrees_of_freedom == pytest.approx(4.0)

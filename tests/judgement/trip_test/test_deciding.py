"""Probabilities and acceptance limits against the worked examples of JCGM 106, from memory."""

from math import inf

import pytest
from scipy import stats

from evenfire.judgement.trip_test.budget import Budget
from evenfire.judgement.trip_test.deciding import acceptance_of, probability_below, probability_within
from evenfire.si import PA_PER_PSI
from tests.judgement.trip_test.trips_at_140 import gauge_psi, psi


def budget(standard: float, freedom: float = inf) -> Budget:
    return Budget(components=(), standard_uncertainty=standard, degrees_of_freedom=freedom)


def test_a_container_that_must_stand_490_kpa_and_burst_at_509_7_conforms_with_99_percent() -> None:
    # JCGM 106, 7.3, lower limit, from memory: burst strength 509.7 kPa, u = 8.6 kPa, at least 490 kPa: 0.99.
    assert 1.0 - probability_below(490.0, 509.7, budget(8.6)) == pytest.approx(0.99, abs=0.005)


def test_a_diode_that_must_break_down_below_minus_5_40_volts_conforms_with_92_percent() -> None:
    # JCGM 106, 7.3, upper limit, from memory: -5.47 V, u = 0.05 V, at most -5.40 V: 0.92.
    assert probability_below(-5.40, -5.47, budget(0.05)) == pytest.approx(0.92, abs=0.005)


def test_an_oil_of_13_6_between_12_5_and_16_3_conforms_with_66_percent() -> None:
    # JCGM 106, 7.4, both limits, from memory: viscosity 13.6 mm2/s, u = 1.8 mm2/s: 0.66.
    assert probability_within(12.5, 16.3, 13.6, budget(1.8)) == pytest.approx(0.66, abs=0.005)


def test_a_speed_of_107_is_above_100_with_99_9_percent_where_the_meter_has_2_percent() -> None:
    # JCGM 106, 8.3 (guarded rejection), from memory: the speed is 107 km/h, rounded up.
    assert probability_below(100.0, 106.0, budget(0.02 * 106.0)) > 0.001
    assert probability_below(100.0, 107.0, budget(0.02 * 107.0)) < 0.001


def test_with_few_readings_students_t_stands_for_the_normal_distribution() -> None:
    assert probability_below(3.0, 1.0, budget(1.0, 2.0)) == pytest.approx(stats.t.cdf(2.0, 2))


def test_without_doubt_it_conforms_or_it_does_not() -> None:
    assert probability_below(1.0, 1.0, budget(0.0)) == 1.0
    assert probability_below(1.0, 1.1, budget(0.0)) == 0.0


def test_guard_bands_are_one_sided_above_and_two_sided_below() -> None:
    # By hand: 140 +- 4 psi, u of the mean 1 psi and of the next action 1.2 psi, endless degrees of freedom:
    # 136 + 1.96 and 144 - 1.645 x 1.2. JCGM 106 has w = 1.64 u for 95 % at a single limit, from memory.
    limits = acceptance_of(gauge_psi(140.0), psi(4.0), budget(psi(1.0)), budget(psi(1.2)))
    assert limits.lowest / PA_PER_PSI == pytest.approx(137.96, abs=0.001)
    assert limits.highest / PA_PER_PSI == pytest.approx(142.026, abs=0.001)
    assert limits.lower_limit / PA_PER_PSI == pytest.approx(136.0)
    assert limits.upper_limit / PA_PER_PSI == pytest.approx(144.0)


def test_on_the_acceptance_limit_the_next_action_conforms_with_95_percent() -> None:
    next_action = budget(psi(1.2), 3.0)
    limits = acceptance_of(gauge_psi(140.0), psi(4.0), budget(psi(1.0)), next_action)
    assert probability_below(limits.upper_limit, limits.highest, next_action) == pytest.approx(0.95, abs=1e-6)

"""The closed forms of firing against numbers worked by hand and against limits they must have."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.physics.firing import (
    AIR_HEAT_CAPACITY,
    cycle_period,
    drive_up_fall,
    drop_overshoot,
    firing_fraction,
    purge_cooling,
    restart_undershoot,
    run_on,
)

HEAT, STORAGE = 2.0e6, 1.0e3
"""A fire [W] and a store [J/Pa] that make round numbers."""


def test_a_run_on_is_the_heat_still_on_its_way_over_the_storage() -> None:
    # 2 MW x 8 s = 16 MJ into 1 kJ/Pa: 16 kPa.
    assert run_on(HEAT, 8.0, STORAGE) == pytest.approx(16_000.0)


def test_a_run_on_is_what_a_first_order_lag_still_delivers() -> None:
    # Heat after the flame goes out decays as exp(-t/lag); summed by small steps, independent of the closed form.
    lag, step = 8.0, 0.001
    arriving = sum(HEAT * math.exp(-(place + 0.5) * step / lag) * step for place in range(int(40 * lag / step)))
    assert run_on(HEAT, lag, STORAGE) == pytest.approx(arriving / STORAGE, rel=1e-5)


def test_an_undershoot_is_what_load_and_purge_draw_while_the_chain_runs() -> None:
    # (0.5 MW + 0.1 MW) x 60 s = 36 MJ: 36 kPa.
    assert restart_undershoot(0.5e6, 0.1e6, 60.0, STORAGE) == pytest.approx(36_000.0)


def test_a_slow_actuator_adds_half_of_the_drop_over_the_seconds_it_is_late() -> None:
    # 1 MW shed in 10 s, actuator 30 s, lag 5 s: 1 MW x (5 + 20/2) s = 15 MJ: 15 kPa.
    assert drop_overshoot(1e6, 10.0, 5.0, 30.0, STORAGE) == pytest.approx(15_000.0)
    # An actuator that keeps up leaves the lag alone.
    assert drop_overshoot(1e6, 40.0, 5.0, 30.0, STORAGE) == pytest.approx(5_000.0)


def test_a_cycle_takes_the_seconds_worked_by_hand() -> None:
    # Q 2 MW, L 1 MW, band 100 MJ, start 50 s, purge 0.2 MW, postpurge 10 s:
    # falling (100 - 2)/1 = 98 s; start 50 s draws (1 + 0.2) x 50 = 60 MJ; rising (100 + 60)/(2 - 1) = 160 s.
    assert cycle_period(1e6, HEAT, 100e6, 50.0, 0.0, 0.2e6, 10.0) == pytest.approx(98 + 50 + 160)
    # A lag of 8 s leaves 2 MW x 8 s = 16 MJ on its way at cut-out, which the load takes 16 s to draw; the start is told
    # with its lag already, so nothing else changes.
    assert cycle_period(1e6, HEAT, 100e6, 50.0, 8.0, 0.2e6, 10.0) == pytest.approx(98 + 16 + 50 + 160)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_cycle_with_a_lag_lasts_as_long_as_small_steps_say(share: float) -> None:
    # Heat after a first-order lag, fire on a chain's seconds after cut-in and off at cut-out, summed by steps of 10 ms.
    chain, lag, band, step = 40.0, 8.0, 400e6, 0.01
    load = share * HEAT
    stored, heat, burns, waits, starts = 0.0, 0.0, False, chain, []
    for place in range(int(9000 / step)):
        if not burns and waits <= 0.0:
            burns = True
        if burns and stored >= band:
            burns, waits = False, math.inf
        if not burns and math.isinf(waits) and stored <= 0.0:
            waits = chain
            starts.append(place * step)
        waits -= step
        heat += (HEAT * burns - heat) * step / lag
        stored += (heat - load) * step
    seen = (starts[-1] - starts[0]) / (len(starts) - 1)
    assert len(starts) >= 3
    assert cycle_period(load, HEAT, band, chain + lag, lag, 0.0, 0.0) == pytest.approx(seen, rel=1e-3)


def test_a_fall_while_the_fire_steps_up_is_what_small_steps_say_or_more() -> None:
    # Low fire 0.5 MW, high fire 2 MW, load 1.55 MW = 0.7 of the way; a drive of 30 s, a lag of 8 s, called for at once.
    low, span, lag, stroke, step = 0.5e6, 1.5e6, 8.0, 30.0, 0.001
    heat, stored, lowest = low, 0.0, 0.0
    for place in range(int(120 / step)):
        fire = low + span * min(1.0, place * step / stroke)
        heat += (fire - heat) * step / lag
        stored += (heat - (low + 0.7 * span)) * step
        lowest = min(lowest, stored)
    # By hand: 1.05 MW x (8 + 0.7 x 15) s = 19.4 MJ: 19.4 kPa.
    assert drive_up_fall(0.7, span, lag, stroke, STORAGE) == pytest.approx(19_425.0)
    assert 0.85 * 19_425.0 <= -lowest / STORAGE <= 19_425.0


def test_air_of_ten_cubic_feet_for_each_cubic_foot_of_gas_cools_as_a_hand_calculation_says() -> None:
    # 1000 Btu of gas want about 10 ft3 of air, 0.72 to 0.75 lb (common practice, no source), here with 15 % excess:
    # 10 MMBtu/h move about 8,300 lb/h = 1.04 kg/s; through 150 K that is 1.04 x 1005 x 150 = 157 kW.
    gross = 10e6 * 1055.06 / 3600
    assert purge_cooling(gross, 1.0, 443.15, 293.15) == pytest.approx(1.04 * AIR_HEAT_CAPACITY * 150, rel=0.02)


@given(share=st.floats(0, 1), lowest=st.floats(0.05, 0.9))
def test_the_firing_line_runs_from_full_fire_to_low_fire(share: float, lowest: float) -> None:
    fire = firing_fraction(100.0 + share * 15.0, 100.0, 115.0, lowest)
    assert fire == pytest.approx(1 - share * (1 - lowest), abs=1e-9)

"""Minutes on and off: rows worked by hand, every pair of minutes tried, and a boiler that is stepped through them."""

import doctest
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfire.errors import ImpossibleValue
from evenfire.physics import schedule
from evenfire.physics.schedule import (
    Clock,
    FireByTheClock,
    FireSteadily,
    Firing,
    LowFireRate,
    NoFiringFits,
    Span,
    firing_schedule,
)

_ALLOWED = 100 / 1.8 / 3600  # 100 F an hour: the rule of the trade for drums, from memory
_QUICK = Clock(start_time=0.0, least_off=0.0)
_COLD, _HOT = 300.0, 450.0


def _even(times_allowed: float) -> list[LowFireRate]:
    rate = times_allowed * _ALLOWED
    return [LowFireRate(temperature=_COLD, rate=rate), LowFireRate(temperature=_HOT, rate=rate)]


def _one(times_allowed: float, clock: Clock) -> Firing:
    (firing,) = firing_schedule(_even(times_allowed), [_COLD, _HOT], allowed_rate=_ALLOWED, clock=clock)
    return firing


# By hand. On for so many minutes makes 60 on - start seconds of fire; those times the excess must fit in the cycle.
@pytest.mark.parametrize(
    ("excess", "start", "on", "off", "share"),
    [
        (2.0, 0.0, 1, 1, 1.0),  # one in two
        (4.0, 0.0, 1, 3, 1.0),  # one in four
        (2.0, 60.0, 3, 1, 1.0),  # 2 of fire in 4; 2 on 1 off would only make 2/3
        (1.5, 0.0, 2, 1, 1.0),
        (20.0, 0.0, 1, 19, 1.0),  # the longest cycle is used up
        # 3 x (60 on - 90) s: 4.5 min in 5, 7.5 in 8, 10.5 in 11, 13.5 in 14, 16.5 in 17, and 8 on: 19.5 in 20.
        (3.0, 90.0, 8, 12, 0.975),
        (7.0, 60.0, 2, 5, 1.0),  # 1 min of fire makes 7
        # 1.9 x on in whole minutes: 1.9/2 = .95, 3.8/4 = .95, 5.7/6, 7.6/8, 9.5/10 = .95, 11.4/12, 13.3/14, 15.2/16 =
        # .95, 17.1/18, 10 on: 19/19.
        (1.9, 0.0, 10, 9, 1.0),
    ],
)
def test_the_minutes_are_those_that_a_hand_finds(excess: float, start: float, on: int, off: int, share: float) -> None:
    firing = _one(excess, replace(_QUICK, start_time=start))
    assert isinstance(firing, FireByTheClock)
    assert (firing.minutes_on, firing.minutes_off) == (on, off)
    assert firing.rate == pytest.approx(share * _ALLOWED, rel=1e-9)
    # A cycle's rise is its average times its length.
    assert firing.rise == pytest.approx(share * _ALLOWED * (on + off) * 60, rel=1e-9)


@pytest.mark.parametrize("excess", [0.0, 0.3, 0.999, 1.0])
def test_low_fire_that_is_slow_enough_stays_on(excess: float) -> None:
    assert isinstance(_one(excess, _QUICK), FireSteadily)


def test_low_fire_that_is_a_hair_too_fast_gets_a_pause() -> None:
    firing = _one(1.01, _QUICK)
    assert isinstance(firing, FireByTheClock)
    assert (firing.minutes_on, firing.minutes_off) == (18, 1) or firing.minutes_on == 19
    assert firing.rate <= _ALLOWED * (1 + 1e-9)


def test_no_schedule_is_told_when_the_flame_would_stand_for_less_than_a_minute() -> None:
    # Thirty times too fast: 40 s of flame in 20 minutes, and a whole minute makes one and a half of what is allowed.
    firing = _one(30.0, _QUICK)
    assert isinstance(firing, NoFiringFits)
    assert firing.fire_allowed == pytest.approx(40.0, rel=1e-9)
    assert firing.slowest == pytest.approx(1.5 * _ALLOWED, rel=1e-9)


def test_a_start_chain_longer_than_the_cycle_leaves_no_schedule() -> None:
    firing = _one(2.0, replace(_QUICK, start_time=1200.0))
    assert isinstance(firing, NoFiringFits)
    assert firing.slowest is None


def test_a_pause_is_never_shorter_than_the_burner_takes_to_stop() -> None:
    # 7.5 x 1 min in 8 would do with 1 on 7 off; a burner that must be off for 8 minutes gets them.
    firing = _one(4.0, replace(_QUICK, least_off=7.5 * 60))
    assert isinstance(firing, FireByTheClock)
    assert firing.minutes_off >= 8
    # 4 on in 16 with 12 off is the same as 3 on 9 off, the shortest with eight minutes off that is not too slow.
    assert (firing.minutes_on, firing.minutes_off) == (3, 9)


def test_a_longer_flame_is_kept_where_it_is_asked_for() -> None:
    firing = _one(2.0, Clock(start_time=45.0, least_off=0.0, least_fire=180.0))
    assert isinstance(firing, FireByTheClock)
    assert firing.minutes_on * 60 - 45 >= 180


def test_each_span_gets_its_own_minutes() -> None:
    # Four times too fast up to 340 K, then falling to twice at 360 K and even from there; half of it from 440 K on.
    low_fire = [
        LowFireRate(temperature=temperature, rate=excess * _ALLOWED)
        for temperature, excess in ((300.0, 4.0), (340.0, 4.0), (360.0, 2.0), (430.0, 2.0), (440.0, 0.5), (450.0, 0.5))
    ]
    spans = firing_schedule(low_fire, [300.0, 350.0, 400.0, 440.0, 450.0], allowed_rate=_ALLOWED, clock=_QUICK)
    first, second, third, last = spans
    assert isinstance(first, FireByTheClock)
    assert (first.minutes_on, first.minutes_off) == (1, 3)
    # From 350 K it still starts at three times.
    assert isinstance(second, FireByTheClock)
    assert (second.minutes_on, second.minutes_off) == (1, 2)
    assert isinstance(third, FireByTheClock)
    assert (third.minutes_on, third.minutes_off) == (1, 1)
    assert last == FireSteadily(span=Span(from_temperature=440.0, to_temperature=450.0, low_fire_rate=0.5 * _ALLOWED))


def test_a_span_is_judged_by_the_rate_that_its_last_cycle_meets() -> None:
    # Slow up to the bound, four times too fast from 2 K beyond it: twenty minutes at 100 F/h are 18.5 K.
    low_fire = [
        LowFireRate(temperature=temperature, rate=excess * _ALLOWED)
        for temperature, excess in ((300.0, 0.5), (350.0, 0.5), (352.0, 4.0), (450.0, 4.0))
    ]
    near, far = (
        firing_schedule(low_fire, [300.0, bound, 450.0], allowed_rate=_ALLOWED, clock=_QUICK)[0]
        for bound in (350.0, 331.0)
    )
    assert isinstance(near, FireByTheClock)
    assert (near.minutes_on, near.minutes_off) == (1, 3)
    assert isinstance(far, FireSteadily)


_CLOCKS = st.builds(
    Clock,
    start_time=st.integers(0, 240).map(float),
    least_off=st.integers(0, 300).map(float),
    least_fire=st.integers(60, 240).map(float),
    longest_cycle=st.integers(2, 30),
)


@given(st.integers(101, 3000), _CLOCKS)
def test_of_all_minutes_that_are_allowed_none_is_faster(hundredths: int, clock: Clock) -> None:
    # Whole numbers throughout: seconds of fire x excess against seconds of the cycle.
    excess = Fraction(hundredths, 100)
    start, least_fire, least_off = (int(each) for each in (clock.start_time, clock.least_fire, clock.least_off))
    allowed = {
        (on, off): share
        for on in range(1, clock.longest_cycle)
        for off in range(1, clock.longest_cycle - on + 1)
        if 60 * on - start >= least_fire and 60 * off >= least_off
        if (share := excess * (60 * on - start) / (60 * (on + off))) <= 1
    }
    firing = _one(float(excess), clock)
    if not allowed:
        assert isinstance(firing, NoFiringFits)
        return
    assert isinstance(firing, FireByTheClock)
    best = max(allowed.values())
    assert allowed[firing.minutes_on, firing.minutes_off] == best
    shortest = min(on + off for (on, off), share in allowed.items() if share == best)
    assert firing.minutes_on + firing.minutes_off == shortest


def _rate_at(low_fire: Sequence[LowFireRate], temperature: float) -> float:
    for cooler, warmer in pairwise(low_fire):
        if temperature <= warmer.temperature:
            along = (temperature - cooler.temperature) / (warmer.temperature - cooler.temperature)
            return cooler.rate * (1 - along) + warmer.rate * along
    return low_fire[-1].rate


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(0.2, 10.0), min_size=4, max_size=4), st.integers(0, 90))
def test_a_boiler_fired_by_the_clock_never_rises_faster_than_allowed_over_a_cycle(
    excesses: list[float], start: int
) -> None:
    # Ten times too fast still fits: whole minutes on make less than 120 s of fire, and 120 s x 10 is the longest cycle.
    temperatures = (300.0, 330.0, 360.0, 390.0)
    low_fire = [
        LowFireRate(temperature=temperature, rate=excess * _ALLOWED)
        for temperature, excess in zip(temperatures, excesses, strict=True)
    ]
    clock = Clock(start_time=float(start), least_off=0.0)
    told = firing_schedule(low_fire, [300.0, 320.0, 345.0, 390.0], allowed_rate=_ALLOWED, clock=clock)
    temperature, cycles = 300.0, 0
    while temperature < 390.0:
        firing = next(each for each in told if temperature < each.span.to_temperature)
        assert not isinstance(firing, NoFiringFits)
        on, off = (firing.minutes_on, firing.minutes_off) if isinstance(firing, FireByTheClock) else (20, 0)
        fire = 60 * on - (start if off else 0)
        before = temperature
        for _ in range(fire // 2):
            temperature += 2 * _rate_at(low_fire, min(temperature, 390.0))
        # Two-second steps see a rate that is at most two seconds old; a rise of rate within them is below 1e-4.
        if temperature < 390.0:
            assert (temperature - before) / (60 * (on + off)) <= _ALLOWED * 1.001
        cycles += 1
    assert cycles > 0


@pytest.mark.parametrize(
    ("low_fire", "bounds", "why"),
    [
        ([], [300.0, 350.0], "rates of low fire: how many"),
        (_even(2.0)[:1], [300.0, 350.0], "rates of low fire: how many"),
        (_even(2.0)[::-1], [300.0, 350.0], "low fire: temperature"),
        (_even(2.0), [300.0], "bounds: how many"),
        (_even(2.0), [350.0, 300.0], "bound"),
        (_even(2.0), [300.0, 300.0], "bound"),
        (_even(2.0), [299.0, 350.0], "bound"),
        (_even(2.0), [300.0, 451.0], "bound"),
        (_even(2.0), [float("nan"), 350.0], "bound"),
    ],
)
def test_a_warm_up_that_is_not_described_is_refused(low_fire: list[LowFireRate], bounds: list[float], why: str) -> None:
    with pytest.raises(ImpossibleValue, match=why):
        firing_schedule(low_fire, bounds, allowed_rate=_ALLOWED, clock=_QUICK)


@pytest.mark.parametrize("allowed", [0.0, -0.1, float("nan"), float("inf")])
def test_an_allowed_rate_that_allows_nothing_is_refused(allowed: float) -> None:
    with pytest.raises(ImpossibleValue, match="allowed rate"):
        firing_schedule(_even(2.0), [300.0, 350.0], allowed_rate=allowed, clock=_QUICK)


def test_a_clock_that_no_watch_can_follow_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="clock: start time"):
        replace(_QUICK, start_time=-1.0)
    with pytest.raises(ImpossibleValue, match="clock: least off time"):
        replace(_QUICK, least_off=-1.0)
    with pytest.raises(ImpossibleValue, match="clock: least fire"):
        replace(_QUICK, least_fire=59.0)
    for minutes in (1, 1441):
        with pytest.raises(ImpossibleValue, match="clock: longest cycle"):
            replace(_QUICK, longest_cycle=minutes)


def test_a_rate_of_low_fire_that_cannot_be_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="low fire: rate"):
        LowFireRate(temperature=300.0, rate=-0.01)
    with pytest.raises(ImpossibleValue, match="low fire: temperature"):
        LowFireRate(temperature=0.0, rate=0.01)


def test_the_example_in_the_docstring_holds() -> None:
    result = doctest.testmod(schedule)
    assert result.attempted > 0
    assert result.failed == 0

"""Firing by the clock: minutes on and off where low fire alone would warm a boiler faster than it may.

The average over each whole cycle is kept at or below the allowed rate. Within the minutes of fire the boiler warms as
fast as low fire warms it; how far it swings in one cycle is told. What would slow it further (purge air, standing loss,
steam from the vent) is left out, so a boiler is rather slower than its schedule.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, inf
from typing import Final

from evenfire.errors import ImpossibleValue
from evenfire.plant.possible import require_between, require_inside, require_not_negative, require_positive
from evenfire.si import Dimension, Quantity

SECONDS_PER_MINUTE: Final = 60.0
ASSUMED_LONGEST_CYCLE: Final = 20
"""Minutes [min]. Longer pauses let the boiler swing further than a wall should; nothing published says how long."""
ASSUMED_LEAST_FIRE: Final = 60.0
"""Seconds of flame [s]. Less than a minute is mostly ignition, and a watch cannot be followed more closely."""
_LONGEST_CYCLE_OF_ALL: Final = 24 * 60
_ROUNDING: Final = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class LowFireRate:
    """How fast continuous low fire warms the boiler at one temperature."""

    temperature: float
    """Saturation temperature [K]"""
    rate: float
    """Rise of it [K/s]"""

    def __post_init__(self) -> None:
        require_positive("low fire: temperature", self.temperature, Dimension.TEMPERATURE)
        require_not_negative("low fire: rate", self.rate, Dimension.TEMPERATURE_RATE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """What a firing schedule may ask of burner and watch."""

    start_time: float
    """From switching on to the heat of low fire: the start chain at its quickest [s]"""
    least_off: float
    """Postpurge and minimum off time: a burner that is switched on sooner waits anyway [s]"""
    least_fire: float = ASSUMED_LEAST_FIRE
    """Shortest time of flame that is worth a start, at least a minute [s]"""
    longest_cycle: int = ASSUMED_LONGEST_CYCLE
    """From one switching on to the next [min]"""

    def __post_init__(self) -> None:
        require_not_negative("clock: start time", self.start_time, Dimension.TIME)
        require_not_negative("clock: least off time", self.least_off, Dimension.TIME)
        require_between("clock: least fire", self.least_fire, SECONDS_PER_MINUTE, inf, Dimension.TIME)
        longest = self.longest_cycle * SECONDS_PER_MINUTE
        highest = _LONGEST_CYCLE_OF_ALL * SECONDS_PER_MINUTE
        require_between("clock: longest cycle", longest, 2 * SECONDS_PER_MINUTE, highest, Dimension.TIME)

    @property
    def shortest_on(self) -> int:
        """Start chain and least fire [min]."""
        return ceil((self.start_time + self.least_fire) / SECONDS_PER_MINUTE - _ROUNDING)

    @property
    def shortest_off(self) -> int:
        """[min]"""
        return max(1, ceil(self.least_off / SECONDS_PER_MINUTE - _ROUNDING))


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A part of a warm-up."""

    from_temperature: float
    """[K]"""
    to_temperature: float
    """[K]"""
    low_fire_rate: float
    """Of continuous low fire, the fastest within the span and one allowed cycle beyond [K/s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class FireSteadily:
    """Low fire may stay on: it is slow enough."""

    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class FireByTheClock:
    """Minutes on, minutes off, over and over."""

    span: Span
    minutes_on: int
    """Burner switched on, its start chain included [min]"""
    minutes_off: int
    """[min]"""
    rate: float
    """Average over a cycle at the fastest, at most what is allowed [K/s]"""
    rise: float
    """Of temperature in one cycle, made in its minutes of fire [K]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoFiringFits:
    """Even the shortest fire and the longest pause warm too fast."""

    span: Span
    fire_allowed: float
    """What the allowed rate leaves of flame in the longest cycle: less than the fewest whole minutes on give [s]"""
    slowest: float | None
    """Average over a cycle with the fewest minutes on and the most off; none when no cycle is long enough [K/s]"""


Firing = FireSteadily | FireByTheClock | NoFiringFits


def firing_schedule(
    low_fire: Sequence[LowFireRate], bounds: Sequence[float], *, allowed_rate: float, clock: Clock
) -> tuple[Firing, ...]:
    """How to fire each part of a warm-up so that no whole cycle warms faster than is allowed.

    Parameters
    ----------
    low_fire
        How fast low fire warms the boiler, in order of temperature, at least two; straight lines join them.
    bounds
        Temperatures at which the schedule may change, rising, from start to end, at least two; within ``low_fire``
        [K].
    allowed_rate
        Average rise of the saturation temperature [K/s].
    clock
        What burner and watch allow.

    Returns
    -------
    tuple of FireSteadily, FireByTheClock or NoFiringFits
        One for each span between two bounds.

    Raises
    ------
    ImpossibleValue
        Too few rates of low fire or bounds, temperatures that do not rise, bounds outside ``low_fire``, or an allowed
        rate that is not above zero.

    Notes
    -----
    ``on`` minutes give 60 on - start time seconds of fire, so the average over a cycle is

        low-fire rate x (60 on - start time) / (60 (on + off)).

    Of all whole minutes within the clock it takes the fastest that is allowed, and of those with one average the
    shortest cycle, which swings least. A cycle that begins before a bound ends behind it; so the fastest rate is looked
    for as far beyond as the longest allowed cycle can rise.

    Examples
    --------
    Low fire makes 200 F an hour, 100 F are allowed, the flame stands a minute after the switch: 3 minutes on with 2 of
    fire and 1 off make 2 in 4.

    >>> rate = 200 / 1.8 / 3600
    >>> firing, = firing_schedule(
    ...     [LowFireRate(temperature=300.0, rate=rate), LowFireRate(temperature=450.0, rate=rate)],
    ...     [300.0, 373.0],
    ...     allowed_rate=rate / 2,
    ...     clock=Clock(start_time=60.0, least_off=30.0),
    ... )
    >>> firing.minutes_on, firing.minutes_off
    (3, 1)
    """
    require_positive("allowed rate", allowed_rate, Dimension.TEMPERATURE_RATE)
    _require_course(low_fire, bounds)
    swing = allowed_rate * clock.longest_cycle * SECONDS_PER_MINUTE
    spans = (
        Span(
            from_temperature=start,
            to_temperature=end,
            low_fire_rate=_fastest(low_fire, start, min(end + swing, bounds[-1])),
        )
        for start, end in pairwise(bounds)
    )
    return tuple(_firing(span, allowed_rate, clock) for span in spans)


def _firing(span: Span, allowed: float, clock: Clock) -> Firing:
    if span.low_fire_rate <= allowed * (1 + _ROUNDING):
        return FireSteadily(span=span)
    cycles = list(_cycles(span.low_fire_rate, allowed, clock))
    if not cycles:
        return _no_firing(span, allowed, clock)
    # The fastest; of one average the shortest, told apart without the noise of its last digits.
    rate = max(_average(on, off, span.low_fire_rate, clock) for on, off in cycles)
    fastest = [cycle for cycle in cycles if _average(*cycle, span.low_fire_rate, clock) >= rate * (1 - _ROUNDING)]
    on, off = min(fastest, key=sum)
    return FireByTheClock(
        span=span, minutes_on=on, minutes_off=off, rate=rate, rise=span.low_fire_rate * _fire(on, clock)
    )


def _cycles(low_fire_rate: float, allowed: float, clock: Clock) -> Iterator[tuple[int, int]]:
    """For each time on the shortest time off that keeps the average [min]."""
    for on in range(clock.shortest_on, clock.longest_cycle - clock.shortest_off + 1):
        needed = low_fire_rate * _fire(on, clock) / allowed / SECONDS_PER_MINUTE - on
        off = max(clock.shortest_off, ceil(needed - _ROUNDING))
        if on + off <= clock.longest_cycle:
            yield on, off


def _fire(on: int, clock: Clock) -> float:
    """Flame in so many minutes on [s]."""
    return on * SECONDS_PER_MINUTE - clock.start_time


def _average(on: int, off: int, low_fire_rate: float, clock: Clock) -> float:
    """[K/s]"""
    return low_fire_rate * _fire(on, clock) / ((on + off) * SECONDS_PER_MINUTE)


def _no_firing(span: Span, allowed: float, clock: Clock) -> NoFiringFits:
    longest = clock.longest_cycle * SECONDS_PER_MINUTE
    on, off = clock.shortest_on, clock.longest_cycle - clock.shortest_on
    fits = off >= clock.shortest_off
    return NoFiringFits(
        span=span,
        fire_allowed=allowed * longest / span.low_fire_rate,
        slowest=_average(on, off, span.low_fire_rate, clock) if fits else None,
    )


def _fastest(low_fire: Sequence[LowFireRate], start: float, end: float) -> float:
    """The fastest rate between two temperatures: on straight lines it stands at a corner or an end [K/s]."""
    inside = [point.rate for point in low_fire if start <= point.temperature <= end]
    return max([*inside, _at(low_fire, start), _at(low_fire, end)])


def _at(low_fire: Sequence[LowFireRate], temperature: float) -> float:
    for cooler, warmer in pairwise(low_fire):
        if cooler.temperature <= temperature <= warmer.temperature:
            share = (temperature - cooler.temperature) / (warmer.temperature - cooler.temperature)
            return cooler.rate + share * (warmer.rate - cooler.rate)
    return low_fire[-1].rate


def _require_course(low_fire: Sequence[LowFireRate], bounds: Sequence[float]) -> None:
    """Raise :class:`ImpossibleValue` unless both rise and the bounds lie within what is known of low fire."""
    _require_many("rates of low fire: how many", len(low_fire), 2)
    _require_many("bounds: how many", len(bounds), 2)
    for cooler, warmer in pairwise(low_fire):
        require_inside("low fire: temperature", warmer.temperature, cooler.temperature, inf, Dimension.TEMPERATURE)
    for cooler_bound, warmer_bound in pairwise(bounds):
        require_inside("bound", warmer_bound, cooler_bound, inf, Dimension.TEMPERATURE)
    for bound in bounds:
        lowest, highest = low_fire[0].temperature, low_fire[-1].temperature
        require_between("bound", bound, lowest, highest, Dimension.TEMPERATURE)


def _require_many(field: str, found: int, least: int) -> None:
    if found < least:
        raise ImpossibleValue(
            field=field,
            found=Quantity(found, Dimension.NUMBER),
            must_be="at least",
            limit=Quantity(least, Dimension.NUMBER),
        )

"""Two accounts of the same day beside each other."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

from benchmarks.motion.days import Day
from benchmarks.motion.oracle import Answer, Oracle
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.records import Floats
from evenfire.physics.motion.run import run

AT_ONCE: Final = 1e-3
"""Events nearer than this have no order [s]"""
TURNS: Final = (Happening.TURNED_DOWN, Happening.TURNED_UP)
"""Nothing acts where pressure turns; scipy is not asked for it."""

Told = tuple[float, Happening, int]
"""Time [s], kind, subject of an event."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """What somebody says happened."""

    events: Sequence[Told]
    pressure: Floats
    """In the steam space, on a grid [Pa abs]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """How far two accounts are apart."""

    first_unlike: tuple[Told | None, Told | None] | None
    """Events that are not the same, or one that the other lacks"""
    time: float
    """Worst of all events that both tell [s]"""
    pressure: float
    """Worst on the grid [Pa]"""


def of_the_loop(day: Day, *, duration: float, interval: float, accuracy: float) -> Account:
    """What the loop says."""
    told = run(day.model, day.inputs, day.first, duration=duration, interval=interval, accuracy=accuracy)
    return Account(
        events=[(event.time, event.kind, event.subject) for event in told.events if event.kind not in TURNS],
        pressure=told.series.pressure + float(day.model.vessel.ambient),
    )


def of_scipy(
    day: Day, *, duration: float, interval: float, accuracy: float, method: str, first_step: float = inf
) -> Answer:
    """What scipy says."""
    oracle = Oracle(
        model=day.model,
        inputs=day.inputs,
        first=day.first,
        method=method,
        accuracy=accuracy,
        first_step=first_step,
    )
    return oracle.run(duration, interval)


def difference(one: Account | Answer, other: Account | Answer) -> Difference:
    """How far two accounts are apart."""
    first, second = _in_order(one.events), _in_order(other.events)
    unlike: tuple[Told | None, Told | None] | None = None
    worst = 0.0
    for told, again in zip(first, second, strict=False):
        if told[1:] != again[1:]:
            unlike = (told, again)
            break
        worst = max(worst, abs(told[0] - again[0]))
    common = min(len(first), len(second))
    if unlike is None and len(first) != len(second):
        unlike = (first[common] if common < len(first) else None, second[common] if common < len(second) else None)
    return Difference(first_unlike=unlike, time=worst, pressure=float(abs(one.pressure - other.pressure).max()))


def _in_order(events: Sequence[Told]) -> list[Told]:
    """By time; those that come at once by kind and subject."""
    ordered: list[Told] = []
    group: list[Told] = []
    for event in sorted(events, key=lambda told: told[0]):
        if group and event[0] - group[-1][0] > AT_ONCE:
            ordered += sorted(group, key=lambda told: told[1:])
            group = []
        group.append(event)
    return ordered + sorted(group, key=lambda told: told[1:])

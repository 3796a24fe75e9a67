"""Between which tests of a control its dial stood still: only there does a changed trip point mean drift."""

from dataclasses import dataclass
from enum import Enum
from typing import Final

from evenfire.si import DiffPa, GaugePa

ASSUMED_SAME_SETTING: Final = DiffPa(1.0)
"""Two pressures that differ by less are one and the same setting [Pa].

A number typed in psi and the same number in bar differ by less than a pascal when each has its last digit right, and no
dial is turned by as little.
"""


class Began(Enum):
    """Why a test begins a new stretch, or that it does not."""

    FIRST = "first test"
    GOES_ON = "nothing changed"
    DIAL_MOVED = "the dial was moved"
    DIAL_NOT_READ = "the dial was not read"
    SET_CHANGED = "it was set to act elsewhere"


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One look at the dial of a control, in the order in which people looked."""

    dial: GaugePa | None
    """What it showed; nothing where a test was made and nobody read it [Pa gauge]"""
    set_pressure: GaugePa | None = None
    """Where it shall act, of a test [Pa gauge]"""
    is_test: bool = False


def stretches_of(seen: tuple[Seen, ...]) -> tuple[tuple[int, Began], ...]:
    """The stretch of every test among these looks, counted from 0, and why it began or went on.

    A dial that was moved and moved back is a new stretch as well: it does not come back to the same trip point. So is a
    dial that nobody read, for whether it was moved is not known.

    Examples
    --------
    >>> dials = (140.0e3, 140.0e3, 137.0e3)
    >>> [number for number, _ in stretches_of(tuple(Seen(dial=GaugePa(each), is_test=True) for each in dials))]
    [0, 0, 1]
    """
    found: list[tuple[int, Began]] = []
    number, began, test, dial = 0, Began.FIRST, None, None
    for each in seen:
        if dial is not None and each.dial is not None and _differ(dial, each.dial):
            began = began if began is Began.FIRST else Began.DIAL_MOVED
        if each.is_test:
            began = _since(test, each, began)
            number += began not in {Began.FIRST, Began.GOES_ON}
            found.append((number, began))
            test, began = each, Began.GOES_ON
        dial = each.dial if each.dial is not None else dial
    return tuple(found)


def moved_since(seen: tuple[Seen, ...], test: int) -> bool:
    """Whether the dial was seen elsewhere after a test, by its place among the tests, counted from 0.

    Examples
    --------
    >>> moved_since((Seen(dial=GaugePa(140.0e3), is_test=True), Seen(dial=GaugePa(137.0e3))), 0)
    True
    """
    place = [at for at, each in enumerate(seen) if each.is_test][test]
    dials = [each.dial for each in seen[place:] if each.dial is not None]
    return any(_differ(dials[0], each) for each in dials)


def _since(before: Seen | None, test: Seen, began: Began) -> Began:
    """Why a stretch begins here, once what was seen of the dial in between is known."""
    if before is None or began is Began.DIAL_MOVED:
        return began
    if before.dial is None or test.dial is None:
        return Began.DIAL_NOT_READ
    if before.set_pressure is None or test.set_pressure is None:
        return Began.GOES_ON
    return Began.SET_CHANGED if _differ(before.set_pressure, test.set_pressure) else Began.GOES_ON


def _differ(one: GaugePa, other: GaugePa) -> bool:
    return abs(one - other) > ASSUMED_SAME_SETTING

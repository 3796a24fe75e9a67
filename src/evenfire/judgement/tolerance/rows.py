"""Rows of random numbers, which come from outside, and what they mean for one boiler."""

from dataclasses import dataclass
from hashlib import sha256
from typing import Final, Protocol

import numpy as np

from evenfire.judgement.tolerance.spread import DRAWN, ControlSpread, Spread
from evenfire.physics.motion.records import Floats
from evenfire.plant.known import Missing

SET_ERRORS: Final = slice(0, len(DRAWN))
"""Columns of set errors: even numbers from -1 to 1."""
DRIFTS: Final = slice(len(DRAWN), 2 * len(DRAWN))
"""Columns of drifts: standard normal numbers."""
FIRST_VALVE: Final = 2 * len(DRAWN)
"""From here on one column for each safety valve: even numbers from -1 to 1."""


class Draws(Protocol):
    """Rows in blocks. A block depends on its number alone, so whoever takes which block changes nothing."""

    @property
    def blocks(self) -> int:
        """How many blocks there are."""

    def block(self, number: int) -> Floats:
        """Rows of one block [1], shape (rows, columns): see :func:`columns_of`."""


def columns_of(spread: Spread) -> int:
    """How many numbers a row has."""
    return FIRST_VALVE + len(spread.valves)


def digest_of(rows: Floats) -> bytes:
    """Hash of the rows of one block."""
    return sha256(np.ascontiguousarray(rows).tobytes()).digest()


@dataclass(frozen=True, slots=True, kw_only=True)
class Errors:
    """How much higher than it was meant each device acts, in every draw at one time; shape (rows,)."""

    operating_limit: Floats
    """[Pa]"""
    high_limit: Floats
    """[Pa]"""
    firing_rate: Floats
    """[Pa]"""
    lift: Floats | None
    """Lowest pressure at which any safety valve lifts [Pa gauge]; none where there is no valve"""

    def taken(self, places: "np.ndarray[tuple[int, ...], np.dtype[np.intp]]") -> "Errors":
        """The draws at these places."""
        return Errors(
            operating_limit=self.operating_limit[places],
            high_limit=self.high_limit[places],
            firing_rate=self.firing_rate[places],
            lift=None if self.lift is None else self.lift[places],
        )


def errors_of(rows: Floats, spread: Spread) -> tuple[Errors, Errors]:
    """The errors on the day of setting, and a year later.

    Drift is taken as steady, so that whatever it brings about in a year it has brought about on one of the two days.
    """
    lift = _lift(rows, spread)
    days = []
    for age in (0.0, 1.0):
        off = [_off(rows, place, spread.of(role), age) for place, role in enumerate(DRAWN)]
        days.append(Errors(operating_limit=off[0], high_limit=off[1], firing_rate=off[2], lift=lift))
    return days[0], days[1]


def _off(rows: Floats, place: int, spread: ControlSpread | Missing, age: float) -> Floats:
    """Nought for a control of which nothing is known; what hangs on it is not counted."""
    if isinstance(spread, Missing):
        return np.zeros(len(rows))
    off: Floats = spread.set_error * rows[:, SET_ERRORS][:, place]
    return off if age == 0.0 else off + age * spread.drift * rows[:, DRIFTS][:, place]


def _lift(rows: Floats, spread: Spread) -> Floats | None:
    lifts = [valve.lift + valve.off * rows[:, FIRST_VALVE + place] for place, valve in enumerate(spread.valves)]
    return None if not lifts else np.min(np.array(lifts), axis=0)

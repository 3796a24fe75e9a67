"""Quantities over time in straight pieces."""

from math import floor, inf
from typing import Final

from evenfire.physics.compiled import part
from evenfire.physics.motion.model import Profile
from evenfire.physics.motion.records import Floats

_SAME_TIME: Final = 1e-7


@part
def count_until(times: Floats, now: float) -> int:
    """How many of the rising ``times`` [s] lie at or before ``now``."""
    low, high = 0, len(times)
    while low < high:
        middle = (low + high) // 2
        if times[middle] <= now:
            low = middle + 1
        else:
            high = middle
    return low


@part
def piece_at(profile: Profile, now: float) -> tuple[float, float, float]:
    """Value now, slope, and when the piece ends [s]; infinite for never."""
    pieces, begun, within = profile.pieces, 0.0, now
    if profile.period < inf:
        begun = floor(now / profile.period) * profile.period
        within = now - begun
    # A piece begins at the very time that the loop landed on, and rounding must not show the one before.
    if within + _SAME_TIME >= profile.period:
        begun += profile.period
        within = 0.0
    place, after = 0, len(pieces)
    while after - place > 1:  # by halving, because a recorded load is long
        middle = (place + after) // 2
        if pieces[middle, 0] <= within + _SAME_TIME:
            place = middle
        else:
            after = middle
    ends = begun + (pieces[place + 1, 0] if place + 1 < len(pieces) else profile.period)
    return pieces[place, 1] + pieces[place, 2] * max(0.0, within - pieces[place, 0]), pieces[place, 2], ends

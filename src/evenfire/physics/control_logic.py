"""What each control does when pressure moves: state machines that take numbers and answer the next state.

They run as they stand in plain Python, and the simulation compiles the very same functions. Each stands alone and
calls no other. Pressures are those of the boiler in any one unit, thresholds shifted by the water leg beforehand.
"""

from typing import Final

LOCKOUT: Final = 0
"""The burner control locked out after it lost the flame; a hand resets it."""
NO_POWER: Final = 1
HIGH_LIMIT: Final = 2
LOW_WATER: Final = 3
OPERATING_LIMIT: Final = 4
NOTHING: Final = 5

STOPS: Final = (LOCKOUT, NO_POWER, HIGH_LIMIT, LOW_WATER, OPERATING_LIMIT)
"""What can stop the burner, first in rank first: each wins over every one after it."""

OVER: Final = 0
"""Above the low-fire point: low fire is wanted."""
WITHIN: Final = 1
"""Inside the throttling range."""
UNDER: Final = 2
"""Below the high-fire point: full fire is wanted."""


def operating_limit_opens(is_open: bool, pressure: float, cut_out: float, cut_in: float) -> bool:
    """Whether the operating limit is open: it opens at cut-out, remakes at cut-in, and stays as it is between."""
    if pressure >= cut_out:
        return True
    if pressure <= cut_in:
        return False
    return is_open


def high_limit_opens(is_open: bool, pressure: float, trip: float, remakes: float, is_manual: bool) -> bool:
    """Whether the high limit is open: it opens at its trip; only an automatic one remakes by itself."""
    if pressure >= trip:
        return True
    if is_open and not is_manual and pressure <= remakes:
        return False
    return is_open


def stays_latched(is_open: bool, pressure: float, remakes: float) -> bool:
    """Whether the high limit is still open after a hand pressed its reset: it holds only once pressure has fallen."""
    return is_open and pressure > remakes


def holds_low_fire(holds: bool, pressure: float, takes_hold: float, lets_go: float) -> bool:
    """Whether the low-fire hold keeps low fire: below its set it takes hold, above it lets go; between, as it was.

    The two may be one point, and a pressure that stands on it changes nothing.
    """
    if pressure > lets_go:
        return False
    if pressure < takes_hold:
        return True
    return holds


def region_of(pressure: float, high_fire: float, low_fire: float) -> int:
    """Where a pressure stands on the firing-rate control: over, within or under its throttling range."""
    if pressure >= low_fire:
        return OVER
    if pressure <= high_fire:
        return UNDER
    return WITHIN


def rate_demand(region: int, pressure: float, high_fire: float, low_fire: float) -> float:
    """Drive position that a proportional control wants [1]: 1 is high fire, 0 is low fire, a straight line between."""
    if region == OVER:
        return 0.0
    if region == UNDER:
        return 1.0
    return (low_fire - pressure) / (low_fire - high_fire)


def two_position_wants_high(is_high: bool, pressure: float, high_fire: float, low_fire: float) -> bool:
    """Whether a two-position control wants high fire: from the high-fire point down, until the low-fire point."""
    if pressure <= high_fire:
        return True
    if pressure >= low_fire:
        return False
    return is_high


def what_stops(lockout: bool, no_power: bool, high_limit: bool, low_water: bool, operating_limit: bool) -> int:
    """The first in rank of what keeps the burner off, ``NOTHING`` when it may fire."""
    open_contacts = (lockout, no_power, high_limit, low_water, operating_limit)
    for rank in range(len(STOPS)):
        if open_contacts[rank]:
            return STOPS[rank]
    return NOTHING


def position_wanted(holds: bool, rate: float, cap: float) -> float:
    """Drive position that is wanted [1]: the low-fire hold wins over the firing rate, a hand's cap over both."""
    if holds:
        return 0.0
    return min(rate, cap)

"""What may break during a run, each from a begin to an end."""

from enum import IntEnum
from typing import Final

from evenfire.physics.compiled import compiled
from evenfire.physics.motion.model import Model
from evenfire.physics.motion.records import Floats
from evenfire.physics.motion.state import State


class Fault(IntEnum):
    """What breaks."""

    OPERATING_LIMIT_WELDED = 0
    HIGH_LIMIT_WELDED = 1
    HOLD_BYPASSED = 2
    DRIVE_STUCK = 3
    """The firing-rate drive stays where it is"""
    DRIVE_STUCK_AT_FULL = 4
    """It runs to high fire and stays there"""
    DAMPER_STUCK_IN_PURGE = 5
    """It does not come back from the purge position"""
    OPERATING_LIMIT_DRIFTED = 6
    """The amount is how much higher it acts [Pa]"""
    HIGH_LIMIT_DRIFTED = 7
    FIRING_RATE_DRIFTED = 8
    HOLD_DRIFTED = 9
    FEED_STOPPED = 10
    POWER_OFF = 11
    LOW_WATER = 12
    """The low-water cutoff opens, whatever the level"""
    FLAME_LOST = 13
    LOAD_GONE = 14
    """Nobody draws steam"""


_OPERATING_LIMIT_WELDED: Final = int(Fault.OPERATING_LIMIT_WELDED)
_HIGH_LIMIT_WELDED: Final = int(Fault.HIGH_LIMIT_WELDED)
_HOLD_BYPASSED: Final = int(Fault.HOLD_BYPASSED)
_DRIVE_STUCK: Final = int(Fault.DRIVE_STUCK)
_DRIVE_STUCK_AT_FULL: Final = int(Fault.DRIVE_STUCK_AT_FULL)
_DAMPER_STUCK_IN_PURGE: Final = int(Fault.DAMPER_STUCK_IN_PURGE)
_OPERATING_LIMIT_DRIFTED: Final = int(Fault.OPERATING_LIMIT_DRIFTED)
_HIGH_LIMIT_DRIFTED: Final = int(Fault.HIGH_LIMIT_DRIFTED)
_FIRING_RATE_DRIFTED: Final = int(Fault.FIRING_RATE_DRIFTED)
_HOLD_DRIFTED: Final = int(Fault.HOLD_DRIFTED)
_FEED_STOPPED: Final = int(Fault.FEED_STOPPED)
_POWER_OFF: Final = int(Fault.POWER_OFF)
_LOW_WATER: Final = int(Fault.LOW_WATER)
_FLAME_LOST: Final = int(Fault.FLAME_LOST)
_LOAD_GONE: Final = int(Fault.LOAD_GONE)


@compiled
def is_on(faults: Floats, kind: int, time: float) -> bool:
    """Whether a fault of this kind has begun and not ended."""
    for row in range(faults.shape[0]):
        if faults[row, 0] == kind and faults[row, 1] <= time < faults[row, 2]:
            return True
    return False


@compiled
def amount_of(faults: Floats, kind: int, time: float) -> float:
    """Sum of the amounts of the faults of this kind that are on."""
    total = 0.0
    for row in range(faults.shape[0]):
        if faults[row, 0] == kind and faults[row, 1] <= time < faults[row, 2]:
            total += faults[row, 3]
    return total


@compiled
def take_hold(model: Model, faults: Floats, state: State) -> None:
    """Break what is broken at the time of the state, and shift the controls that have drifted."""
    broken, now, acting = state.broken, state.time, state.acting
    broken.operating_limit_welded = is_on(faults, _OPERATING_LIMIT_WELDED, now)
    broken.high_limit_welded = is_on(faults, _HIGH_LIMIT_WELDED, now)
    broken.hold_bypassed = is_on(faults, _HOLD_BYPASSED, now)
    broken.drive_stuck = is_on(faults, _DRIVE_STUCK, now)
    broken.drive_runs_to_full = is_on(faults, _DRIVE_STUCK_AT_FULL, now)
    broken.damper_stuck = is_on(faults, _DAMPER_STUCK_IN_PURGE, now)
    broken.feed_stopped = is_on(faults, _FEED_STOPPED, now)
    broken.power_off = is_on(faults, _POWER_OFF, now)
    broken.water_low = is_on(faults, _LOW_WATER, now)
    broken.flame_lost = is_on(faults, _FLAME_LOST, now)
    broken.load_gone = is_on(faults, _LOAD_GONE, now)
    drift = amount_of(faults, _OPERATING_LIMIT_DRIFTED, now)
    acting.cut_out = model.controls.cut_out + drift
    acting.cut_in = model.controls.cut_in + drift
    drift = amount_of(faults, _HIGH_LIMIT_DRIFTED, now)
    acting.trip = model.controls.trip + drift
    acting.remakes = model.controls.remakes + drift
    drift = amount_of(faults, _FIRING_RATE_DRIFTED, now)
    acting.high_fire = model.controls.high_fire + drift
    acting.low_fire = model.controls.low_fire + drift
    drift = amount_of(faults, _HOLD_DRIFTED, now)
    acting.takes_hold = model.controls.takes_hold + drift
    acting.lets_go = model.controls.lets_go + drift

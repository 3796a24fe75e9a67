"""What may break during a run, each from a begin to an end."""

from enum import IntEnum
from typing import Final

from evenfire.physics.compiled import part
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


@part
def take_hold(model: Model, faults: Floats, state: State) -> None:
    """Break what is broken at the time of the state, and shift the controls that have drifted."""
    _mend(model, state)
    broken, acting = state.broken, state.acting
    for row in range(len(faults)):
        if not faults[row, 1] <= state.time < faults[row, 2]:
            continue
        kind, amount = faults[row, 0], faults[row, 3]
        if kind == _OPERATING_LIMIT_WELDED:
            broken.operating_limit_welded = True
        elif kind == _HIGH_LIMIT_WELDED:
            broken.high_limit_welded = True
        elif kind == _HOLD_BYPASSED:
            broken.hold_bypassed = True
        elif kind == _DRIVE_STUCK:
            broken.drive_stuck = True
        elif kind == _DRIVE_STUCK_AT_FULL:
            broken.drive_runs_to_full = True
        elif kind == _DAMPER_STUCK_IN_PURGE:
            broken.damper_stuck = True
        elif kind == _FEED_STOPPED:
            broken.feed_stopped = True
        elif kind == _POWER_OFF:
            broken.power_off = True
        elif kind == _LOW_WATER:
            broken.water_low = True
        elif kind == _FLAME_LOST:
            broken.flame_lost = True
        elif kind == _LOAD_GONE:
            broken.load_gone = True
        elif kind == _OPERATING_LIMIT_DRIFTED:
            acting.cut_out += amount
            acting.cut_in += amount
        elif kind == _HIGH_LIMIT_DRIFTED:
            acting.trip += amount
            acting.remakes += amount
        elif kind == _FIRING_RATE_DRIFTED:
            acting.high_fire += amount
            acting.low_fire += amount
        elif kind == _HOLD_DRIFTED:
            acting.takes_hold += amount
            acting.lets_go += amount


@part
def _mend(model: Model, state: State) -> None:
    """Nothing is broken, every control acts where it is set."""
    broken, acting, controls = state.broken, state.acting, model.controls
    broken.operating_limit_welded, broken.high_limit_welded, broken.hold_bypassed = False, False, False
    broken.drive_stuck, broken.drive_runs_to_full, broken.damper_stuck = False, False, False
    broken.feed_stopped, broken.power_off, broken.water_low = False, False, False
    broken.flame_lost, broken.load_gone = False, False
    acting.cut_out, acting.cut_in = controls.cut_out, controls.cut_in
    acting.trip, acting.remakes = controls.trip, controls.remakes
    acting.high_fire, acting.low_fire = controls.high_fire, controls.low_fire
    acting.takes_hold, acting.lets_go = controls.takes_hold, controls.lets_go

"""What the loop writes down when something acts."""

from enum import IntEnum
from typing import Final

from evenfire.physics.compiled import part
from evenfire.physics.motion.records import Floats, Record

COLUMNS: Final = 6
"""Time [s], kind, subject, pressure [Pa abs], +1 rising or -1 falling, flame [1]."""


class Happening(IntEnum):
    """What happened; the subject says to which."""

    PHASE_BEGAN = 0
    """Subject: the phase"""
    BURNER_STOPPED = 1
    """Subject: what stopped it, of ``control_logic.STOPS``"""
    OPERATING_LIMIT_OPENED = 2
    OPERATING_LIMIT_CLOSED = 3
    HIGH_LIMIT_OPENED = 4
    HIGH_LIMIT_CLOSED = 5
    """By a hand, or an automatic one by itself"""
    RESET_REFUSED = 6
    """Pressure had not fallen"""
    HOLD_TOOK = 7
    HOLD_LET_GO = 8
    VALVE_LIFTED = 9
    """Subject: which"""
    VALVE_RESEATED = 10
    PUMP_STARTED = 11
    PUMP_STOPPED = 12
    WATER_LOW = 13
    WATER_RESTORED = 14
    VENT_CLOSED = 15
    """Steam has driven the air out"""
    AIR_LET_IN = 16
    FAULT_BEGAN = 17
    """Subject: its row"""
    FAULT_ENDED = 18
    LOCKED_OUT = 19
    UNLOCKED = 20
    LOW_FIRE_REACHED = 21
    HIGH_FIRE_REACHED = 22
    TURNED_DOWN = 23
    """Pressure had its highest"""
    TURNED_UP = 24
    """Pressure had its lowest"""


class Arrival(Record):
    """How a step ended."""

    since: float
    """When it began; before every time for the very first reaction [s]"""
    time: float
    """[s]"""
    crossing: int
    """Which signal left its bounds"""
    pressure: float
    """In the steam space [Pa abs]"""
    rising: float
    """Sign of its rate [1]"""
    flame: float
    """Share of full fire [1]"""
    was_at: float
    """Position of the drive when the step began [1]"""
    volume: float
    """Water now, on its bound when it crossed one [m3]"""


@part
def note(log: Floats, count: int, kind: int, subject: float, arrival: Arrival) -> int:
    """Write one line and return how many there are; a full log takes no more, and its caller sees that it is full."""
    if count >= len(log):
        return count
    log[count, 0] = arrival.time
    log[count, 1] = float(kind)
    log[count, 2] = subject
    log[count, 3] = arrival.pressure
    log[count, 4] = arrival.rising
    log[count, 5] = arrival.flame
    return count + 1

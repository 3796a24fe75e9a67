"""What stands still while a boiler runs: its parts as numbers, and what is done to it from outside.

Pressures are absolute and stand in the steam space of the boiler; a control's water leg is already in its thresholds.
What is absent acts nowhere: its threshold is infinite.
"""

from typing import Annotated, Final, NamedTuple

import numpy as np

from evenfire.physics.compiled import whole
from evenfire.physics.motion.records import Floats, Record
from evenfire.physics.motion.water import INTERVALS, PROPERTIES

# How feedwater comes.
FEED_ON_OFF: Final = 0
FEED_MODULATING: Final = 1
FEED_HELD: Final = 2
"""As much as keeps the water volume midway between low and high."""
FEED_GIVEN: Final = 3
"""From a profile."""

# How the drawn steam depends on pressure.
DRAW_FLOW: Final = 0
DRAW_VALVE: Final = 1
DRAW_EXCHANGER: Final = 2
DRAW_GIVEN: Final = 3
"""Whatever the pressure, as somebody says who uses the vessel alone."""

# What the firing-rate control does.
RATE_NONE: Final = 0
RATE_PROPORTIONAL: Final = 1
RATE_TWO_POSITION: Final = 2

# The burner's phases, in the order they follow each other.
OFF: Final = whole(0)
DELAY: Final = whole(1)
DRIVE_OPEN: Final = whole(2)
PREPURGE: Final = whole(3)
DRIVE_BACK: Final = whole(4)
PILOT: Final = whole(5)
MAIN: Final = whole(6)
FLAME: Final = whole(7)
"""The main flame grows to low fire."""
LOW_FIRE: Final = whole(8)
"""Settled, not yet released to the firing rate."""
RELEASED: Final = whole(9)
POSTPURGE: Final = whole(10)
PHASES: Final = 11

MOST_VALVES: Final = 24


class Vessel(Record):
    """The pressure vessel and the air around it."""

    volume: float
    """Water and steam together [m3]"""
    metal_heat: float
    """[J/K]"""
    ambient: float
    """[Pa abs]"""
    feed_enthalpy: float
    """[J/kg]"""
    loss_conductance: float
    """Standing loss per temperature above the room [W/K]"""
    room_temperature: float
    """[K]"""
    lets_air_in: bool
    """When it cools below the pressure of the air"""


class Burner(Record):
    """The burner, its drive and its start chain."""

    full_heat: float
    """[W]"""
    lowest: float
    """Low fire as a share of full fire [1]"""
    heat_lag: float
    """[s]"""
    stroke: float
    """[s]"""
    purge_conductance: float
    """Heat that purge air at full flow takes per temperature above the room [W/K]"""
    durations: Annotated[Floats, (PHASES,)]
    """Of each phase; nought where a phase has no clock [s]"""
    minimum_off: float
    """[s]"""
    purges_open: bool
    """Whether the drive goes to high fire and back for the purge"""
    lights_at_low_fire_only: bool
    rate_action: int
    cap: float
    """Highest drive position that a hand allows [1]"""


class Controls(Record):
    """Where each control acts, and how it lags behind the pressure."""

    cut_out: float
    """[Pa abs]"""
    cut_in: float
    """[Pa abs]"""
    trip: float
    """[Pa abs]"""
    remakes: float
    """High limit [Pa abs]"""
    trip_is_manual: bool
    high_fire: float
    """[Pa abs]"""
    low_fire: float
    """[Pa abs]"""
    takes_hold: float
    """[Pa abs]"""
    lets_go: float
    """Low-fire hold [Pa abs]"""
    operating_limit_lag: float
    """[s]"""
    high_limit_lag: float
    """[s]"""
    firing_rate_lag: float
    """[s]"""
    low_fire_hold_lag: float
    """[s]"""


class Feed(Record):
    """Feedwater, and the cutoff that stops the burner for want of it."""

    kind: int
    capacity: float
    """[kg/s]"""
    low: float
    """Pump starts, or valve wide open: water volume [m3]"""
    high: float
    """Pump stops, or valve shut [m3]"""
    cutoff: float
    """[m3]"""
    restored: float
    """Water volume at which the cutoff makes again [m3]"""


class Valves(Record):
    """The safety valves; each has its number in every array."""

    count: int
    lifts: Annotated[Floats, (MOST_VALVES,)]
    """[Pa abs]"""
    reseats: Annotated[Floats, (MOST_VALVES,)]
    """[Pa abs]"""
    conductances: Annotated[Floats, (MOST_VALVES,)]
    """Flow per absolute pressure when lifted [kg/(s Pa)]"""


class Users(Record):
    """How those who draw steam answer to its pressure."""

    kind: int
    reference: float
    """Pressure for which their flow is stated [Pa abs]"""
    cold_side: float
    """Of a heat exchanger [K]"""


class Model(Record):
    """One boiler."""

    vessel: Vessel
    burner: Burner
    controls: Controls
    feed: Feed
    valves: Valves
    users: Users
    water: Annotated[Floats, (INTERVALS, PROPERTIES, 4)]
    """See :mod:`evenfire.physics.motion.water` [SI]"""


class Profile(NamedTuple):
    """A quantity over time in straight pieces; it may jump where a piece begins."""

    pieces: Floats
    """Begin [s], value there and slope per second; shape (pieces, 3), the first begins at zero"""
    period: float
    """After which it begins again [s]; infinite for never"""


class Inputs(NamedTuple):
    """What is done to a boiler from outside."""

    draw: Profile
    """Steam at the users' reference pressure [kg/s]"""
    heat: Profile
    """Into the water, beside the burner [W]"""
    given_feed: Profile
    """[kg/s]"""
    faults: Floats
    """Kind, begin [s], end [s], amount; shape (faults, 4)"""
    resets: Floats
    """When a hand presses reset, at the high limit and at the burner control alike [s], rising"""


def steady(value: float) -> Profile:
    """A quantity that stands still [SI unit of the quantity]."""
    return Profile(np.array([[0.0, value, 0.0]]), np.inf)


def undisturbed(draw: Profile) -> Inputs:
    """Steam is drawn, nothing breaks and nobody touches anything."""
    return Inputs(draw, steady(0.0), steady(0.0), np.zeros((0, 4)), np.zeros(0))

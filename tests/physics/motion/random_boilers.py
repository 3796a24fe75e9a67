"""Boilers, loads and faults of every kind for tests of what must hold on all of them; in the units of the trade.

A sketch is plain numbers, so that a failing example can be read; ``model`` and ``inputs`` make of it what runs.
"""

from dataclasses import dataclass, replace
from math import inf
from typing import Final

import numpy as np
from hypothesis import strategies as st

from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.model import (
    DRAW_EXCHANGER,
    DRAW_FLOW,
    DRAW_VALVE,
    FEED_HELD,
    FEED_MODULATING,
    FEED_ON_OFF,
    POSTPURGE,
    RATE_NONE,
    RATE_PROPORTIONAL,
    RATE_TWO_POSITION,
    Inputs,
    Model,
    Profile,
    steady,
)
from evenfire.physics.motion.records import new
from evenfire.physics.motion.run import Run, run
from evenfire.physics.motion.starting import at_pressure, cold
from evenfire.physics.motion.state import State
from evenfire.physics.motion.water import water_table
from evenfire.si import PA_PER_PSI, STANDARD_ATMOSPHERE_PA
from tests.motion_models import ROOM, at_psig

HEAT_PER_STEAM: Final = 2.2e6
"""About what a kilogram of steam takes from feedwater; only the scale of loads hangs on it [J/kg]"""
GRID: Final = 5.0
"""Of the series in these tests [s]"""


@dataclass(frozen=True, kw_only=True)
class Burner:
    """A burner; ``chain`` is delay, drive open, prepurge, drive back, pilot, main, flame, low fire [s]."""

    full_heat: float = 2e6
    lowest: float = 0.25
    heat_lag: float = 8.0
    stroke: float = 30.0
    chain: tuple[float, ...] = (3.0, 20.0, 30.0, 20.0, 10.0, 10.0, 5.0, 15.0)
    postpurge: float = 15.0
    minimum_off: float = 0.0
    purge: float = 300.0
    purges_open: bool = True
    lights_at_low_fire_only: bool = True
    rate_action: int = RATE_PROPORTIONAL
    cap: float = 1.0


@dataclass(frozen=True, kw_only=True)
class Controls:
    """Every control [psi gauge]; what is not there is infinite. The other widths are counted down from the first."""

    cut_out: float = 120.0
    differential: float = 8.0
    trip: float = 140.0
    falls_before_reset: float = 5.0
    trip_is_manual: bool = True
    low_fire: float = 110.0
    throttling: float = 10.0
    hold: float = 60.0
    hold_width: float = 0.0
    lags: tuple[float, float, float, float] = (1.0, 1.0, 1.0, 1.0)


@dataclass(frozen=True, kw_only=True)
class Vessel:
    """Water per full fire [m3/MW], its share of the vessel, metal as a share of the water's heat, feed and valves."""

    water: float = 2.8
    fill: float = 0.75
    metal: float = 0.15
    feed_kind: int = FEED_ON_OFF
    feed_capacity: float = 2.0
    """Of the steam that full fire makes [1]"""
    lets_air_in: bool = True
    has_cutoff: bool = True
    lifts: tuple[float, ...] = (150.0, 150.0)
    """[psi gauge]"""
    blowdown: float = 6.0
    capacity: float = 0.6
    """Of each valve, as a share of the steam that full fire makes [1]"""


@dataclass(frozen=True, kw_only=True)
class Case:
    """A boiler, its load and what goes wrong with it."""

    burner: Burner = Burner()
    controls: Controls = Controls()
    vessel: Vessel = Vessel()
    users: int = DRAW_FLOW
    pieces: tuple[tuple[float, float, float], ...] = ((0.0, 0.3, 0.0),)
    """Begin [s], load there as a share of full fire, and slope [1/s]"""
    period: float = inf
    faults: tuple[tuple[Fault, float, float, float], ...] = ()
    """Kind, begin [s], end [s], drift [psi]"""
    resets: tuple[float, ...] = ()
    """[s]"""
    starts_at: float | None = 115.0
    """[psi gauge]; none for a cold boiler"""
    hours: float = 1.0

    def water_volume(self) -> float:
        """At the normal level [m3]."""
        return self.vessel.water * self.burner.full_heat / 1e6

    def model(self) -> Model:
        """What runs."""
        model = new(Model)
        model.water[:] = water_table()
        _fill_vessel(model, self)
        _fill_burner(model, self.burner)
        _fill_controls(model, self.controls)
        return model

    def inputs(self) -> Inputs:
        """What is done to it."""
        per_load = self.burner.full_heat / HEAT_PER_STEAM
        pieces = np.array([(begin, per_load * value, per_load * slope) for begin, value, slope in self.pieces])
        rows = [(float(kind), begin, end, drift * PA_PER_PSI) for kind, begin, end, drift in self.faults]
        faults = np.array(rows, dtype=np.float64).reshape(-1, 4)
        return Inputs(
            Profile(pieces, self.period), steady(0.0), steady(0.0), faults, np.array(self.resets, dtype=np.float64)
        )

    def first(self, model: Model) -> State:
        """Where it starts."""
        if self.starts_at is None:
            return cold(model, ROOM, 0.95 * self.water_volume())
        return at_pressure(model, at_psig(self.starts_at), self.water_volume())

    def run(self) -> Run:
        """What it does."""
        model = self.model()
        return run(model, self.inputs(), self.first(model), duration=self.hours * 3600.0, interval=GRID)


def _fill_vessel(model: Model, case: Case) -> None:
    vessel, feed, full = model.vessel, model.feed, case.burner.full_heat
    water = case.water_volume()
    vessel.volume = water / case.vessel.fill
    vessel.metal_heat = case.vessel.metal * water * 900.0 * 4300.0
    vessel.ambient, vessel.room_temperature = STANDARD_ATMOSPHERE_PA, ROOM
    vessel.feed_enthalpy, vessel.loss_conductance = 390e3, 0.01 * full / 150.0
    vessel.lets_air_in = case.vessel.lets_air_in
    feed.kind, feed.capacity = case.vessel.feed_kind, case.vessel.feed_capacity * full / HEAT_PER_STEAM
    feed.low, feed.high = 0.985 * water, 1.015 * water
    feed.cutoff = feed.restored = -inf
    if case.vessel.has_cutoff:
        feed.cutoff, feed.restored = 0.90 * water, 0.97 * water
    valves, lifts = model.valves, case.vessel.lifts
    valves.count = len(lifts)
    for number, lift in enumerate(lifts):
        valves.lifts[number] = at_psig(lift)
        valves.reseats[number] = at_psig(lift - case.vessel.blowdown)
        valves.conductances[number] = case.vessel.capacity * full / HEAT_PER_STEAM / at_psig(lift)
    model.users.kind, model.users.cold_side = case.users, 330.0
    cut_out = case.controls.cut_out if case.controls.cut_out < inf else 100.0
    model.users.reference = at_psig(cut_out)


def _fill_burner(model: Model, sketch: Burner) -> None:
    burner = model.burner
    burner.full_heat, burner.lowest = sketch.full_heat, sketch.lowest
    burner.heat_lag, burner.stroke = sketch.heat_lag, sketch.stroke
    burner.purge_conductance = sketch.purge * sketch.full_heat / 2e6
    burner.durations[1:9], burner.durations[POSTPURGE] = sketch.chain, sketch.postpurge
    burner.minimum_off, burner.rate_action, burner.cap = sketch.minimum_off, sketch.rate_action, sketch.cap
    burner.purges_open, burner.lights_at_low_fire_only = sketch.purges_open, sketch.lights_at_low_fire_only


def _fill_controls(model: Model, sketch: Controls) -> None:
    controls = model.controls
    controls.cut_out, controls.cut_in = at_psig(sketch.cut_out), at_psig(sketch.cut_out - sketch.differential)
    controls.trip, controls.remakes = at_psig(sketch.trip), at_psig(sketch.trip - sketch.falls_before_reset)
    controls.trip_is_manual = sketch.trip_is_manual
    controls.low_fire, controls.high_fire = at_psig(sketch.low_fire), at_psig(sketch.low_fire - sketch.throttling)
    controls.lets_go, controls.takes_hold = at_psig(sketch.hold), at_psig(sketch.hold - sketch.hold_width)
    controls.operating_limit_lag, controls.high_limit_lag = sketch.lags[0], sketch.lags[1]
    controls.firing_rate_lag, controls.low_fire_hold_lag = sketch.lags[2], sketch.lags[3]


def _seconds(longest: float) -> st.SearchStrategy[float]:
    """A time that is often nought: what has no length is where order shows."""
    return st.just(0.0) | st.floats(0.1, longest)


BURNERS: Final = st.builds(
    Burner,
    full_heat=st.floats(5.0, 7.5).map(lambda power: 10.0**power),
    lowest=st.floats(0.1, 0.6) | st.just(1.0),
    heat_lag=_seconds(20.0),
    stroke=_seconds(60.0),
    chain=st.tuples(*[_seconds(40.0)] * 8),
    postpurge=_seconds(40.0),
    minimum_off=_seconds(200.0),
    purge=st.floats(0.0, 800.0),
    purges_open=st.booleans(),
    lights_at_low_fire_only=st.booleans(),
    rate_action=st.sampled_from((RATE_PROPORTIONAL, RATE_PROPORTIONAL, RATE_TWO_POSITION, RATE_NONE)),
    cap=st.just(1.0) | st.floats(0.0, 1.0),
)

VESSELS: Final = st.builds(
    Vessel,
    water=st.floats(-1.3, 0.7).map(lambda power: 10.0**power),
    fill=st.floats(0.4, 0.9),
    metal=st.floats(0.02, 0.5),
    feed_kind=st.sampled_from((FEED_ON_OFF, FEED_MODULATING, FEED_HELD)),
    feed_capacity=st.floats(0.5, 3.0),
    lets_air_in=st.booleans(),
)


@st.composite
def controls(draw: st.DrawFn) -> Controls:
    """Controls in order and out of order, from heating boilers to power boilers."""
    cut_out = draw(st.sampled_from((10.0, 12.5, 100.0, 120.0)) | st.floats(5.0, 300.0))
    wide = 0.25 * cut_out
    lag = _seconds(5.0)
    return Controls(
        cut_out=cut_out,
        differential=draw(st.floats(0.05, wide)),
        trip=cut_out + draw(st.floats(-0.1 * wide, wide)),
        falls_before_reset=draw(_seconds(wide)),
        low_fire=cut_out - draw(st.floats(-0.3 * wide, wide)),
        throttling=draw(st.floats(0.1, wide)),
        hold=draw(st.just(-inf) | st.floats(0.0, 1.05 * cut_out)),
        hold_width=draw(_seconds(0.1 * wide)),
        lags=(draw(lag), draw(lag), draw(lag), draw(lag)),
    )


FAULTS_OF_A_DEVICE: Final = {
    "operating limit": {Fault.OPERATING_LIMIT_WELDED, Fault.OPERATING_LIMIT_DRIFTED},
    "high limit": {Fault.HIGH_LIMIT_WELDED, Fault.HIGH_LIMIT_DRIFTED},
    "hold": {Fault.HOLD_BYPASSED, Fault.HOLD_DRIFTED},
    "drive": {Fault.DRIVE_STUCK, Fault.DRIVE_STUCK_AT_FULL, Fault.DAMPER_STUCK_IN_PURGE},
}


def faults_not_on(*devices: str) -> list[Fault]:
    """Every fault but those of the devices that a property speaks of."""
    spoken_of: set[Fault] = set().union(*(FAULTS_OF_A_DEVICE[device] for device in devices))
    return [fault for fault in Fault if fault not in spoken_of]


def fault_rows(kinds: list[Fault], hours: float) -> st.SearchStrategy[tuple[tuple[Fault, float, float, float], ...]]:
    """None, one or a pair of faults (sometimes three), each from a begin to an end."""
    begin = st.just(0.0) | st.floats(0.0, 3600.0 * hours)
    row = st.builds(
        lambda kind, begins, lasts, drift: (kind, begins, begins + lasts, drift),
        st.sampled_from(kinds),
        begin,
        st.just(inf) | st.floats(1.0, 1800.0),
        st.floats(-10.0, 10.0),
    )
    return st.lists(row, max_size=3).map(tuple)


@st.composite
def load_pieces(draw: st.DrawFn) -> tuple[tuple[float, float, float], ...]:
    """A load that stands, jumps and ramps, now and then to more than full fire can make."""
    begins = sorted(draw(st.sets(st.integers(1, 6000), max_size=4)))
    pieces = []
    for begin, after in zip([0, *begins], [*begins, 7200], strict=True):
        value = draw(st.just(0.0) | st.floats(0.0, 1.2))
        end = draw(st.just(value) | st.floats(0.0, 1.2))
        pieces.append((float(begin), value, (end - value) / (after - begin)))
    return tuple(pieces)


@st.composite
def cases(draw: st.DrawFn, *, but_on: tuple[str, ...] = (), kinds: tuple[Fault, ...] = ()) -> Case:
    """Anything that can stand in a boiler room; its faults are not on these devices, or are of these kinds."""
    settings = draw(controls())
    vessel = draw(VESSELS)
    valves = draw(st.lists(st.floats(0.95, 1.4), max_size=3))
    hours = draw(st.sampled_from((1.0, 2.0)))
    starts = draw(st.none() | st.floats(0.2, 1.2))
    pieces = draw(load_pieces())
    return Case(
        burner=draw(BURNERS),
        controls=settings,
        vessel=replace(
            vessel,
            lifts=tuple(settings.cut_out * share for share in valves),
            blowdown=settings.cut_out * draw(st.floats(0.02, 0.1)),
            capacity=draw(st.floats(0.1, 1.5)),
        ),
        users=draw(st.sampled_from((DRAW_FLOW, DRAW_VALVE, DRAW_EXCHANGER))),
        pieces=pieces,
        period=draw(st.just(inf) | st.floats(pieces[-1][0] + 1.0, 7200.0)),
        faults=draw(fault_rows(list(kinds) or faults_not_on(*but_on), hours)),
        resets=tuple(float(each) for each in sorted(draw(st.sets(st.integers(0, 7200), max_size=6)))),
        starts_at=None if starts is None else settings.cut_out * starts,
        hours=hours,
    )

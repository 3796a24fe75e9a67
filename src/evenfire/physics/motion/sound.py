"""A model, inputs and a state that can be: whatever cannot is refused before the loop starts."""

from typing import Final

import numpy as np

from evenfire.errors import ImpossibleValue
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.model import (
    DRAW_EXCHANGER,
    DRAW_GIVEN,
    FEED_GIVEN,
    MOST_VALVES,
    RATE_TWO_POSITION,
    Inputs,
    Model,
    Profile,
)
from evenfire.physics.motion.records import Floats
from evenfire.physics.motion.state import State
from evenfire.physics.steam import HIGHEST_PRESSURE, LOWEST_PRESSURE
from evenfire.plant.possible import require_between, require_inside, require_not_negative, require_positive
from evenfire.si import Dimension, Quantity

LONGEST_RUN: Final = 400 * 86400.0
"""[s]"""
MOST_ROWS: Final = 20_000_000
SHORTEST_PERIOD: Final = 1.0
"""[s]"""


def require_sound(
    model: Model, inputs: Inputs, first: State, *, duration: float, interval: float, accuracy: float
) -> None:
    """Raise :class:`~evenfire.errors.ImpossibleValue` for what cannot be simulated."""
    require_between("duration", duration, 0.0, LONGEST_RUN, Dimension.TIME)
    require_positive("interval of the trace", interval, Dimension.TIME)
    require_between("interval of the trace", interval, duration / MOST_ROWS, LONGEST_RUN, Dimension.TIME)
    require_between("accuracy", accuracy, 1e-6, 1e4, Dimension.PRESSURE_DIFFERENCE)
    _require_model(model)
    _require_controls(model)
    _require_profile("steam drawn", inputs.draw, Dimension.MASS_FLOW)
    _require_profile("heat given", inputs.heat, Dimension.POWER)
    _require_profile("feed given", inputs.given_feed, Dimension.MASS_FLOW)
    _require_faults(inputs.faults)
    _require_rising("hands at the reset", inputs.resets)
    _require_state(model, first)
    _require_users(model)


def _require_model(model: Model) -> None:
    vessel, burner, feed = model.vessel, model.burner, model.feed
    require_positive("volume", float(vessel.volume), Dimension.VOLUME)
    require_not_negative("metal heat", float(vessel.metal_heat), Dimension.NUMBER)
    require_between(
        "ambient pressure", float(vessel.ambient), LOWEST_PRESSURE, HIGHEST_PRESSURE, Dimension.ABSOLUTE_PRESSURE
    )
    require_between("feed enthalpy", float(vessel.feed_enthalpy), 0.0, 1.7e6, Dimension.NUMBER)
    require_not_negative("loss", float(vessel.loss_conductance), Dimension.NUMBER)
    require_between("room temperature", float(vessel.room_temperature), 200.0, 350.0, Dimension.TEMPERATURE)
    require_between("full fire", float(burner.full_heat), 0.0, 1e10, Dimension.POWER)
    require_between("low fire", float(burner.lowest), 0.01, 1.0, Dimension.FRACTION)
    require_between("heat lag", float(burner.heat_lag), 0.0, 3600.0, Dimension.TIME)
    require_between("stroke", float(burner.stroke), 0.0, 3600.0, Dimension.TIME)
    require_not_negative("purge cooling", float(burner.purge_conductance), Dimension.NUMBER)
    require_between("minimum off time", float(burner.minimum_off), 0.0, 86400.0, Dimension.TIME)
    require_between("cap", float(burner.cap), 0.0, 1.0, Dimension.FRACTION)
    _require_kind("kind of feed", feed.kind, FEED_GIVEN)
    _require_kind("kind of firing-rate control", burner.rate_action, RATE_TWO_POSITION)
    for seconds in burner.durations:
        require_between("start chain", float(seconds), 0.0, 86400.0, Dimension.TIME)
    require_between("feed capacity", float(feed.capacity), 0.0, 1e5, Dimension.MASS_FLOW)
    _require_order("pump start", feed.low, "below", feed.high)
    _require_order("low-water cutoff", feed.cutoff, "below", feed.restored)
    require_between("safety valves", float(model.valves.count), 0.0, float(MOST_VALVES), Dimension.NUMBER)
    for valve in range(int(model.valves.count)):
        lift, reseat = float(model.valves.lifts[valve]), float(model.valves.reseats[valve])
        _require_order("reseating pressure", reseat, "below", lift)
        require_not_negative("relief", float(model.valves.conductances[valve]), Dimension.NUMBER)


def _require_users(model: Model) -> None:
    users = model.users
    _require_kind("kind of users", users.kind, DRAW_GIVEN)
    if users.kind == DRAW_GIVEN:
        return
    lowest, pressure = float(model.vessel.ambient), Dimension.ABSOLUTE_PRESSURE
    name = "reference pressure of the users, against the ambient pressure"
    require_inside(name, float(users.reference), lowest, 1.01 * HIGHEST_PRESSURE, pressure)
    if users.kind == DRAW_EXCHANGER or not np.isfinite(users.cold_side):
        require_between("cold side of the users", float(users.cold_side), 200.0, 700.0, Dimension.TEMPERATURE)


def _require_kind(name: str, kind: float, last: int) -> None:
    if not (np.isfinite(kind) and float(kind).is_integer() and 0 <= kind <= last):
        found, limit = Quantity(float(kind), Dimension.NUMBER), Quantity(float(last), Dimension.NUMBER)
        raise ImpossibleValue(field=name, found=found, must_be="a whole number from 0 to", limit=limit)


def _require_controls(model: Model) -> None:
    """Thresholds in an order in which a control can work at all; whether it is a wise one is for the judgement."""
    controls = model.controls
    _require_order("cut-in", controls.cut_in, "below", controls.cut_out)
    _require_order("high-fire point", controls.high_fire, "below", controls.low_fire)
    must_be = "at most" if controls.trip_is_manual else "below"
    _require_order("reset point", controls.remakes, must_be, controls.trip)
    _require_order("hold", controls.takes_hold, "at most", controls.lets_go)
    lags = (
        controls.operating_limit_lag,
        controls.high_limit_lag,
        controls.firing_rate_lag,
        controls.low_fire_hold_lag,
    )
    for lag in lags:
        require_between("lag of a control", float(lag), 0.0, 3600.0, Dimension.TIME)


def _require_order(name: str, low: float, must_be: str, high: float) -> None:
    """Infinite thresholds are those of a control that is not there."""
    absent = np.isinf(low) and np.isinf(high)
    if not (low < high or (must_be == "at most" and low == high) or absent):
        found, limit = (Quantity(float(each), Dimension.ABSOLUTE_PRESSURE) for each in (low, high))
        raise ImpossibleValue(field=name, found=found, must_be=must_be, limit=limit)


def _require_profile(name: str, profile: Profile, dimension: Dimension) -> None:
    pieces = profile.pieces
    require_positive(f"{name}: pieces", float(len(pieces)), Dimension.NUMBER)
    require_between(f"{name}: begin of the first piece", float(pieces[0, 0]), 0.0, 0.0, Dimension.TIME)
    _require_rising(name, pieces[:, 0])
    if not np.isfinite(pieces).all():
        raise ImpossibleValue(field=name, found=Quantity(np.nan, dimension), must_be="a finite number everywhere")
    if not profile.period >= SHORTEST_PERIOD:
        found, limit = Quantity(profile.period, Dimension.TIME), Quantity(SHORTEST_PERIOD, Dimension.TIME)
        raise ImpossibleValue(field=f"{name}: period", found=found, must_be="at least", limit=limit)
    if not profile.period > pieces[-1, 0]:
        last = Quantity(float(pieces[-1, 0]), Dimension.TIME)
        found = Quantity(profile.period, Dimension.TIME)
        raise ImpossibleValue(field=f"{name}: period", found=found, must_be="above", limit=last)


def _require_rising(name: str, times: Floats) -> None:
    if not np.isfinite(times).all():
        raise ImpossibleValue(field=f"{name}: times", found=Quantity(np.nan, Dimension.TIME), must_be="finite")
    steps = np.diff(times)
    if len(steps) and not (steps > 0).all():
        place = int(np.argmin(steps > 0))
        raise ImpossibleValue(
            field=f"{name}: times",
            found=Quantity(float(times[place + 1]), Dimension.TIME),
            must_be="above",
            limit=Quantity(float(times[place]), Dimension.TIME),
        )


def _require_faults(faults: Floats) -> None:
    for kind, begin, end, amount in faults:
        _require_kind("kind of fault", float(kind), len(Fault) - 1)
        require_not_negative("begin of a fault", float(begin), Dimension.TIME)
        if not end >= begin:
            found, limit = Quantity(float(end), Dimension.TIME), Quantity(float(begin), Dimension.TIME)
            raise ImpossibleValue(field="end of a fault", found=found, must_be="at least", limit=limit)
        require_between("drift", float(amount), -1e7, 1e7, Dimension.PRESSURE_DIFFERENCE)


def _require_state(model: Model, state: State) -> None:
    inside = state.contents
    require_positive("contents", float(inside.mass), Dimension.MASS)
    require_between("pressure", float(inside.pressure), LOWEST_PRESSURE, HIGHEST_PRESSURE, Dimension.ABSOLUTE_PRESSURE)
    require_between("energy", float(inside.energy), -1e16, 1e16, Dimension.ENERGY)
    require_between("heat on the way", float(inside.on_the_way), -1e16, 1e16, Dimension.ENERGY)
    require_between("mass", float(inside.mass), 0.0, 1000.0 * float(model.vessel.volume), Dimension.MASS)

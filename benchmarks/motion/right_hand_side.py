"""The boiler as ordinary differential equations: the flows that the loop uses, in the form that scipy asks for.

Everything that lags is a state here, where the loop follows it exactly: mass, energy with the heat on its way, that
heat alone, and what each of the four controls senses. Records come as arrays of one row: those cost the least to hand
over to compiled code, and scipy hands them over many times.
"""

from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from evenfire.physics.compiled import compiled, part
from evenfire.physics.motion.contents import closed_energy, water_pressure, water_volume
from evenfire.physics.motion.exchange import Course, Moment, pressure_rate, rates
from evenfire.physics.motion.model import Controls, Model
from evenfire.physics.motion.records import Floats, Record

Row = NDArray[np.void]
"""A record as an array of one row."""

STATES: Final = 7
"""Mass [kg], energy with the heat on its way [J], heat on its way [J], sensed by operating limit, high limit,
firing-rate control and low-fire hold [Pa abs]."""
MASS: Final = 0
ENERGY: Final = 1
ON_THE_WAY: Final = 2
AT_OPERATING_LIMIT: Final = 3
AT_HIGH_LIMIT: Final = 4
AT_FIRING_RATE: Final = 5
AT_HOLD: Final = 6


class Segment(Record):
    """Between two events."""

    begun: float
    """[s]"""
    is_vented: bool
    pressure: float
    """Found last, where the next search begins [Pa abs]"""
    asked: int
    """How often the derivative was asked for"""
    course: Course


if TYPE_CHECKING:

    def derivative(t: float, y: Floats, segment: Row, model: Row) -> Floats:
        """How fast every state changes [unit of the state per second]."""

    def pressure_of(y: Floats, segment: Row, model: Row) -> float:
        """Pressure at which the water boils [Pa abs]; closed, that of the boiler."""

    def water_of(y: Floats, segment: Row, model: Row) -> float:
        """Water volume [m3]."""

    def fullness_of(y: Floats, model: Row) -> float:
        """Energy of a vented boiler over that of one full of steam [J]."""

    def pressures_of(states: Floats, segment: Row, model: Row) -> Floats:
        """Pressure in the steam space [Pa abs] at states of shape (STATES, times)."""

    def ask_often(times: Floats, states: Floats, segments: Row, model: Row, count: int) -> float:
        """Ask for the derivative ``count`` times, going round moments of shape (times,) and (times, STATES)."""


@part
def _pressure(y: Floats, segment: Segment, model: Model) -> float:
    found: float = water_pressure(model, segment.is_vented, y[MASS], y[ENERGY] - y[ON_THE_WAY], segment.pressure)
    if found > 0.0:
        segment.pressure = found
    return found


@part
def _flame(t: float, y: Floats, segment: Segment, model: Model) -> float:
    course, controls, burner = segment.course, model.controls, model.burner
    if not course.tracks:
        return course.flame + course.flame_slope * (t - segment.begun)
    position: float = (controls.low_fire - y[AT_FIRING_RATE]) / (controls.low_fire - controls.high_fire)
    return burner.lowest + (1.0 - burner.lowest) * position


@part
def _lag(controls: Controls, place: int) -> float:
    if place == AT_OPERATING_LIMIT:
        return controls.operating_limit_lag
    if place == AT_HIGH_LIMIT:
        return controls.high_limit_lag
    if place == AT_FIRING_RATE:
        return controls.firing_rate_lag
    return controls.low_fire_hold_lag


@part
def write_change(t: float, y: Floats, segment: Segment, model: Model, change: Floats) -> None:
    """Write how fast every state changes [unit of the state per second]."""
    segment.asked += 1
    pressure = _pressure(y, segment, model)
    flame, full, lag = _flame(t, y, segment, model), model.burner.full_heat, model.burner.heat_lag
    moment = Moment(t - segment.begun, segment.is_vented, y[MASS], pressure, flame, y[ON_THE_WAY])
    now = rates(model, segment.course, moment)
    change[MASS] = now.mass
    change[ENERGY] = now.energy + full * flame
    change[ON_THE_WAY] = full * flame - y[ON_THE_WAY] / lag if lag > 0.0 else 0.0
    seen = model.vessel.ambient if segment.is_vented else pressure
    for place in range(AT_OPERATING_LIMIT, STATES):
        seconds = _lag(model.controls, place)
        if seconds > 0.0:
            change[place] = (seen - y[place]) / seconds
        else:
            change[place] = pressure_rate(model, moment, now)


if not TYPE_CHECKING:

    @compiled
    def derivative(t, y, segment, model):
        """How fast every state changes [unit of the state per second]."""
        change = np.empty(STATES)
        write_change(t, y, segment[0], model[0], change)
        return change

    @compiled
    def pressure_of(y, segment, model):
        """Pressure at which the water boils [Pa abs]; closed, that of the boiler."""
        return _pressure(y, segment[0], model[0])

    @compiled
    def water_of(y, segment, model):
        """Water volume [m3]."""
        return water_volume(model[0], segment[0].is_vented, y[MASS], _pressure(y, segment[0], model[0]))

    @compiled
    def fullness_of(y, model):
        """Energy of a vented boiler over that of one full of steam [J]."""
        return y[ENERGY] - y[ON_THE_WAY] - closed_energy(model[0], y[MASS], model[0].vessel.ambient)

    @compiled
    def pressures_of(states, segment, model):
        """Pressure in the steam space [Pa abs] at states of shape (STATES, times)."""
        found = np.empty(states.shape[1])
        for place in range(len(found)):
            seen = _pressure(states[:, place], segment[0], model[0])
            found[place] = model[0].vessel.ambient if segment[0].is_vented else seen
        return found

    @compiled
    def ask_often(times, states, segments, model, count):
        """Ask for the derivative ``count`` times, going round moments of shape (times,) and (times, STATES)."""
        change, all_of_them = np.zeros(STATES), 0.0
        for turn in range(count):
            place = turn % len(times)
            write_change(times[place], states[place], segments[place], model[0], change)
            all_of_them += change[ENERGY]
        return all_of_them

"""A run by ``scipy.integrate.solve_ivp``, from event to event."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from math import inf, nextafter
from typing import Any, Final

import numpy as np
from scipy.integrate import solve_ivp

from benchmarks.motion.bookkeeping import (
    FAN_ALONE,
    FIRING,
    NEAR,
    Drive,
    Machine,
    Reading,
    Watch,
    facts_of,
    piece_of,
)
from benchmarks.motion.right_hand_side import (
    AT_FIRING_RATE,
    AT_HIGH_LIMIT,
    AT_HOLD,
    AT_OPERATING_LIMIT,
    STATES,
    Row,
    Segment,
    derivative,
    fullness_of,
    pressure_of,
    pressures_of,
    water_of,
)
from evenfire.physics.motion import model as parts
from evenfire.physics.motion.contents import closed_energy
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.model import Inputs, Model
from evenfire.physics.motion.records import Floats, Record, layout
from evenfire.physics.motion.run import Phase
from evenfire.physics.motion.state import State

_PLACES: Final = {
    "operating_limit": AT_OPERATING_LIMIT,
    "high_limit": AT_HIGH_LIMIT,
    "firing_rate": AT_FIRING_RATE,
    "hold": AT_HOLD,
}
_RELATIVE: Final = 1e-13
"""Leaves all to the absolute tolerances, which mean the same for every state."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What scipy says."""

    events: list[tuple[float, Happening, int]]
    """Time [s], kind, subject"""
    pressure: Floats
    """In the steam space, on the grid [Pa abs]"""
    asked: int
    """How often the right-hand side was asked for"""
    segments: int
    points: list[tuple[float, Floats, Row]]
    """Where segments began, when that was wanted: time [s], states, segment"""


@dataclass(slots=True, kw_only=True)
class Oracle:
    """A boiler on its way through a day."""

    model: Model
    inputs: Inputs
    first: State
    method: str
    """Of ``solve_ivp``"""
    accuracy: float
    """Absolute tolerance, as a pressure [Pa]"""
    first_step: float = inf
    """Of each segment, at most [s]; infinite lets scipy choose"""
    machine: Machine = field(init=False)
    row: Row = field(init=False)
    segment: Row = field(init=False)
    now: float = field(init=False, default=0.0)
    y: Floats = field(init=False)
    points: list[tuple[float, Floats, Row]] = field(init=False, default_factory=list)

    def __post_init__(self) -> None:
        inside, sensed = self.first.contents, self.first.sensed
        self.machine = Machine(facts=facts_of(self.model), is_vented=bool(inside.is_vented))
        self.row = _row_of(Model, self.model)
        self.segment = np.zeros(1, layout(Segment))
        self.segment["pressure"], self.segment["is_vented"] = inside.pressure, inside.is_vented
        seen = (sensed.operating_limit, sensed.high_limit, sensed.firing_rate, sensed.low_fire_hold)
        self.y = np.array([inside.mass, inside.energy, inside.on_the_way, *seen])

    def run(self, duration: float, interval: float, *, keeps_points: bool = False) -> Answer:
        """Run for ``duration`` and tell the pressure every ``interval`` [s]."""
        machine, segment, model = self.machine, self.segment, self.row
        grid = np.arange(int(duration / interval) + 1) * interval
        pressure, filled, segments = np.full(len(grid), np.nan), 0, 0
        loads = [piece_of(each) for each in (self.inputs.draw, self.inputs.heat, self.inputs.given_feed)]
        tolerances = _tolerances(self.model, self.first, self.accuracy)
        machine.settle(self._reading(None))
        while self.now < duration:
            ends = self._lay_out([load(self.now) for load in loads], duration)
            if keeps_points:
                self.points.append((self.now, self.y.copy(), segment.copy()))
            watched = [*machine.watches(), *_watches_of_the_drive(machine)]
            wanted = grid[filled : np.searchsorted(grid, ends)]
            answer = solve_ivp(
                lambda t, y: derivative(t, y, segment, model),
                (self.now, ends),
                self.y,
                method=self.method,
                t_eval=np.append(wanted, ends),
                events=[self._event(watch) for watch in watched],
                rtol=_RELATIVE,
                atol=tolerances,
                first_step=None if self.first_step == inf else min(self.first_step, ends - self.now),
            )
            if answer.status < 0:
                raise RuntimeError(answer.message)
            # Where an event came before every wanted time, scipy gives an empty list.
            states = np.reshape(answer.y, (STATES, -1))[:, : len(wanted)]
            done = states.shape[1]
            pressure[filled : filled + done] = pressures_of(states, segment, model)
            filled, segments = filled + done, segments + 1
            self._land(answer, watched, ends)
        if filled < len(grid):
            pressure[filled:] = pressures_of(self.y[:, np.newaxis], segment, model)
        return Answer(
            events=machine.happened,
            pressure=pressure,
            asked=int(segment["asked"][0]),
            segments=segments,
            points=self.points,
        )

    def _lay_out(self, loads: list[tuple[float, float, float]], duration: float) -> float:
        """Write what holds until the next event, and return when it ends at the latest [s]."""
        machine, facts, course, now = self.machine, self.machine.facts, self.segment["course"], self.now
        (draw, draw_slope, _), (heat, heat_slope, _), (feed, feed_slope, _) = loads
        if facts.feed_kind != parts.FEED_GIVEN:
            feed, feed_slope = facts.capacity if machine.pump_runs else 0.0, 0.0
        sensed = float(self.y[AT_FIRING_RATE])
        speed, arrives = machine.set_off(now, sensed, self._pace(self.y))
        fire = facts.lowest + (1.0 - facts.lowest) * machine.position
        flame, flame_slope, purge, purge_slope = 0.0, 0.0, 0.0, 0.0
        if machine.phase is Phase.FLAME:
            lasts = facts.durations[Phase.FLAME]
            flame, flame_slope = fire * (now - machine.begun) / lasts, fire / lasts
        elif machine.phase in FIRING:
            flame, flame_slope = fire, (1.0 - facts.lowest) * speed
        elif machine.phase in FAN_ALONE:
            purge = facts.purge_conductance * fire
            purge_slope = facts.purge_conductance * (1.0 - facts.lowest) * speed
        self.segment["begun"] = now
        course["tracks"] = machine.drive is Drive.TRACKS and machine.phase in FIRING
        course["position"], course["position_slope"] = machine.position, speed
        course["flame"], course["flame_slope"] = flame, flame_slope
        course["purge"], course["purge_slope"] = purge, purge_slope
        course["draw"], course["draw_slope"] = draw, draw_slope
        course["heat"], course["heat_slope"] = heat, heat_slope
        course["feed"], course["feed_slope"] = feed, feed_slope
        course["relief"] = sum(facts.valves[place][2] for place in machine.lifted)
        clocks = [machine.clock_ends, machine.off_since + facts.minimum_off, arrives]
        return min(duration, *(load[2] for load in loads), *(clock for clock in clocks if clock > now))

    def _event(self, watch: Watch) -> Any:
        """The function that scipy sees cross nought."""
        segment, model, bound = self.segment, self.row, watch.bound
        place = _PLACES.get(watch.signal)
        event: Any
        if place is not None:
            event = lambda _, y: y[place] - bound  # noqa: E731
        elif watch.signal == "water":
            event = lambda _, y: water_of(y, segment, model) - bound  # noqa: E731
        elif watch.signal == "fullness":
            event = lambda _, y: fullness_of(y, model)  # noqa: E731
        elif watch.signal == "gap":
            event = self._gap()
        elif watch.signal == "pace":
            event = lambda _, y: bound - abs(self._pace(y))  # noqa: E731
        else:
            event = lambda _, y: pressure_of(y, segment, model) - bound  # noqa: E731
        event.terminal = True
        event.direction = 1.0 if watch.way == "up" else -1.0
        return event

    def _gap(self) -> Callable[[float, Floats], float]:
        """Gap between demand and drive, above nought until the drive has caught up."""
        machine, begun = self.machine, self.now
        position, speed = machine.position, float(self.segment["course"]["position_slope"][0])
        sign = 1.0 if speed > 0.0 else -1.0
        return lambda t, y: sign * (machine.line(y[AT_FIRING_RATE]) - position - speed * (t - begun))

    def _pace(self, y: Floats) -> float:
        """How fast the pressure rises that the firing-rate control senses [Pa/s]."""
        facts = self.machine.facts
        if facts.firing_rate_lag <= 0.0 or facts.rate_action != parts.RATE_PROPORTIONAL:
            return float(derivative(self.now, y, self.segment, self.row)[AT_FIRING_RATE])
        return float(self._steam_pressure(y) - y[AT_FIRING_RATE]) / facts.firing_rate_lag

    def _steam_pressure(self, y: Floats) -> float:
        if self.machine.is_vented:
            return self.machine.facts.ambient
        return float(pressure_of(y, self.segment, self.row))

    def _land(self, answer: Any, watched: list[Watch], ends: float) -> None:
        """Go to where scipy stopped, and let everything act."""
        machine, begun = self.machine, self.now
        crossed = next((place for place, times in enumerate(answer.t_events) if len(times)), None)
        watch = None
        if crossed is None:
            self.now, self.y = ends, answer.y[:, -1].copy()
        else:
            watch = watched[crossed]
            self.now = float(answer.t_events[crossed][0])
            self.y = answer.y_events[crossed][0].copy()
            if watch.signal in _PLACES:
                self.y[_PLACES[watch.signal]] = _beyond(watch)
        speed = float(self.segment["course"]["position_slope"][0])
        position = machine.position + speed * (self.now - begun)
        if machine.drive is Drive.TRACKS or (watch is not None and watch.signal == "gap"):
            position = machine.line(float(self.y[AT_FIRING_RATE]))
        elif machine.drive is Drive.TRAVELS:
            position = next((end for end in (0.0, 1.0, machine.facts.cap) if abs(position - end) < NEAR), position)
        machine.position = min(max(position, 0.0), 1.0)
        machine.act(self._reading(watch), watch)
        self.segment["is_vented"] = machine.is_vented

    def _reading(self, watch: Watch | None) -> Reading:
        seen = {
            "pressure": self._steam_pressure(self.y),
            "water": float(water_of(self.y, self.segment, self.row)),
            **{name: float(self.y[place]) for name, place in _PLACES.items()},
        }
        if watch is not None and watch.signal in seen:
            seen[watch.signal] = _beyond(watch)
        return Reading(time=self.now, **seen)


def _beyond(watch: Watch) -> float:
    """The next number beyond a bound: it is crossed, whatever the rounding of its root says."""
    return nextafter(watch.bound, inf if watch.way == "up" else -inf)


def _watches_of_the_drive(machine: Machine) -> Iterator[Watch]:
    facts = machine.facts
    if machine.drive is Drive.CHASES:
        yield Watch("gap", 0.0, "down")
    elif machine.drive is Drive.TRACKS and facts.stroke > 0.0:
        yield Watch("pace", (facts.low_fire - facts.high_fire) / facts.stroke, "down")


def _row_of(kind: type[Record], record: Record) -> Row:
    row = np.zeros(1, layout(kind))
    row[0] = record
    return row


def _tolerances(model: Model, first: State, accuracy: float) -> Floats:
    """What an error of pressure means for each state: the storage turns it into energy, and that into mass."""
    mass, pressure = float(first.contents.mass), max(float(first.contents.pressure), float(model.vessel.ambient))
    energy = closed_energy(model, mass, pressure)
    storage = closed_energy(model, mass, pressure + 1.0) - energy
    per_mass = closed_energy(model, mass + 1.0, pressure) - energy
    heat = accuracy * storage
    return np.array([heat / per_mass, heat, heat, accuracy, accuracy, accuracy, accuracy])

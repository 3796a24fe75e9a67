"""A run and its result: everything that a day of a boiler told, locked."""

from collections.abc import Iterator
from dataclasses import dataclass, fields
from enum import IntEnum
from hashlib import sha256
from typing import Final

import numpy as np

from evenfire.errors import Diverged
from evenfire.physics.motion import model as parts
from evenfire.physics.motion.advance import (
    BEYOND_STEAM,
    LOG_FULL,
    NO_STEAM_SPACE,
    NO_WATER,
    REACHED,
    STALLED,
    TRACE_COLUMNS,
    Trace,
    run_until,
)
from evenfire.physics.motion.happenings import COLUMNS, Happening
from evenfire.physics.motion.model import Inputs, Model, Profile
from evenfire.physics.motion.records import Floats, copied, digits, new
from evenfire.physics.motion.sound import require_sound
from evenfire.physics.motion.state import Contents, State, Totals
from evenfire.physics.motion.step import Trial
from evenfire.physics.motion.work import Work
from evenfire.si import Dimension, GaugePa, Quantity

PHYSICS_VERSION: Final = "2026.1"
ACCURACY: Final = 0.05
"""Error of pressure allowed in one step [Pa]; a day of a hundred starts then keeps its events within 0.05 s."""
_LINES_AT_ONCE: Final = 20_000
_MOST_LOGS: Final = 200
"""Four million lines: a year of cycles has a tenth of that; more is a boiler that rattles"""

_WHY: Final = {
    BEYOND_STEAM: "the pressure left the range in which water and steam are known",
    NO_WATER: "the boiler ran dry",
    NO_STEAM_SPACE: "water filled the boiler to the top",
    STALLED: "the simulation could not get on",
}


class Phase(IntEnum):
    """What the burner is at."""

    OFF = int(parts.OFF)
    DELAY = int(parts.DELAY)
    DRIVE_OPEN = int(parts.DRIVE_OPEN)
    PREPURGE = int(parts.PREPURGE)
    DRIVE_BACK = int(parts.DRIVE_BACK)
    PILOT = int(parts.PILOT)
    MAIN = int(parts.MAIN)
    FLAME = int(parts.FLAME)
    LOW_FIRE = int(parts.LOW_FIRE)
    RELEASED = int(parts.RELEASED)
    POSTPURGE = int(parts.POSTPURGE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """Something that acted."""

    kind: Happening
    subject: int
    time: float
    """Since the start of the run [s]"""
    pressure: GaugePa
    """In the boiler [Pa gauge]"""
    rising: bool
    """Whether the pressure rose then"""
    firing: float
    """Share of full fire [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cycle:
    """From a stop of the burner to the next: off, started, fired, stopped again."""

    off: float
    """When it had stopped before [s]"""
    called: float
    """When its start chain began [s]"""
    lit: float
    """When fuel burnt [s]"""
    stopped: float
    """[s]"""
    stopped_by: int
    """Of :mod:`evenfire.physics.control_logic`"""
    lowest: GaugePa
    """Between off and stopped [Pa gauge]"""
    firing_at_stop: float
    """[1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Extreme:
    """The highest or lowest pressure of a run."""

    pressure: GaugePa
    """[Pa gauge]"""
    time: float
    """[s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """The run on a grid of equal steps; every array is locked and has shape (rows,)."""

    time: Floats
    """[s]"""
    pressure: Floats
    """In the boiler [Pa gauge]"""
    firing: Floats
    """Share of full fire [1]"""
    heat: Floats
    """To the water [W]"""
    steam: Floats
    """Drawn [kg/s]"""
    relieved: Floats
    """Through safety valves [kg/s]"""
    feed: Floats
    """[kg/s]"""
    water_volume: Floats
    """[m3]"""
    drive: Floats
    """Position, 0 low fire, 1 high fire [1]"""
    phase: Floats
    """See ``Phase`` [1]"""
    temperature: Floats
    """Of water and metal [K]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossed:
    """What crossed the boundary during the run."""

    heat: float
    """From the burner, and given beside it [J]"""
    steam: float
    """Drawn [kg]"""
    relieved: float
    """[kg]"""
    feed: float
    """[kg]"""
    lost: float
    """From the shell [J]"""
    purged: float
    """With purge air [J]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Closure:
    """What the balances lack, the boundary summed by another rule than the contents."""

    mass: float
    """Of the mass that crossed or was held, whichever is greater [1]"""
    energy: float
    """Of the energy that crossed or was held, whichever is greater [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """What a run told."""

    duration: float
    """[s]"""
    series: Series
    events: tuple[Event, ...]
    cycles: tuple[Cycle, ...]
    time_in_phase: tuple[tuple[Phase, float], ...]
    """[s]"""
    highest: Extreme
    lowest: Extreme
    crossed: Crossed
    closure: Closure
    last: State
    """Where the loop stands; a further run goes on from it"""
    identity: str
    """Hash of model, inputs and first state, with the version of the physics"""


def run(
    model: Model, inputs: Inputs, first: State, *, duration: float, interval: float, accuracy: float = ACCURACY
) -> Run:
    """Run a boiler from a state.

    Parameters
    ----------
    model, inputs, first
        None of them is changed.
    duration
        [s]
    interval
        Of the series [s].
    accuracy
        Error of pressure allowed in one step [Pa].

    Raises
    ------
    ImpossibleValue
        A model, an input or a state that cannot be.
    Diverged
        The run left what is known of steam, ran dry, or could not get on; with the time and state reached.
    """
    require_sound(model, inputs, first, duration=duration, interval=interval, accuracy=accuracy)
    state, work = copied(first), new(Work)
    state.rows = 0
    rows = np.full((int(duration / interval * (1 + 1e-12)) + 1, TRACE_COLUMNS), np.nan)
    trace, lines, log = Trace(rows, float(interval)), [], np.empty((_LINES_AT_ONCE, COLUMNS))
    ending = LOG_FULL
    while ending == LOG_FULL:
        count, ending = run_until(model, inputs, state, work, float(duration), float(accuracy), trace, log)
        lines.append(log[:count].copy())
        if len(lines) > _MOST_LOGS:
            ending = STALLED
    if ending != REACHED:
        raise _diverged(model, state, ending)
    ends = _End(state.contents, state.totals) if state.time >= duration else _End(work.trial, work.trial.totals)
    whole = np.concatenate(lines)
    whole = whole[whole[:, 0] <= duration]
    ambient = model.vessel.ambient
    events = tuple(_events(whole, ambient))
    series = _series(rows, interval, ambient)
    return Run(
        duration=duration,
        series=series,
        events=events,
        cycles=tuple(_cycles(events)),
        time_in_phase=tuple(_time_in_phase(events, Phase(int(first.flame.phase)), duration)),
        highest=_highest(state, series, ambient),
        lowest=_lowest(state, series, ambient),
        crossed=_crossed(first.totals, ends.totals),
        closure=_closure(model, first, ends),
        last=state,
        identity=identity_of(model, inputs, first),
    )


def identity_of(model: Model, inputs: Inputs, first: State) -> str:
    """Hash of everything that a run follows from."""
    digest = sha256(PHYSICS_VERSION.encode())
    for record in (model, first):
        digest.update(digits(record))
    for value in inputs:
        if isinstance(value, Profile):
            digest.update(value.pieces.tobytes() + np.float64(value.period).tobytes())
        else:
            digest.update(value.tobytes())
    return digest.hexdigest()


def _events(log: Floats, ambient: float) -> Iterator[Event]:
    for time, kind, subject, pressure, rising, firing in log:
        yield Event(
            kind=Happening(int(kind)),
            subject=int(subject),
            time=float(time),
            pressure=GaugePa(float(pressure) - ambient),
            rising=bool(rising > 0),
            firing=float(firing),
        )


def _series(rows: Floats, interval: float, ambient: float) -> Series:
    def column(place: int) -> Floats:
        return _locked(rows[:, place].copy())

    return Series(
        time=_locked(np.arange(len(rows), dtype=np.float64) * np.float64(interval)),
        pressure=_locked(rows[:, 0] - ambient),
        firing=column(1),
        heat=column(2),
        steam=column(3),
        relieved=column(4),
        feed=column(5),
        water_volume=column(6),
        drive=column(7),
        phase=column(8),
        temperature=column(9),
    )


def _locked(column: Floats) -> Floats:
    column.flags.writeable = False
    return column


def _cycles(events: tuple[Event, ...]) -> Iterator[Cycle]:
    """Every whole cycle; a start that never lit, or a run that was cut, makes none."""
    off = called = lit = lowest = None
    for event in events:
        if lowest is not None:
            lowest = min(lowest, event.pressure)
        if event.kind is Happening.PHASE_BEGAN and event.subject == Phase.DELAY:
            called, lit = event.time, None
        elif event.kind is Happening.PHASE_BEGAN and event.subject == Phase.FLAME:
            lit = event.time
        elif event.kind is Happening.BURNER_STOPPED:
            if off is not None and called is not None and lit is not None and lowest is not None:
                yield Cycle(
                    off=off,
                    called=called,
                    lit=lit,
                    stopped=event.time,
                    stopped_by=event.subject,
                    lowest=lowest,
                    firing_at_stop=event.firing,
                )
            off, called, lit, lowest = event.time, None, None, event.pressure


def _time_in_phase(events: tuple[Event, ...], begins: Phase, duration: float) -> Iterator[tuple[Phase, float]]:
    spent = dict.fromkeys(Phase, 0.0)
    since, phase = 0.0, begins
    for event in events:
        if event.kind is Happening.PHASE_BEGAN:
            spent[phase] += event.time - since
            since, phase = event.time, Phase(event.subject)
    spent[phase] += duration - since
    yield from spent.items()


def _highest(state: State, series: Series, ambient: float) -> Extreme:
    """The highest pressure: of the steps that ended, and of the rows of the one that the run ends in."""
    place = int(series.pressure.argmax())
    seen = [(float(series.pressure[place]), float(series.time[place]))]
    seen.append((float(state.extremes.highest - ambient), float(state.extremes.highest_at)))
    pressure, time = max(seen)
    return Extreme(pressure=GaugePa(pressure), time=time)


def _lowest(state: State, series: Series, ambient: float) -> Extreme:
    """The lowest pressure, likewise."""
    place = int(series.pressure.argmin())
    seen = [(float(series.pressure[place]), float(series.time[place]))]
    seen.append((float(state.extremes.lowest - ambient), float(state.extremes.lowest_at)))
    pressure, time = min(seen)
    return Extreme(pressure=GaugePa(pressure), time=time)


@dataclass(frozen=True, slots=True)
class _End:
    """The boiler at the very end of a run."""

    contents: Contents | Trial
    totals: Totals


def _crossed(before: Totals, after: Totals) -> Crossed:
    return Crossed(
        **{field.name: float(getattr(after, field.name) - getattr(before, field.name)) for field in fields(Crossed)}
    )


def _closure(model: Model, first: State, end: _End) -> Closure:
    before, after, started, totals = first.contents, end.contents, first.totals, end.totals
    into, out = totals.feed - started.feed, totals.steam + totals.relieved - started.steam - started.relieved
    heat, fed = totals.heat - started.heat, into * model.vessel.feed_enthalpy
    left = totals.steam_energy + totals.lost + totals.purged - started.steam_energy - started.lost - started.purged
    mass, energy = after.mass - before.mass - (into - out), after.energy - before.energy - (heat + fed - left)
    return Closure(
        mass=float(mass / max(before.mass, into, out)), energy=float(energy / max(abs(before.energy), heat, left))
    )


def _diverged(model: Model, state: State, ending: int) -> Diverged:
    inside = state.contents
    pressure = model.vessel.ambient if inside.is_vented else inside.pressure
    return Diverged(
        why=_WHY[ending],
        time=Quantity(float(state.time), Dimension.TIME),
        pressure=Quantity(float(pressure - model.vessel.ambient), Dimension.GAUGE_PRESSURE),
        contents=Quantity(float(inside.mass), Dimension.MASS),
    )

"""From what happened to what a logger saw of it: lag, offset, noise, quantum, spikes, stuck samples, gaps."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenfire.delivery.intake.logs.wishes import Role
from tests.blind.boilers import PSI, Boiler, full_steam
from tests.blind.layouts import Layout, Unit
from tests.blind.running import Hidden
from tests.blind.stepping import (
    FEED,
    FLAME,
    FUEL,
    LOGGED,
    OFF,
    PHASE,
    PILOT,
    POSITION,
    PUMP,
    PURGE,
    SHORT,
    STEAM,
    SWELL,
    WATER,
)
from tests.blind.waters import TEMPERATURE, at

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
HEAT_OF_WATER: Final = 4200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensors:
    """How good the instruments and the logger are."""

    offset: float
    """Of the pressure [Pa]"""
    noise: float
    """Of the pressure [Pa]"""
    temperature_error: float
    """[K]"""
    steam_meter: float
    """What it shows of a kilogram"""
    feed_meter: float
    fuel_meter: float
    flame_sees_pilot: bool
    firing_shows_purge: bool
    spikes: int
    stuck: int
    """Stretches"""
    gaps: int
    blanks: float
    """Share of cells"""
    repeats: int
    """Rows that stand there twice"""
    swaps: int
    """Rows that come after the one that follows them"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """The rows of a log before they are written."""

    seconds: NDArray[np.int64]
    """Of the run, rising"""
    values: dict[Role, Floats]
    """In the units of the layout, rounded; not a number where nothing was written"""
    is_sound: Flags
    """Rows whose pressure is neither missing nor stuck nor a spike"""

    def shows(self, second: float, within: float) -> bool:
        """Whether sound rows stand on both sides of a second, no further away than this [s]."""
        sound = self.seconds[self.is_sound]
        place = int(np.searchsorted(sound, second))
        if place in (0, len(sound)):
            return False
        return bool(second - sound[place - 1] <= within and sound[place] - second <= within)


def draw_sensors(rng: np.random.Generator, offset: float, ugliness: float, rows: int) -> Sensors:
    """Instruments of a log that is neat (0), usual (about a half) or ugly (1); the planted offset in [psi]."""
    few = int(rows * 2e-5 * ugliness) + 3
    counts = [int(rng.integers(0, most + 1)) if rng.random() < ugliness else 0 for most in (few + 5, 3, 4, 20, 10)]
    meter = 0.004 + 0.03 * ugliness
    small = float(rng.uniform(-0.2, 0.2)) + ugliness * float(rng.uniform(-0.7, 0.7))
    return Sensors(
        offset=(offset or small) * PSI,
        noise=float(rng.uniform(0.01, 0.04)) * PSI * (1.0 + 4.0 * ugliness),
        temperature_error=float(rng.uniform(-0.25, 0.25)),
        steam_meter=float(1.0 + rng.uniform(-meter, meter)),
        feed_meter=float(1.0 + rng.uniform(-meter, meter)),
        fuel_meter=float(1.0 + rng.uniform(-0.015, 0.015)),
        flame_sees_pilot=bool(rng.random() < 0.4),
        firing_shows_purge=bool(rng.random() < 0.5),
        spikes=counts[0],
        stuck=counts[1],
        gaps=counts[2],
        blanks=float(rng.uniform(0.0, 2e-3)) * (rng.random() < ugliness),
        repeats=counts[3],
        swaps=counts[4],
    )


def row_seconds(rng: np.random.Generator, seconds: int, intervals: tuple[int, ...], gaps: int) -> NDArray[np.int64]:
    """At which seconds rows are written."""
    if len(intervals) == 1:
        rows = np.arange(0, seconds, intervals[0])
    else:
        parts, begin = [], 0
        while begin < seconds:
            interval = int(rng.choice(intervals))
            end = min(seconds, begin + int(rng.uniform(0.1, 0.4) * seconds))
            parts.append(np.arange(begin, end, interval))
            begin = int(parts[-1][-1]) + interval
        rows = np.concatenate(parts)
    for _ in range(gaps):
        gap, lasting = rng.uniform(0.05, 0.9) * seconds, rng.uniform(120.0, 5400.0)
        rows = rows[(rows < gap) | (rows > gap + lasting)]
    return rows.astype(np.int64)


def see(
    rng: np.random.Generator, hidden: Hidden, boiler: Boiler, layout: Layout, sensors: Sensors, rows: NDArray[np.int64]
) -> Seen:
    """What the logger has of the run."""
    values: dict[Role, Floats] = {}
    sound = np.ones(len(rows), dtype=bool)
    for column in layout.columns:
        si = _true(rng, column.role, hidden, boiler, layout, sensors, rows)
        written = _rounded((si - column.unit.zero) / column.unit.factor, column.unit)
        if column.role is Role.PRESSURE:
            written, sound = _spoilt(rng, written, sensors, column.unit)
        if sensors.blanks > 0.0 and column.role is not Role.RUN_TIME:
            missing = rng.random(len(rows)) < sensors.blanks
            written = np.where(missing, np.nan, written)
            if column.role is Role.PRESSURE:
                sound &= ~missing
        values[column.role] = written
    return Seen(seconds=rows, values=values, is_sound=sound)


def _rounded(values: Floats, unit: Unit) -> Floats:
    return np.round(values / unit.quantum) * unit.quantum


def _spoilt(rng: np.random.Generator, written: Floats, sensors: Sensors, unit: Unit) -> tuple[Floats, Flags]:
    sound = np.ones(len(written), dtype=bool)
    spoilt = written.copy()
    for _ in range(sensors.stuck):
        begin = int(rng.integers(0, len(written)))
        lasting = max(3, int(rng.uniform(0.002, 0.02) * len(written)))
        spoilt[begin : begin + lasting] = spoilt[begin]
        sound[begin : begin + lasting] = False
    for place in rng.integers(0, len(written), sensors.spikes):
        spoilt[place] = _rounded(
            np.array([spoilt[place] + rng.choice([-1.0, 1.0]) * rng.uniform(2e5, 4e5) / unit.factor]), unit
        )[0]
        sound[place] = False
    return spoilt, sound


def _true(
    rng: np.random.Generator,
    role: Role,
    hidden: Hidden,
    boiler: Boiler,
    layout: Layout,
    sensors: Sensors,
    rows: NDArray[np.int64],
) -> Floats:
    """Values of one column in SI, with the errors of its instrument, before they are rounded."""

    def of(column: int) -> Floats:
        return np.asarray(hidden.trace[rows, column])

    def noisy(values: Floats, size: float) -> Floats:
        return np.asarray(values + rng.normal(0.0, size, len(rows)))

    full = full_steam(boiler)
    works = boiler.works
    match role:
        case Role.PRESSURE:
            return noisy(of(LOGGED) + sensors.offset, sensors.noise) + (works.ambient if layout.is_absolute else 0.0)
        case Role.FIRING:
            return _firing(noisy(of(POSITION), 0.002), of(PHASE), works.turndown, layout, sensors)
        case Role.FLAME:
            pilot = (of(PHASE) == PILOT) if sensors.flame_sees_pilot else np.zeros(len(rows), dtype=bool)
            return np.asarray((of(FLAME) > 0.0) | pilot, dtype=np.float64)
        case Role.STEAM_FLOW:
            shown = noisy(of(STEAM) * sensors.steam_meter, 0.004 * full)
            return np.where(shown < 0.02 * full, 0.0, shown)
        case Role.FEED_FLOW:
            shown = noisy(of(FEED) * sensors.feed_meter, 0.004 * full)
            return np.where(shown < 0.02 * full, 0.0, shown)
        case Role.FEED_PUMP:
            return of(PUMP) if works.feed_is_on_off > 0.0 else of(FEED) / works.pump_flow
        case Role.FUEL:
            return np.maximum(noisy(of(FUEL) * sensors.fuel_meter, 0.0), 0.0)
        case Role.LEVEL:
            water = (of(WATER) / works.water_normal - 1.0) / 0.08 + 0.05 * (of(SWELL) / full - 0.4)
            swing = works.swing / works.water_normal / 0.08 * np.sin(2.0 * np.pi * rows / works.swing_period)
            return np.clip(noisy(0.5 + water + swing, 0.004), 0.0, 1.0)
        case Role.STEAM_TEMPERATURE:
            held = boiler.water_volume * 950.0 * HEAT_OF_WATER + works.metal
            boiling = at(hidden.trace[rows, 0] + works.ambient, TEMPERATURE) - of(SHORT) / held
            return noisy(boiling + sensors.temperature_error, 0.08)
        case Role.RUN_TIME:
            return np.asarray(3.6e6 * 7.0 + np.cumsum(hidden.trace[:, FLAME])[rows])


def _firing(position: Floats, phase: Floats, turndown: float, layout: Layout, sensors: Sensors) -> Floats:
    rate = position if layout.firing_shows == "stroke" else 1.0 / turndown + (1.0 - 1.0 / turndown) * position
    burns = (phase > PILOT) & (phase != OFF) & (phase < PILOT + 3)
    shown = burns | (phase == PURGE) if sensors.firing_shows_purge else burns
    return np.where(shown, np.clip(rate, 0.0, 1.0), 0.0)

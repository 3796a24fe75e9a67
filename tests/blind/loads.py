"""What the plant draws, and what happens to the burner from outside: drawn before the run, a second at a time."""

from dataclasses import dataclass
from enum import Enum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tests.blind.boilers import Boiler, full_steam
from tests.blind.stepping import BY_AIR, BY_FLAME, BY_LEVEL, BY_OPERATOR, ON_OFF, Script

Floats = NDArray[np.float64]
HOUR: Final = 3600


class Regime(Enum):
    """What the load does."""

    LOW = "below low fire: the burner cycles"
    MIDDLE = "above low fire: the burner follows and does not stop"
    DAY = "both, by the hour of the day"
    BATCH = "a base with batches on it"
    STEADY = "the middle of the fire, hardly moving"
    SHUT_DOWNS = "shut down once or more a day until the pressure is gone, then warmed up"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outside:
    """What the plant and its people do."""

    script: Script
    planned: tuple[float, ...]
    """Seconds at which the plant is shut down as on any day"""


def _held(rng: np.random.Generator, seconds: int, levels: tuple[float, float], stays: tuple[float, float]) -> Floats:
    """Levels that stay for a while each."""
    shares = np.empty(seconds)
    at = 0
    while at < seconds:
        lasting = int(rng.uniform(*stays))
        shares[at : at + lasting] = rng.uniform(*levels)
        at += lasting
    return shares


def _smooth(shares: Floats, time: float) -> Floats:
    """A first-order lag over the whole of it, as blocks of a moving mean: a load does not jump without end."""
    width = max(1, int(time))
    padded = np.concatenate([np.full(width - 1, shares[0]), shares])
    total = np.concatenate([[0.0], np.cumsum(padded)])
    return np.asarray((total[width:] - total[:-width]) / width)


def _flutter(rng: np.random.Generator, seconds: int, size: float) -> Floats:
    """Slow noise of about this size, by straight lines between points half a minute apart."""
    points = rng.normal(0.0, size, seconds // 30 + 2)
    return np.interp(np.arange(seconds), 30.0 * np.arange(len(points)), points)


def _day(rng: np.random.Generator, seconds: int, low: float) -> Floats:
    first = int(rng.integers(0, 24 * HOUR))
    day = np.where(rng.random(24) < 0.5, rng.uniform(0.25, 0.85, 24) * low, rng.uniform(min(1.3 * low, 0.8), 0.85, 24))
    return np.asarray(day[((np.arange(seconds) + first) // HOUR) % 24])


def _batches(rng: np.random.Generator, seconds: int, low: float) -> Floats:
    shares = np.full(seconds, float(rng.uniform(0.2, 0.6)) * low)
    at = 0
    while at < seconds:
        at += int(rng.exponential(1500.0)) + 300
        lasting = int(rng.uniform(120.0, 1500.0))
        shares[at : at + lasting] += rng.uniform(0.15, 0.5)
        at += lasting
    capped: Floats = np.minimum(shares, 0.85)
    return capped


def shares_of(rng: np.random.Generator, regime: Regime, seconds: int, low: float, floor: float) -> Floats:
    """Load as a share of full output; ``low`` is low fire, ``floor`` what a load "above low fire" has to exceed."""
    match regime:
        case Regime.LOW:
            return _held(rng, seconds, (0.3 * low, 0.8 * low), (1200.0, 9000.0))
        case Regime.MIDDLE:
            return _held(rng, seconds, (min(floor + 0.12, 0.8), 0.9), (1200.0, 9000.0))
        case Regime.STEADY:
            return _held(rng, seconds, (min(floor + 0.15, 0.7), 0.75), (4.0 * HOUR, 9.0 * HOUR))
        case Regime.DAY | Regime.SHUT_DOWNS:
            return _day(rng, seconds, low)
        case Regime.BATCH:
            return _batches(rng, seconds, low)


def low_share(boiler: Boiler) -> float:
    """Low fire as a share of high fire, as heat to the water."""
    return 0.9 if boiler.action == ON_OFF else boiler.heat_low / boiler.heat_high


def slowest(boiler: Boiler) -> float:
    """Over how long the load may change so that the drive keeps up with it [s]."""
    works = boiler.works
    gap = max(works.cut_out - works.fire_point - works.fire_range, 1e4)
    return max(5.0, 1.5 * boiler.heat_high * (works.stroke + works.heat_lag) / (boiler.storage * gap) * works.stroke)


def shut_downs(
    rng: np.random.Generator, boiler: Boiler, shares: Floats, count: int
) -> tuple[Floats, list[tuple[float, float, float]]]:
    """Load with so many shut-downs in it, and the stops of the operator: the pressure is drawn off, then built up."""
    stored = boiler.storage * 1.5 * boiler.works.cut_out / (boiler.heat_high * 0.3)
    warming = boiler.storage * 1.6 * boiler.works.cut_out / (boiler.heat_low * 0.9)
    lasting = int(min(stored * 1.2 + 600.0, 4.0 * HOUR))
    quiet = int(min(warming + 900.0, 4.0 * HOUR))
    events = []
    changed = shares.copy()
    between = len(shares) // (count + 1)
    for turn in range(count):
        at = between // 2 + turn * between + int(rng.integers(0, max(1, between // 6)))
        changed[at : at + lasting] = 0.3
        changed[at + lasting : at + lasting + quiet] = 0.02
        events.append((float(at), float(BY_OPERATOR), float(lasting)))
    return changed, events


def unplanned(rng: np.random.Generator, seconds: int, kind: int, count: int) -> list[tuple[float, float, float]]:
    """Stops of one kind, spread over the log."""
    lasting = {
        BY_FLAME: (240.0, 2400.0),
        BY_AIR: (120.0, 1200.0),
        BY_LEVEL: (60.0, 300.0),
        BY_OPERATOR: (300.0, 2400.0),
    }
    times = (np.arange(count) + rng.uniform(0.15, 0.85, count)) * seconds / count
    return [(float(int(at)), float(kind), float(int(rng.uniform(*lasting[kind])))) for at in times]


def outside(
    rng: np.random.Generator,
    boiler: Boiler,
    shares: Floats,
    events: list[tuple[float, float, float]],
    steps_at_cut_out: bool,
    is_plain: bool = False,
) -> Outside:
    """All that comes from outside, as the run takes it."""
    seconds, cycles = len(shares), 512
    smooth = shares if is_plain else _smooth(shares, slowest(boiler))
    noise = 0.0 if is_plain else 0.01
    draw = np.maximum(smooth * (1.0 + _flutter(rng, seconds, noise)), 0.0) * full_steam(boiler)
    scatter = np.clip(rng.normal(0.0, 0.12, cycles), -0.3, 0.3) * 6894.757
    factor = np.ones(cycles)
    if steps_at_cut_out:
        factor = np.where(rng.random(cycles) < 0.5, rng.uniform(0.35, 1.7, cycles), 1.0)
    hand = rng.uniform(300.0, 2700.0, cycles)
    rows = np.array(sorted(events), dtype=np.float64).reshape(-1, 3)
    return Outside(
        script=Script(draw=draw, scatter=scatter * (not is_plain), factor=factor, hand=hand, events=rows),
        planned=(),
    )

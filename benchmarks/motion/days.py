"""Days of invented boilers that loop and oracle both run."""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np

from evenfire.physics.motion.model import (
    DRAW_EXCHANGER,
    DRAW_VALVE,
    DRIVE_BACK,
    DRIVE_OPEN,
    FEED_HELD,
    FEED_MODULATING,
    MAIN,
    PREPURGE,
    RATE_NONE,
    RATE_TWO_POSITION,
    Inputs,
    Model,
    Profile,
    undisturbed,
)
from evenfire.physics.motion.starting import cold
from evenfire.physics.motion.state import State
from tests.motion_models import LAUNDRY_WATER, ROOM, at_psig, laundry_like, load, standing

DAY: Final = 86400.0
"""[s]"""
_HOURS: Final = (0.0, 5.0, 6.0, 6.2, 6.5, 9.0, 9.1, 12.0, 12.5, 13.0, 15.0, 16.0, 18.0, 22.0, 24.0)
_SHARES: Final = (0.06, 0.06, 0.55, 0.95, 0.70, 0.60, 0.90, 0.65, 0.20, 0.70, 0.45, 0.80, 0.35, 0.08, 0.06)
_BATCHES: Final = tuple(7.002 + 0.25 * count for count in range(40))
"""Begin [h]; each takes 20 % of full fire for four minutes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """What is run."""

    name: str
    model: Model
    inputs: Inputs
    first: State


def cycling() -> Day:
    """A modulating boiler far below its low fire: it cycles all day, and cold feed comes in slugs."""
    model = laundry_like()
    return Day(name="cycling", model=model, inputs=load(model, 0.10), first=standing(model, 115.0))


def modulating() -> Day:
    """The same boiler after a plant's day of ramps, with batches that come at once, and users behind a valve."""
    model = laundry_like()
    model.users.kind, model.feed.kind = DRAW_VALVE, FEED_MODULATING
    full = float(load(model, 1.0).draw.pieces[0, 1])
    return Day(name="modulating", model=model, inputs=undisturbed(_plants_day(full)), first=standing(model, 108.0))


def on_off() -> Day:
    """A boiler with one fire and a short chain, its users a heat exchanger, cold feed in slugs."""
    model = laundry_like()
    burner = model.burner
    burner.rate_action, burner.lowest, burner.stroke = RATE_NONE, 1.0, 0.0
    burner.heat_lag, burner.purges_open, burner.minimum_off = 5.0, False, 45.0
    for phase, seconds in ((DRIVE_OPEN, 0.0), (PREPURGE, 15.0), (DRIVE_BACK, 0.0), (MAIN, 5.0)):
        burner.durations[phase] = seconds
    model.users.kind = DRAW_EXCHANGER
    return Day(name="on-off", model=model, inputs=load(model, 0.30), first=standing(model, 115.0))


def from_cold() -> Day:
    """A two-fire boiler from cold: air stands in it, the hold keeps low fire until it is warm."""
    model = laundry_like()
    model.burner.rate_action, model.feed.kind = RATE_TWO_POSITION, FEED_HELD
    full = float(load(model, 1.0).draw.pieces[0, 1])
    draw = Profile(np.array([[0.0, 0.0, 0.0], [3.0 * 3600.0, 0.45 * full, 0.0]]), inf)
    return Day(name="from cold", model=model, inputs=undisturbed(draw), first=cold(model, ROOM, LAUNDRY_WATER))


def relieving() -> Day:
    """Both limits are gone: the safety valves hold what the one fire makes."""
    day = on_off()
    day.model.controls.cut_out = day.model.controls.trip = at_psig(1000.0)
    day.model.controls.remakes = at_psig(900.0)
    day.model.valves.lifts[1], day.model.valves.reseats[1] = at_psig(152.0), at_psig(147.0)
    return Day(name="relieving", model=day.model, inputs=day.inputs, first=standing(day.model, 110.0))


DAYS: Final[dict[str, Callable[[], Day]]] = {
    "cycling": cycling,
    "modulating": modulating,
    "on-off": on_off,
    "from cold": from_cold,
    "relieving": relieving,
}


def _plants_day(full: float) -> Profile:
    """Ramps between the hours, and the batches upon them; ``full`` is the steam of full fire [kg/s]."""
    hours, shares, batches = np.array(_HOURS), np.array(_SHARES), np.array(_BATCHES)
    begins = np.unique(np.concatenate([hours[:-1], batches, batches + 4.0 / 60.0]))
    after = np.searchsorted(hours, begins, side="right")
    slopes = (shares[after] - shares[after - 1]) / (hours[after] - hours[after - 1])
    values = shares[after - 1] + slopes * (begins - hours[after - 1])
    open_batches = np.searchsorted(batches, begins, side="right") - np.searchsorted(
        batches + 4.0 / 60.0, begins, side="right"
    )
    values += 0.2 * open_batches
    return Profile(np.column_stack([3600.0 * begins, full * values, full * slopes / 3600.0]), DAY)

"""Pressure over time as it is drawn and measured: the grid of a run and every turning point, thinned at will."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from evenfire.physics.motion.records import Floats
from evenfire.physics.motion.run import Run


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """Values at times that never fall."""

    time: Floats
    """[s]"""
    value: Floats
    """[unit of what is drawn]"""


def pressure_points(run: Run) -> Points:
    """Pressure [Pa gauge] on the grid and at every event: the events carry the exact turning points."""
    grid = np.isfinite(run.series.pressure)
    times = np.concatenate([run.series.time[grid], [event.time for event in run.events]])
    values = np.concatenate([run.series.pressure[grid], [event.pressure for event in run.events]])
    order = np.argsort(times, kind="stable")
    return Points(time=times[order], value=values[order])


def seconds_below(points: Points, limit: float) -> tuple[float, float]:
    """How long the value was below a limit in all, and at one stretch [s], straight between the points."""
    below = points.value < limit
    if len(below) < 2:
        return 0.0, 0.0
    steps = np.diff(points.time)
    first, last = points.value[:-1] - limit, points.value[1:] - limit
    crossing = below[:-1] != below[1:]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(crossing, np.abs(first) / (np.abs(first) + np.abs(last)), 1.0)
    part = np.where(below[:-1], share, np.where(below[1:], 1.0 - share, 0.0)) * steps
    longest = stretch = 0.0
    for seconds, goes_on in zip(part, below[1:], strict=True):
        stretch += float(seconds)
        longest = max(longest, stretch)
        if not goes_on:
            stretch = 0.0
    return float(part.sum()), longest


def first_at_or_above(points: Points, limit: float) -> float | None:
    """When the value first stands at a limit or above it [s]; ``None`` where it never does."""
    reached = np.flatnonzero(points.value >= limit)
    return float(points.time[reached[0]]) if len(reached) else None


def envelope(points: Points, pieces: int) -> tuple[Floats, Floats, Floats]:
    """Middle time [s], lowest and highest value of each of so many equal pieces of time; empty pieces are left out."""
    begin, end = float(points.time[0]), float(points.time[-1])
    which = np.minimum(((points.time - begin) / max(end - begin, 1e-9) * pieces).astype(int), pieces - 1)
    firsts = np.flatnonzero(np.concatenate([[True], which[1:] != which[:-1]]))
    middle = begin + (which[firsts] + 0.5) * (end - begin) / pieces
    return middle, np.minimum.reduceat(points.value, firsts), np.maximum.reduceat(points.value, firsts)


def thinned(points: Points, pieces: int) -> Points:
    """The first, lowest, highest and last point of each piece of time, in their order: no peak is ever lost."""
    if len(points.time) <= 4 * pieces:
        return points
    begin, end = float(points.time[0]), float(points.time[-1])
    which = np.minimum(((points.time - begin) / (end - begin) * pieces).astype(int), pieces - 1)
    places = [0, len(points.time) - 1]
    bounds = np.searchsorted(which, np.arange(pieces + 1))
    for low, high in pairwise(bounds):
        if low < high:
            part = points.value[low:high]
            places += [int(low), int(high) - 1, int(low + part.argmin()), int(low + part.argmax())]
    kept = np.unique(places)
    return Points(time=points.time[kept], value=points.value[kept])

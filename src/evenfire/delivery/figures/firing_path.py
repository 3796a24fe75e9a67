"""The corners through which a line of firing is drawn."""

from collections.abc import Callable
from itertools import pairwise

from evenfire.delivery.figures.firing_line import FiringLine, Point, Shape
from evenfire.si import ROUNDING_PA

_BESIDE = 2 * ROUNDING_PA
"""So near to a point the firing is read: on this side of its jump, if it jumps there [Pa]."""


def rising_path(line: FiringLine, foot: float) -> tuple[Point, ...]:
    """Corners from the foot of the scale [Pa gauge] up to where the burner stops, or to the last point of its dials."""
    head = max(line.demand.points) if line.stop is None else line.stop.pressure
    return _path(line.demand.rising, line.demand.points, foot, head)


def path_beyond(line: FiringLine) -> tuple[Point, ...]:
    """Corners of the part above the stop, which the burner never sees; empty when it reaches low fire first."""
    if line.stop is None or not line.stops_before_low_fire:
        return ()
    return _path(line.demand.rising, line.demand.points, line.stop.pressure, line.demand.low_fire)


def falling_path(line: FiringLine) -> tuple[Point, ...]:
    """Corners of the way back to full fire of a control that steps; empty where the way down is the way up.

    Between cut-out and cut-in the burner is off, which is drawn by itself.
    """
    demand = line.demand
    start = demand.low_fire if line.cut_in is None else line.cut_in
    if demand.shape is not Shape.STEP or line.stops_before_low_fire or start <= demand.high_fire:
        return ()
    return (Point(demand.lowest, start), Point(demand.lowest, demand.high_fire), Point(1.0, demand.high_fire))


def _path(firing: Callable[[float], float], points: tuple[float, ...], foot: float, head: float) -> tuple[Point, ...]:
    """Corners between two pressures: the firing on either side of each point where it may change."""
    stops = [foot, *(point for point in points if foot < point < head), head]
    corners: list[Point] = []
    for low, high in pairwise(stops):
        if high - low > 2 * _BESIDE:
            corners += [Point(firing(low + _BESIDE), low), Point(firing(high - _BESIDE), high)]
    return tuple(corners)

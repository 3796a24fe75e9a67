"""The drawn panels of a pressure stack: one for each set of settings, all on one pressure scale."""

from collections.abc import Iterable, Iterator

from evenfire.delivery.figures import stack_looks as looks
from evenfire.delivery.figures.firing_line import FiringLine, Point, Shape, Steady
from evenfire.delivery.figures.firing_path import falling_path, path_beyond, rising_path
from evenfire.delivery.figures.stack_frame import Box, Frame
from evenfire.delivery.figures.stack_levels import Column, Level, LevelKind, SetOfSettings
from evenfire.delivery.figures.svg_elements import Look, circle, line, polygon, polyline, rectangle

AT_LEAST = frozenset({LevelKind.NEED})
AT_MOST = frozenset({LevelKind.RATED_MAX, LevelKind.WISH})
ARROW = 3.5
"""Half width of an arrow head [px]."""
MARK = 4.0
"""Half height of the mark of a set of settings [px]."""
OFF_INSET = 4.0
"""The off span stands so far right of the panel's left wall [px]."""
REACH_INSET = {LevelKind.HIGH_LIMIT: 7.0, LevelKind.CUT_OUT: 17.0, LevelKind.CUT_IN: 7.0}
"""The arrows of reach stand so far left of the panel's right wall, none upon another [px]."""
_BANDED = (LevelKind.HIGH_LIMIT, LevelKind.CUT_OUT, LevelKind.CUT_IN, LevelKind.LOW_FIRE_HOLD)
"""Levels whose tolerance is drawn as a band; that of the firing band is drawn along its line if it has one."""


def panels(frame: Frame) -> Iterator[str]:
    """All panels, the lines of the plant across them."""
    for each, box in frame.panels:
        yield rectangle(box.left, box.top, box.right - box.left, box.bottom - box.top, looks.PANEL)
        path = _rising(frame, each, box)
        if path:
            yield polygon([(box.left, path[0][1]), *path, (box.left, path[-1][1])], looks.FIRE[each.column])
        yield from _zones(frame, box)
        yield from _bands(frame, each, box)
        yield from _plant_lines(frame, box)
        if isinstance(each.line, FiringLine):
            yield from _firing(frame, each, each.line, box)
        yield from _own_lines(frame, each, box)
        if isinstance(each.line, FiringLine):
            yield from _working(frame, each.line, box)
    yield from _breaks(frame)


def _zones(frame: Frame, box: Box) -> Iterator[str]:
    """Above MAWP, and from earliest lift to set of each safety valve."""
    mawp = frame.layout.of(LevelKind.MAWP, Column.PLANT)
    if mawp is not None:
        yield _zone(box, box.top, frame.y_of(mawp.pressure), looks.FORBIDDEN)
    for level in frame.layout.levels:
        if level.kind is LevelKind.SAFETY_VALVE and level.band is not None:
            yield _zone(box, frame.y_of(level.band.highest), frame.y_of(level.band.lowest), looks.VALVE_ZONE)


def _bands(frame: Frame, each: SetOfSettings, box: Box) -> Iterator[str]:
    has_line = isinstance(each.line, FiringLine)
    for level in _own(frame, each):
        if level.band is not None and (level.kind in _BANDED or not has_line):
            yield _zone(box, frame.y_of(level.band.highest), frame.y_of(level.band.lowest), looks.TOLERANCE)
    if isinstance(each.line, FiringLine):
        for corners in _line_bands(each.line):
            yield polygon(_corners(frame, box, corners), looks.TOLERANCE)


def _zone(box: Box, top: float, bottom: float, look: Look) -> str:
    return rectangle(box.left, top, box.right - box.left, max(bottom - top, 0.0), look)


def _rising(frame: Frame, each: SetOfSettings, box: Box) -> list[tuple[float, float]]:
    if not isinstance(each.line, FiringLine):
        return []
    return _corners(frame, box, rising_path(each.line, frame.layout.scale.lowest))


def _firing(frame: Frame, each: SetOfSettings, firing: FiringLine, box: Box) -> Iterator[str]:
    """The line of firing, what lies beyond the stop, and the way back."""
    path = _rising(frame, each, box)
    yield polyline(_corners(frame, box, path_beyond(firing)), looks.BEYOND)
    yield polyline(_corners(frame, box, falling_path(firing)), looks.BACK)
    top = [(box.left, path[-1][1])] if path and firing.stop is not None else []
    yield polyline([*path, *top], looks.LINE[each.column])


def _line_bands(firing: FiringLine) -> Iterator[list[Point]]:
    """Where the line may lie: along a slope, or at both ends of a step."""
    demand, off = firing.demand, firing.tolerance
    if off is None or demand.shape is Shape.ON_OFF:
        return
    high, low, least = demand.high_fire, demand.low_fire, demand.lowest
    if demand.shape is Shape.SLOPE:
        yield [Point(1.0, high - off), Point(1.0, high + off), Point(least, low + off), Point(least, low - off)]
        return
    for middle in (high, low):
        under, over = middle - off, middle + off
        yield [Point(1.0, under), Point(1.0, over), Point(least, over), Point(least, under)]


def _corners(frame: Frame, box: Box, points: Iterable[Point]) -> list[tuple[float, float]]:
    return [(box.left + point.firing * (box.right - box.left), frame.y_of(point.pressure)) for point in points]


def _plant_lines(frame: Frame, box: Box) -> Iterator[str]:
    for level in frame.layout.levels:
        if level.column is Column.PLANT:
            y = frame.y_of(level.pressure)
            yield line(box.left, y, box.right, y, looks.LEVEL_LOOKS[level.kind])
            yield bound_sign(level.kind, box.left + 5 * ARROW, y)


def bound_sign(kind: LevelKind, x: float, y: float) -> str:
    """A triangle on the side of a line where the pressure belongs; nothing for a line that is no such bound."""
    if kind not in AT_LEAST | AT_MOST:
        return ""
    tip = -1.8 * ARROW if kind in AT_LEAST else 1.8 * ARROW
    return polygon([(x - ARROW, y), (x + ARROW, y), (x, y + tip)], looks.BOUND)


def _own(frame: Frame, each: SetOfSettings) -> Iterator[Level]:
    return (level for level in frame.layout.levels if level.column is each.column)


def _own_lines(frame: Frame, each: SetOfSettings, box: Box) -> Iterator[str]:
    for level in _own(frame, each):
        y = frame.y_of(level.pressure)
        yield line(box.left, y, box.right, y, looks.LEVEL_LOOKS[level.kind])
        if level.reach is not None and level.band is not None:
            up = level.reach > level.pressure
            start = frame.y_of(level.band.highest if up else level.band.lowest)
            yield from arrow(box.right - REACH_INSET[level.kind], start, frame.y_of(level.reach))
    cut_out, cut_in = frame.layout.of(LevelKind.CUT_OUT, each.column), frame.layout.of(LevelKind.CUT_IN, each.column)
    if cut_out is not None and cut_in is not None:
        x = box.left + OFF_INSET
        yield line(x, frame.y_of(cut_out.pressure), x, frame.y_of(cut_in.pressure), looks.OFF)


def arrow(x: float, start: float, end: float) -> Iterator[str]:
    """An arrow up or down the scale; too short a way has only its end."""
    back = ARROW * 1.5 if end < start else -ARROW * 1.5
    yield line(x, start, x, end, looks.REACH)
    yield polyline([(x - ARROW, end + back), (x, end), (x + ARROW, end + back)], looks.REACH)


def diamond(x: float, y: float, look: Look) -> str:
    """The mark of a set of settings."""
    return polygon([(x, y - MARK), (x + MARK, y), (x, y + MARK), (x - MARK, y)], look)


def _working(frame: Frame, firing: FiringLine, box: Box) -> Iterator[str]:
    for point in firing.working:
        x, y = box.left + point.load * (box.right - box.left), frame.y_of(point.pressure)
        yield from working_sign(x, y, stands=point.steady is Steady.STANDS)


def working_sign(x: float, y: float, *, stands: bool) -> Iterator[str]:
    """A dot where the pressure stands at a steady load; a cross where it never gets to stand."""
    if stands:
        yield circle(x, y, 4, looks.WORKING)
        return
    for way in (1, -1):
        yield line(x - ARROW, y - way * ARROW, x + ARROW, y + way * ARROW, looks.NEVER)


def _breaks(frame: Frame) -> Iterator[str]:
    """A white strip with waved edges right across where the scale is broken."""
    plot = frame.plot
    height = plot.bottom - plot.top
    for bottom, top in frame.layout.scale.breaks:
        upper, lower = plot.bottom - height * top, plot.bottom - height * bottom
        middle, half = (upper + lower) / 2, (lower - upper) / 4
        left, right = plot.left - 4, plot.right + 4
        edge = list(_wave(left, right, half))
        above, below = [(x, middle - half + y) for x, y in edge], [(x, middle + half + y) for x, y in edge]
        yield polygon([*above, *reversed(below)], looks.BREAK)
        yield polyline(above, looks.BREAK_EDGE)
        yield polyline(below, looks.BREAK_EDGE)


def _wave(left: float, right: float, height: float) -> Iterator[tuple[float, float]]:
    steps = round((right - left) / 6)
    for index in range(steps + 1):
        yield left + (right - left) * index / steps, height * (0.6 if index % 2 else -0.6)

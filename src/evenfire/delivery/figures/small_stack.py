"""The pressure stack at the size of a stamp: the few levels that tell at a glance how a boiler is set."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.figures.firing_line import FiringLine
from evenfire.delivery.figures.firing_path import rising_path
from evenfire.delivery.figures.pressure_scale import PressureScale, scale_of
from evenfire.delivery.figures.spread_labels import spread_labels
from evenfire.delivery.figures.stack_labels import COLUMNS, LEVELS
from evenfire.delivery.figures.stack_levels import Column, Level, LevelKind, SetOfSettings, StackLayout
from evenfire.delivery.figures.stack_words import number_of, unit_of
from evenfire.delivery.units import UnitSystem

WIDTH, HEIGHT = 144.0, 168.0
"""Of the drawing [px]."""
TOP, BOTTOM = 20.0, 163.0
"""Of the gauge in it [px]."""
LINE = 14.0
"""From one label to the next [px]."""
SHOWN: Final = (
    LevelKind.SAFETY_VALVE,
    LevelKind.HIGH_LIMIT,
    LevelKind.CUT_OUT,
    LevelKind.CUT_IN,
    LevelKind.NEED,
    LevelKind.LOW_FIRE_HOLD,
)
EXPECTED: Final = (LevelKind.SAFETY_VALVE, LevelKind.HIGH_LIMIT, LevelKind.CUT_OUT, LevelKind.NEED)
"""A stack that lacks one of these says so; not every boiler has a hold."""
NOT_KNOWN: Final = "?"


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallLabel:
    """One label of the small stack."""

    kind: LevelKind
    number: str
    """In the reader's unit; ``?`` where nobody knows"""
    level_y: float | None
    """Of its level; nothing where nobody knows it [px]"""
    y: float
    """Of its middle [px]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallStack:
    """The small stack laid out for one reader."""

    unit: str
    labels: tuple[SmallLabel, ...]
    """From the highest down, what nobody knows at the end"""
    fire: tuple[tuple[float, float], ...]
    """How hard the burner fires [1] at which height [px], from the foot up to where it stops"""
    breaks: tuple[tuple[float, float], ...]
    """Upper and lower end of each break of the scale [px]"""
    column: Column
    """Whose settings they are"""


def small_stack(layout: StackLayout, system: UnitSystem) -> SmallStack:
    """The levels of the first set of settings of a stack, few enough for a list of boilers."""
    each = layout.sets[0]
    levels = _levels(layout, each)
    scale = _scale(levels, layout, each)
    known = [(level.kind, _y(scale, level.pressure), number_of(level.pressure, system)) for level in levels]
    lacking = [kind for kind in EXPECTED if kind not in {level.kind for level in levels}]
    wanted = [y for _, y, _ in known] + [BOTTOM] * len(lacking)
    middles = spread_labels(wanted, [LINE] * len(wanted), TOP - LINE / 2, BOTTOM + LINE / 2 - 3)
    labels = [
        SmallLabel(kind=kind, number=number, level_y=y, y=middle)
        for (kind, y, number), middle in zip(known, middles[: len(known)], strict=True)
    ]
    labels += [
        SmallLabel(kind=kind, number=NOT_KNOWN, level_y=None, y=middle)
        for kind, middle in zip(lacking, middles[len(known) :], strict=True)
    ]
    return SmallStack(
        unit=unit_of(system),
        labels=tuple(labels),
        fire=tuple(_fire(scale, each)),
        breaks=tuple((_at(top), _at(bottom)) for bottom, top in scale.breaks),
        column=each.column,
    )


def small_stack_in_words(layout: StackLayout, system: UnitSystem) -> str:
    """What the small stack shows, for whoever cannot see it."""
    each = layout.sets[0]
    levels = _levels(layout, each)
    told = [f"{LEVELS[level.kind].short} {number_of(level.pressure, system)}" for level in levels]
    told += _band(layout, each, system)
    lacking = [LEVELS[kind].short for kind in EXPECTED if kind not in {level.kind for level in levels}]
    unknown = f" Not known: {', '.join(lacking)}." if lacking else ""
    return f"Pressures {COLUMNS[each.column]}, in {unit_of(system)}: {', '.join(told)}.{unknown}"


def _band(layout: StackLayout, each: SetOfSettings, system: UnitSystem) -> list[str]:
    ends = [layout.of(kind, each.column) for kind in (LevelKind.HIGH_FIRE, LevelKind.LOW_FIRE)]
    known = [number_of(end.pressure, system) for end in ends if end is not None]
    return [f"full fire up to {known[0]}, low fire at {known[1]}"] if len(known) == len(ends) else []


def _levels(layout: StackLayout, each: SetOfSettings) -> list[Level]:
    """Those that are shown, from the highest down; of several safety valves the one that is set lowest."""
    found: dict[LevelKind, Level] = {}
    for level in layout.levels:
        if level.kind in SHOWN and level.column in {Column.PLANT, each.column}:
            found[level.kind] = level
    return [level for level in layout.levels if found.get(level.kind) is level]


def _scale(levels: list[Level], layout: StackLayout, each: SetOfSettings) -> PressureScale:
    """A low-fire hold far below the rest stands beyond a break."""
    ends = [layout.of(kind, each.column) for kind in (LevelKind.HIGH_FIRE, LevelKind.LOW_FIRE)]
    main = [level.pressure for level in levels if level.kind is not LevelKind.LOW_FIRE_HOLD]
    main += [end.pressure for end in ends if end is not None]
    hold = [level.pressure for level in levels if level.kind is LevelKind.LOW_FIRE_HOLD]
    if not main and not hold:
        return layout.scale
    return scale_of(main or hold, hold if main else ())


def _fire(scale: PressureScale, each: SetOfSettings) -> Iterator[tuple[float, float]]:
    if isinstance(each.line, FiringLine):
        for point in rising_path(each.line, scale.lowest):
            yield point.firing, _y(scale, point.pressure)


def _y(scale: PressureScale, pressure: float) -> float:
    return _at(scale.height_of(pressure))


def _at(share: float) -> float:
    return BOTTOM - (BOTTOM - TOP) * share

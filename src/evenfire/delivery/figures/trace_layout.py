"""The trace of a run laid out: which levels stand beside it, what is marked, which hours are looked at closely.

Nothing is drawn here.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.figures.measured_text import printable
from evenfire.delivery.figures.stack_labels import LEVELS
from evenfire.delivery.figures.stack_levels import LevelKind
from evenfire.delivery.figures.trace_points import Points, pressure_points
from evenfire.delivery.units import UnitSystem
from evenfire.judgement.case import Case
from evenfire.physics import control_logic
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.run import Event, Phase, Run
from evenfire.plant.known import Missing

FAR: Final = 3.0
"""A level further from the working pressures than this many of their spans is named at the edge, not drawn [1]."""
CLOSE_LOOK: Final = 3600.0
"""How much of a long run is shown a second time, wide enough to see single starts [s]."""
LONG: Final = 4 * CLOSE_LOOK
STARTING: Final = frozenset({Phase.DELAY, Phase.DRIVE_OPEN, Phase.PREPURGE, Phase.DRIVE_BACK, Phase.PILOT, Phase.MAIN})
MARKED: Final = (
    Happening.FAULT_BEGAN,
    Happening.HIGH_LIMIT_OPENED,
    Happening.RESET_REFUSED,
    Happening.HIGH_LIMIT_CLOSED,
    Happening.VALVE_LIFTED,
    Happening.LOCKED_OUT,
    Happening.UNLOCKED,
    Happening.WATER_LOW,
    Happening.HOLD_TOOK,
)
"""What gets a mark of its own, in the order of the legend."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceLevel:
    """A pressure that the trace is seen against."""

    kind: LevelKind
    pressure: float
    """[Pa gauge]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A part of the run that is shown."""

    begin: float
    """[s]"""
    end: float
    """[s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceLayout:
    """A run, ready to be drawn."""

    title: str
    caption: tuple[str, ...]
    levels: tuple[TraceLevel, ...]
    """From the lowest up"""
    lowest: float
    """Foot of the scale [Pa gauge]"""
    highest: float
    """Head of the scale [Pa gauge]"""
    pressure: Points
    """[Pa gauge]"""
    firing: Points
    """Share of full fire [1]"""
    starting: tuple[Window, ...]
    """When the burner was in its start chain, before the flame"""
    marks: tuple[tuple[Happening, tuple[Event, ...]], ...]
    lit: tuple[float, ...]
    """When the flame came [s]"""
    windows: tuple[Window, ...]
    """The whole run, and a close look where the run is long"""
    system: UnitSystem


def lay_out_trace(case: Case, run: Run, title: str, caption: tuple[str, ...], system: UnitSystem) -> TraceLayout:
    """Lay out the trace of a run with the levels of its case."""
    levels = tuple(sorted(_levels(case), key=lambda level: (level.pressure, level.kind.value)))
    lowest, highest = _scale(levels, run)
    marks = ((kind, tuple(event for event in run.events if event.kind is kind)) for kind in MARKED)
    return TraceLayout(
        title=printable(title),
        caption=tuple(printable(line) for line in caption),
        levels=levels,
        lowest=lowest,
        highest=highest,
        pressure=pressure_points(run),
        firing=Points(time=run.series.time, value=run.series.firing),
        starting=tuple(_starting(run)),
        marks=tuple((kind, events) for kind, events in marks if events),
        lit=tuple(event.time for event in run.events if _begins(event, frozenset({Phase.FLAME}))),
        windows=tuple(_windows(run)),
        system=system,
    )


def level_name(level: TraceLevel, *, short: bool) -> str:
    """What a level is called."""
    words = LEVELS[level.kind]
    return words.least if short else words.short


def _levels(case: Case) -> Iterator[TraceLevel]:
    stack, facts = case.stack, case.facts
    pairs = (
        (LevelKind.NEED, facts.need),
        (LevelKind.HIGH_FIRE, stack.high_fire),
        (LevelKind.LOW_FIRE, stack.low_fire),
        (LevelKind.CUT_IN, stack.cut_in),
        (LevelKind.CUT_OUT, stack.cut_out),
        (LevelKind.HIGH_LIMIT, stack.trip),
        (LevelKind.LOW_FIRE_HOLD, stack.hold),
        (LevelKind.SAFETY_VALVE, facts.valve_set),
        (LevelKind.MAWP, case.boiler.mawp),
    )
    for kind, pressure in pairs:
        if not isinstance(pressure, Missing):
            yield TraceLevel(kind=kind, pressure=float(pressure))


def _scale(levels: tuple[TraceLevel, ...], run: Run) -> tuple[float, float]:
    """From the lowest to the highest pressure, with every level that is not far from them."""
    working = {LevelKind.CUT_IN, LevelKind.CUT_OUT, LevelKind.HIGH_FIRE, LevelKind.LOW_FIRE, LevelKind.NEED}
    main: list[float] = [run.lowest.pressure, run.highest.pressure]
    main += [level.pressure for level in levels if level.kind in working]
    low, high = min(main), max(main)
    span = max(high - low, 0.02 * abs(high), 1.0)
    near = [level.pressure for level in levels if low - span <= level.pressure <= low + FAR * span]
    low, high = min([low, *near]), max([high, *near])
    pad = 0.05 * max(high - low, span)
    return (max(0.0, low - pad) if low >= 0 else low - pad), high + pad


def _begins(event: Event, phases: frozenset[Phase]) -> bool:
    return event.kind is Happening.PHASE_BEGAN and Phase(event.subject) in phases


def _starting(run: Run) -> Iterator[Window]:
    begun: float | None = None
    for event in run.events:
        if event.kind is not Happening.PHASE_BEGAN:
            continue
        if _begins(event, STARTING):
            begun = event.time if begun is None else begun
        elif begun is not None:
            yield Window(begin=begun, end=event.time)
            begun = None
    if begun is not None:
        yield Window(begin=begun, end=run.duration)


def _windows(run: Run) -> Iterator[Window]:
    """All of it; of a long run also the hour around what was grave, else around the highest pressure."""
    yield Window(begin=0.0, end=run.duration)
    if run.duration < LONG or not run.events:
        return
    grave = (
        event.time
        for event in run.events
        if event.kind in MARKED[:-1]
        or (event.kind is Happening.BURNER_STOPPED and event.subject != control_logic.OPERATING_LIMIT)
    )
    moment = next(grave, None)
    begin = run.highest.time - CLOSE_LOOK / 2 if moment is None else moment - CLOSE_LOOK / 4
    begin = min(max(0.0, begin), run.duration - CLOSE_LOOK)
    yield Window(begin=begin, end=begin + CLOSE_LOOK)

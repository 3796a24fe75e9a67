"""What a run told, counted: for the text and for programs alike."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from evenfire.delivery.figures.trace_points import Points, first_at_or_above, pressure_points, seconds_below
from evenfire.judgement.case import Case
from evenfire.physics import control_logic
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.run import Event, Extreme, Phase, Run
from evenfire.plant.known import Missing
from evenfire.si import ROUNDING_PA, GaugePa

HOUR: Final = 3600.0
STATES: Final[Mapping[str, tuple[Phase, ...]]] = {
    "off": (Phase.OFF,),
    "postpurge": (Phase.POSTPURGE,),
    "starting": (Phase.DELAY, Phase.DRIVE_OPEN, Phase.PREPURGE, Phase.DRIVE_BACK, Phase.PILOT, Phase.MAIN),
    "lit, not yet released": (Phase.FLAME, Phase.LOW_FIRE),
}
_AT_AN_END: Final = 1e-3
"""Of the drive: nearer to low or high fire than this it is there [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stops:
    """All stops of the burner by one cause."""

    by: int
    """Of :mod:`evenfire.physics.control_logic`"""
    events: tuple[Event, ...]
    relit: float | None
    """When the flame stood again after the last of them [s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedKept:
    """How the need of the plant fared, from when the pressure first stood there."""

    need: float
    """At the boiler [Pa gauge]"""
    reached: float | None
    """When pressure first stood there [s]; ``None`` when it never did"""
    lowest: Extreme
    """From then on, or of the whole run"""
    below: float
    """In all [s]"""
    longest: float
    """At one stretch [s]"""
    deeper_than_allowed: bool
    """Whether it went below the dip that the plant allows, or stayed below the need longer than it allows"""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunFacts:
    """A run, counted."""

    lit: tuple[Event, ...]
    """Every time that the main flame came"""
    calls: int
    """Start chains begun, without one that the end of the run cut off"""
    most_in_an_hour: int
    """Flames in any one hour"""
    stops: tuple[Stops, ...]
    """First in rank first"""
    need: NeedKept | None
    """``None`` where nobody stated a need"""
    states: tuple[tuple[str, float], ...]
    """How long the burner was at what [s]"""
    held_firing: float
    """How long the low-fire hold kept a lit burner at low fire [s]"""
    above_mawp: float
    """How long pressure stood above the MAWP [s]"""


def facts_of(case: Case, run: Run) -> RunFacts:
    """What a run told, counted."""
    points = pressure_points(run)
    lit = tuple(event for event in run.events if _begins(event, Phase.FLAME))
    above = Points(time=points.time, value=-points.value)
    return RunFacts(
        lit=lit,
        calls=_finished_calls(run.events),
        most_in_an_hour=_most_within([event.time for event in lit], HOUR),
        stops=tuple(_stops(run.events)),
        need=_need_kept(case, points),
        states=tuple(_states(run)),
        held_firing=_held_firing(run),
        above_mawp=seconds_below(above, -(case.boiler.mawp + ROUNDING_PA))[0],
    )


def of_kind(run: Run, kind: Happening) -> tuple[Event, ...]:
    """Every event of a kind."""
    return tuple(event for event in run.events if event.kind is kind)


def is_open_at_the_end(run: Run, opened: Happening, closed: Happening) -> bool:
    """Whether what opened last was still open when the run ended."""
    changes = [event.kind for event in run.events if event.kind in {opened, closed}]
    return bool(changes) and changes[-1] is opened


def _begins(event: Event, phase: Phase) -> bool:
    return event.kind is Happening.PHASE_BEGAN and event.subject == phase


def _finished_calls(events: tuple[Event, ...]) -> int:
    """Start chains that came to a flame or to a stop."""
    count, is_called = 0, False
    for event in events:
        if _begins(event, Phase.DELAY):
            is_called = True
        elif is_called and (_begins(event, Phase.FLAME) or event.kind is Happening.BURNER_STOPPED):
            count, is_called = count + 1, False
    return count


def _most_within(times: list[float], window: float) -> int:
    """The most of rising times that fall within one window."""
    first = most = 0
    for place, time in enumerate(times):
        while time - times[first] >= window:
            first += 1
        most = max(most, place - first + 1)
    return most


def _stops(events: tuple[Event, ...]) -> Iterable[Stops]:
    lit = [event.time for event in events if _begins(event, Phase.FLAME)]
    for by in control_logic.STOPS:
        found = tuple(event for event in events if event.kind is Happening.BURNER_STOPPED and event.subject == by)
        if found:
            relit = next((time for time in lit if time > found[-1].time), None)
            yield Stops(by=by, events=found, relit=relit)


def _need_kept(case: Case, points: Points) -> NeedKept | None:
    need = case.facts.need
    if isinstance(need, Missing):
        return None
    reached = first_at_or_above(points, need)
    since = points if reached is None else _since(points, reached)
    below, longest = seconds_below(since, need)
    place = int(since.value.argmin())
    lowest = Extreme(pressure=GaugePa(float(since.value[place])), time=float(since.time[place]))
    dip_to, dip_for = case.load.may_dip_to, case.load.may_dip_for
    # The dip is stated where the need is, so the line drop that raised the need at the boiler raises the dip too.
    raised = 0.0 if case.load.need is None else need - case.load.need
    too_deep = lowest.pressure < (need if dip_to is None else dip_to + raised) - ROUNDING_PA
    too_long = longest > (0.0 if dip_for is None else dip_for) and lowest.pressure < need - ROUNDING_PA
    return NeedKept(
        need=need,
        reached=reached,
        lowest=lowest,
        below=below,
        longest=longest,
        deeper_than_allowed=too_deep or too_long,
    )


def _since(points: Points, begin: float) -> Points:
    later = points.time >= begin
    return Points(time=points.time[later], value=points.value[later])


def _states(run: Run) -> Iterable[tuple[str, float]]:
    spent = dict(run.time_in_phase)
    for state, phases in STATES.items():
        yield state, sum(spent[phase] for phase in phases)
    drive = run.series.drive[run.series.phase == Phase.RELEASED]
    released = spent[Phase.RELEASED]
    if released <= 0:
        return
    low = float(np.mean(drive <= _AT_AN_END)) if len(drive) else 0.0
    high = float(np.mean(drive >= 1 - _AT_AN_END)) if len(drive) else 0.0
    yield "low fire", low * released
    yield "between low and full fire", max(0.0, 1.0 - low - high) * released
    yield "full fire", high * released


def _held_firing(run: Run) -> float:
    """Time under an active hold with the flame released; the hold's own events bound it."""
    total, since, holds = 0.0, None, False
    released = len(run.series.phase) > 0 and run.series.phase[0] == Phase.RELEASED
    for event in run.events:
        if since is not None and released:
            total += event.time - since
        if event.kind is Happening.HOLD_TOOK:
            holds = True
        elif event.kind is Happening.HOLD_LET_GO:
            holds = False
        elif event.kind is Happening.PHASE_BEGAN:
            released = event.subject == Phase.RELEASED
        since = event.time if holds else None
    return total + (run.duration - since if since is not None and released else 0.0)

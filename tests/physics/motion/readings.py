"""What the tests read off a run: spans between events, and rows of the series strictly inside them."""

from collections.abc import Callable, Iterable
from math import inf
from typing import NamedTuple

import numpy as np
from hypothesis import assume
from numpy.typing import NDArray

from evenfire.errors import Diverged
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.run import Event, Phase, Run
from tests.physics.motion.random_boilers import Case

START_CHAIN = tuple(Phase(number) for number in range(Phase.DELAY, Phase.RELEASED + 1))
WITH_FUEL = (Phase.FLAME, Phase.LOW_FIRE, Phase.RELEASED)
AN_INSTANT = 1e-6
"""Times nearer than this are one: the shortest step of the loop [s]"""


class Span(NamedTuple):
    """From one moment to another [s]."""

    begin: float
    end: float


def told(case: Case) -> Run:
    """The run of a case; one whose boiler ran dry or filled up tells nothing, one that got stuck is a failure."""
    try:
        return case.run()
    except Diverged as diverged:
        if "could not get on" not in diverged.why:
            assume(False)
        raise


def events_of(run: Run, *kinds: Happening) -> list[Event]:
    return [event for event in run.events if event.kind in kinds]


def spans(run: Run, begins: Happening, ends: Happening) -> list[Span]:
    """From each event to the next that ends it, the last perhaps to the end of the run."""
    found: list[Span] = []
    begun: float | None = None
    for event in run.events:
        if event.kind is begins and begun is None:
            begun = event.time
        elif event.kind is ends and begun is not None:
            found.append(Span(begun, event.time))
            begun = None
    return [*found, Span(begun, inf)] if begun is not None else found


def spans_of_fault(case: Case, *kinds: Fault) -> list[Span]:
    return [Span(begin, end) for kind, begin, end, _ in case.faults if kind in kinds]


def inside(run: Run, *spans: Span) -> NDArray[np.bool_]:
    """Rows of the series that lie strictly inside any of these spans; none of a kind overlap."""
    return _within(run.series.time, spans, AN_INSTANT)


def _within(times: NDArray[np.float64], spans: Iterable[Span], margin: float) -> NDArray[np.bool_]:
    found = np.zeros(len(times), dtype=bool)
    for span in spans:
        first = np.searchsorted(times, span.begin + margin, side="right")
        found[first : np.searchsorted(times, span.end - margin, side="left")] = True
    return found


def phases(run: Run) -> list[tuple[Phase, Span]]:
    """Every phase of the burner with its span, from the rest it started in."""
    begun = [(Phase.OFF, 0.0)]
    begun += [(Phase(event.subject), event.time) for event in events_of(run, Happening.PHASE_BEGAN)]
    ends = [*(begin for _, begin in begun[1:]), inf]
    return [(phase, Span(begin, end)) for (phase, begin), end in zip(begun, ends, strict=True)]


def starts_within(run: Run, *spans: Span) -> list[tuple[Phase, Span]]:
    """Phases of a start or of fire that begin strictly inside any of these spans."""
    found = phases(run)
    within = _within(np.array([span.begin for _, span in found]), spans, 0.0)
    return [found[place] for place in np.flatnonzero(within) if found[place][0] in START_CHAIN]


def lowest_between(run: Run, span: Span) -> float:
    """Lowest pressure that the run shows in a span, its ends included [Pa gauge]."""
    return _seen(run, span, min)


def highest_between(run: Run, span: Span) -> float:
    """Highest pressure that the run shows in a span, its ends included [Pa gauge]."""
    return _seen(run, span, max)


def _seen(run: Run, span: Span, pick: Callable[[list[float]], float]) -> float:
    seen = [event.pressure for event in run.events if span.begin <= event.time <= span.end]
    rows = (run.series.time >= span.begin) & (run.series.time <= span.end)
    return pick([*map(float, seen), *map(float, run.series.pressure[rows])])

"""What happened in a run, in its order: a few lines where something happened at all."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.answers import BoilerRun, Ran
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import Rounding
from evenfire.delivery.words.clock import DAY, clock
from evenfire.delivery.words.running import HAPPENINGS, happened
from evenfire.physics import control_logic
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.run import Event, Phase
from evenfire.si import Dimension, Quantity

MOST_LINES: Final = 16
MOST_OF_A_KIND: Final = 3
"""The first of a kind and its last are told; what came between is counted."""
GRAVE: Final = frozenset(
    {
        Happening.FAULT_BEGAN,
        Happening.FAULT_ENDED,
        Happening.HIGH_LIMIT_OPENED,
        Happening.HIGH_LIMIT_CLOSED,
        Happening.RESET_REFUSED,
        Happening.VALVE_LIFTED,
        Happening.VALVE_RESEATED,
        Happening.WATER_LOW,
        Happening.WATER_RESTORED,
        Happening.LOCKED_OUT,
        Happening.UNLOCKED,
    }
)
"""What no quiet day has."""
NOTABLE: Final = frozenset({Happening.HOLD_TOOK, Happening.HOLD_LET_GO, Happening.VENT_CLOSED, Happening.AIR_LET_IN})
_SAID_BY_THE_STOP: Final = {
    Happening.HIGH_LIMIT_OPENED: control_logic.HIGH_LIMIT,
    Happening.WATER_LOW: control_logic.LOW_WATER,
    Happening.LOCKED_OUT: control_logic.LOCKOUT,
}
"""Their own stop of the burner, in the same moment, says it already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Story:
    """Lines in the order of time, and how many more there would be."""

    lines: tuple[str, ...]
    more: int


def story_of(answer: BoilerRun, ran: Ran, page: Page) -> Story:
    """What happened; no lines on a quiet day."""
    events = _worth_telling(ran.run.events)
    if not events:
        return Story(lines=(), more=0)
    kept = _few(events)
    highest = ran.run.highest
    at_highest = next((each for each in ran.run.events if each.time == highest.time), None)
    days = ran.plan.duration > DAY
    lines = [(event.time, _line(event, answer, ran, page, days=days)) for event in kept]
    if at_highest is not None and at_highest not in kept:
        high = page.show(Quantity(highest.pressure, Dimension.GAUGE_PRESSURE), rounding=Rounding.UP)
        lines.append((highest.time, f"{clock(highest.time, days=days, seconds=True)}  pressure at its highest, {high}"))
    lines.sort(key=lambda pair: pair[0])
    return Story(lines=tuple(line for _, line in lines), more=len(events) - len(kept))


def is_grave(event: Event) -> bool:
    """Whether no quiet day has such an event."""
    stops = event.kind is Happening.BURNER_STOPPED and event.subject != control_logic.OPERATING_LIMIT
    return stops or event.kind in GRAVE


def _worth_telling(events: Sequence[Event]) -> list[Event]:
    """Grave and notable events; where there are any, also the flame that came next after one."""
    stops = {(event.time, event.subject) for event in events if event.kind is Happening.BURNER_STOPPED}
    found: list[Event] = []
    wants_flame = False
    for event in events:
        if (event.time, _SAID_BY_THE_STOP.get(event.kind)) in stops:
            continue
        if is_grave(event) or event.kind in NOTABLE:
            found.append(event)
            wants_flame = True
        elif wants_flame and event.kind is Happening.PHASE_BEGAN and event.subject == Phase.FLAME:
            found.append(event)
            wants_flame = False
    return found


def _few(events: list[Event]) -> list[Event]:
    """Of each kind the first ones and the last; grave ones before others where there are still too many."""
    counts = Counter((event.kind, event.subject) for event in events)
    seen: Counter[tuple[Happening, int]] = Counter()
    kept = []
    for event in events:
        kind = (event.kind, event.subject)
        seen[kind] += 1
        if seen[kind] < MOST_OF_A_KIND or seen[kind] == counts[kind]:
            kept.append(event)
    if len(kept) <= MOST_LINES:
        return kept
    grave = [event for event in kept if is_grave(event)][:MOST_LINES]
    others = [event for event in kept if not is_grave(event)][: MOST_LINES - len(grave)]
    return sorted(grave + others, key=lambda event: event.time)


def _line(event: Event, answer: BoilerRun, ran: Ran, page: Page, *, days: bool) -> str:
    text = happened(event, answer.case.boiler, ran.plan.faults, page.system)
    told = HAPPENINGS.get(event.kind)
    if told is None or told.with_pressure:
        text += f", {page.show(Quantity(event.pressure, Dimension.GAUGE_PRESSURE))}"
    if told is not None and told.with_firing and event.firing > 0:
        text += f", firing {page.show(Quantity(round(event.firing, 2), Dimension.FRACTION))}"
    return f"{clock(event.time, days=days, seconds=True)}  {text}"

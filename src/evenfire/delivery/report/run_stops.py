"""How often the burner started and why it stopped; limits, valves, hold, water and lockouts."""

from collections.abc import Iterator

from evenfire.delivery.answers import BoilerRun, Ran
from evenfire.delivery.figures.trace_layout import STARTING
from evenfire.delivery.report.page import Page
from evenfire.delivery.report.run_facts import RunFacts, Stops, is_open_at_the_end, of_kind
from evenfire.delivery.report.told_line import Line, Weight
from evenfire.delivery.units import Rounding
from evenfire.delivery.words.clock import DAY, clock, lasting
from evenfire.delivery.words.running import NOBODY_RESET, PHASES, STOPS, fault_words
from evenfire.physics import control_logic
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.run import Event, Phase
from evenfire.plant.controls import Reset
from evenfire.si import Dimension, Quantity

SHORTEST_RATED = 3600.0
"""Starts of less than an hour are not told by the hour [s]."""
NEWS = 3600.0
"""A burner that is off for less at the end of a run may well be between two starts [s]."""
LONG_START = 900.0
"""No start chain takes longer: it waits for something that does not come [s]."""
_RESET_BY_HAND = {control_logic.HIGH_LIMIT, control_logic.LOCKOUT}


def start_line(ran: Ran, facts: RunFacts) -> Line:
    """How often the burner lit."""
    count, hours = len(facts.lit), ran.run.duration / 3600
    if count == 0:
        return Line("starts", "None.")
    times = "once" if count == 1 else f"{count:,} times"
    rate = ""
    if count > 1 and ran.run.duration >= SHORTEST_RATED:
        rate = f", {count / hours:.1f} an hour, up to {facts.most_in_an_hour} within one hour"
    unlit = facts.calls - count
    calls = f" {unlit} more start{'s' if unlit > 1 else ''} did not come to a flame." if unlit > 0 else ""
    return Line("starts", f"The burner lit {times}{rate}.{calls}")


def stop_lines(answer: BoilerRun, ran: Ran, facts: RunFacts, page: Page) -> Iterator[Line]:
    """One line for every cause that stopped the burner."""
    if not facts.stops:
        yield Line("stops", "None: the burner was never stopped.")
    for stops in facts.stops:
        weight = Weight.PLAIN if stops.by == control_logic.OPERATING_LIMIT else Weight.TROUBLE
        yield Line("stops", _stops(answer, ran, stops, page), weight)


def _stops(answer: BoilerRun, ran: Ran, stops: Stops, page: Page) -> str:
    days, events = ran.plan.duration > DAY, stops.events
    if len(events) == 1:
        return (
            f"1 by {STOPS[stops.by]} at {_when(events[0], page, days=days)}; {_after(answer, ran, stops, days=days)}."
        )
    text = f"{len(events):,} by {STOPS[stops.by]}, {_firing(events, page)}"
    if stops.by == control_logic.OPERATING_LIMIT:
        stayed = stops.relit is None and ran.run.duration - events[-1].time >= NEWS
        return f"{text}. After the last, {_after(answer, ran, stops, days=days)}." if stayed else f"{text}."
    first, last = clock(events[0].time, days=days), clock(events[-1].time, days=days)
    return f"{text}, the first at {first}, the last at {last}; {_after(answer, ran, stops, days=days)}."


def _when(event: Event, page: Page, *, days: bool) -> str:
    pressure = page.show(Quantity(event.pressure, Dimension.GAUGE_PRESSURE))
    way = "rising" if event.rising else "falling"
    return f"{clock(event.time, days=days)}, {pressure}, {way}, {_firing((event,), page)}"


def _firing(events: tuple[Event, ...], page: Page) -> str:
    """How high the fire stood when it was stopped; a stop before the flame found none."""
    shares = [page.show(Quantity(round(each, 2), Dimension.FRACTION)) for each in _ends(events)]
    if max(event.firing for event in events) <= 0:
        return "not firing yet"
    return f"firing {shares[0]}" if shares[0] == shares[1] else f"firing {shares[0]} to {shares[1]}"


def _ends(events: tuple[Event, ...]) -> tuple[float, float]:
    firing = [event.firing for event in events]
    return min(firing), max(firing)


def _after(answer: BoilerRun, ran: Ran, stops: Stops, *, days: bool) -> str:
    """What became of the boiler after the last of these stops."""
    last = stops.events[-1].time
    reset = ""
    if stops.by in _RESET_BY_HAND:
        opened, closed = (
            (Happening.HIGH_LIMIT_OPENED, Happening.HIGH_LIMIT_CLOSED)
            if stops.by == control_logic.HIGH_LIMIT
            else (Happening.LOCKED_OUT, Happening.UNLOCKED)
        )
        reset = _reset(answer, ran, stops, closed, days=days)
        if is_open_at_the_end(ran.run, opened, closed):
            reset = reset or NOBODY_RESET
    so = ": " if reset == NOBODY_RESET else ", " if reset else ""
    if stops.relit is None:
        return f"{reset}{so}the burner stayed off for the remaining {lasting(ran.run.duration - last)}"
    return f"{reset}{so}it fired again at {clock(stops.relit, days=days)}, {lasting(stops.relit - last)} later"


def _reset(answer: BoilerRun, ran: Ran, stops: Stops, closed: Happening, *, days: bool) -> str:
    control = answer.case.boiler.controls.high_limit
    by_itself = closed is Happening.HIGH_LIMIT_CLOSED and control is not None and control.reset is Reset.AUTOMATIC
    times = [event.time for event in of_kind(ran.run, closed) if event.time >= stops.events[-1].time]
    if not times:
        return ""
    how = "it closed by itself at" if by_itself else "reset by hand at"
    return f"{how} {clock(times[0], days=days)}"


def limit_lines(answer: BoilerRun, ran: Ran, page: Page) -> Iterator[Line]:
    """The high limit where it opened with the burner already off, refused resets, and safety valves."""
    days, run = ran.plan.duration > DAY, ran.run
    opened = of_kind(run, Happening.HIGH_LIMIT_OPENED)
    stopped = {event.time for event in of_kind(run, Happening.BURNER_STOPPED)}
    quiet = tuple(event for event in opened if event.time not in stopped)
    if quiet:
        text = f"opened {len(quiet)} time{'s' if len(quiet) > 1 else ''} with the burner already off, the first at "
        ends = is_open_at_the_end(run, Happening.HIGH_LIMIT_OPENED, Happening.HIGH_LIMIT_CLOSED)
        still = f"; {NOBODY_RESET}, and it was open at the end" if ends else ""
        yield Line("limit", f"The high limit {text}{_when(quiet[0], page, days=days)}{still}.", Weight.TROUBLE)
    refused = of_kind(run, Happening.RESET_REFUSED)
    if refused:
        at = ", ".join(clock(event.time, days=days) for event in refused[:3])
        more = f" and {len(refused) - 3} more" if len(refused) > 3 else ""
        yield Line(
            "reset", f"Refused at {at}{more}: the pressure had not fallen far enough below the trip.", Weight.TROUBLE
        )
    yield from _valve_lines(answer, ran, page, days=days)


def _valve_lines(answer: BoilerRun, ran: Ran, page: Page, *, days: bool) -> Iterator[Line]:
    lifts = of_kind(ran.run, Happening.VALVE_LIFTED)
    for valve, each in enumerate(answer.case.boiler.safety_valves):
        lifted = [event for event in lifts if event.subject == valve]
        if not lifted:
            continue
        times = "once" if len(lifted) == 1 else f"{len(lifted):,} times"
        pressure = page.show(Quantity(lifted[0].pressure, Dimension.GAUGE_PRESSURE), rounding=Rounding.UP)
        name = f' "{each.name}"' if each.name else ""
        at = f"{'at' if len(lifted) == 1 else 'first at'} {clock(lifted[0].time, days=days)}, {pressure}"
        yield Line("valve", f"Safety valve{name} lifted {times}, {at}.", Weight.DANGER)
    if lifts:
        blown = page.show(Quantity(ran.run.crossed.relieved, Dimension.MASS))
        yield Line("valve", f"The safety valves blew off {blown} of steam.", Weight.DANGER)


def trouble_lines(ran: Ran, facts: RunFacts, page: Page) -> Iterator[Line]:
    """Low-fire hold, low water, lockouts, and faults that found nothing to break."""
    days, run = ran.plan.duration > DAY, ran.run
    if facts.held_firing > 0:
        yield Line("hold", f"The low-fire hold kept the fire low for {lasting(facts.held_firing)}.")
    low = of_kind(run, Happening.WATER_LOW)
    if low:
        still = is_open_at_the_end(run, Happening.WATER_LOW, Happening.WATER_RESTORED)
        times = "once" if len(low) == 1 else f"{len(low):,} times"
        text = f"Down at the low-water cutoff {times}, first at {clock(low[0].time, days=days)}"
        yield Line("water", f"{text}{'; it was low at the end' if still else ''}.", Weight.TROUBLE)
    locked = of_kind(run, Happening.LOCKED_OUT)
    if locked:
        still = is_open_at_the_end(run, Happening.LOCKED_OUT, Happening.UNLOCKED)
        times = "once" if len(locked) == 1 else f"{len(locked):,} times"
        text = f"The burner control locked out {times}, first at {clock(locked[0].time, days=days)}"
        yield Line("lockout", f"{text}{f'; {NOBODY_RESET}' if still else ''}.", Weight.TROUBLE)
    waits = _waits_at_the_end(ran)
    if waits is not None:
        phase, since = waits
        text = f"{PHASES[phase]}, since {clock(since, days=days)}: the burner waits for what does not come"
        yield Line("stuck", f"Stuck in its start at the end ({text}).", Weight.TROUBLE)
    for fault in ran.plan.faults:
        seen = any(fault.begin <= event.time <= fault.end for event in locked)
        if fault.fault is Fault.FLAME_LOST and not seen and fault.begin < run.duration:
            at, words = clock(fault.begin, days=days, seconds=True), fault_words(fault, page.system)
            yield Line("fault", f'"{words}" at {at} changed nothing: the burner did not fire then.', Weight.TROUBLE)


def _waits_at_the_end(ran: Ran) -> tuple[Phase, float] | None:
    """The phase of a start that did not end for long, and since when [s]."""
    begun = [event for event in ran.run.events if event.kind is Happening.PHASE_BEGAN]
    if not begun or Phase(begun[-1].subject) not in STARTING or ran.run.duration - begun[-1].time < LONG_START:
        return None
    return Phase(begun[-1].subject), begun[-1].time

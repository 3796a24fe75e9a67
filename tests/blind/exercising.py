"""Whether a log shows a fault: decided from the hidden states alone, before anything has looked at the log.

A situation counts when it happened and sound rows of the log stand around it. Three of them, and the log has exercised
the fault; fewer, and the right answer is "not judged".
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenfire.delivery.intake.logs.wishes import Role
from tests.blind.boilers import PSI, Boiler, feed_heat, liquid_to_steam
from tests.blind.layouts import Layout
from tests.blind.running import Hidden
from tests.blind.sensing import Seen
from tests.blind.stepping import (
    AT_HIGH_LIMIT,
    AT_OPERATING_LIMIT,
    DEMAND,
    FEED,
    HELD,
    LOGGED,
    LOW,
    ON_OFF,
    PHASE,
    POSITION,
    PRESSURE,
    PROPORTIONAL,
    RUN,
    SHORT,
    WITH_RESET,
)
from tests.blind.truth import FaultKind

Floats = NDArray[np.float64]
ENOUGH: Final = 3
"""Times that a situation has to happen."""
SWING: Final = 0.15
"""Of the stroke: a smaller movement is none."""

_TELLS: Final = "The log has the firing rate or the fuel."
RULES: Final[Mapping[FaultKind, str]] = {
    FaultKind.CUT_OUT_DRIFT: (
        "A stop at the operating limit where the control stood further from its dial than all of these together: the "
        "tolerance of the dial, 1 psi, what the pressure rises between two rows, half a step of the display, and the "
        "small error of the gauge."
    ),
    FaultKind.RANGE_TOO_WIDE: (
        "A stop at the operating limit with the fuel valve more than 15 % of its stroke above low fire, half a minute "
        "or more after it was released; the low-fire point stands above the cut-out, and the dials say otherwise. "
        + _TELLS
    ),
    FaultKind.CUT_OUT_IN_BAND: (
        "A stop at the operating limit with the fuel valve more than 15 % of its stroke above low fire, half a minute "
        "or more after it was released; the low-fire point stands above the cut-out, and the dials say so too. "
        + _TELLS
    ),
    FaultKind.ACTUATOR_STUCK: (
        "A stretch of released firing, at least as long as a stroke of the drive and as four rows, in which the "
        "firing-rate control asks for movements of 40 % of the stroke or more and the fuel valve moves less than 2 %; "
        "in a long stretch each there and back of what it asks for counts. " + _TELLS
    ),
    FaultKind.HOLD_BYPASSED: (
        "A warm-up: two minutes of released firing, further below the hold than the dial's tolerance and 2 psi, with "
        "the fuel valve more than 20 % of its stroke above low fire. " + _TELLS
    ),
    FaultKind.GAUGE_OFFSET: (
        "The logged pressure is more than 3 psi off, and in an hour there are ten minutes of steaming in a log that "
        "has the temperature of the steam; or the boiler stands vented at nought for ten minutes."
    ),
    FaultKind.HIGH_LIMIT_ACTING: "A stop at the high limit.",
    FaultKind.NON_PRESSURE_STOPS: (
        "A stop by level, flame, air or operator that nobody planned, further below the cut-out than the dial's "
        "tolerance and 2 psi."
    ),
    FaultKind.HUNTING: (
        "A full swing of the fuel valve, there and back by 15 % of the stroke or more, three minutes or more after "
        "release and six rows long or more, while what steam and cold feed ask of the fire changes by less than two "
        "thirds of what the fire does; only rows of three or more that follow each other count. " + _TELLS
    ),
}
SHOWN: Final = (
    "Sound rows are rows whose pressure is not missing, stuck or a spike; they have to stand within two intervals on "
    "both sides, and a stop counts only with two intervals of flame before it and two without after it."
)


def rule_of(kind: FaultKind) -> str:
    """The whole rule in words."""
    return f"{RULES[kind]} {SHOWN} At least {ENOUGH} times."


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """All that the rules look at."""

    boiler: Boiler
    hidden: Hidden
    draw: Floats
    """Steam that the plant asks for [kg/s]"""
    seen: Seen
    layout: Layout
    offset: float
    """Of the logged pressure [Pa]"""
    planned: Floats
    """Seconds of planned stops"""
    asks_for_columns: bool = True
    """Whether a situation counts only where the log has the columns that tell it"""

    @property
    def interval(self) -> float:
        """Longest usual time between rows [s]."""
        return float(max(self.layout.intervals))

    def is_seen(self, second: float) -> bool:
        """Whether sound rows stand around a second."""
        return self.seen.shows(second, 2.0 * self.interval + 1.0)

    @property
    def has_firing(self) -> bool:
        """Whether the log tells how hard the burner fires."""
        return not self.asks_for_columns or self.layout.has(Role.FIRING, Role.FUEL)

    def runs(self) -> list[tuple[int, int]]:
        """Stretches of released firing, from and to [s]."""
        return stretches(self.hidden.column(PHASE) == RUN)


def stretches(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """From and to of every stretch that is true."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return [(int(begin), int(end)) for begin, end in zip(edges[::2], edges[1::2], strict=True)]


def occurrences(kind: FaultKind, evidence: Evidence) -> tuple[float, ...]:
    """Seconds at which the situation of a fault happened and the log shows it."""
    match kind:
        case FaultKind.CUT_OUT_DRIFT:
            found = _drifted(evidence)
        case FaultKind.RANGE_TOO_WIDE:
            found = _above_low_fire(evidence) if not _dials_put_it_in_band(evidence.boiler) else []
        case FaultKind.CUT_OUT_IN_BAND:
            found = _above_low_fire(evidence) if _dials_put_it_in_band(evidence.boiler) else []
        case FaultKind.ACTUATOR_STUCK:
            found = _not_moving(evidence)
        case FaultKind.HOLD_BYPASSED:
            found = _not_held(evidence)
        case FaultKind.GAUGE_OFFSET:
            found = _off(evidence)
        case FaultKind.HIGH_LIMIT_ACTING:
            found = [at for at, stop in _stops(evidence) if stop[1] == AT_HIGH_LIMIT]
        case FaultKind.NON_PRESSURE_STOPS:
            found = _not_by_pressure(evidence)
        case FaultKind.HUNTING:
            found = _hunting(evidence)
    return tuple(found)


def _stops(evidence: Evidence) -> list[tuple[float, Floats]]:
    """Stops that the log can show: sound rows around them, and flame before and none after for two rows at least."""
    flames = evidence.hidden.starts[:, 1]
    two = 2.0 * evidence.interval
    found = []
    for stop in evidence.hidden.stops:
        at = float(stop[0])
        place = int(np.searchsorted(flames, at))
        begun = flames[place - 1] if place else -np.inf
        following = flames[place] if place < len(flames) else np.inf
        if at - begun >= two and following - at >= two and evidence.is_seen(at):
            found.append((at, stop))
    return found


def _dials_put_it_in_band(boiler: Boiler) -> bool:
    dials = boiler.believed
    return dials.cut_out < dials.fire_point + dials.fire_range


def _drifted(evidence: Evidence) -> list[float]:
    pressure = evidence.hidden.column(LOGGED)
    column = next(each for each in evidence.layout.columns if each.role is Role.PRESSURE)
    half = 0.5 * column.unit.quantum * column.unit.factor
    found = []
    for at, stop in _stops(evidence):
        if stop[1] != AT_OPERATING_LIMIT:
            continue
        now = int(at)
        slope = abs(pressure[now] - pressure[max(0, now - 10)]) / 10.0
        # An offset that was planted is another fault, and does not hide this one from whoever knows the truth.
        small = min(abs(evidence.offset), PSI)
        off = abs(stop[3] - evidence.boiler.believed.cut_out * PSI) - evidence.boiler.tolerance * PSI
        if off > PSI + slope * evidence.interval + half + small:
            found.append(at)
    return found


def _above_low_fire(evidence: Evidence) -> list[float]:
    works = evidence.boiler.works
    is_misset = works.action == PROPORTIONAL and works.fire_point + works.fire_range > works.cut_out
    if not evidence.has_firing or not is_misset:
        return []
    phase = evidence.hidden.column(PHASE)
    return [
        at
        for at, stop in _stops(evidence)
        if stop[1] == AT_OPERATING_LIMIT
        and stop[4] > SWING
        and at > 30.0
        and bool(np.all(phase[int(at) - 30 : int(at)] == RUN))
    ]


def _not_moving(evidence: Evidence) -> list[float]:
    if not evidence.has_firing or evidence.boiler.works.action not in (PROPORTIONAL, WITH_RESET):
        return []
    demand, position = evidence.hidden.column(DEMAND), evidence.hidden.column(POSITION)
    found = []
    for released, end in evidence.runs():
        # The run in which it sticks counts from there on: before, it moved.
        sticks = evidence.boiler.works.stuck_from
        begin = int(sticks) if released < sticks < end else released
        shortest = max(15.0, evidence.boiler.works.stroke, 4.0 * evidence.interval)
        if end - begin < shortest or not (evidence.is_seen(begin + 5.0) and evidence.is_seen(end - 5.0)):
            continue
        if np.ptp(demand[begin:end]) >= 0.4 and np.ptp(position[begin:end]) < 0.02:
            # A long run may show it several times: once for every there and back of the demand.
            found += [float(begin + at) for at in _turns(demand[begin:end], 0.4)[::2]] or [float(begin)]
    return found


def _not_held(evidence: Evidence) -> list[float]:
    boiler = evidence.boiler
    if not evidence.has_firing or boiler.believed.hold <= 0.0 or boiler.action == ON_OFF:
        return []
    limit = (boiler.believed.hold - boiler.tolerance - 2.0) * PSI
    hidden = evidence.hidden
    flags = (hidden.column(PHASE) == RUN) & (hidden.column(PRESSURE) < limit) & (hidden.column(POSITION) > 0.2)
    return [float(begin) for begin, end in stretches(flags) if end - begin >= 120 and evidence.is_seen(begin + 60.0)]


def _off(evidence: Evidence) -> list[float]:
    if abs(evidence.offset) <= 3.0 * PSI:
        return []
    hidden = evidence.hidden
    if evidence.layout.has(Role.STEAM_TEMPERATURE) or not evidence.asks_for_columns:
        steaming = (hidden.column(PRESSURE) > 1e5) & _has_rows(evidence)
        hours = np.add.reduceat(steaming, np.arange(0, len(steaming), 3600))
        return [3600.0 * hour for hour in np.flatnonzero(hours >= 600)]
    cold = (hidden.column(SHORT) > 0.0) & (hidden.column(PHASE) < LOW) & _has_rows(evidence)
    return [float(begin) for begin, end in stretches(cold) if end - begin >= 600]


def _has_rows(evidence: Evidence) -> NDArray[np.bool_]:
    """For every second whether a sound row stands near before it."""
    flags = np.zeros(len(evidence.hidden.trace) + 1, dtype=np.int64)
    sound = evidence.seen.seconds[evidence.seen.is_sound]
    reach = int(2.0 * evidence.interval + 1.0)
    np.add.at(flags, sound, 1)
    np.add.at(flags, np.minimum(sound + reach, len(flags) - 1), -1)
    return np.cumsum(flags[:-1]) > 0


def _not_by_pressure(evidence: Evidence) -> list[float]:
    boiler = evidence.boiler
    limit = min(boiler.believed.cut_out * PSI, boiler.works.cut_out) - (boiler.tolerance + 2.0) * PSI
    return [
        at
        for at, stop in _stops(evidence)
        if stop[1] > AT_HIGH_LIMIT and stop[2] < limit and not np.any(np.abs(evidence.planned - at) < 2.0)
    ]


def _turns(values: Floats, size: float) -> list[int]:
    """Places at which values turn, swings smaller than a size left out."""
    turns: list[int] = []
    way = high = low = 0
    listed = values.tolist()
    for place, value in enumerate(listed):
        if value > listed[high]:
            high = place
        if value < listed[low]:
            low = place
        if way >= 0 and listed[high] - value >= size:
            turns.append(high)
            way, low = -1, place
        elif way <= 0 and value - listed[low] >= size:
            turns.append(low)
            way, high = 1, place
    return turns


def _hunting(evidence: Evidence) -> list[float]:
    if not evidence.has_firing or evidence.boiler.works.action not in (PROPORTIONAL, WITH_RESET):
        return []
    found: list[float] = []
    for begin, end in evidence.runs():
        if end - begin > 300:
            found += _swings(evidence, begin + 180, end)
    return found


def _swings(evidence: Evidence, begin: int, end: int) -> list[float]:
    """Full swings in one run that follow each other at least three times."""
    hidden, boiler = evidence.hidden, evidence.boiler
    position, held = hidden.column(POSITION), hidden.column(HELD)
    turns = [begin + at for at in _turns(position[begin:end], SWING)]
    outer = evidence.draw * liquid_to_steam(boiler) + hidden.column(FEED) * feed_heat(boiler)
    whole = boiler.heat_high - boiler.heat_low
    row: list[float] = []
    found: list[float] = []
    for first, middle, last in zip(turns[:-2:2], turns[1:-1:2], turns[2::2], strict=False):
        swing = min(abs(position[middle] - position[first]), abs(position[last] - position[middle])) * whole
        own = not held[first : last + 1].any() and np.ptp(outer[first : last + 1]) < swing / 1.5
        is_wide = last - first >= 6.0 * evidence.interval
        if own and is_wide and evidence.is_seen(0.5 * (first + last)):
            row.append(float(first))
            continue
        found += row if len(row) >= ENOUGH else []
        row = []
    return found + (row if len(row) >= ENOUGH else [])

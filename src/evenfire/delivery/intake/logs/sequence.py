"""In which order the rows of one file come, and what its clock did: set by an hour, or running through."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

Times = NDArray[np.int64]
SECOND: Final = 1_000_000
"""[us]"""
HOUR: Final = 3600 * SECOND
DAY: Final = 24 * HOUR
MOST_JUMPS: Final = 200
MOST_BACKWARD: Final = 0.01
"""A file in which a greater share of rows is earlier than the one before has no order to learn from [1]."""


@dataclass(frozen=True, slots=True)
class Jump:
    """A step of about an hour between two rows."""

    row: int
    """The later one, counted from 0 among the rows of the file that have a time"""
    before: int
    """[us]"""
    after: int
    """[us]"""


@dataclass(slots=True)
class Sequence:
    """What is known of the order of rows so far; it grows while a file is read."""

    rows: int = 0
    last: int | None = None
    backward: int = 0
    still: int = 0
    step: float = 0.0
    """Usual interval, of the first block that has one [us]"""
    jumps: list[Jump] = field(default_factory=list)

    def add(self, times: Times) -> NDArray[np.bool_]:
        """Take in the times of the next rows; which of them are earlier than the one before."""
        begin = times[0] if self.last is None else self.last
        steps = np.diff(times, prepend=begin)
        first = 1 if self.last is None else 0
        is_backward = steps < 0
        self.backward += int(is_backward.sum())
        self.still += int((steps[first:] == 0).sum())
        rising = steps[steps > 0]
        if not self.step and len(rising):
            self.step = float(np.median(rising))
        for row in np.flatnonzero((np.abs(steps) > HOUR // 2) & (np.abs(steps) < 3 * HOUR))[:MOST_JUMPS]:
            if len(self.jumps) < MOST_JUMPS:
                before = int(times[row] - steps[row])
                self.jumps.append(Jump(self.rows + int(row), before, int(times[row])))
        self.last = int(times[-1])
        self.rows += len(times)
        return is_backward

    @property
    def has_order(self) -> bool:
        """Whether the rows come in the order of time but for a few."""
        return self.backward <= max(3.0, MOST_BACKWARD * self.rows)


def clock_changes(sequence: Sequence) -> tuple[tuple[int, int], ...]:
    """From which row on how much is to be added [us], where the clock was set by an hour as summer time begins or ends.

    Only in the night to a Sunday on which some country does so, and only where the rows would otherwise follow each
    other at their usual interval: any other hour is a gap, or rows out of order.
    """
    if not sequence.has_order:
        return ()
    slack = 10 * sequence.step + 60 * SECOND
    changes: list[tuple[int, int]] = []
    added = 0
    for jump in sequence.jumps:
        step = jump.after - jump.before
        for change in (HOUR, -HOUR):
            if 0 < step + change <= slack and _may_be_changed(jump.before):
                added += change
                changes.append((jump.row, added))
    return tuple(changes)


def _may_be_changed(time: int) -> bool:
    """Whether clocks are set somewhere in this night: on the Sundays of North America, Europe and the south."""
    moment = datetime.fromtimestamp(time / SECOND, tz=UTC)
    if moment.hour >= 4:
        moment += timedelta(hours=1)
    if moment.weekday() != 6 or moment.hour >= 4:
        return False
    is_last = (moment + timedelta(days=7)).month != moment.month
    place = (moment.day - 1) // 7 + 1
    return (moment.month, place) in {(3, 2), (11, 1), (4, 1), (10, 1)} or (moment.month in {3, 9, 10} and is_last)


def shifted(times: Times, first_row: int, changes: tuple[tuple[int, int], ...]) -> tuple[Times, int]:
    """Times with what is to be added, and how many rows that touched."""
    result = times.copy()
    touched = 0
    for place, (row, added) in enumerate(changes):
        behind = changes[place + 1][0] if place + 1 < len(changes) else first_row + len(times)
        low, high = max(0, row - first_row), min(len(times), behind - first_row)
        if low < high:
            result[low:high] = times[low:high] + added
            touched += high - low if added else 0
    return result, touched

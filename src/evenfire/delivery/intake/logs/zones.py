"""From the clock of a zone to UTC, through the hour that it shows twice and the one that it never shows."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

import numpy as np
import polars as pl
from numpy.typing import NDArray

from evenfire.delivery.intake.logs.log import Reason
from evenfire.delivery.intake.logs.refusing import refuse
from evenfire.delivery.intake.logs.sequence import HOUR, Times
from evenfire.delivery.intake.logs.tallying import Tallies, place

_MOST_NEVER: Final = 2
"""Rows in the hour that is skipped; more of them show that the clock was never set."""


@dataclass(slots=True)
class ZonedClock:
    """Turns the times of one file, in the order of its rows, into UTC."""

    zone: str
    file: str
    has_order: bool
    tallies: Tallies
    never: int = 0
    last: int | None = None
    is_second: bool = False
    was_twice: bool = False

    def utc(self, times: Times) -> tuple[Times, NDArray[np.bool_]]:
        """Times in UTC [us], and which rows keep one.

        Raises
        ------
        BadLog
            The log runs through an hour that the clock of its zone skips.
        """
        local = pl.Series(times).cast(pl.Datetime("us"))
        early = _replaced(local, self.zone, "earliest")
        late = _replaced(local, self.zone, "latest")
        exists = early.is_not_null().to_numpy()
        self._count_never(local, exists)
        first = early.fill_null(0).to_numpy()
        twice = exists & (first != late.fill_null(0).to_numpy())
        keeps = exists
        result = first.copy()
        if twice.any():
            if self.has_order:
                second = self._second_time(times, twice)
                result[second] = late.fill_null(0).to_numpy()[second]
            else:
                self.tallies.add(Reason.TWICE_ON_THE_CLOCK, int(twice.sum()), None)
                keeps = exists & ~twice
        else:
            self.was_twice = self.is_second = False
        self.last = int(times[-1])
        return result, keeps

    def _second_time(self, times: Times, twice: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Which rows of the hour that the clock shows twice are those of its second time: those after it went back."""
        second = np.zeros(len(times), dtype=bool)
        steps = np.diff(times, prepend=times[0] if self.last is None else self.last)
        for row in range(int(np.argmax(twice)), len(times)):
            if not twice[row]:
                if not twice[row:].any():
                    self.was_twice = self.is_second = False
                    break
                self.was_twice = self.is_second = False
                continue
            if steps[row] < -HOUR // 2:
                self.is_second = True
            elif not self.was_twice:
                self.is_second = False
            self.was_twice = True
            second[row] = self.is_second
        return second

    def _count_never(self, local: pl.Series, exists: NDArray[np.bool_]) -> None:
        missing = int((~exists).sum())
        if not missing:
            return
        self.never += missing
        example = local.filter(pl.Series(~exists))[0]
        if self.never > _MOST_NEVER:
            standard = _offset_before(self.zone, example)
            refuse(
                self.file,
                f"it has rows at {example:%Y-%m-%d %H:%M}, in the hour that a clock of {self.zone} skips, so its clock "
                "was not set to summer time",
                f'Write zone = "{standard}" under [log] of the plant file, or the offset that its clock had.',
            )
        self.tallies.add(
            Reason.NEVER_ON_THE_CLOCK, missing, None, lambda most: [place(self.file, None, str(example))][:most]
        )


def _replaced(local: pl.Series, zone: str, ambiguous: str) -> pl.Series:
    choice = pl.Series([ambiguous])
    frame = pl.DataFrame({"t": local})
    expression = pl.col("t").dt.replace_time_zone(zone, ambiguous=pl.lit(choice[0]), non_existent="null")
    return frame.select(expression.dt.epoch("us")).to_series()


def _offset_before(zone: str, moment: datetime) -> str:
    before = (moment - timedelta(hours=6)).replace(tzinfo=ZoneInfo(zone))
    offset = before.utcoffset() or timedelta()
    minutes = round(offset.total_seconds() / 60)
    sign = "-" if minutes < 0 else "+"
    return f"UTC{sign}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def moment(time: int) -> datetime:
    """A time in UTC microseconds as a value."""
    return datetime.fromtimestamp(0, tz=UTC) + timedelta(microseconds=time)

"""When something comes due again: an interval, and the day that it leads to. Days come in; there is no clock here."""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from evenfire.plant.possible import require_between
from evenfire.si import Dimension

DAYS_A_YEAR: Final = 365.25
DAYS_A_MONTH: Final = DAYS_A_YEAR / 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """Days or calendar months, one of the two."""

    days: int | None = None
    months: int | None = None

    def __post_init__(self) -> None:
        given = [count for count in (self.days, self.months) if count is not None]
        require_between("interval", len(given), 1, 1, Dimension.NUMBER)
        require_between("interval", given[0], 1, 36_600, Dimension.NUMBER)


def due_on(last: date, interval: Interval) -> date:
    """The day on which it comes due; the last day of a month that is too short for it."""
    if interval.days is not None:
        return last + timedelta(days=interval.days)
    year, month = divmod(last.year * 12 + last.month - 1 + (interval.months or 0), 12)
    return date(year, month + 1, min(last.day, monthrange(year, month + 1)[1]))

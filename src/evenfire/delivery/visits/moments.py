"""Days and times that cannot be meant: a mistyped year would postpone the next test by as much."""

from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Final

from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.fields import Holds, kind_of, moment
from evenfire.delivery.visits.folding import folded

ASSUMED_MOST_AHEAD: Final = timedelta(days=1)
"""Of the clock that stamped the entry: the clock on the wall may be in a zone up to 14 hours ahead of UTC."""
ASSUMED_MOST_BEFORE: Final = timedelta(days=60)
"""Before the visit was opened: a call is written up within days, and a wrong month or year lies further off."""


def unlikely_moments(entries: Iterable[Entry], opened_at: datetime) -> tuple[str, ...]:
    """Fields with a day and time later than when it was typed, or long before the visit was opened; by path."""
    return tuple(sorted(_unlikely(entries, opened_at.astimezone(UTC).replace(tzinfo=None))))


def _unlikely(entries: Iterable[Entry], opened_at: datetime) -> Iterator[str]:
    draft = folded(entries)
    for path in draft.fields:
        entry = draft.entry(path)
        if entry is None or kind_of(path) is not Holds.MOMENT:
            continue
        told, typed_at = moment(entry.text), entry.at.replace(tzinfo=None)
        if told > typed_at + ASSUMED_MOST_AHEAD or told < opened_at - ASSUMED_MOST_BEFORE:
            yield path

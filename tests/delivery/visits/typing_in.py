"""Entries as a person types them, for the tests of visits."""

from datetime import UTC, datetime, timedelta
from uuid import UUID

from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.fields import typed

VISIT = "3f2a0000-0000-4000-8000-000000000001"
NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


def entry(number: int, path: str, text: str, *, based_on: tuple[int, ...] = (), minute: int | None = None) -> Entry:
    """The entry of that number, typed so many minutes after noon."""
    means = typed(path, text)
    return Entry(
        id=name(number),
        draft=VISIT,
        path=path,
        text=text,
        unit=means.unit,
        si=means.si,
        why_not=means.why_not,
        author="tech-1",
        device="phone",
        at=NOON + timedelta(minutes=number if minute is None else minute),
        based_on=tuple(name(each) for each in based_on),
    )


def name(number: int) -> str:
    """The id of the entry of that number."""
    return str(UUID(int=number))

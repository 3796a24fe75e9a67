"""What the tests of the store put into one: an invented person at an invented laundry, and what she types."""

import uuid
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from evenfire.delivery.records import drafts, registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import KeptDraft
from evenfire.delivery.records.registers import KeptBoiler, May, Person
from evenfire.delivery.visits.entry import Entry

EXAMPLES = Path(__file__).parents[3] / "examples"
LAUNDRY = (EXAMPLES / "laundry.toml").read_bytes()
FIRST = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
NAMES = uuid.UUID("6f0d3c8e-7a43-4c62-9d3f-5d2b8a3f1c10")


@dataclass(frozen=True)
class AtWork:
    """Somebody on a visit."""

    person: Person
    boiler: KeptBoiler
    visit: KeptDraft


def named_id(name: str) -> str:
    """An id that is the same every time."""
    return str(uuid.uuid5(NAMES, name))


def at_work(store: Store) -> AtWork:
    """A store with a person, the laundry, and a visit that is open."""
    person = registers.add_person(store, "Ada Quill", licence="B-1204", may=May.SIGN)
    revision = surveys.take(store, LAUNDRY, "laundry.toml", by=person.id).revision
    (boiler,) = revision.boilers
    visit = drafts.open_visit(store, boiler=boiler, by=person.id)
    return AtWork(person=person, boiler=registers.boilers_of(store)[0], visit=visit)


def entry(at: AtWork, number: int, *based_on: str, text: str | None = None, path: str = "note.1.text") -> Entry:
    """The entry of that number; the same every time."""
    return Entry(
        id=named_id(f"{at.visit.id} {number}"),
        draft=at.visit.id,
        path=path,
        text=f"reading {number}" if text is None else text,
        author=at.person.id,
        device="phone",
        at=FIRST + timedelta(seconds=number),
        based_on=based_on,
    )


def chain(at: AtWork, number: int) -> tuple[Entry, ...]:
    """So many entries in one field, each of which replaces the one before."""
    made: list[Entry] = []
    for each in range(number):
        made.append(entry(at, each, *(last.id for last in made[-1:])))
    return tuple(made)

"""Opening the store that a command works on."""

from collections.abc import Iterator
from contextlib import contextmanager

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.place import default_place


@contextmanager
def opened(place: str | None) -> Iterator[Store]:
    """The store at that place, or the one that a person's own settings name; let go of at the end.

    Raises
    ------
    BadStore
        It cannot be opened.
    """
    with Store.open(default_place() if place is None else place) as store:
        yield store

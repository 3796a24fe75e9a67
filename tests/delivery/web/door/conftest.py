"""A door for tests."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from evenfire.delivery.records.database import Store
from evenfire.delivery.web.door.arrival import Reach
from tests.delivery.web.door.at_door import ON_LOOPBACK, AtDoor

MakeDoor = Callable[[Reach], AtDoor]


@pytest.fixture
def make_door(tmp_path: Path) -> Iterator[MakeDoor]:
    """A door that is reached in a way."""
    made: list[AtDoor] = []

    def door(how: Reach) -> AtDoor:
        made.append(AtDoor(Store.open(tmp_path / f"{len(made)}.sqlite"), tmp_path, how))
        return made[-1]

    yield door
    for each in made:
        for client in each.open:
            client.close()
        each.store.close()


@pytest.fixture
def door(make_door: MakeDoor) -> AtDoor:
    """A door on loopback, of a store without people."""
    return make_door(ON_LOOPBACK)

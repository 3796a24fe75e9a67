"""Pages for tests without the door: the test says who asks, and every route still weighs what he or she may do."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from starlette.types import ASGIApp, Receive, Scope, Send

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import May, Person, add_person
from evenfire.delivery.web.application import application
from evenfire.delivery.web.door.visitor import Visitor

TOKEN = "token-of-the-tests"
HEADERS = {"X-Evenfire-Token": TOKEN}

Asking = Callable[[May | None], TestClient]


class Known:
    """Lets one person in, as the guard would after a login; nobody where there is no person."""

    def __init__(self, app: ASGIApp, person: Person | None) -> None:
        self.app = app
        self.person = person

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and self.person is not None:
            visitor = Visitor(
                person=self.person, session="s1", csrf=TOKEN, device=f"phone of {self.person.name}", is_unnamed=False
            )
            scope.setdefault("state", {})["visitor"] = visitor
        await self.app(scope, receive, send)


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Store]:
    """A new store in a file."""
    with Store.open(tmp_path / "kept" / "store.sqlite") as opened:
        yield opened


@pytest.fixture
def asking(kept: Store) -> Iterator[Asking]:
    """Gives a client for somebody who may do that much; the same person each time."""
    people = {may: add_person(kept, f"Somebody who may {may.value}", licence="", may=may) for may in May}
    app = application(kept)
    clients: list[TestClient] = []

    def client(may: May | None) -> TestClient:
        person = None if may is None else people[may]
        made = TestClient(Known(app, person), headers=HEADERS, follow_redirects=False)
        clients.append(made)
        return made

    yield client
    for each in clients:
        each.close()

"""Stores for tests: each test that asks for one runs on a file and on a database server."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from evenfire.delivery.records.database import Store
from tests.database_server import Server, end, new_server, programs

NO_SERVER = "this machine has no PostgreSQL programs under /usr/lib/postgresql, so nothing can be tested on a server"


@pytest.fixture(scope="session")
def database_server() -> Iterator[Server]:
    """A server that is quick because it does not wait for its disk."""
    if programs() is None:
        pytest.skip(NO_SERVER)
    server = new_server()
    yield server
    end(server)


@pytest.fixture(scope="session")
def careful_server() -> Iterator[Server]:
    """A server that waits for its disk, as one in use does."""
    if programs() is None:
        pytest.skip(NO_SERVER)
    server = new_server(syncs=True)
    yield server
    end(server)


@pytest.fixture(params=["file", "server"])
def store_place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A place where no store is yet."""
    if request.param == "file":
        yield str(tmp_path / "kept" / "store.sqlite")
        return
    server = request.getfixturevalue("database_server")
    assert isinstance(server, Server)
    url = server.new_database()
    yield url
    server.drop(url)


@pytest.fixture
def store_folder(tmp_path: Path) -> Path:
    """Where the attachments of a store go."""
    return tmp_path / "kept" / "store.files"


@pytest.fixture
def store(store_place: str, store_folder: Path) -> Iterator[Store]:
    """A new store."""
    with Store.open(store_place, folder=store_folder) as opened:
        yield opened

"""Journeys: one person, one folder, one store, commands one after another."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.database_server import end, new_server, programs
from tests.journeys.terminal import Terminal


@pytest.fixture
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Terminal:
    """Somebody in an empty folder, who has named a place for the store."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("EVENFIRE_STORE", str(tmp_path / "mine" / "store.sqlite"))
    monkeypatch.setenv("EVENFIRE_PASSPHRASE", "the kettle sings at noon")
    monkeypatch.setenv("COLUMNS", "80")
    return Terminal(folder=tmp_path, here=monkeypatch, read=capsys)


@pytest.fixture(scope="session")
def database() -> Iterator[str]:
    """The URL of an empty database on a server that is there for these tests alone."""
    if programs() is None:
        pytest.skip("this machine has no PostgreSQL programs under /usr/lib/postgresql")
    server = new_server()
    yield server.new_database()
    end(server)

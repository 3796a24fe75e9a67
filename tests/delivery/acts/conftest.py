"""Calls at the laundry: made once as far as they are the same for many tests, and copied for each."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from tests.delivery.acts.on_visit import DAY, FOUND, WHOLE, Call, Clock, copy_of, new_store, opened


@pytest.fixture
def clock() -> Clock:
    """Two hours after the stores were made."""
    return Clock(DAY + timedelta(hours=2))


@pytest.fixture(scope="session")
def _stages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Path, str]]:
    """A store at each stage of one call: found, settled, ready to be signed."""
    made: dict[str, tuple[Path, str]] = {}
    folder = tmp_path_factory.mktemp("call")
    place = folder / "now" / "store.sqlite"
    store = new_store(place)
    call = Call(store, folder, opened(store, folder))
    for name, does in (
        ("opened", lambda: None),
        ("found", lambda: call.enter(FOUND)),
        ("settled", call.settled),
        ("ready", lambda: call.enter({**FOUND, **WHOLE})),
    ):
        does()
        store.close()
        kept = copy_of(place, folder / name, Clock())
        made[name] = (Path(kept.place), call.visit)
        kept.close()
    return made


def _call(stage: tuple[Path, str], folder: Path, clock: Clock) -> Iterator[Call]:
    with copy_of(stage[0], folder, clock) as store:
        yield Call(store, folder, stage[1])


@pytest.fixture
def call(_stages: dict[str, tuple[Path, str]], tmp_path: Path, clock: Clock) -> Iterator[Call]:
    """A visit that was opened, and nothing more."""
    yield from _call(_stages["opened"], tmp_path, clock)


@pytest.fixture
def found(_stages: dict[str, tuple[Path, str]], tmp_path: Path, clock: Clock) -> Iterator[Call]:
    """Every dial was read as found."""
    yield from _call(_stages["found"], tmp_path, clock)


@pytest.fixture
def settled(_stages: dict[str, tuple[Path, str]], tmp_path: Path, clock: Clock) -> Iterator[Call]:
    """Settings are proposed."""
    yield from _call(_stages["settled"], tmp_path, clock)


@pytest.fixture
def ready(_stages: dict[str, tuple[Path, str]], tmp_path: Path, clock: Clock) -> Iterator[Call]:
    """Nothing stands against signing."""
    yield from _call(_stages["ready"], tmp_path, clock)

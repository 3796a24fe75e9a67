import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from evenfire.delivery.records import registers
from evenfire.delivery.records.backup import BackupDone, backup
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.restoring import restore
from evenfire.errors import BadStore

NOW = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
ASIDE = "store.sqlite.before-restore-20260302T093000Z"


@pytest.fixture
def place(tmp_path: Path) -> Path:
    return tmp_path / "kept" / "store.sqlite"


@pytest.fixture
def made(place: Path, tmp_path: Path) -> BackupDone:
    """A backup of the store at that place, which is closed."""
    with Store.open(place) as store:
        registers.add_site(store, "before")
        return backup(store, tmp_path / "backup.tar")


def sites(path: Path) -> list[str]:
    with Store.open(path) as store:
        return [site.name for site in registers.sites_of(store)]


def test_over_a_store_that_went_on_nothing_is_restored(place: Path, made: BackupDone) -> None:
    with Store.open(place) as store:
        registers.add_site(store, "after")
    with pytest.raises(BadStore, match="the store there is newer than the backup: 2 changes against 1"):
        restore(made.path, place)
    assert sites(place) == ["after", "before"]
    assert [path.name for path in place.parent.iterdir()] == ["store.sqlite"]


def test_over_the_same_state_the_store_that_stood_there_is_set_aside_whole(place: Path, made: BackupDone) -> None:
    told = restore(made.path, place, clock=lambda: NOW)
    assert told.set_aside == place.parent / ASIDE
    assert sites(place) == ["before"]
    assert sites(told.set_aside) == ["before"]
    again = restore(made.path, place, clock=lambda: NOW)
    assert again.set_aside == place.parent / f"{ASIDE}-2"


def test_over_an_older_store_the_newer_backup_is_restored(place: Path, made: BackupDone, tmp_path: Path) -> None:
    with Store.open(place) as store:
        registers.add_site(store, "after")
        newer = backup(store, tmp_path / "newer.tar")
    place.unlink()
    restore(made.path, place)
    told = restore(newer.path, place)
    assert told.set_aside is not None
    assert sites(place) == ["after", "before"]
    assert sites(told.set_aside) == ["before"]


def test_over_another_store_nothing_is_restored(place: Path, made: BackupDone, tmp_path: Path) -> None:
    other = tmp_path / "other" / "store.sqlite"
    Store.open(other).close()
    with pytest.raises(BadStore, match="another store is there"):
        restore(made.path, other)
    assert sites(other) == []
    assert sites(place) == ["before"]


def test_over_a_store_that_a_program_has_open_nothing_is_restored(place: Path, made: BackupDone) -> None:
    with Store.open(place) as store:
        with pytest.raises(BadStore, match="another program has this store open"):
            restore(made.path, place)
        registers.add_site(store, "still writing")
    assert sites(place) == ["before", "still writing"]


def test_over_a_database_of_another_program_nothing_is_restored(made: BackupDone, tmp_path: Path) -> None:
    path = tmp_path / "recipes.sqlite"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE soup (name TEXT)")
    other.close()
    before = path.read_bytes()
    with pytest.raises(BadStore, match="a database of another program"):
        restore(made.path, path)
    assert path.read_bytes() == before


def test_a_damaged_store_is_set_aside_with_what_lies_beside_it(place: Path, made: BackupDone) -> None:
    place.write_bytes(b"\x55" * 8192)
    log = place.with_name("store.sqlite-wal")
    log.write_bytes(b"\xaa" * 100)
    told = restore(made.path, place, clock=lambda: NOW)
    assert told.set_aside is not None
    assert told.set_aside.read_bytes() == b"\x55" * 8192
    assert told.set_aside.with_name(f"{ASIDE}-wal").read_bytes() == b"\xaa" * 100
    assert sites(place) == ["before"]


def test_a_backup_that_is_not_good_touches_nothing(place: Path, made: BackupDone) -> None:
    content = bytearray(made.path.read_bytes())
    content[20_000] ^= 1
    made.path.write_bytes(content)
    before = place.read_bytes()
    with pytest.raises(BadStore, match="the backup is not good"):
        restore(made.path, place)
    assert place.read_bytes() == before
    assert [path.name for path in place.parent.iterdir()] == ["store.sqlite"]


def test_a_restored_store_is_made_in_a_new_folder_with_nothing_left_over(made: BackupDone, tmp_path: Path) -> None:
    place = tmp_path / "new" / "deep" / "store.sqlite"
    restore(made.path, place)
    assert [path.name for path in place.parent.iterdir()] == ["store.sqlite"]
    assert sites(place) == ["before"]

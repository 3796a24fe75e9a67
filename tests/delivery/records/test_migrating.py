import sqlite3
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, text

from evenfire.delivery.records import migrating, registers, restoring
from evenfire.delivery.records.backup import automatic_backups, examine
from evenfire.delivery.records.connecting import mark_as_store, postgresql_engine, sqlite_engine
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.entries import record
from evenfire.delivery.records.migrating import LAYOUT, layout_of, migrate
from evenfire.delivery.records.place import is_url
from evenfire.delivery.records.tables import metadata
from evenfire.errors import BadStore
from tests.delivery.records.store_examples import at_work, entry, named_id

STEPS = Path(migrating.__file__).with_name("migrations")
FIRST = "0001"
SITE, BOILER = named_id("site"), named_id("boiler")

# Rows as the first layout held them, written by hand.
ROWS_OF_0001 = (
    f"INSERT INTO store VALUES (1, '{named_id('store')}', 41, '2026-03-02T09:30:00.000000Z')",
    f"INSERT INTO sites VALUES ('{SITE}', 'Gull Quay Laundry', 'Quay Road', '2026-03-02T09:30:00.000000Z')",
    f"INSERT INTO boilers VALUES ('{BOILER}', '{SITE}', 'No. 1', '4711', '2026-03-02T09:31:00.000000Z')",
    f"INSERT INTO people VALUES ('{named_id('Ada')}', 'Ada Quill', 'B-1204', 'sign', '2026-03-02T09:32:00.000000Z')",
)


def engine_at(place: str) -> Engine:
    if is_url(place):
        return postgresql_engine(place, place)
    Path(place).parent.mkdir(parents=True, exist_ok=True)
    return sqlite_engine(place)


@pytest.fixture
def older_place(store_place: str) -> str:
    """A store of the first layout with something in it."""
    engine = engine_at(store_place)
    with engine.begin() as connection:
        migrate(connection, FIRST)
        mark_as_store(connection)
        for row in ROWS_OF_0001:
            connection.execute(text(row))
    engine.dispose()
    return store_place


def layout_at(place: str) -> str | None:
    engine = engine_at(place)
    with engine.connect() as connection:
        layout = layout_of(connection)
    engine.dispose()
    return layout


def test_the_steps_end_at_the_layout_that_the_program_knows_and_follow_each_other() -> None:
    steps = ScriptDirectory(str(STEPS))
    assert steps.get_heads() == [LAYOUT]
    numbers = [each.revision for each in steps.walk_revisions()]
    assert numbers == [f"{number:04d}" for number in range(int(LAYOUT), 0, -1)]


def test_the_steps_make_the_tables_that_the_program_writes(store: Store) -> None:
    with store.read() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_an_older_store_is_brought_up_with_everything_in_it_after_a_backup(
    older_place: str, store_folder: Path, tmp_path: Path
) -> None:
    with Store.open(older_place, folder=store_folder) as store:
        assert store.identity == named_id("store")
        (boiler,) = registers.boilers_of(store)
        assert (boiler.id, boiler.site.address, boiler.serial) == (BOILER, "Quay Road", "4711")
        assert boiler.registration is None
        assert [each.name for each in registers.people_of(store)] == ["Ada Quill"]
        at = at_work(store)
        assert record(store, entry(at, 1)).is_new
        with store.read() as connection:
            assert compare_metadata(MigrationContext.configure(connection), metadata) == []
    assert layout_at(older_place) == LAYOUT
    (made,) = automatic_backups(store)
    manifest = examine(made)
    assert manifest.snapshot.layout == FIRST
    assert manifest.snapshot.counter == 41
    # The backup is of the older layout, and is restored and brought up like any other.
    copy = tmp_path / "copy" / "store.sqlite"
    restoring.restore(made, copy)
    assert layout_at(str(copy)) == FIRST
    with Store.open(copy) as again:
        assert registers.boilers_of(again)[0].serial == "4711"
    assert layout_at(str(copy)) == LAYOUT


def test_a_store_of_the_present_layout_gets_no_backup_for_being_opened(store_place: str, store_folder: Path) -> None:
    Store.open(store_place, folder=store_folder).close()
    with Store.open(store_place, folder=store_folder) as store:
        assert automatic_backups(store) == ()


def test_without_a_good_backup_nothing_is_brought_up(older_place: str, tmp_path: Path) -> None:
    blocked = tmp_path / "blocked"
    blocked.write_text("no folder")
    with pytest.raises(BadStore):
        Store.open(older_place, folder=blocked)
    assert layout_at(older_place) == FIRST


def test_a_step_that_fails_leaves_the_store_as_it_was(older_place: str, store_folder: Path) -> None:
    engine = engine_at(older_place)
    with engine.begin() as connection:
        # The second half of the step will find its name taken.
        connection.execute(text("CREATE INDEX ix_boilers_registration ON boilers (name)"))
    with pytest.raises(Exception, match="ix_boilers_registration"):
        Store.open(older_place, folder=store_folder)
    with engine.connect() as connection:
        assert layout_of(connection) == FIRST
        assert "registration" not in columns_of(connection)
    engine.dispose()


def columns_of(connection: Connection) -> set[str]:
    return set(connection.execute(text("SELECT * FROM boilers")).keys())


def test_the_database_file_says_whose_it_is(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    Store.open(path).close()
    connection = sqlite3.connect(path)
    (mark,) = connection.execute("PRAGMA application_id").fetchone()
    connection.close()
    assert mark.to_bytes(4, "big") == b"EVNF"

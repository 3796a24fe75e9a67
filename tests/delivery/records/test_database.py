import os
import shutil
import sqlite3
import stat
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import text

from evenfire.delivery.records import registers
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.migrating import LAYOUT
from evenfire.delivery.records.place import network_drive
from evenfire.delivery.records.registers import May
from evenfire.errors import BadStore
from tests.database_server import Server


@pytest.fixture
def file_store(tmp_path: Path) -> Path:
    """The path of a store that is closed."""
    path = tmp_path / "kept" / "store.sqlite"
    Store.open(path).close()
    return path


def pragma(store: Store, name: str, *, writing: bool) -> object:
    """Read back through the connections that the program itself reads and writes by."""
    with store.write() if writing else store.read() as connection:
        return connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()


# What each value means: SQLite's own documentation of pragmas, from memory (2 is FULL).
@pytest.mark.parametrize("writing", [False, True])
@pytest.mark.parametrize(
    ("name", "wanted"),
    [("journal_mode", "wal"), ("synchronous", 2), ("foreign_keys", 1), ("busy_timeout", 10_000), ("trusted_schema", 0)],
)
def test_every_connection_waits_for_the_disk_and_keeps_foreign_keys(
    file_store: Path, name: str, wanted: object, writing: bool
) -> None:
    with Store.open(file_store) as store:
        assert pragma(store, name, writing=writing) == wanted


def test_a_second_connection_of_the_pool_is_set_like_the_first(file_store: Path) -> None:
    with Store.open(file_store) as store, store.read() as first, store.read() as second:
        assert first.connection.driver_connection is not second.connection.driver_connection
        for connection in (first, second):
            assert connection.exec_driver_sql("PRAGMA synchronous").scalar_one() == 2
            assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar_one() == 1


def test_a_server_is_told_to_wait_for_its_disk(database_server: Server, tmp_path: Path) -> None:
    url = database_server.new_database()
    with Store.open(url, folder=tmp_path) as store:
        for reach in (store.read, store.write):
            with reach() as connection:
                assert connection.execute(text("SHOW synchronous_commit")).scalar_one() == "on"


def test_a_server_that_does_not_sync_is_warned_about_and_one_that_does_is_not(
    database_server: Server, careful_server: Server, tmp_path: Path
) -> None:
    with Store.open(database_server.new_database(), folder=tmp_path) as store:
        assert any("fsync = off" in each for each in store.warnings)
    with Store.open(careful_server.new_database(), folder=tmp_path) as store:
        assert store.warnings == ()


def test_a_transaction_that_reads_sees_one_moment(store: Store) -> None:
    with store.read() as connection:
        count = text("SELECT count(*) FROM people")
        assert connection.execute(count).scalar_one() == 0
        registers.add_person(store, "Ada Quill", licence="", may=May.WRITE)
        assert connection.execute(count).scalar_one() == 0
    with store.read() as connection:
        assert connection.execute(count).scalar_one() == 1


def test_a_block_that_raises_leaves_nothing_and_counts_nothing(store: Store) -> None:
    before = store.counter

    def fail() -> None:
        with store.write() as connection:
            connection.execute(text("INSERT INTO sites (id, name, address, added_at) VALUES ('x', 'x', '', '')"))
            raise KeyError

    with pytest.raises(KeyError):
        fail()
    assert registers.sites_of(store) == ()
    assert store.counter == before


def test_writers_wait_for_each_other_and_none_is_lost(store: Store) -> None:
    before = store.counter
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda number: registers.add_site(store, f"site {number}"), range(24)))
    assert len(registers.sites_of(store)) == 24
    assert store.counter == before + 24


def test_a_writer_that_waits_too_long_is_told_who_is_in_the_way(file_store: Path) -> None:
    with Store.open(file_store) as store:
        other = sqlite3.connect(file_store, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with store.read() as connection:
            # Shortened on the one connection of the pool, so that the test does not wait ten seconds.
            connection.exec_driver_sql("PRAGMA busy_timeout=50")
        with pytest.raises(BadStore, match="another program has been writing") as told:
            registers.add_site(store, "late")
        assert "not kept" in told.value.do
        other.execute("ROLLBACK")
        other.close()
        registers.add_site(store, "now")


def test_a_store_is_private_to_its_owner_with_everything_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "new" / "folder" / "store.sqlite"
    before = os.umask(0)
    try:
        with Store.open(path) as store:
            registers.add_site(store, "Gull Quay Laundry")
            there = sorted(path.parent.iterdir())
            assert [each.name for each in there] == ["store.sqlite", "store.sqlite-shm", "store.sqlite-wal"]
            for each in there:
                assert stat.S_IMODE(each.stat().st_mode) == 0o600
    finally:
        os.umask(before)
    for folder in (path.parent, path.parent.parent):
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_a_folder_that_was_there_keeps_its_mode(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    Store.open(tmp_path / "store.sqlite").close()
    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o755


def test_a_store_keeps_its_identity_and_another_has_its_own(store_place: str, tmp_path: Path) -> None:
    with Store.open(store_place, folder=tmp_path) as store:
        identity = store.identity
    with Store.open(store_place, folder=tmp_path) as store:
        assert store.identity == identity
    with Store.open(tmp_path / "other.sqlite") as other:
        assert other.identity != identity


def test_two_programs_that_open_a_new_place_at_once_make_one_store(store_place: str, tmp_path: Path) -> None:
    program = (
        "import sys\nfrom pathlib import Path\nfrom evenfire.delivery.records.database import Store\n"
        "print(Store.open(sys.argv[1], folder=Path(sys.argv[2])).identity)"
    )
    asked = [sys.executable, "-c", program, store_place, str(tmp_path)]
    both = [subprocess.Popen(asked, stdout=subprocess.PIPE, text=True) for _ in range(2)]
    told = {each.communicate(timeout=60)[0] for each in both}
    assert [each.returncode for each in both] == [0, 0]
    assert len(told) == 1


def test_a_newer_store_is_refused_with_one_sentence_and_left_as_it_is(store_place: str, tmp_path: Path) -> None:
    with Store.open(store_place, folder=tmp_path) as store, store.write() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '0099'"))
    with pytest.raises(BadStore, match=rf"a newer evenfire has written it \(layout 0099; .* knows {LAYOUT}\)"):
        Store.open(store_place, folder=tmp_path)


def test_a_database_of_another_program_is_refused_and_not_a_byte_of_it_changes(tmp_path: Path) -> None:
    path = tmp_path / "recipes.sqlite"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE soup (name TEXT)")
    other.close()
    before = path.read_bytes()
    with pytest.raises(BadStore, match="a database of another program"):
        Store.open(path)
    assert path.read_bytes() == before
    assert [each.name for each in tmp_path.iterdir()] == ["recipes.sqlite"]


def test_a_server_database_of_another_program_is_refused(database_server: Server, tmp_path: Path) -> None:
    url = database_server.new_database()
    with psycopg.connect(url) as connection:
        connection.execute("CREATE TABLE soup (name TEXT)")
    with pytest.raises(BadStore, match="a database of another program"):
        Store.open(url, folder=tmp_path)


def test_what_is_no_database_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("a shopping list\n" * 100)
    with pytest.raises(BadStore, match="no store of evenfire"):
        Store.open(path)
    assert path.read_text() == "a shopping list\n" * 100


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadStore, match="a folder or a device"):
        Store.open(tmp_path)


def test_a_damaged_store_is_told_as_damaged(file_store: Path) -> None:
    with Store.open(file_store) as store:
        for number in range(200):
            registers.add_site(store, f"site {number} " + "x" * 100)
    content = bytearray(file_store.read_bytes())
    content[4096:] = b"\x55" * (len(content) - 4096)
    file_store.write_bytes(content)

    def use() -> None:
        with Store.open(file_store) as store:
            registers.sites_of(store)

    with pytest.raises(BadStore, match="it is damaged"):
        use()


def test_a_server_that_is_not_there_is_told_and_the_password_is_not_shown(tmp_path: Path) -> None:
    with pytest.raises(BadStore, match="cannot be reached") as told:
        Store.open(f"postgresql://ada:secret-word@/store?host={tmp_path}", folder=tmp_path)
    assert "secret-word" not in str(told.value)
    assert "ada:***" in str(told.value)


@pytest.mark.parametrize("place", ["mysql://x/y", "postgresql+asyncpg://x/y", "https://example.org/store", "://"])
def test_what_names_no_database_is_refused(place: str, tmp_path: Path) -> None:
    with pytest.raises(BadStore, match=r"no database that can hold a store|cannot be reached"):
        Store.open(place, folder=tmp_path)


AS_SOMEBODY_ELSE = """
import os, sys
from pathlib import Path
from evenfire.delivery.records.database import Store
from evenfire.errors import BadStore
# Opened once before, so that everything is loaded: the other user may not be able to read this Python.
Store.open(sys.argv[2]).close()
Store.open(sys.argv[2]).close()
os.setgroups([]); os.setgid(65534); os.setuid(65534)
try:
    Store.open(sys.argv[1])
except BadStore as error:
    print(error)
"""


# Root may write where nobody may, so the program becomes somebody else.
@pytest.mark.skipif(sys.platform != "linux" or os.getuid() != 0, reason="only root can become another user for a test")
@pytest.mark.parametrize(("file_mode", "folder_mode"), [(0o444, 0o777), (0o666, 0o555)])
def test_a_store_that_may_not_be_written_is_refused_with_what_to_do(
    tmp_path: Path, file_mode: int, folder_mode: int
) -> None:
    # The folders of pytest are closed to other users.
    folder = Path(tempfile.mkdtemp(prefix="evenfire-read-only-"))
    try:
        path = folder / "store.sqlite"
        Store.open(path).close()
        path.chmod(file_mode)
        folder.chmod(folder_mode)
        asked = [sys.executable, "-c", AS_SOMEBODY_ELSE, str(path), str(tmp_path / "other.sqlite")]
        told = subprocess.run(asked, capture_output=True, text=True, check=True).stdout
        assert told == (
            f"{path}: it cannot be written: the disk or the file is read-only for you. Allow writing, or copy the "
            "store to a place where you may write.\n"
        )
    finally:
        shutil.rmtree(folder)


# The fields of a line: proc(5), "/proc/pid/mounts": device, mount point, kind, options; blanks as octal digits.
MOUNTS = """\
/dev/sda1 / ext4 rw 0 0
server:/share /mnt/share nfs4 rw 0 0
//server/files /mnt/with\\040blank cifs rw 0 0
ada@host:/ /home/ada/far fuse.sshfs rw 0 0
/dev/sdb1 /mnt/share/local ext4 rw 0 0
portal /run/user/1000/doc fuse.portal rw 0 0
"""


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/home/ada/store.sqlite", None),
        ("/mnt/share/store.sqlite", "nfs4"),
        ("/mnt/shared/store.sqlite", None),
        ("/mnt/with blank/store.sqlite", "cifs"),
        ("/home/ada/far/deep/store.sqlite", "sshfs"),
        ("/mnt/share/local/store.sqlite", None),
        ("/run/user/1000/doc/store.sqlite", None),
    ],
)
def test_a_network_drive_is_told_by_where_it_is_mounted(path: str, kind: str | None) -> None:
    assert network_drive(Path(path), MOUNTS) == kind


def test_a_store_on_this_machines_own_disk_has_no_warning(file_store: Path) -> None:
    with Store.open(file_store) as store:
        assert store.warnings == ()

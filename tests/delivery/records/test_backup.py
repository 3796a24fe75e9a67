import io
import random
import sqlite3
import stat
import tarfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import text

from evenfire.delivery.records import backup as backups
from evenfire.delivery.records import registers
from evenfire.delivery.records.attachments import attach_file, content_of, file_of
from evenfire.delivery.records.backup import KEPT_AUTOMATIC, automatic_backup, automatic_backups, backup, examine
from evenfire.delivery.records.backup_file import DATABASE, MANIFEST, write_backup
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.entries import entries_of, record, record_all
from evenfire.delivery.records.migrating import LAYOUT
from evenfire.delivery.records.restoring import restore
from evenfire.delivery.records.snapshot import snapshot_of
from evenfire.errors import BadStore
from tests.conftest import SOAK
from tests.database_server import Server
from tests.delivery.records.store_examples import AtWork, at_work, chain, entry

CHANGES = 400 if SOAK else 40


def filled(store: Store) -> AtWork:
    """A store with a visit, entries and two attachments."""
    at = at_work(store)
    record_all(store, chain(at, 12))
    attach_file(store, b"time,steam\n", "load.csv", "text/csv")
    attach_file(store, b"%PDF-1.7\n" * 100, "certificate.pdf", "application/pdf")
    return at


def test_a_backup_says_what_is_in_it_and_any_program_opens_it(store: Store, tmp_path: Path) -> None:
    at = filled(store)
    done = backup(store, tmp_path / "backup.tar")
    manifest = done.manifest
    assert (manifest.snapshot.identity, manifest.snapshot.counter) == (store.identity, store.counter)
    assert manifest.snapshot.tables["entries"].rows == 12
    assert (len(manifest.carried), manifest.lost, manifest.left_beside) == (2, (), ())
    assert examine(done.path) == manifest
    assert done.size == done.path.stat().st_size
    assert stat.S_IMODE(done.path.stat().st_mode) == 0o600
    # The standard library alone: tar, then SQLite.
    with tarfile.open(done.path, "r:") as tar:
        assert tar.getnames()[:2] == [MANIFEST, DATABASE]
        assert {Path(name).name for name in tar.getnames()[2:]} == {*manifest.carried}
        tar.extract(DATABASE, tmp_path / "out", filter="data")
    connection = sqlite3.connect(tmp_path / "out" / DATABASE)
    assert connection.execute("SELECT count(*) FROM entries").fetchone() == (12,)
    assert connection.execute("SELECT name FROM people").fetchall() == [(at.person.name,)]
    connection.close()


def test_what_was_restored_is_what_was_backed_up(store: Store, tmp_path: Path) -> None:
    at = filled(store)
    done = backup(store, tmp_path / "backup.tar")
    place = tmp_path / "elsewhere" / "store.sqlite"
    told = restore(done.path, place)
    assert (told.place, told.set_aside, told.missing) == (str(place), None, ())
    with Store.open(place) as again:
        assert again.identity == store.identity
        assert entries_of(again, at.visit.id) == chain(at, 12)
        for sha256 in done.manifest.carried:
            assert content_of(again, sha256) == content_of(store, sha256)
        with store.read() as one, again.read() as other:
            assert snapshot_of(one) == snapshot_of(other)
        # It goes on like any store.
        assert record(again, entry(at, 12, chain(at, 12)[-1].id)).is_new
    assert stat.S_IMODE(place.stat().st_mode) == 0o600


def test_a_backup_of_a_file_is_restored_to_a_server_and_back(database_server: Server, tmp_path: Path) -> None:
    with Store.open(tmp_path / "store.sqlite") as store:
        at = filled(store)
        first = backup(store, tmp_path / "first.tar")
    url = database_server.new_database()
    restore(first.path, url, folder=tmp_path / "server.files")
    with Store.open(url, folder=tmp_path / "server.files") as server:
        assert server.identity == first.manifest.snapshot.identity
        assert entries_of(server, at.visit.id) == chain(at, 12)
        assert record(server, entry(at, 12)).number > 12
        second = backup(server, tmp_path / "second.tar")
    with pytest.raises(BadStore, match="the database is not empty"):
        restore(second.path, url)
    restore(second.path, tmp_path / "back.sqlite")
    with Store.open(tmp_path / "back.sqlite") as back:
        assert entries_of(back, at.visit.id) == (*chain(at, 12), entry(at, 12))


def test_a_backup_is_of_one_moment_while_others_write(store: Store, tmp_path: Path) -> None:
    at = filled(store)
    seen: list[int] = []

    def clock() -> datetime:
        # Asked in the midst of the backup: between its moment and its end something is entered.
        if not seen:
            seen.append(store.counter)
            store.clock = lambda: datetime.now(UTC)
            record(store, entry(at, 500))
        return datetime.now(UTC)

    store.clock = clock
    done = backup(store, tmp_path / "backup.tar")
    assert seen
    assert done.manifest.snapshot.tables["entries"].rows == 12
    assert store.counter == done.manifest.snapshot.counter + 1


def test_a_name_that_is_taken_is_left_alone(store: Store, tmp_path: Path) -> None:
    path = tmp_path / "backup.tar"
    path.write_text("mine")
    with pytest.raises(BadStore, match="a file of that name already"):
        backup(store, path)
    assert path.read_text() == "mine"


def test_a_backup_that_reads_back_otherwise_gets_no_name(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    filled(store)
    folder = tmp_path / "out"
    whole = write_backup

    def worn_disk(file: io.BufferedRandom, *given: object, **named: object) -> None:
        whole(file, *given, **named)  # type: ignore[arg-type]
        file.seek(-5_000, io.SEEK_CUR)
        file.write(b"\xa5" * 10)
        file.seek(0, io.SEEK_END)

    monkeypatch.setattr(backups, "write_backup", worn_disk)
    with pytest.raises(BadStore, match="the backup is not good"):
        backup(store, folder / "backup.tar")
    assert list(folder.iterdir()) == []


def test_a_lost_attachment_is_named_and_hinders_nothing(store: Store, tmp_path: Path) -> None:
    filled(store)
    whole = backup(store, tmp_path / "whole.tar")
    gone, changed = whole.manifest.carried
    file_of(store, gone).unlink()
    file_of(store, changed).write_bytes(b"changed")
    done = backup(store, tmp_path / "backup.tar")
    assert (done.manifest.lost, done.manifest.carried) == (tuple(sorted((gone, changed))), ())
    place = tmp_path / "elsewhere" / "store.sqlite"
    assert restore(done.path, place).missing == tuple(sorted((gone, changed)))
    # The older backup still has them, and gives them to the store that lacks them.
    fuller = tmp_path / "fuller" / "store.sqlite"
    assert restore(whole.path, fuller).missing == ()


def test_the_last_automatic_backups_stay_and_all_of_older_layouts(tmp_path: Path) -> None:
    now = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
    with Store.open(tmp_path / "store.sqlite", clock=lambda: now) as store:
        before = automatic_backup(store, "before-layout-0099")
        for number in range(KEPT_AUTOMATIC + 3):
            registers.add_site(store, f"site {number}")
            now += timedelta(seconds=number % 2)
            done = automatic_backup(store, "signature" if number % 3 else "amendment")
        made = automatic_backups(store)
        assert len(made) == KEPT_AUTOMATIC + 1
        assert (made[0], made[-1]) == (before.path, done.path)
        assert examine(made[1]).snapshot.tables["sites"].rows == 4


def test_an_automatic_backup_leaves_attachments_where_they_are(store: Store, tmp_path: Path) -> None:
    filled(store)
    done = automatic_backup(store, "signature")
    assert done.manifest.carried == ()
    assert len(done.manifest.left_beside) == 2
    assert len(restore(done.path, tmp_path / "far" / "store.sqlite").missing) == 2
    assert restore(done.path, tmp_path / "near" / "store.sqlite", folder=store.folder).missing == ()


def damaged(path: Path, to: Path, change: Callable[[bytearray], None]) -> Path:
    content = bytearray(path.read_bytes())
    change(content)
    to.write_bytes(content)
    return to


def test_a_byte_that_changes_anywhere_in_what_was_stored_is_found(tmp_path: Path) -> None:
    with Store.open(tmp_path / "store.sqlite") as store:
        filled(store)
        done = backup(store, tmp_path / "backup.tar")
    chance = random.Random(7)
    with tarfile.open(done.path, "r:") as tar:
        # Padding and the owner fields of a tar say nothing, and are not looked at.
        spans = [(member.offset_data, member.size) for member in tar.getmembers()]
    for _ in range(CHANGES):
        start, size = chance.choice(spans)
        place, bit = start + chance.randrange(size), 1 << chance.randrange(8)

        def flip(content: bytearray, place: int = place, bit: int = bit) -> None:
            content[place] ^= bit

        with pytest.raises(BadStore):
            examine(damaged(done.path, tmp_path / "changed.tar", flip))


def test_a_backup_that_is_cut_off_anywhere_is_found(tmp_path: Path) -> None:
    with Store.open(tmp_path / "store.sqlite") as store:
        filled(store)
        done = backup(store, tmp_path / "backup.tar")
    chance = random.Random(8)
    # A tar ends in at least two empty blocks of 512 bytes; what is cut from those is not missed.
    with tarfile.open(done.path, "r:") as tar:
        last = tar.getmembers()[-1]
        end = last.offset_data + last.size
    for _ in range(CHANGES):
        keep = chance.randrange(end)

        def cut(content: bytearray, keep: int = keep) -> None:
            del content[keep:]

        with pytest.raises(BadStore):
            examine(damaged(done.path, tmp_path / "cut.tar", cut))


def test_what_is_no_backup_is_told(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("a shopping list\n" * 500)
    with tarfile.open(tmp_path / "other.tar", "w:") as tar:
        tar.add(tmp_path / "notes.txt", "notes.txt")
    for name in ("notes.txt", "other.tar"):
        with pytest.raises(BadStore, match="no backup of evenfire"):
            examine(tmp_path / name)
    with pytest.raises(BadStore, match="no such file"):
        examine(tmp_path / "nothing.tar")


def rewritten(path: Path, to: Path, change: Callable[[str, bytes], tuple[str, bytes] | None]) -> Path:
    """The same tar with members changed, and its manifest told the hash of the database that it now has."""
    with tarfile.open(path, "r:") as old, tarfile.open(to, "w:") as new:
        for member in old.getmembers():
            source = old.extractfile(member)
            assert source is not None
            changed = change(member.name, source.read())
            if changed is not None:
                member.name, content = changed
                member.size = len(content)
                new.addfile(member, io.BytesIO(content))
    return to


def test_a_name_that_leads_out_of_the_folder_is_no_member(tmp_path: Path) -> None:
    with Store.open(tmp_path / "store.sqlite") as store:
        filled(store)
        done = backup(store, tmp_path / "backup.tar")
    inside = f"attachments/{done.manifest.carried[0]}"

    def lead_out(name: str, content: bytes) -> tuple[str, bytes]:
        return ("attachments/../../evil" if name == inside else name), content

    with pytest.raises(BadStore, match="the backup is not good"):
        restore(rewritten(done.path, tmp_path / "evil.tar", lead_out), tmp_path / "deep" / "er" / "store.sqlite")
    assert not (tmp_path / "deep").exists()


def test_a_newer_backup_is_refused_with_one_sentence(tmp_path: Path) -> None:
    with Store.open(tmp_path / "store.sqlite") as store:
        done = backup(store, tmp_path / "backup.tar")

    def lift(name: str, content: bytes) -> tuple[str, bytes]:
        ours, theirs = f'"layout": "{LAYOUT}"'.encode(), b'"layout": "0099"'
        return name, content.replace(ours, theirs) if name == MANIFEST else content

    with pytest.raises(BadStore, match="a newer evenfire has made this backup"):
        examine(rewritten(done.path, tmp_path / "newer.tar", lift))


def test_a_database_with_a_trigger_in_it_is_not_one_of_ours(tmp_path: Path) -> None:
    with Store.open(tmp_path / "store.sqlite") as store, store.write() as connection:
        connection.execute(
            text("CREATE TRIGGER evil AFTER INSERT ON entries BEGIN UPDATE entries SET text = 'changed'; END")
        )
    with Store.open(tmp_path / "store.sqlite") as store, pytest.raises(BadStore, match="none of evenfire"):
        backup(store, tmp_path / "backup.tar")

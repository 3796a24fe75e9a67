"""The one file of a backup: a plain tar with a manifest of hashes, the database and the attachments.

Any program that reads tar opens it, and the database in it is an SQLite file; nothing is packed or encrypted.
"""

import hashlib
import io
import json
import re
import tarfile
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, BinaryIO, Final

from evenfire import __version__
from evenfire.delivery.records.connecting import APPLICATION
from evenfire.delivery.records.failing import bad_store, files_told_plainly, told_plainly
from evenfire.delivery.records.migrating import LAYOUT, is_newer
from evenfire.delivery.records.snapshot import Snapshot, TableSum, file_connection, snapshot_of
from evenfire.delivery.words.store import NO_BACKUP, NO_SUCH_FILE, bad_backup, newer_backup
from evenfire.errors import BadStore

BACKUP_FORMAT: Final = "evenfire.backup/1"
MANIFEST: Final = "manifest.json"
DATABASE: Final = "store.sqlite"
ATTACHMENTS: Final = "attachments/"

_LARGEST_MANIFEST: Final = 50_000_000
_AT_ONCE: Final = 1 << 20
_TIME: Final = "%Y-%m-%dT%H:%M:%SZ"
_UNREADABLE: Final = (tarfile.TarError, ValueError, KeyError, TypeError, AttributeError, EOFError, ArithmeticError)
"""What reading a broken tar, or a broken manifest, can end in."""
_HASH: Final = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What a backup says of itself."""

    snapshot: Snapshot
    made_at: datetime
    """UTC, whole seconds"""
    program: str
    database: str
    """SHA-256 of the SQLite file"""
    carried: tuple[str, ...]
    """Hashes of the attachments that are in it"""
    lost: tuple[str, ...]
    """Hashes of attachments whose file was missing or changed when it was made"""

    @property
    def left_beside(self) -> tuple[str, ...]:
        """Hashes of attachments that an automatic backup leaves where they are."""
        return tuple(sorted(self.snapshot.attachments.keys() - {*self.carried, *self.lost}))


@dataclass(frozen=True, slots=True, kw_only=True)
class Examined:
    """A backup that was read and found good."""

    manifest: Manifest
    database: Path
    """The SQLite file, unpacked for as long as it is looked at"""
    tar: tarfile.TarFile


def write_backup(
    file: BinaryIO,
    snapshot: Snapshot,
    database: Path,
    attachments: dict[str, Path],
    *,
    lost: tuple[str, ...],
    at: datetime,
) -> None:
    """Write the file: first what is in it, then the database, then the attachments in the order of their hashes."""
    manifest = Manifest(
        snapshot=snapshot,
        made_at=at.replace(microsecond=0),
        program=f"evenfire {__version__}",
        database=_hash_of(database),
        carried=tuple(sorted(attachments)),
        lost=lost,
    )
    with tarfile.open(fileobj=file, mode="w:", format=tarfile.PAX_FORMAT) as tar:
        text = _written(manifest)
        tar.addfile(_member(MANIFEST, len(text), at), io.BytesIO(text))
        for name, path in ((DATABASE, database), *((ATTACHMENTS + sha, attachments[sha]) for sha in manifest.carried)):
            with path.open("rb") as content:
                tar.addfile(_member(name, path.stat().st_size, at), content)


@contextmanager
def examined(path: Path) -> Iterator[Examined]:
    """A backup, read from its first byte to its last: every hash, the database, and the rows in it.

    Raises
    ------
    BadStore
        It is no backup, a newer program made it, or it is not what was written.
    """
    place = str(path)
    if not path.is_file():
        raise bad_store(place, NO_SUCH_FILE)
    with files_told_plainly(place), tempfile.TemporaryDirectory(prefix="evenfire-") as folder, _opened(path) as tar:
        manifest = _manifest(tar, place)
        database = Path(folder) / DATABASE
        _unpack(tar, DATABASE, manifest.database, database, place)
        _see_members(tar, manifest, place)
        _see_rows(database, manifest, place)
        yield Examined(manifest=manifest, database=database, tar=tar)


def carried_content(backup: Examined, sha256: str) -> IO[bytes]:
    """The content of an attachment in a backup that was found good."""
    content = backup.tar.extractfile(ATTACHMENTS + sha256)
    assert content is not None
    return content


def _opened(path: Path) -> tarfile.TarFile:
    try:
        return tarfile.open(path, mode="r:")
    except _UNREADABLE as error:
        raise bad_store(str(path), NO_BACKUP) from error


def _see_members(tar: tarfile.TarFile, manifest: Manifest, place: str) -> None:
    wanted = [MANIFEST, DATABASE, *(ATTACHMENTS + sha256 for sha256 in manifest.carried)]
    try:
        members = tar.getmembers()
    except _UNREADABLE as error:
        raise bad_store(place, bad_backup("it ends too early")) from error
    if [member.name for member in members] != wanted or not all(member.isreg() for member in members):
        raise bad_store(place, bad_backup("it holds other files than it says"))
    for sha256 in manifest.carried:
        _unpack(tar, ATTACHMENTS + sha256, sha256, None, place)


def _unpack(tar: tarfile.TarFile, name: str, sha256: str, to: Path | None, place: str) -> None:
    """Read one file of it, compare its hash, and write it if wanted."""
    found = hashlib.sha256()
    try:
        content = tar.extractfile(name)
        if content is None:
            raise bad_store(place, bad_backup(f"{name} is no file"))
        with content, to.open("xb") if to is not None else io.BytesIO() as file:
            while part := content.read(_AT_ONCE):
                found.update(part)
                if to is not None:
                    file.write(part)
    except _UNREADABLE as error:
        raise bad_store(place, bad_backup(f"{name} is missing or cut off")) from error
    if found.hexdigest() != sha256:
        raise bad_store(place, bad_backup(f"{name} was changed"))


def _see_rows(database: Path, manifest: Manifest, place: str) -> None:
    """Open the database, have it check itself, and compare every row with what was there when it was copied."""
    try:
        with told_plainly(place), file_connection(database) as connection:
            mark = connection.exec_driver_sql("PRAGMA application_id").scalar_one()
            strange = "SELECT count(*) FROM sqlite_master WHERE type NOT IN ('table', 'index')"
            if mark != APPLICATION or connection.exec_driver_sql(strange).scalar_one() != 0:
                raise bad_store(place, bad_backup("its database is none of evenfire"))
            whole = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
            if whole != ["ok"] or connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
                raise bad_store(place, bad_backup("its database is damaged"))
            if snapshot_of(connection) != manifest.snapshot:
                raise bad_store(place, bad_backup("its rows are not those that were copied"))
    except BadStore as error:
        if error.place == place and error.found.startswith("the backup"):
            raise
        raise bad_store(place, bad_backup("its database cannot be read")) from error


def _manifest(tar: tarfile.TarFile, place: str) -> Manifest:
    try:
        member = tar.next()
        if member is None or member.name != MANIFEST or not member.isreg() or member.size > _LARGEST_MANIFEST:
            raise bad_store(place, NO_BACKUP)
        content = tar.extractfile(member)
        assert content is not None
        text = content.read()
        if json.loads(text).get("format") != BACKUP_FORMAT:
            raise bad_store(place, NO_BACKUP)
        manifest = _read(text)
    except _UNREADABLE as error:
        raise bad_store(place, NO_BACKUP) from error
    if is_newer(manifest.snapshot.layout):
        raise bad_store(place, newer_backup(manifest.snapshot.layout, LAYOUT))
    if _written(manifest) != text:
        raise bad_store(place, bad_backup(f"{MANIFEST} was changed"))
    return manifest


def _written(manifest: Manifest) -> bytes:
    snapshot = manifest.snapshot
    content = {
        "format": BACKUP_FORMAT,
        "program": manifest.program,
        "made_at": manifest.made_at.strftime(_TIME),
        "store": snapshot.identity,
        "counter": snapshot.counter,
        "layout": snapshot.layout,
        "database_sha256": manifest.database,
        "tables": {name: {"rows": each.rows, "digest": each.digest} for name, each in snapshot.tables.items()},
        "attachments": snapshot.attachments,
        "carried": manifest.carried,
        "lost": manifest.lost,
    }
    return (json.dumps(content, indent=1, sort_keys=True) + "\n").encode()


def _read(text: bytes) -> Manifest:
    content = json.loads(text)
    tables = {name: TableSum(rows=each["rows"], digest=each["digest"]) for name, each in content["tables"].items()}
    snapshot = Snapshot(
        identity=content["store"],
        counter=content["counter"],
        layout=content["layout"],
        tables=tables,
        attachments=content["attachments"],
    )
    carried, lost = tuple(content["carried"]), tuple(content["lost"])
    if not all(_HASH.fullmatch(each) for each in (*carried, *lost, *snapshot.attachments)):
        raise ValueError("an attachment is named by no hash")
    return Manifest(
        snapshot=snapshot,
        made_at=datetime.strptime(content["made_at"], _TIME).replace(tzinfo=UTC),
        program=content["program"],
        database=content["database_sha256"],
        carried=carried,
        lost=lost,
    )


def _member(name: str, size: int, at: datetime) -> tarfile.TarInfo:
    """A file of the tar that says nothing of the machine that wrote it."""
    member = tarfile.TarInfo(name)
    member.size = size
    member.mtime = int(at.timestamp())
    member.mode = 0o600
    return member


def _hash_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()

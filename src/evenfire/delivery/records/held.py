"""What a store holds, as verifying and exporting want it: its known keys and records, and one boiler as a container."""

from collections.abc import Iterator, Mapping
from pathlib import Path

from sqlalchemy import select

from evenfire.delivery.records.attachments import file_of
from evenfire.delivery.records.container import Container
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.failing import files_told_plainly
from evenfire.delivery.records.key_register import known_keys
from evenfire.delivery.records.record import RecordFacts, facts_of
from evenfire.delivery.records.signed import records_of
from evenfire.delivery.records.tables import records, survey_documents
from evenfire.delivery.records.verification import Known, KnownRecord
from evenfire.errors import BadContent


def known_of(store: Store) -> Known:
    """The keys that the store knows, and since when it holds which record.

    Raises
    ------
    BadStore
        It cannot be read.
    """
    with store.read() as connection:
        rows = connection.execute(select(records.c.id, records.c.boiler, records.c.kept_at)).all()
    held = {name: KnownRecord(boiler=boiler, held_since=kept_at) for name, boiler, kept_at in rows}
    return Known(keys=known_keys(store), records=held)


def boilers_with_records(store: Store) -> tuple[str, ...]:
    """Ids of the boilers of which there is a signed record."""
    with store.read() as connection:
        found = connection.execute(select(records.c.boiler).distinct()).scalars()
        return tuple(sorted(found))


def container_of(store: Store, boiler: str) -> Container:
    """The records of a boiler with everything that they name and that is still there, as it is there.

    Nothing is judged: a file that is gone or changed is left out or handed on as it is, for verifying to tell.

    Raises
    ------
    BadStore
        The store or a file beside it cannot be read.
    """
    kept = tuple(each.record for each in records_of(store, boiler))
    told = [facts for facts in (_facts(record.content) for record in kept) if facts is not None]
    attached = {name: file_of(store, name) for facts in told for name in facts.head.attachments}
    named = {name for facts in told for name in facts.head.surveys}
    with store.read() as connection:
        asked = select(survey_documents.c.sha256, survey_documents.c.document)
        rows = connection.execute(asked.where(survey_documents.c.sha256.in_(named))).all()
    documents = dict(rows)
    files = {name: path for name, path in attached.items() if path.is_file()}
    return Container(boiler=boiler, records=kept, attachments=_Files(files), surveys=documents)


def _facts(content: bytes) -> RecordFacts | None:
    try:
        return facts_of(content)
    except BadContent:
        return None


class _Files(Mapping[str, bytes]):
    """Files that are read when they are asked for, so that the photographs of years are never in memory together."""

    def __init__(self, paths: Mapping[str, Path]) -> None:
        self._paths = paths

    def __getitem__(self, name: str) -> bytes:
        path = self._paths[name]
        with files_told_plainly(str(path)):
            return path.read_bytes()

    def __iter__(self) -> Iterator[str]:
        return iter(self._paths)

    def __len__(self) -> int:
        return len(self._paths)

"""Everything a store holds, to see whether anything of it changed."""

from sqlalchemy import MetaData, select

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.tables import audit, sessions
from evenfire.delivery.records.tables import store as counted


def rows_of(store: Store) -> dict[str, list[str]]:
    """Everything the store holds but the audit trail, the counter and the sessions; and its files."""
    tables = MetaData()
    with store.read() as connection:
        tables.reflect(connection)
        held: dict[str, list[str]] = {
            name: sorted(map(repr, connection.execute(select(table)).all()))
            for name, table in tables.tables.items()
            if name not in {audit.name, counted.name, sessions.name}
        }
    return {**held, "files": sorted(str(path) for path in store.folder.rglob("*") if path.is_file())}

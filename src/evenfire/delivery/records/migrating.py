"""The layout of the tables: which one a database has, and the steps to the present one."""

from pathlib import Path
from typing import Final

from sqlalchemy import Connection, inspect, text

LAYOUT: Final = "0003"
"""The layout that this program reads and writes."""

_STEPS: Final = Path(__file__).with_name("migrations")
VERSION_TABLE: Final = "alembic_version"


def layout_of(connection: Connection) -> str | None:
    """The layout of a database; nothing where no table of ours is."""
    if not inspect(connection).has_table(VERSION_TABLE):
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one_or_none()
    return None if found is None else str(found)


def is_newer(layout: str) -> bool:
    """Whether a layout is none that this program knows; every layout that it can know stands before its own."""
    return not layout.isdigit() or int(layout) > int(LAYOUT)


def migrate(connection: Connection, to: str = LAYOUT) -> None:
    """Take the steps from the layout that is there, within the transaction of the connection."""
    # Loading alembic takes longer than opening a store, which hardly ever needs it.
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(_STEPS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, to)

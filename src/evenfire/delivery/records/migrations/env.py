"""Run by alembic: the steps are taken on the connection that is handed over, within its transaction."""

from alembic import context
from sqlalchemy import Connection

connection: object = context.config.attributes["connection"]
assert isinstance(connection, Connection)
# Both databases can undo a change of tables, so a step that fails leaves the store as it was.
context.configure(connection=connection, transactional_ddl=True)
with context.begin_transaction():
    context.run_migrations()

"""The number that an authority gave a boiler.

Revision ID: 0002
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Nobody has written one down before, so that it is unknown for every boiler that is there."""
    op.add_column("boilers", sa.Column("registration", sa.Text(), nullable=True))
    op.create_index("ix_boilers_registration", "boilers", ["registration"], unique=False)

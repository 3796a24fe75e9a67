"""Who may come in over the web, who is in, and what was asked.

Revision ID: 0003
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_NUMBER = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Nobody has a login yet: a person who is there gets one by setting a passphrase."""
    op.create_table(
        "logins",
        sa.Column("person", sa.String(36), nullable=False),
        sa.Column("argon2", sa.Text(), nullable=False),
        sa.Column("set_at", sa.String(27), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name="fk_logins_person"),
        sa.PrimaryKeyConstraint("person", name="pk_logins"),
    )
    op.create_table(
        "sessions",
        sa.Column("token_sha256", sa.String(64), nullable=False),
        sa.Column("person", sa.String(36), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("made_at", sa.String(27), nullable=False),
        sa.Column("last_seen", sa.String(27), nullable=False),
        sa.Column("ended_at", sa.String(27), nullable=True),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name="fk_sessions_person"),
        sa.PrimaryKeyConstraint("token_sha256", name="pk_sessions"),
    )
    op.create_index("ix_sessions_person", "sessions", ["person"], unique=False)
    op.create_table(
        "audit",
        sa.Column("number", _NUMBER, autoincrement=True, nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("person", sa.String(36), nullable=True),
        sa.Column("session", sa.String(12), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("status", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name="fk_audit_person"),
        sa.PrimaryKeyConstraint("number", name="pk_audit"),
    )
    op.create_index("ix_audit_at", "audit", ["at"], unique=False)

"""The first tables.

Revision ID: 0001
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_NUMBER = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Make every table; nothing is imported from the program, whose tables go on changing."""
    _registers()
    _instruments()
    _controls()
    _due_and_keys()
    _surveys()
    _sealed()
    _searchable()
    _typed()


def _registers() -> None:
    op.create_table(
        "store",
        sa.Column("one", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("identity", sa.String(36), nullable=False),
        sa.Column("counter", sa.BigInteger(), nullable=False),
        sa.Column("changed_at", sa.String(27), nullable=False),
        sa.CheckConstraint("one = 1", name="ck_store_single"),
        sa.PrimaryKeyConstraint("one", name="pk_store"),
    )
    op.create_table(
        "sites",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("added_at", sa.String(27), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_sites"),
        sa.UniqueConstraint("name", name="uq_sites_name"),
    )
    op.create_table(
        "boilers",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("site", sa.String(36), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("serial", sa.Text(), nullable=True),
        sa.Column("added_at", sa.String(27), nullable=False),
        sa.ForeignKeyConstraint(["site"], ["sites.id"], name="fk_boilers_site"),
        sa.PrimaryKeyConstraint("id", name="pk_boilers"),
        sa.UniqueConstraint("site", "name", name="uq_boilers_site_name"),
    )
    op.create_table(
        "people",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("licence", sa.Text(), nullable=False),
        sa.Column("may", sa.String(8), nullable=False),
        sa.Column("added_at", sa.String(27), nullable=False),
        sa.CheckConstraint("may IN ('sign', 'write', 'read')", name="ck_people_may_known"),
        sa.PrimaryKeyConstraint("id", name="pk_people"),
    )
    op.create_table(
        "attachments",
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("kind", sa.String(80), nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("added_at", sa.String(27), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_attachments"),
    )


def _instruments() -> None:
    op.create_table(
        "gauges",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("serial", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("scale_from", sa.Text(), nullable=False),
        sa.Column("scale_to", sa.Text(), nullable=False),
        sa.Column("division", sa.Text(), nullable=False),
        sa.Column("accuracy", sa.Text(), nullable=False),
        sa.Column("added_at", sa.String(27), nullable=False),
        sa.Column("retired_at", sa.String(27), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_gauges"),
        sa.UniqueConstraint("serial", name="uq_gauges_serial"),
    )
    op.create_table(
        "calibrations",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("gauge", sa.String(36), nullable=False),
        sa.Column("made_on", sa.String(10), nullable=False),
        sa.Column("due_on", sa.String(10), nullable=True),
        sa.Column("certificate", sa.Text(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("correction", sa.Text(), nullable=True),
        sa.Column("expanded_uncertainty", sa.Text(), nullable=True),
        sa.Column("coverage_factor", sa.Text(), nullable=True),
        sa.Column("attachment", sa.String(64), nullable=True),
        sa.ForeignKeyConstraint(["attachment"], ["attachments.sha256"], name="fk_calibrations_attachment"),
        sa.ForeignKeyConstraint(["gauge"], ["gauges.id"], name="fk_calibrations_gauge"),
        sa.PrimaryKeyConstraint("id", name="pk_calibrations"),
    )
    op.create_index("ix_calibrations_gauge", "calibrations", ["gauge"], unique=False)


def _controls() -> None:
    op.create_table(
        "controls",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("serial", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("boiler", sa.String(36), nullable=False),
        sa.Column("role", sa.String(40), nullable=False),
        sa.Column("fitted_on", sa.String(10), nullable=False),
        sa.Column("removed_on", sa.String(10), nullable=True),
        sa.ForeignKeyConstraint(["boiler"], ["boilers.id"], name="fk_controls_boiler"),
        sa.PrimaryKeyConstraint("id", name="pk_controls"),
    )
    op.create_index("ix_controls_boiler", "controls", ["boiler"], unique=False)
    op.create_index("ix_controls_serial", "controls", ["serial"], unique=False)


def _due_and_keys() -> None:
    op.create_table(
        "due_items",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("boiler", sa.String(36), nullable=False),
        sa.Column("item", sa.Text(), nullable=False),
        sa.Column("every_days", sa.Integer(), nullable=True),
        sa.Column("every_months", sa.Integer(), nullable=True),
        sa.Column("whose_rule", sa.Text(), nullable=False),
        sa.Column("last_done_on", sa.String(10), nullable=True),
        sa.Column("ended_at", sa.String(27), nullable=True),
        sa.CheckConstraint("(every_days IS NULL) <> (every_months IS NULL)", name="ck_due_items_one_interval"),
        sa.ForeignKeyConstraint(["boiler"], ["boilers.id"], name="fk_due_items_boiler"),
        sa.PrimaryKeyConstraint("id", name="pk_due_items"),
        sa.UniqueConstraint("boiler", "item", name="uq_due_items_boiler_item"),
    )
    op.create_index("ix_due_items_boiler", "due_items", ["boiler"], unique=False)
    op.create_table(
        "keys",
        sa.Column("fingerprint", sa.String(64), nullable=False),
        sa.Column("person", sa.String(36), nullable=False),
        sa.Column("public_key", sa.String(64), nullable=False),
        sa.Column("private_pem", sa.Text(), nullable=True),
        sa.Column("came_in", sa.Text(), nullable=False),
        sa.Column("added_at", sa.String(27), nullable=False),
        sa.Column("withdrawn_at", sa.String(27), nullable=True),
        sa.Column("withdrawn_why", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name="fk_keys_person"),
        sa.PrimaryKeyConstraint("fingerprint", name="pk_keys"),
    )
    op.create_index("ix_keys_person", "keys", ["person"], unique=False)


def _surveys() -> None:
    op.create_table(
        "survey_documents",
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("added_at", sa.String(27), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_survey_documents"),
    )
    op.create_table(
        "surveys",
        sa.Column("number", _NUMBER, autoincrement=True, nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("site", sa.String(36), nullable=False),
        sa.Column("plant_revision", sa.String(64), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("taken_by", sa.String(36), nullable=True),
        sa.Column("taken_at", sa.String(27), nullable=False),
        sa.ForeignKeyConstraint(["sha256"], ["survey_documents.sha256"], name="fk_surveys_sha256"),
        sa.ForeignKeyConstraint(["site"], ["sites.id"], name="fk_surveys_site"),
        sa.ForeignKeyConstraint(["taken_by"], ["people.id"], name="fk_surveys_taken_by"),
        sa.PrimaryKeyConstraint("number", name="pk_surveys"),
    )
    op.create_index("ix_surveys_sha256", "surveys", ["sha256"], unique=False)
    op.create_index("ix_surveys_site", "surveys", ["site"], unique=False)
    op.create_table(
        "survey_boilers",
        sa.Column("survey", _NUMBER, autoincrement=False, nullable=False),
        sa.Column("boiler", sa.String(36), nullable=False),
        sa.ForeignKeyConstraint(["boiler"], ["boilers.id"], name="fk_survey_boilers_boiler"),
        sa.ForeignKeyConstraint(["survey"], ["surveys.number"], name="fk_survey_boilers_survey"),
        sa.PrimaryKeyConstraint("survey", "boiler", name="pk_survey_boilers"),
    )
    op.create_index("ix_survey_boilers_boiler", "survey_boilers", ["boiler"], unique=False)


def _sealed() -> None:
    op.create_table(
        "records",
        sa.Column("id", sa.String(64), nullable=False),
        sa.Column("boiler", sa.String(36), nullable=False),
        sa.Column("draft", sa.String(36), nullable=True),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("signature", sa.String(128), nullable=False),
        sa.Column("key", sa.String(64), nullable=False),
        sa.Column("signed_at", sa.String(27), nullable=False),
        sa.Column("kept_at", sa.String(27), nullable=False),
        sa.ForeignKeyConstraint(["boiler"], ["boilers.id"], name="fk_records_boiler"),
        sa.PrimaryKeyConstraint("id", name="pk_records"),
    )
    op.create_index("ix_records_boiler", "records", ["boiler"], unique=False)
    op.create_table(
        "record_parents",
        sa.Column("record", sa.String(64), nullable=False),
        sa.Column("parent", sa.String(64), nullable=False),
        sa.ForeignKeyConstraint(["record"], ["records.id"], name="fk_record_parents_record"),
        sa.PrimaryKeyConstraint("record", "parent", name="pk_record_parents"),
    )
    op.create_index("ix_record_parents_parent", "record_parents", ["parent"], unique=False)


def _searchable() -> None:
    op.create_table(
        "trip_results",
        sa.Column("record", sa.String(64), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("role", sa.String(40), nullable=False),
        sa.Column("serial", sa.Text(), nullable=True),
        sa.Column("method", sa.Text(), nullable=False),
        sa.Column("set_pa_gauge", sa.Text(), nullable=True),
        sa.Column("trip_pa_gauge", sa.Text(), nullable=True),
        sa.Column("standard_uncertainty_pa", sa.Text(), nullable=True),
        sa.Column("degrees_of_freedom", sa.Text(), nullable=True),
        sa.Column("verdict", sa.String(40), nullable=False),
        sa.Column("tested_at", sa.String(27), nullable=False),
        sa.ForeignKeyConstraint(["record"], ["records.id"], name="fk_trip_results_record"),
        sa.PrimaryKeyConstraint("record", "place", name="pk_trip_results"),
    )
    op.create_index("ix_trip_results_serial", "trip_results", ["serial"], unique=False)
    op.create_table(
        "settings",
        sa.Column("record", sa.String(64), nullable=False),
        sa.Column("which", sa.String(10), nullable=False),
        sa.Column("dial", sa.String(60), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("si", sa.Text(), nullable=False),
        sa.CheckConstraint("which IN ('as_found', 'proposed', 'as_left')", name="ck_settings_which_known"),
        sa.ForeignKeyConstraint(["record"], ["records.id"], name="fk_settings_record"),
        sa.PrimaryKeyConstraint("record", "which", "dial", name="pk_settings"),
    )
    op.create_table(
        "findings",
        sa.Column("record", sa.String(64), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("which", sa.String(10), nullable=False),
        sa.Column("code", sa.String(60), nullable=False),
        sa.Column("severity", sa.String(20), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["record"], ["records.id"], name="fk_findings_record"),
        sa.PrimaryKeyConstraint("record", "place", name="pk_findings"),
    )
    op.create_index("ix_findings_code", "findings", ["code"], unique=False)


def _typed() -> None:
    op.create_table(
        "drafts",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("kind", sa.String(8), nullable=False),
        sa.Column("boiler", sa.String(36), nullable=False),
        sa.Column("survey", sa.String(64), nullable=True),
        sa.Column("opened_by", sa.String(36), nullable=False),
        sa.Column("opened_at", sa.String(27), nullable=False),
        sa.Column("closed_at", sa.String(27), nullable=True),
        sa.Column("record", sa.String(64), nullable=True),
        sa.Column("became", _NUMBER, nullable=True),
        sa.CheckConstraint("kind = 'survey' OR survey IS NOT NULL", name="ck_drafts_visit_has_survey"),
        sa.CheckConstraint("kind IN ('visit', 'survey')", name="ck_drafts_kind_known"),
        sa.ForeignKeyConstraint(["became"], ["surveys.number"], name="fk_drafts_became"),
        sa.ForeignKeyConstraint(["boiler"], ["boilers.id"], name="fk_drafts_boiler"),
        sa.ForeignKeyConstraint(["opened_by"], ["people.id"], name="fk_drafts_opened_by"),
        sa.ForeignKeyConstraint(["record"], ["records.id"], name="fk_drafts_record"),
        sa.ForeignKeyConstraint(["survey"], ["survey_documents.sha256"], name="fk_drafts_survey"),
        sa.PrimaryKeyConstraint("id", name="pk_drafts"),
    )
    op.create_index("ix_drafts_boiler", "drafts", ["boiler"], unique=False)
    op.create_table(
        "entries",
        sa.Column("number", _NUMBER, autoincrement=True, nullable=False),
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("draft", sa.String(36), nullable=False),
        sa.Column("path", sa.String(120), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=True),
        sa.Column("si", sa.Text(), nullable=True),
        sa.Column("why_not", sa.Text(), nullable=True),
        sa.Column("author", sa.String(36), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("received_at", sa.String(27), nullable=False),
        sa.ForeignKeyConstraint(["author"], ["people.id"], name="fk_entries_author"),
        sa.ForeignKeyConstraint(["draft"], ["drafts.id"], name="fk_entries_draft"),
        sa.PrimaryKeyConstraint("number", name="pk_entries"),
        sa.UniqueConstraint("id", name="uq_entries_id"),
    )
    op.create_index("ix_entries_draft", "entries", ["draft"], unique=False)
    op.create_table(
        "entry_bases",
        sa.Column("entry", sa.String(36), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("base", sa.String(36), nullable=False),
        sa.ForeignKeyConstraint(["base"], ["entries.id"], name="fk_entry_bases_base"),
        sa.ForeignKeyConstraint(["entry"], ["entries.id"], name="fk_entry_bases_entry"),
        sa.PrimaryKeyConstraint("entry", "place", name="pk_entry_bases"),
    )

"""The tables of a store: what is known of sites and boilers, what was typed on visits, and what was signed.

Times are UTC text of one width, so that both databases sort and compare them alike; numbers that may be signed are
decimal text, never binary fractions.
"""

from datetime import UTC, date, datetime
from typing import Final

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    Dialect,
    ForeignKey,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    TypedColumns,
    UniqueConstraint,
)
from sqlalchemy.types import TypeDecorator

_MOMENT: Final = "%Y-%m-%dT%H:%M:%S.%fZ"
_NAMES: Final = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}

metadata: Final = MetaData(naming_convention=_NAMES)


class Moment(TypeDecorator[datetime]):
    """A moment in UTC to the microsecond, as text of one width."""

    impl = String(27)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        """The text that is kept; a moment without a zone is a slip of the program."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a moment without a zone cannot be kept")
        return value.astimezone(UTC).strftime(_MOMENT)

    def process_result_value(self, value: str | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """The moment, in UTC."""
        return None if value is None else datetime.strptime(value, _MOMENT).replace(tzinfo=UTC)


class Day(TypeDecorator[date]):
    """A day of the calendar as text."""

    impl = String(10)
    cache_ok = True

    def process_bind_param(self, value: date | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        """Year, month, day."""
        return None if value is None else value.isoformat()

    def process_result_value(self, value: str | None, dialect: Dialect) -> date | None:  # noqa: ARG002
        """The day."""
        return None if value is None else date.fromisoformat(value)


_Id: Final = String(36)
"""A UUID in small letters with hyphens."""
_Hash: Final = String(64)
"""SHA-256 in hexadecimal digits."""
_Number: Final = BigInteger().with_variant(Integer, "sqlite")
"""A number that grows with every row; SQLite makes one only for a column that is named INTEGER."""


class _Store(TypedColumns):
    one = Column(Integer, primary_key=True, autoincrement=False)
    identity: Column[str] = Column(_Id, nullable=False)
    counter: Column[int] = Column(BigInteger, nullable=False)
    changed_at: Column[datetime] = Column(Moment, nullable=False)


store: Final = Table("store", metadata, _Store, CheckConstraint("one = 1", name="single"))
"""One row: which store this is, and a counter that grows with everything written."""


class _Sites(TypedColumns):
    id: Column[str] = Column(_Id, primary_key=True)
    name: Column[str] = Column(Text, nullable=False, unique=True)
    address: Column[str] = Column(Text, nullable=False)
    added_at: Column[datetime] = Column(Moment, nullable=False)


sites: Final = Table("sites", metadata, _Sites)


class _Boilers(TypedColumns):
    id: Column[str] = Column(_Id, primary_key=True)
    site: Column[str] = Column(_Id, ForeignKey("sites.id"), nullable=False)
    name: Column[str] = Column(Text, nullable=False)
    serial: Column[str | None] = Column(Text)
    added_at: Column[datetime] = Column(Moment, nullable=False)
    registration: Column[str | None] = Column(Text, index=True)


boilers: Final = Table("boilers", metadata, _Boilers, UniqueConstraint("site", "name"))


class _People(TypedColumns):
    id: Column[str] = Column(_Id, primary_key=True)
    name: Column[str] = Column(Text, nullable=False)
    licence: Column[str] = Column(Text, nullable=False)
    may: Column[str] = Column(String(8), nullable=False)
    added_at: Column[datetime] = Column(Moment, nullable=False)


people: Final = Table(
    "people", metadata, _People, CheckConstraint("may IN ('sign', 'write', 'read')", name="may_known")
)


class _Keys(TypedColumns):
    fingerprint: Column[str] = Column(_Hash, primary_key=True)
    person: Column[str] = Column(_Id, ForeignKey("people.id"), nullable=False, index=True)
    public_key: Column[str] = Column(_Hash, nullable=False)
    private_pem: Column[str | None] = Column(Text)
    came_in: Column[str] = Column(Text, nullable=False)
    added_at: Column[datetime] = Column(Moment, nullable=False)
    withdrawn_at: Column[datetime | None] = Column(Moment)
    withdrawn_why: Column[str | None] = Column(Text)


keys: Final = Table("keys", metadata, _Keys)
"""``private_pem`` is encrypted by a passphrase, or not here; ``came_in`` says by which act a key became known."""


class _SurveyDocuments(TypedColumns):
    sha256: Column[str] = Column(_Hash, primary_key=True)
    document: Column[str] = Column(Text, nullable=False)
    added_at: Column[datetime] = Column(Moment, nullable=False)


survey_documents: Final = Table("survey_documents", metadata, _SurveyDocuments)
"""Canonical JSON text of whole plant files, each once."""


class _Surveys(TypedColumns):
    number = Column(_Number, primary_key=True, autoincrement=True)
    sha256: Column[str] = Column(_Hash, ForeignKey("survey_documents.sha256"), nullable=False, index=True)
    site: Column[str] = Column(_Id, ForeignKey("sites.id"), nullable=False, index=True)
    plant_revision: Column[str] = Column(_Hash, nullable=False)
    origin: Column[str] = Column(Text, nullable=False)
    taken_by: Column[str | None] = Column(_Id, ForeignKey("people.id"))
    taken_at: Column[datetime] = Column(Moment, nullable=False)


surveys: Final = Table("surveys", metadata, _Surveys)
"""Survey revisions in the order in which they were taken; rows are only added."""


class _SurveyBoilers(TypedColumns):
    survey: Column[int] = Column(_Number, ForeignKey("surveys.number"), primary_key=True, autoincrement=False)
    boiler: Column[str] = Column(_Id, ForeignKey("boilers.id"), primary_key=True, index=True)


survey_boilers: Final = Table("survey_boilers", metadata, _SurveyBoilers)


class _Controls(TypedColumns):
    id: Column[str] = Column(_Id, primary_key=True)
    serial: Column[str] = Column(Text, nullable=False, index=True)
    kind: Column[str] = Column(Text, nullable=False)
    boiler: Column[str] = Column(_Id, ForeignKey("boilers.id"), nullable=False, index=True)
    role: Column[str] = Column(String(40), nullable=False)
    fitted_on: Column[date] = Column(Day, nullable=False)
    removed_on: Column[date | None] = Column(Day)


controls: Final = Table("controls", metadata, _Controls)
"""One row for each time that a control, by its serial number, was fitted to a boiler in a role."""


class _Gauges(TypedColumns):
    id: Column[str] = Column(_Id, primary_key=True)
    serial: Column[str] = Column(Text, nullable=False, unique=True)
    name: Column[str] = Column(Text, nullable=False)
    scale_from: Column[str] = Column(Text, nullable=False)
    scale_to: Column[str] = Column(Text, nullable=False)
    division: Column[str] = Column(Text, nullable=False)
    accuracy: Column[str] = Column(Text, nullable=False)
    added_at: Column[datetime] = Column(Moment, nullable=False)
    retired_at: Column[datetime | None] = Column(Moment)


gauges: Final = Table("gauges", metadata, _Gauges)
"""Reference gauges; what they show is text with its unit, as on the dial."""


class _Calibrations(TypedColumns):
    id: Column[str] = Column(_Id, primary_key=True)
    gauge: Column[str] = Column(_Id, ForeignKey("gauges.id"), nullable=False, index=True)
    made_on: Column[date] = Column(Day, nullable=False)
    due_on: Column[date | None] = Column(Day)
    certificate: Column[str] = Column(Text, nullable=False)
    made_by: Column[str] = Column(Text, nullable=False)
    correction: Column[str | None] = Column(Text)
    expanded_uncertainty: Column[str | None] = Column(Text)
    coverage_factor: Column[str | None] = Column(Text)
    attachment: Column[str | None] = Column(_Hash, ForeignKey("attachments.sha256"))


calibrations: Final = Table("calibrations", metadata, _Calibrations)


class _Drafts(TypedColumns):
    id: Column[str] = Column(_Id, primary_key=True)
    kind: Column[str] = Column(String(8), nullable=False)
    boiler: Column[str] = Column(_Id, ForeignKey("boilers.id"), nullable=False, index=True)
    survey: Column[str | None] = Column(_Hash, ForeignKey("survey_documents.sha256"))
    opened_by: Column[str] = Column(_Id, ForeignKey("people.id"), nullable=False)
    opened_at: Column[datetime] = Column(Moment, nullable=False)
    closed_at: Column[datetime | None] = Column(Moment)
    record: Column[str | None] = Column(_Hash, ForeignKey("records.id"))
    became: Column[int | None] = Column(_Number, ForeignKey("surveys.number"))


drafts: Final = Table(
    "drafts",
    metadata,
    _Drafts,
    CheckConstraint("kind IN ('visit', 'survey')", name="kind_known"),
    CheckConstraint("kind = 'survey' OR survey IS NOT NULL", name="visit_has_survey"),
)
"""Visits and survey drafts. A visit is closed by the signed ``record``, a survey by the revision that it ``became``."""


class _Entries(TypedColumns):
    number = Column(_Number, primary_key=True, autoincrement=True)
    id: Column[str] = Column(_Id, nullable=False, unique=True)
    draft: Column[str] = Column(_Id, ForeignKey("drafts.id"), nullable=False, index=True)
    path: Column[str] = Column(String(120), nullable=False)
    text: Column[str] = Column(Text, nullable=False)
    unit: Column[str | None] = Column(Text)
    si: Column[str | None] = Column(Text)
    why_not: Column[str | None] = Column(Text)
    author: Column[str] = Column(_Id, ForeignKey("people.id"), nullable=False)
    device: Column[str] = Column(Text, nullable=False)
    at: Column[datetime] = Column(Moment, nullable=False)
    received_at: Column[datetime] = Column(Moment, nullable=False)


entries: Final = Table("entries", metadata, _Entries)


class _EntryBases(TypedColumns):
    entry: Column[str] = Column(_Id, ForeignKey("entries.id"), primary_key=True)
    place: Column[int] = Column(Integer, primary_key=True, autoincrement=False)
    base: Column[str] = Column(_Id, ForeignKey("entries.id"), nullable=False)


entry_bases: Final = Table("entry_bases", metadata, _EntryBases)
"""Which entries an entry replaces, in the order in which it names them."""


class _Records(TypedColumns):
    id: Column[str] = Column(_Hash, primary_key=True)
    boiler: Column[str] = Column(_Id, ForeignKey("boilers.id"), nullable=False, index=True)
    draft: Column[str | None] = Column(_Id)
    kind: Column[str] = Column(String(20), nullable=False)
    content: Column[str] = Column(Text, nullable=False)
    signature: Column[str] = Column(String(128), nullable=False)
    key: Column[str] = Column(_Hash, nullable=False)
    signed_at: Column[datetime] = Column(Moment, nullable=False)
    kept_at: Column[datetime] = Column(Moment, nullable=False)


records: Final = Table("records", metadata, _Records)
"""Signed content as it was signed. A record from elsewhere names a draft and a key that need not be here."""


class _RecordParents(TypedColumns):
    record: Column[str] = Column(_Hash, ForeignKey("records.id"), primary_key=True)
    parent: Column[str] = Column(_Hash, primary_key=True, index=True)


record_parents: Final = Table("record_parents", metadata, _RecordParents)
"""A parent need not be here: a history may have come without its beginning."""


class _TripResults(TypedColumns):
    record: Column[str] = Column(_Hash, ForeignKey("records.id"), primary_key=True)
    place: Column[int] = Column(Integer, primary_key=True, autoincrement=False)
    role: Column[str] = Column(String(40), nullable=False)
    serial: Column[str | None] = Column(Text, index=True)
    method: Column[str] = Column(Text, nullable=False)
    set_pa_gauge: Column[str | None] = Column(Text)
    trip_pa_gauge: Column[str | None] = Column(Text)
    standard_uncertainty_pa: Column[str | None] = Column(Text)
    degrees_of_freedom: Column[str | None] = Column(Text)
    verdict: Column[str] = Column(String(40), nullable=False)
    tested_at: Column[datetime] = Column(Moment, nullable=False)


trip_results: Final = Table("trip_results", metadata, _TripResults)


class _KeptSettings(TypedColumns):
    record: Column[str] = Column(_Hash, ForeignKey("records.id"), primary_key=True)
    which: Column[str] = Column(String(10), primary_key=True)
    dial: Column[str] = Column(String(60), primary_key=True)
    text: Column[str] = Column(Text, nullable=False)
    si: Column[str] = Column(Text, nullable=False)


kept_settings: Final = Table(
    "settings",
    metadata,
    _KeptSettings,
    CheckConstraint("which IN ('as_found', 'proposed', 'as_left')", name="which_known"),
)


class _KeptFindings(TypedColumns):
    record: Column[str] = Column(_Hash, ForeignKey("records.id"), primary_key=True)
    place: Column[int] = Column(Integer, primary_key=True, autoincrement=False)
    which: Column[str] = Column(String(10), nullable=False)
    code: Column[str] = Column(String(60), nullable=False, index=True)
    severity: Column[str] = Column(String(20), nullable=False)
    subject: Column[str] = Column(Text, nullable=False)


kept_findings: Final = Table("findings", metadata, _KeptFindings)
"""These three tables repeat what stands in signed content, so that it can be searched; the content is what counts."""


class _Attachments(TypedColumns):
    sha256: Column[str] = Column(_Hash, primary_key=True)
    kind: Column[str] = Column(String(80), nullable=False)
    size: Column[int] = Column(BigInteger, nullable=False)
    name: Column[str] = Column(Text, nullable=False)
    added_at: Column[datetime] = Column(Moment, nullable=False)


attachments: Final = Table("attachments", metadata, _Attachments)
"""Files beside the database, each named by its hash."""


class _DueItems(TypedColumns):
    id: Column[str] = Column(_Id, primary_key=True)
    boiler: Column[str] = Column(_Id, ForeignKey("boilers.id"), nullable=False, index=True)
    item: Column[str] = Column(Text, nullable=False)
    every_days: Column[int | None] = Column(Integer)
    every_months: Column[int | None] = Column(Integer)
    whose_rule: Column[str] = Column(Text, nullable=False)
    last_done_on: Column[date | None] = Column(Day)
    ended_at: Column[datetime | None] = Column(Moment)


due_items: Final = Table(
    "due_items",
    metadata,
    _DueItems,
    UniqueConstraint("boiler", "item"),
    CheckConstraint("(every_days IS NULL) <> (every_months IS NULL)", name="one_interval"),
)


class _Logins(TypedColumns):
    person: Column[str] = Column(_Id, ForeignKey("people.id"), primary_key=True)
    argon2: Column[str] = Column(Text, nullable=False)
    set_at: Column[datetime] = Column(Moment, nullable=False)


logins: Final = Table("logins", metadata, _Logins)
"""What tells a right passphrase from a wrong one, and does not give it away."""


class _Sessions(TypedColumns):
    token_sha256: Column[str] = Column(_Hash, primary_key=True)
    person: Column[str] = Column(_Id, ForeignKey("people.id"), nullable=False, index=True)
    device: Column[str] = Column(Text, nullable=False)
    made_at: Column[datetime] = Column(Moment, nullable=False)
    last_seen: Column[datetime] = Column(Moment, nullable=False)
    ended_at: Column[datetime | None] = Column(Moment)


sessions: Final = Table("sessions", metadata, _Sessions)
"""Browsers that are let in; the token itself is only in the browser."""


class _Audit(TypedColumns):
    number: Column[int] = Column(_Number, primary_key=True)
    at: Column[datetime] = Column(Moment, nullable=False, index=True)
    person: Column[str | None] = Column(_Id, ForeignKey("people.id"))
    session: Column[str] = Column(String(12), nullable=False)
    address: Column[str] = Column(Text, nullable=False)
    what: Column[str] = Column(Text, nullable=False)
    status: Column[int] = Column(Integer, nullable=False)


audit: Final = Table("audit", metadata, _Audit)
"""Every request that changes something, every login, and what became of it; rows are only added."""

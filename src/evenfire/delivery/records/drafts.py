"""Visits and survey drafts: opened, shown, closed."""

import uuid
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from typing import Final

from sqlalchemy import Connection, Row, insert, select, update

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.finding import one_of
from evenfire.delivery.records.registers import May, boiler_by_id, person_by_id
from evenfire.delivery.records.tables import drafts, survey_boilers, survey_documents, surveys
from evenfire.delivery.visits.visit import Opening
from evenfire.errors import BadRequest


class DraftKind(Enum):
    """What a draft becomes."""

    VISIT = "visit"
    SURVEY = "survey"


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptDraft:
    """A visit or a survey draft as the store holds it."""

    id: str
    kind: DraftKind
    boiler: str
    survey: str | None
    """SHA-256 of the survey revision that it began with; every visit has one"""
    opened_by: str
    opened_at: datetime
    closed_at: datetime | None
    record: str | None
    """The signed record that closed the visit"""
    became: int | None
    """Number of the survey revision that the survey draft became"""

    @property
    def is_open(self) -> bool:
        """Whether entries may still be added."""
        return self.closed_at is None

    @property
    def opening(self) -> Opening:
        """As the fold of a visit wants it.

        Raises
        ------
        BadRequest
            It is a survey draft.
        """
        if self.kind is not DraftKind.VISIT or self.survey is None:
            raise BadRequest(f"{self.id} is a survey draft and no visit.")
        return Opening(
            id=self.id,
            boiler=self.boiler,
            survey=self.survey,
            opened_at=self.opened_at,
            opened_by=self.opened_by,
        )


def open_visit(store: Store, *, boiler: str, by: str, survey: str | None = None, draft: str | None = None) -> KeptDraft:
    """A new visit at a boiler, beginning with its newest survey unless another revision is named.

    ``draft`` is an id made elsewhere; opening the same visit again is harmless.

    Raises
    ------
    BadRequest
        There is no such boiler, person or survey, or that id is another draft.
    """
    return _opened(store, DraftKind.VISIT, boiler, by, survey, draft)


def open_survey(store: Store, *, boiler: str, by: str, draft: str | None = None) -> KeptDraft:
    """A new survey draft of a boiler, beginning with its newest survey if it has one.

    Raises
    ------
    BadRequest
        As :func:`open_visit`.
    """
    return _opened(store, DraftKind.SURVEY, boiler, by, None, draft)


def close_survey(store: Store, draft: str, became: int) -> KeptDraft:
    """A survey draft has become the survey revision of that number; it takes no more entries.

    Raises
    ------
    BadRequest
        There is no such draft or revision, it is a visit, or it is finished already.
    """
    with store.write() as connection:
        kept = draft_by_id(connection, draft)
        if kept.kind is not DraftKind.SURVEY:
            raise BadRequest(f"{draft} is a visit; it is closed by its signature.")
        if not kept.is_open:
            raise BadRequest("This survey is finished already; open a new one.")
        if connection.execute(select(surveys.c.number).where(surveys.c.number == became)).first() is None:
            raise BadRequest(f"There is no survey revision {became} in this store.")
        closed = {"closed_at": store.clock(), "became": became}
        connection.execute(update(drafts).where(drafts.c.id == draft).values(closed))
        return draft_by_id(connection, draft)


def draft_of(store: Store, draft: str) -> KeptDraft:
    """One draft by its id, or by the beginning of it that no other has.

    Raises
    ------
    BadRequest
        There is no such draft, or several begin so.
    """
    return one_of(drafts_of(store), draft, what="visit or survey draft", names=lambda each: (each.id,))


def draft_by_whole_id(store: Store, draft: str) -> KeptDraft:
    """One draft by its whole id.

    Raises
    ------
    BadRequest
        There is no such draft.
    """
    with store.read() as connection:
        return draft_by_id(connection, draft)


def drafts_of(store: Store, boiler: str | None = None, *, kind: DraftKind | None = None) -> tuple[KeptDraft, ...]:
    """All drafts, or those of one boiler, newest first."""
    asked = _DRAFTS if boiler is None else _DRAFTS.where(drafts.c.boiler == boiler)
    if kind is not None:
        asked = asked.where(drafts.c.kind == kind.value)
    with store.read() as connection:
        rows = connection.execute(asked.order_by(drafts.c.opened_at.desc(), drafts.c.id)).all()
    return tuple(_draft(row) for row in rows)


def open_drafts_of(store: Store, kind: DraftKind) -> tuple[KeptDraft, ...]:
    """All drafts of a kind that still take entries, newest first."""
    asked = _DRAFTS.where(drafts.c.kind == kind.value, drafts.c.closed_at.is_(None))
    with store.read() as connection:
        rows = connection.execute(asked.order_by(drafts.c.opened_at.desc(), drafts.c.id)).all()
    return tuple(_draft(row) for row in rows)


def draft_by_id(connection: Connection, draft: str) -> KeptDraft:
    """A draft by its whole id, within a transaction of the caller.

    Raises
    ------
    BadRequest
        There is none.
    """
    row = connection.execute(_DRAFTS.where(drafts.c.id == draft)).one_or_none()
    if row is None:
        raise BadRequest(f"There is no visit or survey draft of the id {draft} in this store.")
    return _draft(row)


_DRAFTS: Final = select(
    drafts.c.id,
    drafts.c.kind,
    drafts.c.boiler,
    drafts.c.survey,
    drafts.c.opened_by,
    drafts.c.opened_at,
    drafts.c.closed_at,
    drafts.c.record,
    drafts.c.became,
)


def _draft(
    row: Row[str, str, str, str | None, str, datetime, datetime | None, str | None, int | None],
) -> KeptDraft:
    id_, kind, boiler, survey, opened_by, opened_at, closed_at, record, became = row
    return KeptDraft(
        id=id_,
        kind=DraftKind(kind),
        boiler=boiler,
        survey=survey,
        opened_by=opened_by,
        opened_at=opened_at,
        closed_at=closed_at,
        record=record,
        became=became,
    )


def _opened(store: Store, kind: DraftKind, boiler: str, by: str, survey: str | None, draft: str | None) -> KeptDraft:
    id_ = draft or str(uuid.uuid4())
    with store.write() as connection:
        known = connection.execute(_DRAFTS.where(drafts.c.id == id_)).one_or_none()
        if known is not None:
            return _same(_draft(known), kind, boiler, by)
        at = boiler_by_id(connection, boiler)
        who = person_by_id(connection, by)
        if who.may is May.READ:
            raise BadRequest(f"{who.name} may only read in this store.")
        begins = survey or newest_survey(connection, boiler)
        if survey is not None and not _is_held(connection, survey):
            raise BadRequest(f"There is no survey revision {survey} in this store.")
        if begins is None and kind is DraftKind.VISIT:
            raise BadRequest(
                f"There is no survey of {at.site.name}/{at.name} yet; take its plant file into the store first."
            )
        row = {
            "id": id_,
            "kind": kind.value,
            "boiler": boiler,
            "survey": begins,
            "opened_by": by,
            "opened_at": store.clock(),
        }
        connection.execute(insert(drafts).values(row))
        return draft_by_id(connection, id_)


def _same(known: KeptDraft, kind: DraftKind, boiler: str, by: str) -> KeptDraft:
    """A device that got no answer opens the same draft again; with anything else it is another draft."""
    if (known.kind, known.boiler, known.opened_by) != (kind, boiler, by):
        raise BadRequest(f"The id {known.id} is another {known.kind.value} already; make a new one.")
    return known


def newest_survey(connection: Connection, boiler: str) -> str | None:
    """SHA-256 of the newest survey revision with a boiler."""
    asked = (
        select(surveys.c.sha256)
        .join_from(surveys, survey_boilers, survey_boilers.c.survey == surveys.c.number)
        .where(survey_boilers.c.boiler == boiler)
        .order_by(surveys.c.number.desc())
        .limit(1)
    )
    return connection.execute(asked).scalar_one_or_none()


def _is_held(connection: Connection, survey: str) -> bool:
    held = select(survey_documents.c.sha256).where(survey_documents.c.sha256 == survey)
    return connection.execute(held).first() is not None

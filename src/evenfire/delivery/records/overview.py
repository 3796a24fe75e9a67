"""The newest of several boilers at once, so that a list of them asks the store a few times and not for each."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.signed import KeptRecord, records_named
from evenfire.delivery.records.survey_document import sha256_of
from evenfire.delivery.records.surveys import SurveyRevision
from evenfire.delivery.records.tables import (
    due_items,
    entries,
    keys,
    records,
    survey_boilers,
    survey_documents,
    surveys,
)
from evenfire.errors import BadContent

VISIT = "visit"

Marks = tuple[tuple[str | int | date | datetime | None, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NewestOf:
    """What the store holds newest of one boiler."""

    survey: SurveyRevision | None
    last_visit: KeptRecord | None
    """The visit that was signed last, by the moment that its signer wrote"""
    marks: Marks = ()
    """The survey, every record and interval set by hand, and every key: what is worked out of them stays right while
    they are the same
    """


def newest_of(store: Store, boilers: Collection[str]) -> dict[str, NewestOf]:
    """By the id of each of these boilers."""
    found = _newest_surveys(store, boilers)
    visits, marks = _visits_and_marks(store, boilers)
    keys_now = _marks_of_keys(store)
    last = {each.boiler: each for each in records_named(store, tuple(visits.values()))}
    return {
        boiler: NewestOf(
            survey=found.get(boiler),
            last_visit=last.get(boiler),
            marks=(_mark_of(found.get(boiler)), *marks.get(boiler, ()), *keys_now),
        )
        for boiler in boilers
    }


def _mark_of(survey: SurveyRevision | None) -> tuple[str | int | datetime | None, ...]:
    # A copy of a store that went on by itself has revisions of the same numbers with other contents.
    return ("survey",) if survey is None else ("survey", survey.number, survey.sha256, survey.taken_at)


def newest_entries(store: Store, drafts: Collection[str]) -> dict[str, str]:
    """The id of the entry that came last, by the id of each of these drafts; none for one without entries."""
    last = select(func.max(entries.c.number)).where(entries.c.draft.in_(drafts)).group_by(entries.c.draft)
    with store.read() as connection:
        rows = connection.execute(select(entries.c.draft, entries.c.id).where(entries.c.number.in_(last))).all()
    return dict(rows)


def _marks_of_keys(store: Store) -> Marks:
    """Every key that the store knows, and when it was withdrawn."""
    with store.read() as connection:
        rows = connection.execute(select(keys.c.fingerprint, keys.c.withdrawn_at).order_by(keys.c.fingerprint)).all()
    return tuple((fingerprint, withdrawn) for fingerprint, withdrawn in rows)


def _newest_surveys(store: Store, boilers: Collection[str]) -> dict[str, SurveyRevision]:
    newest = (
        select(survey_boilers.c.boiler, func.max(survey_boilers.c.survey).label("survey"))
        .where(survey_boilers.c.boiler.in_(boilers))
        .group_by(survey_boilers.c.boiler)
        .subquery()
    )
    asked = (
        select(
            newest.c.boiler,
            surveys.c.number,
            surveys.c.sha256,
            survey_documents.c.document,
            surveys.c.origin,
            surveys.c.taken_by,
            surveys.c.taken_at,
        )
        .join_from(newest, surveys, surveys.c.number == newest.c.survey)
        .join(survey_documents, survey_documents.c.sha256 == surveys.c.sha256)
    )
    with store.read() as connection:
        rows = connection.execute(asked).all()
        of_each = select(survey_boilers.c.survey, survey_boilers.c.boiler).where(
            survey_boilers.c.survey.in_({row.number for row in rows})
        )
        together = connection.execute(of_each.order_by(survey_boilers.c.boiler)).all()
    found = {}
    for boiler, number, sha256, document, origin, taken_by, taken_at in rows:
        if sha256_of(document) != sha256:
            raise BadContent(path="survey", found=f"another text than that of {sha256}", must_be="what was taken")
        found[boiler] = SurveyRevision(
            number=number,
            sha256=sha256,
            document=document,
            boilers=tuple(each for survey, each in together if survey == number),
            origin=origin,
            taken_by=taken_by,
            taken_at=taken_at,
        )
    return found


def _visits_and_marks(store: Store, boilers: Collection[str]) -> tuple[dict[str, str], dict[str, Marks]]:
    """The id of the last visit of each boiler, and what its calendar hangs on."""
    of_records = select(records.c.boiler, records.c.id, records.c.kind).where(records.c.boiler.in_(boilers))
    of_items = select(
        due_items.c.boiler, due_items.c.id, due_items.c.every_days, due_items.c.every_months, due_items.c.last_done_on
    ).where(due_items.c.boiler.in_(boilers), due_items.c.ended_at.is_(None))
    visits: dict[str, str] = {}
    marks: dict[str, Marks] = {}
    with store.read() as connection:
        for boiler, record, kind in connection.execute(of_records.order_by(records.c.signed_at, records.c.id)):
            marks[boiler] = (*marks.get(boiler, ()), (record,))
            if kind == VISIT:
                visits[boiler] = record
        for boiler, *row in connection.execute(of_items.order_by(due_items.c.id)):
            marks[boiler] = (*marks.get(boiler, ()), tuple(row))
    return visits, marks

"""Survey revisions: a plant file taken into the store as one canonical document, and given out again as a file."""

from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Final

from sqlalchemy import Connection, Row, insert, select, update

from evenfire.delivery.intake.plant_file import PlantFile, read_plant_text
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import boiler_by_id, boiler_made, person_by_id, site_made, spelled
from evenfire.delivery.records.survey_document import (
    Difference,
    ReadSurvey,
    differences,
    origin_line,
    read_document,
    read_survey,
    sha256_of,
    toml_of,
)
from evenfire.delivery.records.tables import boilers, sites, survey_boilers, survey_documents, surveys
from evenfire.errors import BadContent, BadRequest

IMPORTED: Final = "imported records"
KEPT_READ: Final = 60
"""The last surveys that were read stay at hand, a few pages of a list: reading one takes longer than judging it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyRevision:
    """A survey as the store holds it: a whole plant file as canonical JSON."""

    number: int | None
    """Grows with every revision taken; nothing for a document that only came with imported records"""
    sha256: str
    """Of the canonical text; what visits and records call the survey"""
    document: str
    """Canonical JSON text without a floating-point number"""
    boilers: tuple[str, ...]
    """Ids of its boilers that this store knows"""
    origin: str
    """The name of the file it came from"""
    taken_by: str | None
    taken_at: datetime

    def toml(self) -> str:
        """The plant file that says the same, with its origin in front."""
        told = f"# Given out by evenfire: taken from {self.origin} at {self.taken_at:%Y-%m-%d %H:%M} UTC."
        return toml_of(self.document, head=f"{told}\n{origin_line(self.sha256)}\n")

    def plant_file(self) -> PlantFile:
        """The plant, read as a file of a person's would be."""
        return _read(self)


@lru_cache(maxsize=KEPT_READ)
def _read(revision: SurveyRevision) -> PlantFile:
    return read_plant_text(revision.toml(), f"survey {revision.sha256[:8]}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """A plant file beside what the store holds of its site."""

    sha256: str
    before: SurveyRevision | None
    """The newest revision of this site"""
    differences: tuple[Difference, ...]
    """Between that one and the file"""
    unaware_of: tuple[SurveyRevision, ...]
    """Revisions taken after the one that the file was given out from: it may undo what they say"""

    @property
    def is_new(self) -> bool:
        """False when the newest revision says the very same."""
        return self.before is None or self.before.sha256 != self.sha256


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What taking a plant file did."""

    revision: SurveyRevision
    is_new: bool
    """False when the newest revision says the very same"""
    before: SurveyRevision | None
    """The newest revision of this site until now"""
    differences: tuple[Difference, ...]
    """Between that one and this"""
    unaware_of: tuple[SurveyRevision, ...]
    """Revisions taken after the one that this file was given out from: it may undo what they say"""


def take(store: Store, content: bytes, name: str, *, by: str | None = None) -> Taken:
    """Add a plant file as the newest survey revision of its site; site and boilers are made where they are new.

    Raises
    ------
    BadPlantFile
        It is no good plant file, or still carries the examples of the template.
    BadRequest
        There is no such person.
    """
    return _taken(store, read_survey(content, name), name, by)


def take_document(store: Store, document: str, *, origin: str, by: str | None = None) -> Taken:
    """As :func:`take`, of a canonical document, such as an older one with a few keys written anew.

    Raises
    ------
    BadContent
        It is not canonical, or no survey.
    BadPlantFile
        As :func:`take`.
    """
    return _taken(store, read_document(document, origin), origin, by)


def compare(store: Store, content: bytes, name: str) -> Compared:
    """What :func:`take` would find; nothing is written.

    Raises
    ------
    BadPlantFile
        As :func:`take`.
    """
    survey = read_survey(content, name)
    with store.read() as connection:
        site = _site_named(connection, survey.plant_file.plant.site.name)
        return _compared(connection, site, survey)


def give(store: Store, boiler: str, *, sha256: str | None = None) -> SurveyRevision:
    """The newest survey revision with a boiler (by its id), or the one of that hash.

    Raises
    ------
    BadRequest
        There is none.
    """
    with store.read() as connection:
        known = boiler_by_id(connection, boiler)
        held = _revisions(connection, boiler=boiler)
        if sha256 is not None:
            held = tuple(each for each in held if each.sha256 == sha256) or _imported(connection, boiler, sha256)
        if not held:
            which = "survey" if sha256 is None else f"survey {sha256[:8]}"
            raise BadRequest(f"There is no {which} of {known.site.name}/{known.name} in this store.")
        return held[-1]


def surveys_of(store: Store, boiler: str) -> tuple[SurveyRevision, ...]:
    """All survey revisions with a boiler (by its id), oldest first."""
    with store.read() as connection:
        return _revisions(connection, boiler=boiler)


def newest_at(store: Store, site: str) -> SurveyRevision | None:
    """The newest survey revision of a site (by its id), if it has one."""
    with store.read() as connection:
        newest = select(surveys.c.number).where(surveys.c.site == site).order_by(surveys.c.number.desc()).limit(1)
        number = connection.execute(newest).scalar_one_or_none()
        return None if number is None else _revisions(connection, number=number)[0]


def taken_since(store: Store, site: str, sha256: str) -> tuple[SurveyRevision, ...]:
    """The survey revisions of a site (by its id) that were taken after one of them, oldest first."""
    with store.read() as connection:
        held = _revisions(connection, site=site)
    known = [place for place, each in enumerate(held) if each.sha256 == sha256]
    return held[known[-1] + 1 :] if known else held


def keep_document(connection: Connection, document: str, now: datetime) -> str:
    """Keep a document that came with imported records, within a transaction of the caller; its SHA-256.

    It becomes no revision: which of two stores surveyed last, no clock can say.

    Raises
    ------
    BadContent
        It is not canonical, or no survey.
    BadPlantFile
        What it says is no good plant file.
    """
    return _kept(connection, read_document(document, IMPORTED), now)


def document_of(store: Store, sha256: str) -> str:
    """A canonical document by its hash.

    Raises
    ------
    BadRequest
        There is none.
    """
    with store.read() as connection:
        found = connection.execute(_DOCUMENT.where(survey_documents.c.sha256 == sha256)).scalar_one_or_none()
    if found is None:
        raise BadRequest(f"There is no survey {sha256} in this store.")
    return found


_DOCUMENT: Final = select(survey_documents.c.document)
_REVISIONS: Final = select(
    surveys.c.number,
    surveys.c.sha256,
    survey_documents.c.document,
    surveys.c.origin,
    surveys.c.taken_by,
    surveys.c.taken_at,
).join_from(surveys, survey_documents, survey_documents.c.sha256 == surveys.c.sha256)


def _taken(store: Store, survey: ReadSurvey, origin: str, by: str | None) -> Taken:
    now = store.clock()
    with store.write() as connection:
        if by is not None:
            person_by_id(connection, by)
        site = _site_named(connection, survey.plant_file.plant.site.name)
        found = _compared(connection, site, survey)
        if found.is_new or found.before is None:
            number = _added(connection, survey, site, _one_line(origin), by, now)
            revision = _revisions(connection, number=number)[0]
        else:
            revision = found.before
    return Taken(
        revision=revision,
        is_new=found.is_new,
        before=found.before,
        differences=found.differences,
        unaware_of=found.unaware_of,
    )


def _compared(connection: Connection, site: str | None, survey: ReadSurvey) -> Compared:
    held = _revisions(connection, site=site) if site is not None else ()
    before = held[-1] if held else None
    known = [place for place, each in enumerate(held) if each.sha256 == survey.origin]
    return Compared(
        sha256=survey.sha256,
        before=before,
        differences=differences(before.document, survey.document) if before is not None else (),
        unaware_of=held[known[-1] + 1 :] if known else (),
    )


def _added(
    connection: Connection, survey: ReadSurvey, site: str | None, origin: str, by: str | None, now: datetime
) -> int:
    plant = survey.plant_file.plant
    at = site if site is not None else site_made(connection, now, plant.site.name).id
    row = {
        "sha256": _kept(connection, survey, now),
        "site": at,
        "plant_revision": survey.plant_file.revision,
        "origin": origin,
        "taken_by": by,
        "taken_at": now,
    }
    number = connection.execute(insert(surveys).values(row).returning(surveys.c.number)).scalar_one()
    for boiler in plant.boilers:
        known = _boiler_named(connection, at, boiler.name) or boiler_made(connection, now, at, boiler.name)
        connection.execute(insert(survey_boilers).values(survey=number, boiler=known))
    return number


def _kept(connection: Connection, survey: ReadSurvey, now: datetime) -> str:
    held = select(survey_documents.c.sha256).where(survey_documents.c.sha256 == survey.sha256)
    if connection.execute(held).first() is None:
        row = {"sha256": survey.sha256, "document": survey.document, "added_at": now}
        connection.execute(insert(survey_documents).values(row))
    return survey.sha256


def _revisions(
    connection: Connection, *, boiler: str | None = None, site: str | None = None, number: int | None = None
) -> tuple[SurveyRevision, ...]:
    asked = _REVISIONS
    if boiler is not None:
        asked = asked.join(survey_boilers, survey_boilers.c.survey == surveys.c.number)
        asked = asked.where(survey_boilers.c.boiler == boiler)
    if site is not None:
        asked = asked.where(surveys.c.site == site)
    if number is not None:
        asked = asked.where(surveys.c.number == number)
    return tuple(_revision(connection, row) for row in connection.execute(asked.order_by(surveys.c.number)).all())


def _revision(connection: Connection, row: Row[int, str, str, str, str | None, datetime]) -> SurveyRevision:
    number, sha256, document, origin, taken_by, taken_at = row
    if sha256_of(document) != sha256:
        raise BadContent(path="survey", found=f"another text than that of {sha256}", must_be="what was taken")
    asked = select(survey_boilers.c.boiler).where(survey_boilers.c.survey == number)
    return SurveyRevision(
        number=number,
        sha256=sha256,
        document=document,
        boilers=tuple(sorted(connection.execute(asked).scalars())),
        origin=origin,
        taken_by=taken_by,
        taken_at=taken_at,
    )


def _imported(connection: Connection, boiler: str, sha256: str) -> tuple[SurveyRevision, ...]:
    """A document that is here without being a revision of this boiler."""
    asked = select(survey_documents.c.document, survey_documents.c.added_at).where(survey_documents.c.sha256 == sha256)
    return tuple(
        SurveyRevision(
            number=None,
            sha256=sha256,
            document=document,
            boilers=(boiler,),
            origin=IMPORTED,
            taken_by=None,
            taken_at=added_at,
        )
        for document, added_at in connection.execute(asked)
    )


def _site_named(connection: Connection, name: str) -> str | None:
    found = {spelled(each): id_ for id_, each in connection.execute(select(sites.c.id, sites.c.name))}
    return found.get(spelled(name))


def _boiler_named(connection: Connection, site: str, name: str) -> str | None:
    """The boiler of that name; spelled a little otherwise in the newest survey, it is called so from now on."""
    asked = select(boilers.c.id, boilers.c.name).where(boilers.c.site == site)
    found = {spelled(each): id_ for id_, each in connection.execute(asked)}
    known = found.get(spelled(name))
    if known is not None:
        connection.execute(update(boilers).where(boilers.c.id == known).values(name=name))
    return known


def _one_line(origin: str) -> str:
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in origin)

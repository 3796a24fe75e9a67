"""Survey revisions: a plant file taken into the store as one canonical document, and given out again as a file."""

from dataclasses import dataclass
from datetime import datetime

from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.records.database import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyRevision:
    """A survey as the store holds it: a whole plant file as canonical JSON."""

    number: int
    """Grows with every revision taken"""
    sha256: str
    """Of the canonical text; what visits and records call the survey"""
    document: str
    """Canonical JSON text without a floating-point number"""
    plant_revision: str
    """As the plant file has it: without proposed settings and those left"""
    site: str
    boilers: tuple[str, ...]
    """Ids, in the order of the document"""
    origin: str
    """The name of the file it came from"""
    taken_by: str | None
    taken_at: datetime

    def toml(self) -> str:
        """The plant file that says the same, with its origin in front."""
        raise NotImplementedError

    def plant_file(self) -> PlantFile:
        """The plant, read as a file of a person's would be."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One key that differs between two surveys."""

    key: str
    """As in the plant file: ``boiler[No. 1].mawp``"""
    before: str | None
    """As written; nothing where it was not there"""
    after: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What taking a plant file did."""

    revision: SurveyRevision
    is_new: bool
    """False when the newest revision says the very same"""
    before: SurveyRevision | None
    """The newest revision until now"""
    differences: tuple[Difference, ...]
    """Between that one and this"""
    unaware_of: tuple[SurveyRevision, ...]
    """Revisions taken after the one that this file was given out from: it may undo what they say"""


def take(store: Store, content: bytes, name: str, *, by: str | None = None) -> Taken:
    """Add a plant file as the newest survey revision of its site; site and boilers are made where they are new.

    Raises
    ------
    BadPlantFile
        It is no good plant file.
    """
    raise NotImplementedError


def compare(store: Store, content: bytes, name: str) -> Taken | None:
    """What :func:`take` would do, nothing written; nothing when it would be the first of its site."""
    raise NotImplementedError


def give(store: Store, boiler: str, *, sha256: str | None = None) -> SurveyRevision:
    """The newest survey revision with a boiler (by its id), or the one of that hash.

    Raises
    ------
    BadRequest
        There is none.
    """
    raise NotImplementedError


def surveys_of(store: Store, boiler: str) -> tuple[SurveyRevision, ...]:
    """All survey revisions with a boiler, oldest first."""
    raise NotImplementedError


def add_document(store: Store, document: str, *, origin: str) -> SurveyRevision:
    """Take a canonical document that came with imported records; it becomes no newest revision if it is held already.

    Raises
    ------
    BadRequest
        It is not canonical, or no plant file.
    """
    raise NotImplementedError

"""Visits and survey drafts: opened, shown, closed."""

from dataclasses import dataclass
from datetime import datetime
from enum import Enum

from evenfire.delivery.records.database import Store
from evenfire.delivery.visits.visit import Opening


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
        """As the fold of a visit wants it; only of a visit."""
        raise NotImplementedError


def open_visit(store: Store, *, boiler: str, by: str, survey: str | None = None, draft: str | None = None) -> KeptDraft:
    """A new visit at a boiler, beginning with its newest survey unless another revision is named.

    ``draft`` is an id made elsewhere; opening the same visit again is harmless.

    Raises
    ------
    BadRequest
        There is no such boiler, person or survey, or that id is another draft.
    """
    raise NotImplementedError


def open_survey(store: Store, *, boiler: str, by: str, draft: str | None = None) -> KeptDraft:
    """A new survey draft of a boiler, beginning with its newest survey if it has one.

    Raises
    ------
    BadRequest
        As :func:`open_visit`.
    """
    raise NotImplementedError


def draft_of(store: Store, draft: str) -> KeptDraft:
    """One draft by its id, or by the beginning of it that no other has.

    Raises
    ------
    BadRequest
        There is no such draft, or several begin so.
    """
    raise NotImplementedError


def drafts_of(store: Store, boiler: str | None = None, *, kind: DraftKind | None = None) -> tuple[KeptDraft, ...]:
    """All drafts, or those of one boiler, newest first."""
    raise NotImplementedError

"""What was typed on a visit, out of the body that is signed: the same entries, and the same visit that they make."""

from datetime import UTC, datetime

from evenfire.delivery.papers.visit_body import Body, table_of, texts_of
from evenfire.delivery.records.searchable import rows_of, text_of
from evenfire.delivery.visits.entry import MOMENT, Entry
from evenfire.delivery.visits.folding import Draft, folded
from evenfire.delivery.visits.visit import Opening, Visit, visit_of
from evenfire.errors import BadEntry


def fold_of(body: Body) -> Draft | None:
    """What stands in each field; nothing where the entries cannot be read."""
    try:
        return folded(_entries(body))
    except (BadEntry, ValueError):
        return None


def visit_in(body: Body, boiler: str) -> Visit | None:
    """The visit at a boiler (by its id) that the entries make; nothing where they make none."""
    visit = table_of(body, "visit")
    try:
        opening = Opening(
            id=text_of(visit, "id"),
            boiler=boiler,
            survey=text_of(visit, "survey"),
            opened_at=_moment(text_of(visit, "opened_at")),
            opened_by=text_of(visit, "opened_by"),
        )
        return visit_of(opening, _entries(body))
    except (BadEntry, ValueError, ArithmeticError):
        return None


def _entries(body: Body) -> tuple[Entry, ...]:
    """Authors are told by name in a record, and are no ids of this store."""
    visit = text_of(table_of(body, "visit"), "id")
    return tuple(
        Entry(
            id=text_of(row, "id"),
            draft=visit,
            path=text_of(row, "path"),
            text=text_of(row, "text"),
            unit=text_of(row, "unit") or None,
            si=text_of(row, "si") or None,
            why_not=text_of(row, "why_not") or None,
            author=text_of(row, "author"),
            device=text_of(row, "device"),
            at=_moment(text_of(row, "at")),
            based_on=texts_of(row, "based_on"),
        )
        for row in rows_of(body, "entries")
    )


def _moment(text: str) -> datetime:
    return datetime.strptime(text, MOMENT).replace(tzinfo=UTC)

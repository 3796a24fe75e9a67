"""Temporary changes that stand open at a boiler: told on every page of it until each is closed and seen closed."""

from evenfire.delivery.records import drafts, entries
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind
from evenfire.delivery.report.visit_lines import temporary_row
from evenfire.delivery.report.visit_stands import Change
from evenfire.delivery.visits.visit import visit_of


def open_changes(store: Store, boiler: str) -> dict[str, tuple[Change, ...]]:
    """Those of every visit of a boiler that is not signed, by the id of the visit; also of one that was given up."""
    found = {}
    for draft in drafts.drafts_of(store, boiler, kind=DraftKind.VISIT):
        if not draft.is_open:
            continue
        visit = visit_of(draft.opening, entries.entries_of(store, draft.id))
        still = [each for each in visit.temporary_changes if each.is_open]
        if still:
            rows = [(each.row, *temporary_row(each)) for each in still]
            found[draft.id] = tuple(Change(row=row, label=label, text=text, is_open=True) for row, label, text in rows)
    return found

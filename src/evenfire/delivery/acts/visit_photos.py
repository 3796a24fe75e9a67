"""Photographs of a visit: decoded within limits in a process of their own, kept, and entered."""

from threading import Lock
from typing import Final
from uuid import uuid4

from evenfire.delivery.records import drafts, entries
from evenfire.delivery.records.attachments import Attachment, attach_photograph
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind
from evenfire.delivery.records.registers import Person
from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.fields import MOST_ROWS
from evenfire.delivery.visits.folding import folded
from evenfire.errors import BadRequest

_ONE_AT_A_TIME: Final = Lock()
"""Two that come at once would take the same row."""


def add_photograph(
    store: Store, visit: str, content: bytes, name: str, shows: str, by: Person, device: str
) -> Attachment:
    """Keep a photograph and enter it as the next of a visit; one that the visit has already is not entered twice.

    Raises
    ------
    BadAttachment
        It is no photograph, or takes too much.
    BadRequest
        There is no such visit, it is signed, or it has as many as it may have.
    """
    draft = drafts.draft_by_whole_id(store, visit)
    if draft.kind is not DraftKind.VISIT or not draft.is_open:
        raise BadRequest("This visit takes no more photographs: it is signed.")
    kept = attach_photograph(store, content, name)
    with _ONE_AT_A_TIME:
        fold = folded(entries.entries_of(store, visit))
        rows = fold.rows("photo")
        if any(fold.text(f"photo.{row}.hash") == kept.sha256 for row in rows):
            return kept
        row = max((*rows, 0)) + 1
        if row > MOST_ROWS:
            raise BadRequest(f"A visit has at most {MOST_ROWS} photographs.")
        said = {f"photo.{row}.hash": kept.sha256, f"photo.{row}.shows": shows.strip()}
        moment = store.clock()
        made = [
            Entry(
                id=str(uuid4()),
                draft=visit,
                path=path,
                text=text,
                author=by.id,
                device=device,
                at=moment,
                based_on=fold.based_on(path),
            )
            for path, text in said.items()
            if text
        ]
        entries.record_all(store, made)
    return kept

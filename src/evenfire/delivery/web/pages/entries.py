"""One entry is sent, and what stands in the fields of a draft is asked for."""

from datetime import UTC, datetime
from typing import Annotated

from fastapi import APIRouter, Request
from pydantic import BaseModel, ConfigDict, Field

from evenfire.delivery.acts.entering import Sent, StandingField, enter, standing_fields
from evenfire.delivery.visits.entry import LONGEST_PATH, LONGEST_TEXT, MOST_REPLACED
from evenfire.delivery.web.door.rights import Reader, Writer
from evenfire.delivery.web.rendering import units_of

router = APIRouter()
ID_LENGTH = 36
LONGEST_DEVICE = 100


class SentEntry(BaseModel):
    """An entry as the script of a page sends it."""

    model_config = ConfigDict(extra="forbid", strict=True)

    draft: Annotated[str, Field(max_length=ID_LENGTH)]
    path: Annotated[str, Field(max_length=LONGEST_PATH)]
    text: Annotated[str, Field(max_length=LONGEST_TEXT)]
    device: Annotated[str, Field(max_length=LONGEST_DEVICE)]
    at: Annotated[datetime, Field(strict=False)]
    based_on: Annotated[list[Annotated[str, Field(max_length=ID_LENGTH)]], Field(max_length=MOST_REPLACED)]


@router.put("/entries/{entry}")
def put_entry(request: Request, entry: str, sent: SentEntry, visitor: Writer) -> dict[str, object]:
    """Keep one entry; the answer comes after it is on the disk."""
    offered = Sent(
        id=entry,
        draft=sent.draft,
        path=sent.path,
        text=sent.text,
        device=sent.device,
        at=sent.at.replace(tzinfo=UTC) if sent.at.tzinfo is None else sent.at.astimezone(UTC),
        based_on=tuple(sent.based_on),
    )
    return _field(enter(request.app.state.store, offered, visitor.person, units_of(request)))


@router.get("/drafts/{draft}/fields")
def fields(request: Request, draft: str, _visitor: Reader, since: str = "") -> dict[str, object]:
    """What stands in each field; nothing where nothing was typed since the entry named."""
    found = standing_fields(request.app.state.store, draft, units_of(request))
    if since and since == found.newest:
        return {"counter": found.newest, "fields": []}
    return {"counter": found.newest, "fields": [_field(each) for each in found.fields]}


def _field(field: StandingField) -> dict[str, object]:
    heads = [
        {"id": each.id, "text": each.text, "by": each.by, "device": each.device, "at": f"{each.at:%Y-%m-%d %H:%M} UTC"}
        for each in field.values
    ]
    return {
        "path": field.path,
        "text": field.text,
        "reading": field.reading,
        "why_not": field.why_not,
        "state": "two values" if field.is_in_conflict else "saved",
        "heads": heads,
    }

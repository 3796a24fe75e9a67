"""Attachments: handed out as files to keep, and never shown as part of a page."""

import re
from typing import Final
from urllib.parse import quote

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from evenfire.delivery.records.attachments import attachment, content_of
from evenfire.delivery.web.door.rights import Reader
from evenfire.errors import BadRequest

router = APIRouter()
PICTURES: Final = frozenset({"image/jpeg", "image/png"})
"""Kinds that are named; everything else is told as bytes, whatever it calls itself."""
BYTES: Final = "application/octet-stream"
_HASH: Final = re.compile(r"[0-9a-f]{64}")
UNNAMED: Final = "attachment"
_FOLDERS: Final = re.compile(r"[/\\:~]+")
_PLAIN: Final = re.compile(r"[^A-Za-z0-9._-]+")


@router.get("/attachments/{sha256}")
def give_attachment(request: Request, sha256: str, _visitor: Reader) -> Response:
    """One file by its hash."""
    store = request.app.state.store
    if _HASH.fullmatch(sha256) is None:
        raise HTTPException(404, "An attachment is named by its hash.")
    try:
        kept = attachment(store, sha256)
    except BadRequest as error:
        raise HTTPException(404, str(error)) from error
    headers = {
        "Content-Disposition": disposition(kept.name),
        "X-Content-Type-Options": "nosniff",
        # Its content is its name: a browser may keep it, a cache between may not.
        "Cache-Control": "private, max-age=31536000, immutable",
        "Content-Security-Policy": "default-src 'none'; sandbox",
    }
    kind = kept.kind if kept.kind in PICTURES else BYTES
    return Response(content_of(store, sha256), media_type=kind, headers=headers)


def disposition(name: str) -> str:
    """A header that makes a browser keep a file under a name, whatever signs stand in that (RFC 6266).

    No folder is told, and nothing that hides a file or turns its letters round: not every program that fetches a file
    takes those off by itself.
    """
    printable = "".join(sign for sign in name if sign.isprintable())
    last = _FOLDERS.sub("_", printable).strip("._ ") or UNNAMED
    plain = _PLAIN.sub("_", last).strip("._") or UNNAMED
    return f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(last, safe='')}"

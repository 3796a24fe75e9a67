"""How much a request may bring, and how slowly."""

import asyncio
import time
from typing import Final

from fastapi import HTTPException
from starlette.types import Message, Receive

from evenfire.delivery.records.photographs import LARGEST_PHOTOGRAPH
from evenfire.delivery.web.door.arrival import Headers, Refused, only
from evenfire.delivery.web.door.visitor import Visitor

ASSUMED_LARGEST_OF_STRANGERS: Final = 16_384
"""A name and a passphrase, with room [bytes]."""
ASSUMED_LARGEST: Final = 1_048_576
"""An entry or a form of ours is some kilobytes; a mebibyte is far from both [bytes]."""
LARGEST_UPLOAD: Final = LARGEST_PHOTOGRAPH + 65_536
"""A photograph with what a form puts around it [bytes]."""
ASSUMED_PATIENCE: Final = 30.0
"""Before a body that does not come is given up: a telephone may lose its link and find it again [s]."""
ASSUMED_SLOWEST: Final = 8_192.0
"""A body may take longer the larger it is, a tenth of a slow telephone link [bytes/s]."""

TOO_MUCH: Final = "That is more than {most:,} bytes, which this page does not take."
TOO_SLOW: Final = "The link is so slow that the server gave up waiting. Try again where it is better."
NO_LENGTH: Final = "The request does not say truly how long it is."


def most_taken(headers: Headers, visitor: Visitor | None) -> int:
    """How long the body of a request may be [bytes]."""
    if visitor is None:
        return ASSUMED_LARGEST_OF_STRANGERS
    is_upload = (only(headers, b"content-type") or "").lower().startswith("multipart/form-data")
    return LARGEST_UPLOAD if is_upload and visitor.may_write else ASSUMED_LARGEST


def require_length(headers: Headers, most: int) -> None:
    """Refuse a body that is announced too long before any of it is read.

    Raises
    ------
    Refused
        413, or 400 where the announcement is no number.
    """
    told = only(headers, b"content-length")
    if told is None:
        return
    if not (told.isascii() and told.isdigit()):
        raise Refused(400, NO_LENGTH)
    if int(told[:20]) > most:
        raise Refused(413, TOO_MUCH.format(most=most))


def limited(receive: Receive, most: int) -> Receive:
    """The body as it comes, broken off when it is too long or too slow; what comes after it is waited for in peace."""
    began = time.monotonic()
    taken = 0
    is_complete = False

    async def receive_limited() -> Message:
        nonlocal taken, is_complete
        if is_complete:
            return await receive()
        patience = began + ASSUMED_PATIENCE + taken / ASSUMED_SLOWEST - time.monotonic()
        try:
            message = await asyncio.wait_for(receive(), max(patience, 0.0))
        except TimeoutError:
            raise HTTPException(408, TOO_SLOW) from None
        taken += len(message.get("body", b""))
        is_complete = message["type"] != "http.request" or not message.get("more_body", False)
        if taken > most:
            raise HTTPException(413, TOO_MUCH.format(most=most))
        return message

    return receive_limited

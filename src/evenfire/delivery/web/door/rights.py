"""What a route asks of whoever calls it: every route names one of these, and a program with one that names none stops.

The guard has found out who is asking before a route is reached. A right adds what he or she may do, and for every
request that changes something the token that only our own pages know.
"""

import hmac
from collections.abc import Iterator
from typing import Annotated, Final

from fastapi import Depends, FastAPI, HTTPException, Request
from fastapi.dependencies.models import Dependant
from fastapi.routing import APIRoute, iter_route_contexts
from starlette.routing import Mount

from evenfire.delivery.web.door.visitor import Visitor

SAFE_METHODS: Final = frozenset({"GET", "HEAD", "OPTIONS"})
TOKEN_FIELD: Final = "token"
TOKEN_HEADER: Final = "X-Evenfire-Token"
STATIC: Final = "/static"
"""The one place below which files are served that need no login."""

NOT_KNOWN: Final = "Log in first."
STALE: Final = "This page is older than your login. Load it again, then do it once more."
ONLY_READS: Final = "You may read here and change nothing. A person is given more at the command line."
NO_SIGNATURE: Final = "You may write here and not sign. A person is given more at the command line."


def visitor_of(request: Request) -> Visitor | None:
    """Who is asking, as the guard found out; nobody without a login."""
    found = getattr(request.state, "visitor", None)
    return found if isinstance(found, Visitor) else None


async def let_in(request: Request) -> Visitor:
    """Anybody with a login; for a request that changes something, with the token of our own pages too."""
    visitor = visitor_of(request)
    if visitor is None:
        raise HTTPException(401, NOT_KNOWN)
    if request.method not in SAFE_METHODS:
        await require_token(request, visitor.csrf)
    return visitor


async def let_write(visitor: Annotated[Visitor, Depends(let_in)]) -> Visitor:
    """Those who may write, or sign."""
    if not visitor.may_write:
        raise HTTPException(403, ONLY_READS)
    return visitor


async def let_sign(visitor: Annotated[Visitor, Depends(let_in)]) -> Visitor:
    """Those who may sign."""
    if not visitor.may_sign:
        raise HTTPException(403, NO_SIGNATURE if visitor.may_write else ONLY_READS)
    return visitor


async def let_anybody() -> None:
    """Anybody: a route without login."""


Reader = Annotated[Visitor, Depends(let_in)]
Writer = Annotated[Visitor, Depends(let_write)]
Signer = Annotated[Visitor, Depends(let_sign)]
Open: Final = Depends(let_anybody)
"""Stands among the ``dependencies`` of a route that needs no login."""


async def require_token(request: Request, expected: str) -> None:
    """Refuse a request that does not carry the token, in its header or its form.

    Raises
    ------
    HTTPException
        403: it carries none, or another.
    """
    given: object = request.headers.get(TOKEN_HEADER)
    if given is None and _is_form(request):
        given = (await request.form()).get(TOKEN_FIELD)
    if not isinstance(given, str) or not hmac.compare_digest(given.encode(), expected.encode()):
        raise HTTPException(403, STALE)


def _is_form(request: Request) -> bool:
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    return kind in {"application/x-www-form-urlencoded", "multipart/form-data"}


def open_paths(app: FastAPI) -> frozenset[str]:
    """The paths that need no login; every other route needs one.

    Raises
    ------
    RuntimeError
        A route names no right, so that nobody can say who may call it; or an open one takes part of its path.
    """
    opened: set[str] = set()
    for route in iter_route_contexts(app.routes):
        path = route.path or ""
        if path == STATIC and isinstance(route.original_route, Mount):
            continue
        if not isinstance(route.original_route, APIRoute):
            raise RuntimeError(f"{path} is no route that can name a right")  # noqa: TRY004 - nobody gave a wrong type
        asked = set(_asked(route.dependant))
        if let_in in asked or path.startswith(f"{STATIC}/"):
            continue
        if let_anybody not in asked:
            raise RuntimeError(f"{path} names no right: Reader, Writer, Signer or Open")
        if "{" in path:
            raise RuntimeError(f"{path} is open and takes part of its path; an open route has one path")
        opened.add(path)
    return frozenset(opened)


def _asked(dependant: Dependant) -> Iterator[object]:
    """Every function that runs before a route, with what those ask in turn."""
    for each in dependant.dependencies:
        yield each.call
        yield from _asked(each)

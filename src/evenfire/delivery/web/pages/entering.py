"""Coming in and leaving: the login, the start link, logging out."""

import hmac
from typing import Annotated, Final
from urllib.parse import urlsplit

from fastapi import APIRouter, Form, Request
from starlette.responses import RedirectResponse, Response

from evenfire.delivery.records.sessions import csrf_of, new_token
from evenfire.delivery.web.door.arrival import Arrival, Refused, only
from evenfire.delivery.web.door.cookies import (
    ENTERING,
    SESSION,
    cookie_name,
    cookie_of,
    forget_session,
    keep_entering,
    keep_session,
)
from evenfire.delivery.web.door.keeper import NOBODY_YET, Keeper, LetIn, WrongLogin, device_of
from evenfire.delivery.web.door.rights import Open, Reader, visitor_of
from evenfire.delivery.web.refusing import LOGIN, refusal
from evenfire.delivery.web.rendering import render

router = APIRouter()
HOME: Final = "/"
LONGEST_NEXT: Final = 500
LONGEST_TYPED: Final = 1_000
"""Of a name or a passphrase [characters]"""
STALE_FORM: Final = "This form stood open too long, or the browser keeps no cookies. Type name and passphrase again."


@router.get("/enter", dependencies=[Open], response_class=Response)
def form(request: Request, next: str = HOME) -> Response:  # noqa: A002 - the word in the address
    """The login."""
    if visitor_of(request) is not None:
        return RedirectResponse(way_back(next), status_code=303)
    return _form(request, next, "", 200)


@router.post("/enter", dependencies=[Open], response_class=Response)
def enter(
    request: Request,
    name: Annotated[str, Form(max_length=LONGEST_TYPED)] = "",
    passphrase: Annotated[str, Form(max_length=LONGEST_TYPED)] = "",
    token: Annotated[str, Form(max_length=LONGEST_TYPED)] = "",
    next: Annotated[str, Form(max_length=LONGEST_TYPED)] = HOME,  # noqa: A002 - the word in the form
) -> Response:
    """Log in: the guard has let nothing through that came in the open, or from a page of somebody else."""
    keeper, arrival = _keeper(request), _arrival(request)
    tied = _cookie(request, ENTERING)
    if not tied or not hmac.compare_digest(token.encode(), csrf_of(tied).encode()):
        return _form(request, next, STALE_FORM, 403)
    if not keeper.has_people:
        return _form(request, next, NOBODY_YET, 403)
    device = device_of(request.headers.get("user-agent", ""))
    try:
        let_in = keeper.log_in(name, passphrase, arrival, device, _cookie(request, SESSION))
    except Refused as refused:
        request.state.about = refused.about if isinstance(refused, WrongLogin) else None
        return _form(request, next, refused.why, refused.status)
    return _in(request, let_in, way_back(next))


@router.post("/leave", response_class=Response)
def leave(request: Request, _visitor: Reader) -> Response:
    """Log out on this browser."""
    _keeper(request).log_out(_cookie(request, SESSION) or "")
    answer = RedirectResponse(LOGIN, status_code=303)
    forget_session(answer, _arrival(request), _keeper(request).reach.port)
    return answer


@router.get("/start", dependencies=[Open], response_class=Response)
def start(request: Request, token: str = "") -> Response:
    """Come in by the start link, while the store knows no person."""
    if visitor_of(request) is not None:
        return RedirectResponse(HOME, status_code=303)
    keeper, arrival = _keeper(request), _arrival(request)
    if keeper.has_people:
        return RedirectResponse(LOGIN, status_code=303)
    try:
        let_in = keeper.start(token, arrival, device_of(request.headers.get("user-agent", "")))
    except Refused as refused:
        return refusal(request, refused.status, refused.why)
    return _in(request, let_in, HOME)


def way_back(wanted: str) -> str:
    """Where to go after the login: a page of this server, and no other."""
    parts = urlsplit(wanted)
    is_ours = wanted.startswith("/") and not wanted.startswith("//") and not parts.scheme and not parts.netloc
    is_plain = wanted.isascii() and wanted.isprintable() and "\\" not in wanted and len(wanted) <= LONGEST_NEXT
    is_page = parts.path not in {LOGIN, "/leave", "/start"}
    return wanted if is_ours and is_plain and is_page else HOME


def _form(request: Request, wanted: str, why: str, status: int) -> Response:
    """The login form, tied to the browser that asks for it."""
    tied = _cookie(request, ENTERING) or new_token()
    came_from = only(request.scope["headers"], b"sec-fetch-site")
    content: dict[str, object] = {
        "token": csrf_of(tied),
        "next": way_back(wanted),
        "why": why,
        "is_open": not _keeper(request).has_people,
        "nobody_yet": NOBODY_YET,
        # From a link in a letter no browser sends the cookie of a session; from our own page it does.
        "may_be_in": came_from == "cross-site",
    }
    answer = render(request, "entering.html", None, content, status=status)
    keep_entering(answer, _arrival(request), _keeper(request).reach.port, tied)
    return answer


def _in(request: Request, let_in: LetIn, to: str) -> Response:
    request.state.let_in = (let_in.person, let_in.session)
    answer = RedirectResponse(to, status_code=303)
    keep_session(answer, _arrival(request), _keeper(request).reach.port, let_in.token)
    return answer


def _cookie(request: Request, kind: str) -> str | None:
    return cookie_of(request.scope["headers"], cookie_name(kind, _arrival(request), _keeper(request).reach.port))


def _keeper(request: Request) -> Keeper:
    found: Keeper = request.app.state.keeper
    return found


def _arrival(request: Request) -> Arrival:
    found: Arrival = request.state.arrival
    return found

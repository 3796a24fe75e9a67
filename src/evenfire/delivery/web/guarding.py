"""The guard that stands around all pages: how a request came, who asks, what it brings, and what every answer says.

The order is one of distrust: the way a request came is weighed before anything else of it, the page that made a browser
send it before the session, the session before the body, and the body before any route. A path that nobody opened needs
a login, also one that does not exist.
"""

import logging
import uuid
from typing import Final
from urllib.parse import urlencode

from fastapi import FastAPI
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import Message, Receive, Scope, Send

from evenfire.delivery.web.door.arrival import Arrival, Refused, arrival_of, require_same_origin
from evenfire.delivery.web.door.auditing import Audit
from evenfire.delivery.web.door.bodies import limited, most_taken, require_length
from evenfire.delivery.web.door.cookies import SESSION, cookie_name, cookie_of
from evenfire.delivery.web.door.keeper import Keeper
from evenfire.delivery.web.door.rights import NOT_KNOWN, SAFE_METHODS, STATIC
from evenfire.delivery.web.door.visitor import Visitor
from evenfire.delivery.web.refusing import FAILED, LOGIN, SHORT, refusal, wants_json
from evenfire.errors import BadStore

TROUBLE: Final = logging.getLogger("evenfire.web")
POLICY: Final = "; ".join(
    (
        "default-src 'self'",
        "img-src 'self' blob:",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
)
HEADERS: Final = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    # With no referrer at all a browser would write "null" as the origin of our own forms.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=(), serial=()",
    "Cache-Control": "no-store",
}
"""On every answer; a route may say something narrower of its own. Photographs come by the file dialogue, which asks no
permission of a page."""


class Guard:
    """Stands around an application; ASGI."""

    def __init__(self, app: FastAPI, keeper: Keeper) -> None:
        self._app = app
        self._keeper = keeper
        self._audit = Audit(keeper.store, app)
        self._opened: frozenset[str] = app.state.open_paths
        app.state.keeper = keeper

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through to its route, or answer it here."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            # Nothing here speaks anything else; closing is the answer that it provides for.
            await send({"type": "websocket.close", "code": 1008})
            return
        # An answer that is drawn here asks for the application, as one from a route does.
        scope["app"] = self._app
        scope.setdefault("state", {})
        answer = _Answer(send)
        await self._answered(scope, receive, answer)
        await run_in_threadpool(self._audit.keep, scope, answer.status)

    async def _answered(self, scope: Scope, receive: Receive, answer: "_Answer") -> None:
        request = Request(scope)
        try:
            most = await self._weighed(scope)
            if isinstance(most, Response):
                await most(scope, receive, answer.send)
                return
            await self._app(scope, limited(receive, most), answer.send)
        except Refused as refused:
            # Drawn for nobody: whoever comes a wrong way is shown no name.
            scope["state"].pop("visitor", None)
            await refusal(request, refused.status, refused.why)(scope, receive, answer.send)
        except BadStore as error:
            await refusal(request, 503, str(error))(scope, receive, answer.send)
        except Exception as error:
            if answer.has_begun:
                # The application has told of it already, unless it was in the middle of an answer.
                TROUBLE.info("%s %s broken off by %s", request.method, request.url.path, type(error).__name__)
                return
            await _failed(request, error)(scope, receive, answer.send)

    async def _weighed(self, scope: Scope) -> int | Response:
        """How long its body may be [bytes], or the way to the login."""
        headers = scope["headers"]
        client = scope.get("client")
        arrival = arrival_of(
            self._keeper.reach, scheme=scope["scheme"], peer=client[0] if client else "", headers=headers
        )
        scope["state"]["arrival"] = arrival
        is_safe = scope["method"] in SAFE_METHODS
        require_same_origin(arrival, is_safe, headers)
        visitor = None
        if not scope["path"].startswith(f"{STATIC}/"):
            visitor = await run_in_threadpool(self._visitor, arrival, headers)
        if visitor is None and not self._is_open(scope["path"]):
            return _to_login(Request(scope))
        scope["state"]["visitor"] = visitor
        most = most_taken(headers, visitor)
        require_length(headers, most)
        return most

    def _is_open(self, path: str) -> bool:
        return path in self._opened or path.startswith(f"{STATIC}/")

    def _visitor(self, arrival: Arrival, headers: list[tuple[bytes, bytes]]) -> Visitor | None:
        name = cookie_name(SESSION, arrival, self._keeper.reach.port)
        return self._keeper.visitor(cookie_of(headers, name), arrival)


class _Answer:
    """An answer on its way out, with what every one of them says."""

    def __init__(self, send: Send) -> None:
        self._send = send
        self.status = 0

    @property
    def has_begun(self) -> bool:
        return self.status != 0

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.status = message["status"]
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await self._send(message)


def _to_login(request: Request) -> Response:
    """A page asks to log in and comes back; a script is told."""
    if wants_json(request):
        return refusal(request, 401, NOT_KNOWN)
    wanted = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    is_back = request.method in SAFE_METHODS and wanted != "/"
    return RedirectResponse(f"{LOGIN}?{urlencode({'next': wanted})}" if is_back else LOGIN, status_code=303)


def _failed(request: Request, error: Exception) -> Response:
    """What no route and no page for errors caught, perhaps because that page is broken: then a bare sentence."""
    id_ = uuid.uuid4().hex[:SHORT]
    TROUBLE.error("%s %s %s", id_, request.method, request.url.path, exc_info=error)
    told = FAILED.format(id=id_)
    try:
        return refusal(request, 500, told)
    except Exception:
        TROUBLE.exception("%s the page for errors failed", id_)
        return PlainTextResponse(told, status_code=500)

"""What a browser is told when something cannot be done: one sentence, and an id where the program itself failed."""

import logging
import uuid
from http import HTTPStatus
from typing import Final

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, RedirectResponse, Response

from evenfire.delivery.web.door.rights import visitor_of
from evenfire.delivery.web.rendering import render
from evenfire.errors import BadInput, BadStore

TROUBLE: Final = logging.getLogger("evenfire.web")
"""Where a failure of the program is written, with the id that its page shows."""
SHORT: Final = 8
"""Of that id [characters]."""
FAILED: Final = (
    "The program failed, and what you asked for was not done. What you typed into fields is kept. Tell who looks after "
    "the program this id: {id}."
)
NOT_UNDERSTOOD: Final = "The request is not one of this program: {where}."
ONLY_BY_A_BUTTON: Final = (
    "This address takes what a button sends, and shows nothing by itself. Whether it was done stands on its page."
)
LOGIN: Final = "/enter"
NOT_DONE: Final = 422
"""Understood, and not possible."""
HEADINGS: Final = {
    401: "Log in first",
    403: "Not yours to do",
    404: "Nothing here",
    405: "Nothing here",
    413: "Too large",
    429: "Wait a little",
    500: "The program failed",
    503: "The store does not answer",
}
"""Over a refusal, by its status; anything else was not done."""


def add_refusals(app: FastAPI) -> None:
    """Answer every error of an application with one page, or with one object where a script asked."""
    app.add_exception_handler(BadInput, _bad_input)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(HTTPException, _refused)
    app.add_exception_handler(Exception, _failed)


def refusal(request: Request, status: int, why: str, *, above: str = "") -> Response:
    """One refusal as the browser wants it: an object for a script, a page for a person, ``above`` it a way back."""
    if wants_json(request):
        return JSONResponse({"why": why}, status_code=status)
    content: dict[str, object] = {"heading": HEADINGS.get(status, "Not done"), "why": why, "above": above}
    return render(request, "error.html", visitor_of(request), content, status=status)


def wants_json(request: Request) -> bool:
    """Whether a script asked and no person."""
    accepts = request.headers.get("accept", "")
    return "application/json" in accepts or request.headers.get("content-type", "").startswith("application/json")


def _bad_input(request: Request, error: Exception) -> Response:
    # A store that cannot be written may be in order again later: the browser keeps what was typed, and asks again.
    status = HTTPStatus.SERVICE_UNAVAILABLE if isinstance(error, BadStore) else NOT_DONE
    return refusal(request, status, str(error))


def _not_understood(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    places = sorted({".".join(str(part) for part in each["loc"]) for each in error.errors()})
    return refusal(request, NOT_DONE, NOT_UNDERSTOOD.format(where=", ".join(places)[:200]))


def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    if error.status_code == HTTPStatus.UNAUTHORIZED and request.method in {"GET", "HEAD"} and not wants_json(request):
        return RedirectResponse(LOGIN, status_code=HTTPStatus.SEE_OTHER)
    if error.status_code == HTTPStatus.METHOD_NOT_ALLOWED and request.method == "GET" and not wants_json(request):
        # The address of a form that was sent, asked for again by a phone that slept: the form stands one page above.
        answer = refusal(request, error.status_code, ONLY_BY_A_BUTTON, above=_above(request.url.path))
    else:
        answer = refusal(request, error.status_code, error.detail)
    answer.headers.update(error.headers or {})
    return answer


def _above(path: str) -> str:
    """The page of a form, by the address to which it is sent."""
    return f"/{path.rpartition('/')[0].strip('/')}"


def _failed(request: Request, error: Exception) -> Response:
    id_ = uuid.uuid4().hex[:SHORT]
    TROUBLE.error("%s %s %s", id_, request.method, request.url.path, exc_info=error)
    return refusal(request, HTTPStatus.INTERNAL_SERVER_ERROR, FAILED.format(id=id_))

"""What a browser keeps for us: names and flags of the cookies."""

from typing import Final

from starlette.requests import cookie_parser
from starlette.responses import Response

from evenfire.delivery.records.sessions import ASSUMED_LONGEST
from evenfire.delivery.web.door.arrival import Arrival, Headers, only

SESSION: Final = "evenfire-session"
ENTERING: Final = "evenfire-entering"
"""Ties the login form to the browser that asked for it."""
ASSUMED_ENTERING: Final = 3600
"""How long a login form may stand open [s]; after that it is loaded again."""


def cookie_name(kind: str, arrival: Arrival, port: int) -> str:
    """Over TLS with the mark by which a browser takes it from this host alone; with the port, which cookies ignore."""
    prefix = "__Host-" if arrival.scheme == "https" else ""
    return f"{prefix}{kind}-{port}"


def cookie_of(headers: Headers, name: str) -> str | None:
    """The value that a browser sent back."""
    return cookie_parser(only(headers, b"cookie") or "").get(name)


def keep_session(answer: Response, arrival: Arrival, port: int, token: str) -> None:
    """Have the browser keep the token of its session."""
    _keep(answer, cookie_name(SESSION, arrival, port), token, arrival, int(ASSUMED_LONGEST.total_seconds()))


def keep_entering(answer: Response, arrival: Arrival, port: int, token: str) -> None:
    """Have the browser keep what ties a login form to it."""
    _keep(answer, cookie_name(ENTERING, arrival, port), token, arrival, ASSUMED_ENTERING)


def forget_session(answer: Response, arrival: Arrival, port: int) -> None:
    """Have the browser drop the token of its session."""
    _keep(answer, cookie_name(SESSION, arrival, port), "", arrival, 0)


def _keep(answer: Response, name: str, value: str, arrival: Arrival, seconds: int) -> None:
    answer.set_cookie(
        name,
        value,
        max_age=seconds,
        path="/",
        secure=arrival.scheme == "https",
        httponly=True,
        samesite="strict",
    )

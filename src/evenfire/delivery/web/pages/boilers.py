"""The first page: every boiler of the store; and the way to one of them."""

from typing import Annotated, Final
from urllib.parse import urlsplit
from uuid import UUID

from fastapi import APIRouter, Form, Query, Request
from starlette.responses import RedirectResponse, Response

from evenfire.delivery.acts.boiler_now import open_visits_here
from evenfire.delivery.acts.boilers import boiler_list
from evenfire.delivery.papers.content import PaperSize
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.web.door.rights import Reader
from evenfire.delivery.web.pages.figures import known_boiler
from evenfire.delivery.web.rendering import PAPER_COOKIE, UNITS_COOKIE, render, units_of

router = APIRouter()
LONGEST_SEARCH: Final = 200
LAST_PAGE: Final = 100_000
LONGEST_ADDRESS: Final = 2000
"""Of a page to go back to [characters]."""
A_YEAR: Final = 31_536_000
"""[s]"""


@router.get("/")
def boilers(
    request: Request,
    visitor: Reader,
    q: Annotated[str, Query(max_length=LONGEST_SEARCH)] = "",
    page: Annotated[int, Query(ge=1, le=LAST_PAGE)] = 1,
) -> Response:
    """Every boiler, or those that a search finds."""
    found = boiler_list(request.app.state.store, q.strip(), page, units_of(request))
    return render(request, "boilers.html", visitor, {"boilers": found})


@router.get("/boilers/{boiler:uuid}")
def one_boiler(request: Request, boiler: UUID, _visitor: Reader) -> Response:
    """To the visit that is open there; without one to what was surveyed."""
    kept = known_boiler(request.app.state.store, str(boiler))
    opened = open_visits_here(request.app.state.store, kept.id).get(kept.id, ())
    to = f"/visits/{opened[0].visit.opening.id}" if opened else f"/boilers/{kept.id}/survey"
    return RedirectResponse(to, status_code=303)


@router.post("/units")
def choose_units(
    request: Request,
    _visitor: Reader,
    units: Annotated[UnitSystem | None, Form()] = None,
    paper: Annotated[PaperSize | None, Form()] = None,
    back: Annotated[str, Form(max_length=LONGEST_ADDRESS)] = "/",
) -> Response:
    """Show pressures to this device in these units, and print on this paper, from now on."""
    answer = RedirectResponse(_own_page(back), status_code=303)
    is_secure = request.url.scheme == "https"
    for name, chosen in ((UNITS_COOKIE, units), (PAPER_COOKIE, paper)):
        if chosen is not None:
            answer.set_cookie(name, chosen.value, max_age=A_YEAR, secure=is_secure, httponly=True, samesite="strict")
    return answer


def _own_page(back: str) -> str:
    """A page of this server: never an address of another, however it is written."""
    parts = urlsplit(back)
    is_own = not parts.scheme and not parts.netloc and back.startswith("/") and not back.startswith(("//", "/\\"))
    return back if is_own and back.isascii() and back.isprintable() else "/"

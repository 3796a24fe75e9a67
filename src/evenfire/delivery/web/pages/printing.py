"""The page of papers: what can be printed of a boiler, each paper as a download, and the code that opens the boiler."""

from dataclasses import dataclass
from functools import partial
from io import BytesIO
from typing import Annotated, Final
from urllib.parse import urlsplit

import segno
from fastapi import APIRouter, Form, HTTPException, Query, Request
from starlette.responses import RedirectResponse, Response

from evenfire.delivery.acts.history import history
from evenfire.delivery.acts.print_offers import PrintOffers, print_offers
from evenfire.delivery.acts.print_out import PaperKind, PrintAsked, PrintedOut, print_out
from evenfire.delivery.acts.verifying import verified_here
from evenfire.delivery.papers.admission import Refusal
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import KeptBoiler
from evenfire.delivery.report.history_text import history_text
from evenfire.delivery.report.verify_text import verify_text
from evenfire.delivery.web.door.rights import Reader
from evenfire.delivery.web.pages.figures import known_boiler, picture
from evenfire.delivery.web.rendering import paper_of, render, units_of
from evenfire.delivery.web.work import State, Work
from evenfire.delivery.words import printing as words
from evenfire.delivery.words.cautions import CAUTIONS_IN_SHORT
from evenfire.errors import BadRequest, EvenfireError

router = APIRouter()
LONGEST_ID: Final = 64
LONGEST_NAME: Final = 100
MOST_ADDRESSES: Final = 8
TEXT_WIDTH: Final = 76
"""Of what a terminal would show [characters]."""
NARROW: Final = 36
"""As wide as a phone shows without scrolling [characters]."""
LOCAL: Final = frozenset({"localhost", "127.0.0.1", "::1"})
QUIET_ZONE: Final = 4
"""Free modules round a code, as its standard wants them."""
PDF: Final = "application/pdf"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What became of a paper that was asked for."""

    running: str = ""
    """Id of the work that makes it"""
    done: int = 0
    total: int = 0
    what: str = ""
    link: str = ""
    """Where it can be fetched"""
    name: str = ""
    state: str = ""
    why_not: str = ""


@router.get("/boilers/{boiler}/print")
def papers(
    request: Request,
    boiler: str,
    visitor: Reader,
    work: Annotated[str, Query(max_length=LONGEST_ID)] = "",
    verify: Annotated[str, Query(max_length=3)] = "",
) -> Response:
    """Everything that can be printed, what became of what was asked for, and the history."""
    store, system = _store(request), units_of(request)
    kept = known_boiler(store, boiler)
    shown = _shown(_work(request), kept, work) if work else None
    content: dict[str, object] = {
        "boiler": kept,
        "print": print_offers(store, kept, system),
        "shown": shown,
        "history": history_text(history(store, kept.id), system, TEXT_WIDTH),
        "verified": verify_text(verified_here(store, kept.id), NARROW) if verify else "",
        "codes": [
            (at, each) for at, each in enumerate(_addresses(request, kept)) if urlsplit(each).hostname not in LOCAL
        ],
        "only_here": words.ONLY_HERE,
        "leave_it": words.LEAVE_IT,
        "answer_for_it": words.ANSWER_FOR_IT,
        "cautions_in_short": CAUTIONS_IN_SHORT,
    }
    return render(request, "print.html", visitor, content)


@router.post("/boilers/{boiler}/print")
def ask_for_paper(
    request: Request,
    boiler: str,
    _visitor: Reader,
    kind: Annotated[PaperKind, Form()],
    of: Annotated[str, Form(max_length=LONGEST_ID)] = "",
    name: Annotated[str, Form(max_length=LONGEST_NAME)] = "",
    licence: Annotated[str, Form(max_length=LONGEST_NAME)] = "",
) -> Response:
    """Begin to make a paper, and show how far it has come."""
    store = _store(request)
    kept = known_boiler(store, boiler)
    asked = PrintAsked(
        kind=kind,
        boiler=kept,
        of=_of_this_boiler(print_offers(store, kept, units_of(request)), of),
        system=units_of(request),
        size=paper_of(request),
        countersigned_by=_countersigner(name, licence),
    )
    made = _work(request).start(("paper", asked, store.counter), partial(print_out, store, asked))
    return RedirectResponse(f"/boilers/{kept.id}/print?work={made}", status_code=303)


@router.get("/boilers/{boiler}/print/{kind}.pdf")
def paper(
    request: Request, boiler: str, kind: PaperKind, _visitor: Reader, work: Annotated[str, Query(max_length=LONGEST_ID)]
) -> Response:
    """A paper that was made, to be kept as a file."""
    kept = known_boiler(_store(request), boiler)
    try:
        made = _work(request).result(work)
    except (KeyError, EvenfireError):
        made = None
    if not isinstance(made, PrintedOut) or (made.boiler, made.kind) != (kept.id, kind):
        raise HTTPException(404, words.GONE)
    headers = {
        "Content-Disposition": f'attachment; filename="{made.name}"',
        "X-Content-Type-Options": "nosniff",
        "Cache-Control": "private, no-store",
    }
    return Response(made.content, media_type=PDF, headers=headers)


@router.get("/boilers/{boiler}/qr.svg")
def code(
    request: Request, boiler: str, _visitor: Reader, at: Annotated[int, Query(ge=0, le=MOST_ADDRESSES)] = 0
) -> Response:
    """The address of a boiler as a code that a phone reads: always dark on light, as readers want it."""
    kept = known_boiler(_store(request), boiler)
    addresses = _addresses(request, kept)
    if at >= len(addresses):
        raise HTTPException(404, "This server has no such address.")
    drawn = BytesIO()
    segno.make(addresses[at], micro=False, error="m").save(
        drawn, kind="svg", border=QUIET_ZONE, scale=4, dark="#000", light="#fff", xmldecl=False, title=addresses[at]
    )
    return picture(drawn.getvalue().decode("utf-8"))


def _shown(work: Work, kept: KeptBoiler, asked: str) -> Shown:
    standing = work.standing(asked)
    if standing is None:
        return Shown(why_not=words.GONE)
    if not standing.has_ended:
        return Shown(running=standing.id, done=standing.done, total=standing.total, what=standing.what)
    if standing.state is State.STOPPED:
        return Shown(why_not=words.STOPPED)
    try:
        made = work.result(asked)
    except EvenfireError as error:
        return Shown(why_not=str(error))
    except KeyError:
        return Shown(why_not=words.FAILED)
    if isinstance(made, Refusal):
        return Shown(why_not=made.why)
    if not isinstance(made, PrintedOut) or made.boiler != kept.id:
        return Shown(why_not=words.GONE)
    link = f"/boilers/{kept.id}/print/{made.kind.value}.pdf?work={asked}"
    return Shown(link=link, name=made.name, state=made.state)


def _of_this_boiler(offers: PrintOffers, of: str) -> str:
    """Papers are made of this boiler's own visits: whoever sends another id gets nothing.

    Raises
    ------
    HTTPException
        404: it is no visit of this boiler.
    """
    if of not in {offers.of, *(each.record for each in offers.past)}:
        raise HTTPException(404, "There is no such visit at this boiler. Load the page again.")
    return of


def _countersigner(name: str, licence: str) -> str | None:
    """As the command line takes it: name, comma, licence; nothing where both are empty.

    Raises
    ------
    BadRequest
        One of the two is missing, or is nothing that can be printed on one line.
    """
    parts = [" ".join(each.split()) for each in (name, licence)]
    if not any(parts):
        return None
    if not all(parts) or "," in parts[1] or not all(each.isprintable() for each in parts):
        raise BadRequest("Whoever answers for what could not be judged writes a name and a licence without a comma.")
    return ", ".join(parts)


def _addresses(request: Request, kept: KeptBoiler) -> tuple[str, ...]:
    """Where this boiler is found: first as this page was reached, then by the other names of the server."""
    own = str(request.base_url)
    known: tuple[str, ...] = getattr(request.app.state, "addresses", ())
    bases = dict.fromkeys(f"{each.rstrip('/')}/" for each in (own, *known))
    return tuple(f"{base}boilers/{kept.id}" for base in bases)[:MOST_ADDRESSES]


def _codes(request: Request, kept: KeptBoiler) -> list[tuple[int, str]]:
    """Addresses that mean something on another device, each with its place."""
    every = enumerate(_addresses(request, kept))
    return [(at, each) for at, each in every if urlsplit(each).hostname not in LOCAL]


def _store(request: Request) -> Store:
    found: Store = request.app.state.store
    return found


def _work(request: Request) -> Work:
    found: Work = request.app.state.work
    return found

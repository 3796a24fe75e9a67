"""The page of a visit, and the acts that belong to it: open, photograph, judge with proofs, sign, amend."""

from collections.abc import Callable
from math import ceil
from typing import Annotated, Final

from fastapi import APIRouter, File, Form, Request, UploadFile
from starlette.responses import HTMLResponse, RedirectResponse, Response

from evenfire.delivery.acts import visiting
from evenfire.delivery.acts.judging_visit import judged, judged_at_rest
from evenfire.delivery.acts.open_changes import open_changes
from evenfire.delivery.acts.record_shown import JustSigned, just_amended, just_signed, record_shown
from evenfire.delivery.acts.visit_photos import add_photograph
from evenfire.delivery.acts.visit_screen import first_step, visit_screen
from evenfire.delivery.records import registers
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind, drafts_of
from evenfire.delivery.records.photographs import LARGEST_PHOTOGRAPH
from evenfire.delivery.report.boiler_text import who
from evenfire.delivery.report.visit_lines import opened_line
from evenfire.delivery.report.visit_stands import visit_stands
from evenfire.delivery.visit_answers import AtVisit, JudgedVisit
from evenfire.delivery.visits.entry import LONGEST_TEXT
from evenfire.delivery.web.door.rights import Reader, Signer, Writer
from evenfire.delivery.web.door.visitor import Visitor
from evenfire.delivery.web.rendering import render, units_of
from evenfire.delivery.web.work import Work
from evenfire.delivery.words.cautions import CAUTIONS_IN_SHORT
from evenfire.errors import BadInput, BadRequest, EvenfireError

router = APIRouter()
STEPS: Final = ("call", "as_found", "temporary", "trip", "move", "as_left", "device", "photo", "note")
"""In the order of the work; signing is the last, and always whole."""
MOST_AT_ONCE: Final = 10
"""Photographs in one request."""
LONGEST_PASSPHRASE: Final = 1000
LONGEST_ID: Final = 64
REFUSED: Final = 422
LAST_SIGNED: Final = 5
"""Signed visits that are named where none is open."""
TRIED_TOO_OFTEN: Final = "A wrong passphrase was typed too often. Nothing was signed. Try again in {seconds} s."

Passphrase = Annotated[str, Form(max_length=LONGEST_PASSPHRASE)]


@router.get("/boilers/{boiler}/visit")
def visit_of_boiler(request: Request, boiler: str, visitor: Reader) -> Response:
    """The visit that is open at a boiler; a page that opens one where none is."""
    store = _store(request)
    kept = registers.find_boiler(store, boiler)
    here = [at for at in visiting.open_visits(store) if at.boiler.id == kept.id]
    if len(here) == 1 and "new" not in request.query_params:
        return RedirectResponse(f"/visits/{here[0].draft.id}", status_code=303)
    signed = [each for each in drafts_of(store, kept.id, kind=DraftKind.VISIT) if not each.is_open][:LAST_SIGNED]
    content: dict[str, object] = {
        "title": f"{kept.site.name}, boiler {kept.name}",
        "boiler": kept.id,
        "others": [{"id": at.draft.id, "text": opened_line(at)} for at in here],
        "signed": [{"id": each.id, "text": opened_line(visiting.at_visit(store, each.id))} for each in signed],
    }
    return _render(request, "visit_open.html", visitor, content)


@router.post("/boilers/{boiler}/visit")
def open_visit(request: Request, boiler: str, visitor: Writer) -> Response:
    """Open a visit at a boiler, with its newest survey."""
    store = _store(request)
    kept = registers.find_boiler(store, boiler)
    opened = visiting.open_visit(store, visitor.person, plant=None, boiler=kept.id)
    return RedirectResponse(f"/visits/{opened.at.draft.id}", status_code=303)


@router.get("/visits/{visit}")
def visit_page(request: Request, visit: str, visitor: Reader, at: str = "") -> Response:
    """A visit at the step where its work goes on, or at the one that is asked for."""
    return _page(request, visiting.at_visit(_store(request), visit), visitor, step=at)


@router.get("/visits/{visit}/steps")
def steps(request: Request, visit: str, visitor: Reader) -> Response:
    """The fields of every step: a slow link brings them after the page that needs one step at once."""
    store = _store(request)
    screen = visit_screen(store, visiting.at_visit(store, visit), visitor.person, units_of(request))
    return render(request, "visit_steps.html", visitor, {"screen": screen, "names": STEPS})


@router.get("/visits/{visit}/judgement")
def judgement(request: Request, visit: str, visitor: Reader) -> Response:
    """The parts of that page which follow what is saved."""
    store = _store(request)
    at = visiting.at_visit(store, visit)
    known = _known(request, at)
    stands = visit_stands(judged_at_rest(store, at) if known is None else known, units_of(request))
    return render(request, "visit_judgement.html", visitor, {"stands": stands})


@router.post("/visits/{visit}/judge")
def judge(request: Request, visit: str, _visitor: Writer) -> Response:
    """Begin to judge a visit with its settings as left in motion."""
    store = _store(request)
    at = visiting.at_visit(store, visit)

    def work(watch: Callable[..., None]) -> JudgedVisit:
        return judged(store, visiting.at_visit(store, at.draft.id), watch)

    _work(request).start(_key(at), work)
    return RedirectResponse(f"/visits/{at.draft.id}#step-sign", status_code=303)


@router.post("/visits/{visit}/photos")
def photographs(
    request: Request,
    visit: str,
    visitor: Writer,
    photo: Annotated[list[UploadFile], File(max_length=MOST_AT_ONCE + 1)],
    shows: Annotated[str, Form(max_length=LONGEST_TEXT)] = "",
) -> Response:
    """Keep photographs of a visit."""
    store = _store(request)
    at = visiting.at_visit(store, visit)
    brought = [each for each in photo if each.filename]
    try:
        for each in brought:
            # One byte more than is kept: what is too large is told so, and never read whole.
            content = each.file.read(LARGEST_PHOTOGRAPH + 1)
            name = each.filename or "photograph"
            add_photograph(store, at.draft.id, content, name, shows, visitor.person, visitor.device)
    except BadInput as error:
        return _page(request, at, visitor, refusal=str(error))
    return RedirectResponse(f"/visits/{at.draft.id}#step-photo", status_code=303)


@router.post("/visits/{visit}/sign")
def sign(
    request: Request,
    visit: str,
    visitor: Signer,
    passphrase: Passphrase,
    seen: Annotated[str, Form(max_length=LONGEST_ID)] = "",
) -> Response:
    """Judge a visit with proofs, and sign it where nothing stands against that and its signer saw all of it."""
    from evenfire.delivery.acts.signing import require_seen, require_signable, sign_visit

    store = _store(request)
    at = visiting.at_visit(store, visit)
    try:
        require_seen(at, seen)
        found = judged(store, at)
        require_signable(found)
        _count_try(request, visitor)
        signed = sign_visit(store, found, visitor.person, passphrase, units_of(request))
        _was_right(request, visitor)
    except BadInput as error:
        return _page(request, visiting.at_visit(store, at.draft.id), visitor, refusal=str(error))
    return _signed(request, at, visitor, just_signed(signed))


@router.post("/visits/{visit}/amend")
def amend(
    request: Request,
    visit: str,
    visitor: Signer,
    text: Annotated[str, Form(max_length=LONGEST_TEXT)],
    passphrase: Passphrase,
) -> Response:
    """Sign an amendment to the record of a visit."""
    from evenfire.delivery.acts import signing

    store = _store(request)
    at = visiting.at_visit(store, visit)
    if at.draft.record is None:
        return _page(request, at, visitor, refusal="This visit is not signed: correct it in its fields.")
    try:
        _count_try(request, visitor)
        amended = signing.amend(store, at.draft.record, text, visitor.person, passphrase)
    except BadInput as error:
        return _page(request, at, visitor, refusal=str(error))
    _was_right(request, visitor)
    return _signed(request, at, visitor, just_amended(amended))


def _count_try(request: Request, visitor: Visitor) -> None:
    """Let a passphrase be tried: a session that somebody else got hold of shall not find it out.

    Raises
    ------
    BadRequest
        It was tried wrongly too often.
    """
    wait = request.app.state.passphrases.try_now(visitor.person.id, _address(request))
    if wait > 0.0:
        raise BadRequest(TRIED_TOO_OFTEN.format(seconds=ceil(wait)))


def _was_right(request: Request, visitor: Visitor) -> None:
    request.app.state.passphrases.was_right(visitor.person.id, _address(request))


def _address(request: Request) -> str:
    return "" if request.client is None else request.client.host


def _page(request: Request, at: AtVisit, visitor: Visitor, *, refusal: str = "", step: str = "") -> HTMLResponse:
    store, known, told = _store(request), None, refusal
    try:
        known = _known(request, at)
    except EvenfireError as error:
        told = refusal or str(error)
    screen = visit_screen(store, at, visitor.person, units_of(request), known)
    steps = screen.stands.steps
    stations = {"visit": steps["temporary"].text if steps["temporary"].is_alarm else _state(screen.is_open, at)}
    others = {id_: changes for id_, changes in open_changes(store, at.boiler.id).items() if id_ != at.draft.id}
    content: dict[str, object] = {
        "screen": screen,
        "stands_open": lambda: others,
        "told_of_stations": stations,
        "record": record_shown(store, at),
        "refusal": told,
        "work": _under_way(request, at),
        "at": step if step in STEPS else first_step(screen),
    }
    return _render(request, "visit.html", visitor, content, status=REFUSED if refusal else 200)


def _state(is_open: bool, at: AtVisit) -> str:
    return "open" if is_open else "signed" if not at.draft.is_open else "given up"


def _signed(request: Request, at: AtVisit, visitor: Visitor, done: JustSigned) -> HTMLResponse:
    content: dict[str, object] = {
        "title": who(at.plant_file, at.surveyed),
        "boiler": at.boiler.id,
        "visit": at.draft.id,
        "lines": done.lines,
        "flags": done.flags,
    }
    return _render(request, "visit_signed.html", visitor, content)


def _render(
    request: Request, template: str, visitor: Visitor, content: dict[str, object], *, status: int = 200
) -> HTMLResponse:
    return render(
        request,
        template,
        visitor,
        {**content, "cautions_in_short": CAUTIONS_IN_SHORT},
        status=status,
    )


def _known(request: Request, at: AtVisit) -> JudgedVisit | None:
    """A judgement with proofs of exactly these entries, where one is at hand.

    Raises
    ------
    EvenfireError
        That with which it ended.
    """
    work, key = _work(request), _key(at)
    id_ = work.newest(key)
    if id_ is None:
        return None
    try:
        found = work.result(id_)
    except KeyError:
        return None
    return found if isinstance(found, JudgedVisit) and found.at.entries == at.entries else None


def _under_way(request: Request, at: AtVisit) -> str:
    """Id of the work that judges these entries with proofs; empty where there is none, or it has ended."""
    work = _work(request)
    id_ = work.newest(_key(at))
    standing = None if id_ is None else work.standing(id_)
    return "" if id_ is None or standing is None or standing.has_ended else id_


def _key(at: AtVisit) -> tuple[str, str, int, str]:
    """What a judgement is of: a visit with these entries."""
    return "visit judged", at.draft.id, len(at.entries), at.entries[-1].id if at.entries else ""


def _store(request: Request) -> Store:
    found: Store = request.app.state.store
    return found


def _work(request: Request) -> Work:
    found: Work = request.app.state.work
    return found

"""The page of a settle: what is asked, the work under way, the answer, its pictures, and putting it into a visit."""

from typing import Annotated, Final
from urllib.parse import urlencode

from fastapi import APIRouter, Form, HTTPException, Query, Request
from starlette.responses import RedirectResponse, Response

from evenfire.delivery.acts import visiting
from evenfire.delivery.acts.settled_pictures import proof_sheet, settled_stack
from evenfire.delivery.acts.settling_here import SettledHere, ToSettle, settle_here, to_settle, why_not
from evenfire.delivery.records import surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import KeptBoiler
from evenfire.delivery.report.settle_page import scenario_of
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.web.door.rights import Reader, Writer
from evenfire.delivery.web.door.visitor import Visitor
from evenfire.delivery.web.pages.figures import NARROWEST, USUAL, WIDEST, known_boiler, picture
from evenfire.delivery.web.pages.settle_screen import WORDS, screen_of
from evenfire.delivery.web.rendering import render, units_of
from evenfire.delivery.web.work import ENDED, Watch, Work
from evenfire.errors import BadRequest, EvenfireError

router = APIRouter()
LONGEST_TARGET: Final = 60
LONGEST_ID: Final = 64
REFUSED: Final = 422
SEE_OTHER: Final = 303
NO_SURVEY: Final = "There is no survey of this boiler yet: nothing can be settled."
NOT_KEPT: Final = "This answer is not kept any more. Settle again."
NOTHING_TO_WRITE: Final = "Nothing is written: nothing fits, or not all of it holds in motion."
NOT_ENTERED: Final = "Nothing was put into the visit: nothing fits, or it is unsafe in motion."
ANOTHER_SURVEY: Final = "The boiler was surveyed or read again since. Settle again."

Target = Annotated[str, Query(max_length=LONGEST_TARGET)]
TypedTarget = Annotated[str, Form(max_length=LONGEST_TARGET)]
WorkId = Annotated[str, Query(max_length=LONGEST_ID)]
Width = Annotated[int, Query(ge=NARROWEST, le=WIDEST)]


@router.get("/boilers/{boiler}/settle")
def settle(request: Request, boiler: str, visitor: Reader, target: Target = "") -> Response:
    """What is asked for, the work under way, or the answer."""
    return _page(request, known_boiler(_store(request), boiler), visitor, target)


@router.post("/boilers/{boiler}/settle")
def start(request: Request, boiler: str, visitor: Writer, target: TypedTarget = "") -> Response:
    """Settle; the page follows the work."""
    kept, system = known_boiler(_store(request), boiler), units_of(request)
    asked = _asked(request, kept, target)
    refusal = why_not(asked, system)
    if refusal:
        return _page(request, kept, visitor, target, refusal=refusal)
    try:
        _work(request).start(asked.key, lambda watch: _settled(asked, system, watch))
    except BadRequest as error:
        return _page(request, kept, visitor, target, refusal=str(error))
    return _back(kept, asked.target)


@router.post("/boilers/{boiler}/settle/stop")
def stop(request: Request, boiler: str, _visitor: Writer, target: TypedTarget = "") -> Response:
    """Stop the work under way."""
    kept, work = known_boiler(_store(request), boiler), _work(request)
    newest = work.newest(_asked(request, kept, target).key)
    if newest is not None:
        work.stop(newest)
    return _back(kept, target)


@router.get("/boilers/{boiler}/settle/stack.svg")
def stack(
    request: Request, boiler: str, _visitor: Reader, work: WorkId, width: Width = USUAL, units: str = ""
) -> Response:
    """The pressure stack of what was read last beside what was settled."""
    known_boiler(_store(request), boiler)
    drawn = settled_stack(_kept(request, work).done.boilers[0], _units(request, units), width)
    if drawn is None:
        raise HTTPException(404, NOT_KEPT)
    return picture(drawn, keeps=bool(units))


@router.get("/boilers/{boiler}/traces/{scenario}.svg")
def trace(
    request: Request,
    boiler: str,
    scenario: str,
    _visitor: Reader,
    work: WorkId,
    width: Width = USUAL,
    units: str = "",
) -> Response:
    """The runs that a proof rests on."""
    known_boiler(_store(request), boiler)
    found = scenario_of(scenario)
    settled = _kept(request, work).done.boilers[0]
    drawn = None if found is None else proof_sheet(settled, found, _units(request, units), width)
    if drawn is None:
        raise HTTPException(404, NOT_KEPT)
    return picture(drawn.decode(), keeps=bool(units))


@router.get("/boilers/{boiler}/settle/plant.toml")
def plant_file(request: Request, boiler: str, _visitor: Reader, work: WorkId) -> Response:
    """The plant file of the survey with the proposal written in."""
    from evenfire.delivery.acts.settling import with_proposals  # brings arrays in, which were there when it was settled

    kept, done = known_boiler(_store(request), boiler), _kept(request, work).done
    survey = surveys.give(_store(request), kept.id)
    if survey.plant_file().revision != done.plant_file.revision:
        raise BadRequest(ANOTHER_SURVEY)
    text = with_proposals(survey.toml(), done, units_of(request))
    if text is None:
        raise BadRequest(NOTHING_TO_WRITE)
    headers = {"Content-Disposition": 'attachment; filename="plant.toml"', "Cache-Control": "no-store"}
    return Response(text, media_type="application/toml", headers=headers)


@router.post("/visits/{visit}/settle")
def put_in(request: Request, visit: str, visitor: Writer, target: TypedTarget = "") -> Response:
    """Put what was settled into a visit as its proposal; settle first where nobody did yet."""
    at = visiting.at_visit(_store(request), visit)
    visiting.require_open(at)
    kept, system, work = known_boiler(_store(request), at.boiler.id), units_of(request), _work(request)
    asked = _asked(request, kept, target)
    if asked.visit != at.draft.id or not asked.is_of_visit:
        raise BadRequest("Read a dial on this visit first: settings are chosen from its readings.")
    if refusal := why_not(asked, system):
        return _page(request, kept, visitor, target, refusal=refusal)
    store, by = _store(request), visitor.person
    known = _result(work, asked)

    def settled_and_put_in(watch: Watch) -> SettledHere:
        found = _settled(asked, system, watch)
        visiting.enter_settled(store, visiting.at_visit(store, visit), found.done, by, system)
        return found

    if known is None:
        work.start(asked.key, settled_and_put_in)
        return _back(kept, asked.target)
    entered = visiting.enter_settled(store, visiting.at_visit(store, visit), known.done, by, system)
    if not entered.is_entered:
        return _page(request, kept, visitor, target, refusal=NOT_ENTERED)
    return RedirectResponse(f"/visits/{at.draft.id}", SEE_OTHER)


def _page(request: Request, kept: KeptBoiler, visitor: Visitor, target: str, *, refusal: str = "") -> Response:
    work, system, content = _work(request), units_of(request), dict[str, object]()
    asked = to_settle(_store(request), kept, target)
    if asked is None:
        raise HTTPException(404, NO_SURVEY)
    newest = work.newest(asked.key) if not refusal else None
    standing = None if newest is None else work.standing(newest)
    result, broke_off = _result(work, asked) if not refusal else None, ""
    if standing is not None and standing.state in ENDED and result is None:
        broke_off = _why_it_ended(work, standing.id)
    again = to_settle(_store(request), kept, target) if result is not None else None
    if again is not None and again.key == asked.key:
        # It may have ended, and been put into the visit, between the first look at the store and here.
        asked = again
    content.update(WORDS)
    content.update(standing=standing, refusal=refusal, broke_off=broke_off, target=target)
    content["screen"] = screen_of(asked, result, system)
    return render(request, "settle.html", visitor, content, status=REFUSED if refusal else 200)


def _settled(asked: ToSettle, system: UnitSystem, watch: Watch) -> SettledHere:
    return settle_here(asked.now.plant_file, asked.now.boiler.name, asked.target, system, watch)


def _result(work: Work, asked: ToSettle) -> SettledHere | None:
    newest = work.newest(asked.key)
    try:
        found = None if newest is None else work.result(newest)
    except (KeyError, EvenfireError):
        return None
    return found if isinstance(found, SettledHere) else None


def _why_it_ended(work: Work, newest: str) -> str:
    standing = work.standing(newest)
    try:
        work.result(newest)
    except EvenfireError as error:
        return str(error)
    except KeyError:
        pass
    if standing is not None and standing.state.value == "stopped":
        return "Stopped. Nothing was settled."
    return f"The program failed, and nothing was settled. Tell who looks after the program this id: {newest}."


def _kept(request: Request, work: str) -> SettledHere:
    try:
        found = _work(request).result(work)
    except (KeyError, EvenfireError):
        raise HTTPException(404, NOT_KEPT) from None
    if not isinstance(found, SettledHere):
        raise HTTPException(404, NOT_KEPT)
    return found


def _asked(request: Request, kept: KeptBoiler, target: str) -> ToSettle:
    asked = to_settle(_store(request), kept, target)
    if asked is None:
        raise HTTPException(404, NO_SURVEY)
    return asked


def _back(kept: KeptBoiler, target: str) -> Response:
    asked = f"?{urlencode({'target': target})}" if target else ""
    return RedirectResponse(f"/boilers/{kept.id}/settle{asked}", SEE_OTHER)


def _units(request: Request, units: str) -> UnitSystem:
    return UnitSystem(units) if units in {each.value for each in UnitSystem} else units_of(request)


def _store(request: Request) -> Store:
    found: Store = request.app.state.store
    return found


def _work(request: Request) -> Work:
    found: Work = request.app.state.work
    return found

"""The page of a survey: its fields, what is judged of them, taking it as a survey; and a new boiler."""

from typing import Annotated, Final

from fastapi import APIRouter, File, Form, HTTPException, Query, Request, UploadFile
from starlette.responses import RedirectResponse, Response

from evenfire.delivery.acts import surveying
from evenfire.delivery.acts.demo import demo_plants, demo_told
from evenfire.delivery.acts.survey_screen import first_group, stack_picture, survey_screen
from evenfire.delivery.intake.opening import LARGEST_FILE
from evenfire.delivery.intake.survey_fields import rows
from evenfire.delivery.records import surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import KeptDraft
from evenfire.delivery.records.registers import LONGEST_NAME, KeptBoiler
from evenfire.delivery.records.survey_uploads import plain_name, require_harmless
from evenfire.delivery.records.surveys import Taken
from evenfire.delivery.survey_answers import AtSurvey
from evenfire.delivery.visits.entry import LONGEST_PATH
from evenfire.delivery.web.door.rights import Reader, Writer
from evenfire.delivery.web.door.visitor import Visitor
from evenfire.delivery.web.pages.figures import NARROWEST, USUAL, WIDEST, known_boiler, picture
from evenfire.delivery.web.rendering import render, units_of
from evenfire.delivery.words import survey as words
from evenfire.delivery.words.cautions import CAUTIONS_IN_SHORT
from evenfire.errors import BadInput, BadRequest

router = APIRouter()
LONGEST_ID: Final = 64
LONGEST_TYPED: Final = 2 * LONGEST_NAME
REFUSED: Final = 422

More = Annotated[str, Query(max_length=LONGEST_PATH)]
Short = Annotated[str, Form(max_length=LONGEST_TYPED)]


@router.get("/boilers/{boiler}/survey")
def survey(request: Request, boiler: str, visitor: Reader, more: More = "", part: More = "") -> Response:
    """The survey of a boiler: every field of the draft that is open, or what was surveyed last."""
    return _page(request, known_boiler(_store(request), boiler), visitor, more=more, part=part)


@router.get("/boilers/{boiler}/survey/fields")
def fields(request: Request, boiler: str, visitor: Reader, more: More = "") -> Response:
    """Every field of that page, group by group: what is not needed at once comes right after it."""
    at = _at(request, known_boiler(_store(request), boiler), more=_asked(more))
    return render(request, "survey_fields.html", visitor, {"s": survey_screen(at, visitor.person, units_of(request))})


@router.get("/boilers/{boiler}/survey/judgement")
def judgement(request: Request, boiler: str, visitor: Reader) -> Response:
    """The parts of that page which follow what is saved."""
    at = _at(request, known_boiler(_store(request), boiler))
    screen = survey_screen(at, visitor.person, units_of(request))
    return render(request, "survey_judgement.html", visitor, {"s": screen, "stands": screen.stands})


@router.get("/boilers/{boiler}/survey/stack.svg")
def stack(
    request: Request, boiler: str, _visitor: Reader, width: Annotated[int, Query(ge=NARROWEST, le=WIDEST)] = USUAL
) -> Response:
    """The pressure stack of what is typed."""
    at = _at(request, known_boiler(_store(request), boiler))
    return picture(stack_picture(at, units_of(request), width))


@router.get("/boilers/{boiler}/survey/plant.toml")
def plant_file(request: Request, boiler: str, _visitor: Reader) -> Response:
    """The newest survey as a plant file, with its origin in front."""
    kept = known_boiler(_store(request), boiler)
    try:
        given = surveys.give(_store(request), kept.id)
    except BadRequest as error:
        raise HTTPException(404, str(error)) from None
    headers = {"Content-Disposition": 'attachment; filename="plant.toml"', "X-Content-Type-Options": "nosniff"}
    return Response(given.toml(), media_type="text/plain; charset=utf-8", headers=headers)


@router.post("/boilers/{boiler}/survey")
def open_draft(request: Request, boiler: str, visitor: Writer) -> Response:
    """Open a survey draft, or go on with the one that is open."""
    kept = known_boiler(_store(request), boiler)
    surveying.open_survey(_store(request), kept, visitor.person)
    return _to(kept.id)


@router.post("/boilers/{boiler}/survey/take")
def take(
    request: Request,
    boiler: str,
    visitor: Writer,
    draft: Annotated[str, Form(max_length=LONGEST_ID)],
    seen: Annotated[str, Form(max_length=LONGEST_ID)] = "",
) -> Response:
    """Take the draft as the newest survey of the site."""
    kept = known_boiler(_store(request), boiler)
    try:
        taken = surveying.finish_survey(_store(request), _draft(request, kept, draft), visitor.person, seen=seen)
    except BadInput as error:
        return _page(request, kept, visitor, refusal=str(error))
    return _to(kept.id, "taken" if taken.is_new else "same")


@router.post("/boilers/{boiler}/survey/back")
def put_back(
    request: Request, boiler: str, visitor: Writer, draft: Annotated[str, Form(max_length=LONGEST_ID)]
) -> Response:
    """Put back what the newest survey says."""
    kept = known_boiler(_store(request), boiler)
    surveying.put_back(_store(request), _draft(request, kept, draft), visitor.person, visitor.device)
    return _to(kept.id)


@router.post("/boilers/{boiler}/survey/away")
def take_row_away(
    request: Request,
    boiler: str,
    visitor: Writer,
    draft: Annotated[str, Form(max_length=LONGEST_ID)],
    row: Annotated[str, Form(max_length=LONGEST_PATH)],
) -> Response:
    """Take away everything that stands in one row of a list."""
    kept = known_boiler(_store(request), boiler)
    surveying.row_taken_away(_store(request), _draft(request, kept, draft), row, visitor.person, visitor.device)
    return _to(kept.id)


@router.get("/boilers/new")
def new(request: Request, visitor: Reader) -> Response:
    """A new boiler: by its name, by a plant file, or one of the demo."""
    return _new(request, visitor)


@router.post("/boilers/new")
def new_by_name(request: Request, visitor: Writer, site: Short = "", boiler: Short = "") -> Response:
    """A survey draft of a boiler that the store does not know yet."""
    try:
        draft = surveying.open_new(_store(request), site, boiler, visitor.person)
    except BadInput as error:
        return _new(request, visitor, refusal=str(error), typed=(site, boiler))
    return _to(draft.boiler)


@router.post("/boilers/new/demo")
def new_from_demo(request: Request, visitor: Writer, plant: Annotated[str, Form(max_length=LONGEST_PATH)]) -> Response:
    """Take one of the demo plants into the store."""
    text = demo_plants().get(plant)
    if text is None:
        raise HTTPException(404, "There is no demo plant of that name.")
    taken = surveying.take_plant_file(_store(request), text.encode(), plant, visitor.person)
    return _to(_first(_store(request), taken), "taken" if taken.is_new else "same")


@router.post("/boilers/new/file")
def show_plant_file(request: Request, visitor: Writer, file: Annotated[UploadFile, File()]) -> Response:
    """Show what a plant file would change, before it is taken."""
    name = plain_name(file.filename)
    # One byte more than is read: what is too large is told so, and never read whole.
    content = file.file.read(LARGEST_FILE + 1)
    try:
        require_harmless(content, name)
        compared = surveys.compare(_store(request), content, name)
    except BadInput as error:
        return _new(request, visitor, refusal=str(error))
    content_of_page: dict[str, object] = {"name": name, "text": content.decode("utf-8-sig"), "compared": compared}
    return render(request, "survey_file.html", visitor, content_of_page)


@router.post("/boilers/new/file/take")
def take_plant_file(
    request: Request,
    visitor: Writer,
    text: Annotated[str, Form(max_length=LARGEST_FILE)],
    sha256: Annotated[str, Form(max_length=LONGEST_ID)],
    name: Short = "",
) -> Response:
    """Take a plant file whose differences were shown."""
    called, content = plain_name(name), text.replace("\r\n", "\n").encode(errors="surrogatepass")
    try:
        require_harmless(content, called)
        if surveys.compare(_store(request), content, called).sha256 != sha256:
            raise BadRequest(words.OTHER_TEXT)
        taken = surveying.take_plant_file(_store(request), content, called, visitor.person)
    except BadInput as error:
        return _new(request, visitor, refusal=str(error))
    return _to(_first(_store(request), taken), "taken" if taken.is_new else "same")


def _asked(more: str) -> frozenset[str]:
    """The list of which one more row was asked for; nothing where there is no such list."""
    return frozenset({more} & rows().keys())


def _page(
    request: Request, kept: KeptBoiler, visitor: Visitor, *, more: str = "", part: str = "", refusal: str = ""
) -> Response:
    at = _at(request, kept, more=_asked(more))
    screen = survey_screen(at, visitor.person, units_of(request))
    asked = [rows()[key].group.value for key in _asked(more)]
    known = [each for each in (part, *asked) if each in screen.stands.groups]
    content: dict[str, object] = {
        "opened": known[0] if known else first_group(screen),
        "more": "".join(_asked(more)),
        "s": screen,
        "stands": screen.stands,
        "refusal": refusal,
        "done": {"taken": words.TAKEN, "same": words.SAME}.get(request.query_params.get("done", ""), ""),
        "caution_lines": CAUTIONS_IN_SHORT,
    }
    return render(request, "survey.html", visitor, content, status=REFUSED if refusal else 200)


def _new(request: Request, visitor: Visitor, *, refusal: str = "", typed: tuple[str, str] = ("", "")) -> Response:
    content: dict[str, object] = {
        "refusal": refusal,
        "site": typed[0],
        "boiler": typed[1],
        "most": LONGEST_NAME // 2,
        "demos": demo_told(),
    }
    return render(request, "survey_new.html", visitor, content, status=REFUSED if refusal else 200)


def _at(request: Request, kept: KeptBoiler, *, more: frozenset[str] = frozenset()) -> AtSurvey:
    store = _store(request)
    draft = surveying.open_draft(store, kept.id)
    return surveying.last_surveyed(store, kept) if draft is None else surveying.at_survey(store, draft, more=more)


def _draft(request: Request, kept: KeptBoiler, draft: str) -> KeptDraft:
    """The open draft of that id: a page that stood open while it was finished elsewhere is told so."""
    found = surveying.open_draft(_store(request), kept.id)
    if found is None or found.id != draft:
        raise BadRequest(words.FINISHED)
    return found


def _first(store: Store, taken: Taken) -> str:
    """The first boiler of a plant file, by the order of the file."""
    names = [each.name for each in taken.revision.plant_file().plant.boilers]
    here = [known_boiler(store, each) for each in taken.revision.boilers]
    return next((each.id for each in here if each.name == names[0]), taken.revision.boilers[0])


def _to(boiler: str, done: str = "") -> Response:
    return RedirectResponse(f"/boilers/{boiler}/survey" + (f"?done={done}" if done else ""), status_code=303)


def _store(request: Request) -> Store:
    store: Store = request.app.state.store
    return store

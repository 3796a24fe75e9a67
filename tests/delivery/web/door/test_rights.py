"""A route without a right stops the program; every right is weighed on the server."""

from collections.abc import Callable

import pytest
from fastapi import APIRouter, FastAPI
from starlette.routing import Mount, Route

from evenfire.delivery.records.registers import May
from evenfire.delivery.web.application import application
from evenfire.delivery.web.door.rights import Open, Reader, Signer, Writer, open_paths
from tests.delivery.web.door.at_door import JSON, AtDoor, Browser


def bare() -> FastAPI:
    return FastAPI(openapi_url=None, docs_url=None, redoc_url=None)


def answers() -> None:
    """What a route does here."""


def test_a_route_that_names_no_right_stops_the_program() -> None:
    app = bare()
    app.get("/forgotten")(answers)
    with pytest.raises(RuntimeError, match="/forgotten names no right"):
        open_paths(app)


def test_a_route_of_a_page_that_names_no_right_stops_the_program_too() -> None:
    app, page = bare(), APIRouter(prefix="/boilers")
    page.post("/forgotten")(answers)
    app.include_router(page)
    with pytest.raises(RuntimeError, match="/boilers/forgotten names no right"):
        open_paths(app)


@pytest.mark.parametrize(
    "route", [Mount("/files", FastAPI(openapi_url=None)), Route("/plain", lambda _: None), Mount("/static/x", bare())]
)
def test_what_can_name_no_right_stops_the_program(route: Mount | Route) -> None:
    app = bare()
    app.router.routes.append(route)
    with pytest.raises(RuntimeError, match="no route that can name a right"):
        open_paths(app)


def test_the_description_that_the_framework_adds_by_itself_stops_the_program() -> None:
    with pytest.raises(RuntimeError):
        open_paths(FastAPI())


def test_an_open_route_takes_nothing_from_its_path() -> None:
    app = bare()
    app.get("/open/{anything}", dependencies=[Open])(answers)
    with pytest.raises(RuntimeError, match="takes part of its path"):
        open_paths(app)


def test_rights_are_told_apart_from_openness() -> None:
    app = bare()

    def reads(_visitor: Reader) -> None:
        """A page."""

    def writes(_visitor: Writer) -> None:
        """An act."""

    def signs(_visitor: Signer) -> None:
        """A signature."""

    app.get("/read")(reads)
    app.post("/write")(writes)
    app.post("/sign")(signs)
    app.get("/in", dependencies=[Open])(answers)
    assert open_paths(app) == {"/in"}


def test_of_the_whole_application_nothing_is_open_but_the_door(door: AtDoor) -> None:
    assert application(door.store).state.open_paths == {"/enter", "/start"}


Ask = Callable[[Browser], int]
ASKS: dict[str, Ask] = {
    "read": lambda browser: browser.get("/read").status_code,
    "write": lambda browser: browser.post("/write/x").status_code,
    "type": lambda browser: browser.put("/typed/x", {"text": "8.6 bar"}).status_code,
    "sign": lambda browser: browser.post("/sign/x").status_code,
    "leave": lambda browser: browser.post("/leave").status_code,
}
ALLOWED = {
    May.READ: {"read": 200, "write": 403, "type": 403, "sign": 403, "leave": 303},
    May.WRITE: {"read": 200, "write": 200, "type": 200, "sign": 403, "leave": 303},
    May.SIGN: {"read": 200, "write": 200, "type": 200, "sign": 200, "leave": 303},
}


@pytest.mark.parametrize("may", list(May))
@pytest.mark.parametrize("ask", list(ASKS))
def test_what_each_role_may_do(door: AtDoor, may: May, ask: str) -> None:
    door.add(may)
    assert ASKS[ask](door.logged_in(may)) == ALLOWED[may][ask]


@pytest.mark.parametrize("ask", list(ASKS))
def test_without_a_login_nothing_is_to_be_had(door: AtDoor, ask: str) -> None:
    door.add(May.SIGN)
    # A page leads to the login, a script is told.
    assert ASKS[ask](door.browser()) == (401 if ask == "type" else 303)


def test_somebody_at_this_computer_writes_and_does_not_sign(door: AtDoor) -> None:
    browser = door.started()
    assert [ASKS[ask](browser) for ask in ("read", "write", "type", "sign")] == [200, 200, 200, 403]


def test_a_role_that_was_taken_is_refused_with_a_sentence_for_people_and_for_scripts(door: AtDoor) -> None:
    door.add(May.READ)
    browser = door.logged_in(May.READ)
    page = browser.post("/write/x")
    assert "change nothing" in page.text
    assert "text/html" in page.headers["content-type"]
    told = browser.post("/write/x", headers=JSON)
    assert told.status_code == 403
    assert "change nothing" in told.json()["why"]


@pytest.mark.parametrize("path", ["/read", "/no/such/page", "/static", "/enter/", "/ENTER", "/start/../read", "//read"])
def test_a_path_that_nobody_opened_needs_a_login_also_one_that_is_not_there(door: AtDoor, path: str) -> None:
    door.add(May.SIGN)
    answer = door.browser().get(path)
    assert (answer.status_code, answer.headers["location"].partition("?")[0]) == (303, "/enter")
    assert door.browser().client.get(path, headers=JSON).status_code == 401

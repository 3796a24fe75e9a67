"""Every route of the application in one table: the right that it asks for, and its answer to somebody without a login.

Each is really called, through the real guard, by everybody who may come: nobody, a reader, a writer, a signer; without
the token, from a page of somebody else, by a name that was made to point here, in the open from another computer.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path
from typing import Final

import pytest
from fastapi.routing import iter_route_contexts
from httpx2 import Response

from evenfire.delivery.acts import people, surveying, visiting
from evenfire.delivery.acts.demo import demo_plants
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.entries import entries_of
from evenfire.delivery.records.registers import May, find_person
from evenfire.delivery.web.application import application
from evenfire.delivery.web.door.rights import SAFE_METHODS
from tests.delivery.acts.on_visit import Clock
from tests.delivery.web.door.at_door import CHEAP, JSON, NAMES, PORT, SECRET, AtDoor, Browser
from tests.delivery.web.kept_rows import rows_of


class Right(Enum):
    """What a route asks of whoever calls it, least first."""

    OPEN = 0
    READ = 1
    WRITE = 2
    SIGN = 3


class Asks(Enum):
    """Who calls a route: a page leads to the login, a script is told in an object."""

    PAGE = 303
    SCRIPT = 401


ROUTES: Final[dict[tuple[str, str], tuple[Right, Asks]]] = {
    ("GET", "/static/evenfire.css"): (Right.OPEN, Asks.PAGE),
    ("GET", "/static/evenfire.js"): (Right.OPEN, Asks.PAGE),
    ("GET", "/static/mark.svg"): (Right.OPEN, Asks.PAGE),
    ("GET", "/enter"): (Right.OPEN, Asks.PAGE),
    ("POST", "/enter"): (Right.OPEN, Asks.PAGE),
    ("GET", "/start"): (Right.OPEN, Asks.PAGE),
    ("GET", "/"): (Right.READ, Asks.PAGE),
    ("POST", "/units"): (Right.READ, Asks.PAGE),
    ("GET", "/boilers/new"): (Right.READ, Asks.PAGE),
    ("POST", "/boilers/new"): (Right.WRITE, Asks.PAGE),
    ("POST", "/boilers/new/demo"): (Right.WRITE, Asks.PAGE),
    ("POST", "/boilers/new/file"): (Right.WRITE, Asks.PAGE),
    ("POST", "/boilers/new/file/take"): (Right.WRITE, Asks.PAGE),
    ("GET", "/boilers/{boiler:uuid}"): (Right.READ, Asks.PAGE),
    ("GET", "/boilers/{boiler}/stack.svg"): (Right.READ, Asks.PAGE),
    ("GET", "/boilers/{boiler}/small-stack.svg"): (Right.READ, Asks.PAGE),
    ("GET", "/boilers/{boiler}/survey"): (Right.READ, Asks.PAGE),
    ("POST", "/boilers/{boiler}/survey"): (Right.WRITE, Asks.PAGE),
    ("GET", "/boilers/{boiler}/survey/fields"): (Right.READ, Asks.PAGE),
    ("GET", "/boilers/{boiler}/survey/judgement"): (Right.READ, Asks.PAGE),
    ("GET", "/boilers/{boiler}/survey/stack.svg"): (Right.READ, Asks.PAGE),
    ("GET", "/boilers/{boiler}/survey/plant.toml"): (Right.READ, Asks.PAGE),
    ("POST", "/boilers/{boiler}/survey/away"): (Right.WRITE, Asks.PAGE),
    ("POST", "/boilers/{boiler}/survey/back"): (Right.WRITE, Asks.PAGE),
    ("POST", "/boilers/{boiler}/survey/take"): (Right.WRITE, Asks.PAGE),
    ("GET", "/boilers/{boiler}/settle"): (Right.READ, Asks.PAGE),
    ("POST", "/boilers/{boiler}/settle"): (Right.WRITE, Asks.PAGE),
    ("POST", "/boilers/{boiler}/settle/stop"): (Right.WRITE, Asks.PAGE),
    ("GET", "/boilers/{boiler}/settle/stack.svg"): (Right.READ, Asks.PAGE),
    ("GET", "/boilers/{boiler}/settle/plant.toml"): (Right.READ, Asks.PAGE),
    ("GET", "/boilers/{boiler}/traces/{scenario}.svg"): (Right.READ, Asks.PAGE),
    ("GET", "/boilers/{boiler}/visit"): (Right.READ, Asks.PAGE),
    ("POST", "/boilers/{boiler}/visit"): (Right.WRITE, Asks.PAGE),
    ("GET", "/visits/{visit}"): (Right.READ, Asks.PAGE),
    ("GET", "/visits/{visit}/judgement"): (Right.READ, Asks.PAGE),
    ("GET", "/visits/{visit}/steps"): (Right.READ, Asks.PAGE),
    ("POST", "/visits/{visit}/judge"): (Right.WRITE, Asks.PAGE),
    ("POST", "/visits/{visit}/photos"): (Right.WRITE, Asks.PAGE),
    ("POST", "/visits/{visit}/settle"): (Right.WRITE, Asks.PAGE),
    ("POST", "/visits/{visit}/sign"): (Right.SIGN, Asks.PAGE),
    ("POST", "/visits/{visit}/amend"): (Right.SIGN, Asks.PAGE),
    ("GET", "/attachments/{sha256}"): (Right.READ, Asks.PAGE),
    ("GET", "/boilers/{boiler}/print"): (Right.READ, Asks.PAGE),
    # A paper is made of what is kept and changes nothing of it: who may read may print.
    ("POST", "/boilers/{boiler}/print"): (Right.READ, Asks.PAGE),
    ("GET", "/boilers/{boiler}/print/{kind}.pdf"): (Right.READ, Asks.PAGE),
    ("GET", "/boilers/{boiler}/qr.svg"): (Right.READ, Asks.PAGE),
    ("PUT", "/entries/{entry}"): (Right.WRITE, Asks.SCRIPT),
    ("GET", "/drafts/{draft}/fields"): (Right.READ, Asks.SCRIPT),
    ("GET", "/progress/{work}"): (Right.READ, Asks.SCRIPT),
    ("DELETE", "/progress/{work}"): (Right.WRITE, Asks.SCRIPT),
    ("POST", "/leave"): (Right.READ, Asks.PAGE),
}
LEAVE: Final = ("POST", "/leave")
UNSAFE: Final = [each for each in ROUTES if each[0] not in SAFE_METHODS]
REACH: Final = {None: Right.OPEN, May.READ: Right.READ, May.WRITE: Right.WRITE, May.SIGN: Right.SIGN}
NEW_ENTRY: Final = "7d0f5a52-7c0e-4a51-9f0e-0a2f52d31c11"
PICTURE: Final = b"\x89PNG\r\n\x1a\n"
EFFECTIVE: Final = {
    "/boilers/new",
    "/boilers/new/demo",
    "/boilers/{boiler}/visit",
    "/boilers/{boiler}/survey/away",
    "/boilers/{boiler}/survey/take",
    "/entries/{entry}",
}
"""Forms below that change the store when somebody may send them; so that it says something when nothing changed."""

Call = tuple[str, str]


@dataclass
class Kept:
    """A store with a boiler, its open visit and an open survey draft, behind the real door."""

    door: AtDoor
    names: dict[str, str] = field(default_factory=dict)

    def call(self, browser: Browser, route: Call, headers: dict[str, str] | None = None) -> Response:
        """Call a route as our own page, or its script, does, with a form that has an effect."""
        method, path = route
        sent = {"accept": JSON["accept"] if ROUTES[route][1] is Asks.SCRIPT else "text/html"}
        if method not in SAFE_METHODS:
            sent |= {"origin": browser.origin, "sec-fetch-site": "same-origin", "x-evenfire-token": browser.token}
        place = path.replace(":uuid", "").format(**self.names)
        sent |= headers or {}
        if path == "/entries/{entry}":
            return browser.client.request(method, place, headers=sent, json=self._entry())
        form, files = self._form(path), self._files(path)
        return browser.client.request(method, place, headers=sent, data=form or None, files=files)

    def _entry(self) -> dict[str, object]:
        return {
            "draft": self.names["visit"],
            "path": "call.consent",
            "text": "plant manager",
            "device": "phone 3f2a",
            "at": "2026-11-25T15:30:00Z",
            "based_on": [],
        }

    def _form(self, path: str) -> dict[str, str]:
        draft = self.names["draft"]
        typed = entries_of(self.door.store, draft)
        visited = entries_of(self.door.store, self.names["visit"])
        return {
            "/enter": {"name": NAMES[May.SIGN], "passphrase": SECRET},
            "/boilers/new": {"site": "Another Mill", "boiler": "No. 4"},
            "/boilers/new/demo": {"plant": "school.toml"},
            "/boilers/new/file/take": {"text": "format = 1", "sha256": "0" * 64, "name": "mine.toml"},
            "/boilers/{boiler}/survey/away": {"draft": draft, "row": "boiler.safety_valve.1"},
            "/boilers/{boiler}/survey/back": {"draft": draft},
            "/boilers/{boiler}/survey/take": {"draft": draft, "seen": typed[-1].id if typed else ""},
            "/boilers/{boiler}/settle": {"target": "no pressure at all"},
            "/visits/{visit}/settle": {"target": "no pressure at all"},
            "/visits/{visit}/sign": {"passphrase": SECRET, "seen": visited[-1].id if visited else ""},
            "/visits/{visit}/amend": {"passphrase": SECRET, "text": "Amended."},
            "/boilers/{boiler}/print": {"kind": "no such paper"},
        }.get(path, {})

    def _files(self, path: str) -> dict[str, tuple[str, bytes]] | None:
        return {
            "/boilers/new/file": {"file": ("mine.toml", b"format = 1")},
            "/visits/{visit}/photos": {"photo": ("plate.png", PICTURE)},
        }.get(path)


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Kept]:
    clock = Clock()
    with Store.open(tmp_path / "kept" / "store.sqlite", clock=clock) as store:
        for may, name in NAMES.items():
            people.add(store, name, "", may, SECRET, hasher=CHEAP)
        door = AtDoor(store, tmp_path, application=application)
        made = Kept(door)
        signer = find_person(store, NAMES[May.SIGN])
        plant = tmp_path / "laundry.toml"
        plant.write_text(demo_plants()["laundry.toml"], encoding="utf-8")
        opened = visiting.open_visit(store, signer, plant=plant, boiler=None).at
        made.names = {
            "boiler": opened.boiler.id,
            "visit": opened.draft.id,
            "draft": surveying.open_survey(store, opened.boiler, signer).id,
            "entry": NEW_ENTRY,
            "work": "no-such-work",
            "sha256": "0" * 64,
            "scenario": "steady",
            "kind": "sheet",
        }
        yield made
        for each in door.open:
            each.close()
        door.guard._app.state.work.close()


def is_past_the_door(answer: Response) -> bool:
    """Whether the route itself answered: let in, whatever it then said of the form."""
    return answer.status_code not in {400, 401, 403, 405, 421, 500} and not is_led_to_login(answer)


def is_led_to_login(answer: Response) -> bool:
    return answer.status_code == 303 and answer.headers["location"].partition("?")[0] == "/enter"


def test_every_route_stands_in_the_table_and_the_table_names_no_other(kept: Kept) -> None:
    found = set()
    for each in iter_route_contexts(application(kept.door.store).routes):
        assert each.methods, each.path
        found |= {(method, each.path) for method in each.methods}
    assert found == set(ROUTES)


def test_nobody_is_let_in_but_where_it_is_open(kept: Kept) -> None:
    before, stranger, wrong = rows_of(kept.door.store), kept.door.browser(), {}
    for route, (right, asks) in ROUTES.items():
        answer = kept.call(stranger, route)
        if right is Right.OPEN:
            # A login form that was not asked for before is told so on its own page.
            is_right = answer.status_code in ({403} if route == ("POST", "/enter") else {200, 303})
        elif asks is Asks.PAGE:
            is_right = is_led_to_login(answer)
        else:
            is_right = answer.status_code == 401 and answer.json() == {"why": "Log in first."}
        if not is_right:
            wrong[route] = answer.status_code
        if right is not Right.OPEN and kept.call(stranger, route, JSON).status_code != 401:
            wrong[route] = answer.status_code
    assert wrong == {}
    assert rows_of(kept.door.store) == before


@pytest.mark.parametrize("may", list(May))
def test_a_route_is_open_to_whoever_has_its_right_and_to_nobody_else(kept: Kept, may: May) -> None:
    browser, wrong = kept.door.logged_in(may), {}
    for route, (right, _) in ROUTES.items():
        if right is Right.OPEN or route == LEAVE:
            continue
        answer = kept.call(browser, route)
        reaches = REACH[may].value >= right.value
        if reaches != is_past_the_door(answer) or (not reaches and answer.status_code != 403):
            wrong[route] = (answer.status_code, answer.text[:300])
    assert wrong == {}
    assert browser.get("/").status_code == 200
    assert is_led_to_login(kept.call(browser, LEAVE))
    assert is_led_to_login(browser.get("/")), "everybody may log out, and is out then"


def test_a_reader_who_tries_to_write_is_refused_everywhere_and_nothing_changes(kept: Kept) -> None:
    store, reader = kept.door.store, kept.door.logged_in(May.READ)
    before, counter, told = rows_of(store), store.counter, len(kept.door.trail)
    tried = [route for route in UNSAFE if ROUTES[route][0] in {Right.WRITE, Right.SIGN}]
    for route in tried:
        for accept in ({"accept": "text/html"}, JSON):
            answer = kept.call(reader, route, accept)
            assert answer.status_code == 403, route
            assert "You may read here and change nothing" in answer.text, route
    assert rows_of(store) == before
    # Each refusal is one row of the trail, and the counter moved for those alone.
    assert len(kept.door.trail) - told == 2 * len(tried)
    assert store.counter - counter == 2 * len(tried)
    assert all(each.status == 403 for each in kept.door.trail[told:])


def test_the_same_forms_do_change_something_when_a_writer_sends_them(kept: Kept) -> None:
    store, writer, without_effect = kept.door.store, kept.door.logged_in(May.WRITE), set()
    for route in UNSAFE:
        if route[1] in EFFECTIVE:
            before = rows_of(store)
            kept.call(writer, route)
            if rows_of(store) == before:
                without_effect.add(route[1])
    assert without_effect == set()


def refused_everywhere(kept: Kept, browser: Browser, routes: list[Call], headers: dict[str, str], status: int) -> None:
    before, wrong = rows_of(kept.door.store), {}
    for route in routes:
        answer = kept.call(browser, route, headers)
        if answer.status_code != status:
            wrong[route] = answer.status_code
    assert wrong == {}
    assert rows_of(kept.door.store) == before


@pytest.mark.parametrize("token", ["", "another", "0" * 64])
def test_no_act_is_done_without_the_token_of_the_session(kept: Kept, token: str) -> None:
    acts = [route for route in UNSAFE if ROUTES[route][0] is not Right.OPEN]
    refused_everywhere(kept, kept.door.logged_in(May.SIGN), acts, {"x-evenfire-token": token}, 403)


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "https://evil.example"},
        {"origin": "null"},
        {"origin": f"http://127.0.0.1:{PORT + 1}"},
        {"origin": f"https://127.0.0.1:{PORT}"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"sec-fetch-site": "none"},
    ],
    ids=lambda headers: "-".join(headers.values()),
)
def test_no_act_is_done_from_a_page_of_somebody_else(kept: Kept, headers: dict[str, str]) -> None:
    refused_everywhere(kept, kept.door.logged_in(May.SIGN), UNSAFE, headers, 403)


def test_no_picture_or_answer_is_drawn_into_a_page_of_somebody_else(kept: Kept) -> None:
    reads = [route for route in ROUTES if route[0] in SAFE_METHODS]
    for mode in ("no-cors", "cors", "same-origin"):
        elsewhere = {"sec-fetch-site": "cross-site", "sec-fetch-mode": mode}
        refused_everywhere(kept, kept.door.logged_in(May.SIGN), reads, elsewhere, 403)


@pytest.mark.parametrize(
    "host", ["evil.example", f"evil.example:{PORT}", f"127.0.0.1.evil.example:{PORT}", "127.0.0.1"]
)
def test_by_a_name_that_was_made_to_point_here_no_route_answers(kept: Kept, host: str) -> None:
    refused_everywhere(kept, kept.door.logged_in(May.SIGN), list(ROUTES), {"host": host}, 421)


def test_in_the_open_from_another_computer_no_route_answers(kept: Kept) -> None:
    browser = kept.door.logged_in(May.SIGN)
    far = kept.door.browser(peer="192.168.7.20")
    far.client.cookies, far.token = browser.client.cookies, browser.token
    refused_everywhere(kept, far, list(ROUTES), {}, 403)


@pytest.mark.parametrize("header", ["forwarded", "x-forwarded-for", "x-forwarded-host", "x-real-ip", "via"])
def test_through_a_proxy_that_nobody_named_no_route_answers(kept: Kept, header: str) -> None:
    refused_everywhere(kept, kept.door.logged_in(May.SIGN), list(ROUTES), {header: "127.0.0.1"}, 400)


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "POST", "HEAD", "OPTIONS", "TRACE"])
def test_a_method_that_a_path_has_not_does_nothing(kept: Kept, method: str) -> None:
    browser = kept.door.logged_in(May.SIGN)
    before = rows_of(kept.door.store)
    sent = {"origin": browser.origin, "sec-fetch-site": "same-origin", "x-evenfire-token": browser.token}
    for _, path in ROUTES:
        if (method, path) in ROUTES:
            continue
        place = path.replace(":uuid", "").format(**kept.names)
        assert browser.client.request(method, place, headers=sent).status_code in {404, 405}, (method, path)
    assert rows_of(kept.door.store) == before

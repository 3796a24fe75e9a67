"""What the guard does to every request and every answer. Headers: Content Security Policy level 3, Fetch (W3C, WHATWG),
OWASP's list of secure headers; from memory."""

import asyncio
import logging
import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import HTTPException
from starlette.types import Message

from evenfire.delivery.records import audit
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import May
from evenfire.delivery.web.door import bodies
from evenfire.delivery.web.door.auditing import ASSUMED_MOST_OF_STRANGERS
from evenfire.delivery.web.door.bodies import (
    ASSUMED_LARGEST,
    ASSUMED_LARGEST_OF_STRANGERS,
    ASSUMED_PATIENCE,
    ASSUMED_SLOWEST,
    LARGEST_UPLOAD,
    limited,
)
from tests.delivery.web.door.at_door import BOOM, JSON, NAMES, SECRET, AtDoor, small_application, token_in

ASKED = ["/enter", "/read", "/no/such/page", "/boom", "/start?token=x", "/leave"]


def directives(policy: str) -> dict[str, list[str]]:
    return {words[0]: words[1:] for words in (part.split() for part in policy.split(";"))}


@pytest.mark.parametrize("path", ASKED)
@pytest.mark.parametrize("is_known", [True, False])
@pytest.mark.parametrize("host", ["127.0.0.1", "evil.example"])
def test_every_answer_says_what_a_browser_may_do_with_it(door: AtDoor, path: str, is_known: bool, host: str) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN) if is_known else door.browser()
    answer = browser.get(path, {"host": f"{host}:8017"})
    policy = directives(answer.headers["content-security-policy"])
    assert policy["default-src"] == ["'self'"]
    for none in ("object-src", "base-uri", "frame-ancestors"):
        assert policy[none] == ["'none'"]
    assert policy["form-action"] == ["'self'"]
    assert set(policy["img-src"]) == {"'self'", "blob:"}
    for unsafe in ("unsafe-inline", "unsafe-eval", "data:", "http:", "https:", "*"):
        assert unsafe not in answer.headers["content-security-policy"]
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["referrer-policy"] == "same-origin"
    assert answer.headers["cross-origin-opener-policy"] == "same-origin"
    assert answer.headers["cross-origin-resource-policy"] == "same-origin"
    assert "camera=()" in answer.headers["permissions-policy"]
    assert answer.headers["cache-control"] == "no-store"
    assert "server" not in answer.headers


def test_no_page_of_the_door_needs_what_the_policy_forbids(door: AtDoor) -> None:
    door.add(May.SIGN)
    for page in (door.browser().get("/enter"), door.logged_in(May.SIGN).get("/no/such/page")):
        assert "<style" not in page.text
        assert not re.search(r"<script(?![^>]*\bsrc=)", page.text)
        assert not re.search(r"\s(?:on\w+|style)=", page.text)
        for address in re.findall(r'(?:src|href|action)="([^"]*)"', page.text):
            assert address.startswith(("/", "#"))
            assert not address.startswith("//")


# ---- cross-site requests ----


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "https://evil.example", "sec-fetch-site": "cross-site"},
        {"origin": "http://localhost:8017", "sec-fetch-site": "same-site"},
        {"origin": "http://127.0.0.1:3000", "sec-fetch-site": "same-site"},
        {"origin": "null", "sec-fetch-site": "cross-site"},
    ],
)
def test_what_another_page_posts_is_not_done_even_with_cookie_and_token(door: AtDoor, headers: dict[str, str]) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    for answer in (
        browser.post("/write/x", headers=headers),
        browser.post("/sign/x", headers=headers),
        browser.put("/typed/x", {"text": "1"}, headers),
    ):
        assert answer.status_code == 403
        assert "Another site" in answer.text
    assert browser.post("/write/x").status_code == 200


@pytest.mark.parametrize("token", ["", "0" * 64, "\u00e4", "x" * 9000])
def test_our_own_page_needs_its_token_too(door: AtDoor, token: str) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    right = browser.token
    browser.token = token
    assert browser.post("/write/x").status_code == 403
    if token.isascii():
        assert browser.put("/typed/x", {"text": "1"}).status_code == 403
    browser.token = right
    assert browser.post("/write/x").status_code == 200
    assert browser.put("/typed/x", {"text": "1"}).status_code == 200


def test_the_token_of_one_session_is_none_of_another(door: AtDoor) -> None:
    door.add(May.SIGN)
    door.add(May.WRITE)
    ada, wen = door.logged_in(May.SIGN), door.logged_in(May.WRITE)
    assert ada.token != wen.token
    ada.token = wen.token
    assert ada.post("/write/x").status_code == 403


def test_a_token_in_the_address_counts_for_nothing(door: AtDoor) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    right, browser.token = browser.token, ""
    assert browser.post(f"/write/x?token={right}").status_code == 403


def test_a_form_as_plain_text_is_no_form_of_ours(door: AtDoor) -> None:
    # A page elsewhere can send such a body without being asked first.
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    own = {"origin": browser.origin, "sec-fetch-site": "same-origin", "content-type": "text/plain"}
    answer = browser.client.post("/write/x", content=f"token={browser.token}", headers=own)
    assert answer.status_code == 403


# ---- bodies ----


def test_a_body_is_limited_by_who_sends_it(door: AtDoor) -> None:
    door.add(May.SIGN)
    door.add(May.READ)
    stranger, reader, ada = door.browser(), door.logged_in(May.READ), door.logged_in(May.SIGN)
    stranger.token = token_in(stranger.get("/enter"))
    assert stranger.post("/enter", {"name": "x" * ASSUMED_LARGEST_OF_STRANGERS}).status_code == 413
    assert ada.post("/write/x", {"note": "x" * (ASSUMED_LARGEST // 2)}).status_code == 200
    assert ada.post("/write/x", {"note": "x" * ASSUMED_LARGEST}).status_code == 413
    photo = b"\x00" * (2 * ASSUMED_LARGEST)
    for browser, expected in ((ada, 200), (reader, 413)):
        own = {"origin": browser.origin, "x-evenfire-token": browser.token}
        assert browser.client.post("/photos", files={"photo": photo}, headers=own).status_code == expected


def parts(count: int) -> Iterator[bytes]:
    for _ in range(count):
        yield b"x" * 65_536


def test_a_body_that_does_not_say_how_long_it_is_is_broken_off(door: AtDoor) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    own = {"origin": browser.origin, "x-evenfire-token": browser.token, "content-type": "application/json"}
    answer = browser.client.put("/typed/x", content=parts(40), headers={**own, **JSON})
    assert answer.status_code == 413
    assert "1,048,576 bytes" in answer.json()["why"]


def test_a_photograph_that_is_too_large_is_refused_before_it_is_read(door: AtDoor) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    own = {
        "origin": browser.origin,
        "x-evenfire-token": browser.token,
        "content-type": "multipart/form-data; boundary=x",
        "content-length": str(LARGEST_UPLOAD + 1),
    }
    assert browser.client.post("/photos", content=b"", headers=own).status_code == 413


@pytest.mark.parametrize("length", ["-1", "1e3", "0x10", "\u0661", "9" * 400, "1, 1"])
def test_a_length_that_is_no_number_is_refused(door: AtDoor, length: str) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    own = [(b"origin", browser.origin.encode()), (b"content-length", length.encode())]
    answer = browser.client.post("/write/x", content=b"", headers=own)
    assert answer.status_code in {400, 413}


async def given_up_after(monkeypatch: pytest.MonkeyPatch, messages: list[Message], patience: float) -> str:
    """What a body comes to whose parts arrive every tenth of a second, for somebody with so much patience [s]."""
    monkeypatch.setattr(bodies, "ASSUMED_PATIENCE", patience)
    waiting = iter(messages)

    async def receive() -> Message:
        await asyncio.sleep(0.1)
        for message in waiting:
            return message
        await asyncio.sleep(3600.0)
        return {"type": "http.disconnect"}

    body = limited(receive, 1_000_000)
    try:
        while (await body()).get("more_body"):
            pass
    except HTTPException as error:
        return str(error.status_code)
    return "whole"


def part(size: int, *, more: bool = True) -> Message:
    return {"type": "http.request", "body": b"x" * size, "more_body": more}


@pytest.mark.parametrize(
    ("messages", "patience", "ends"),
    [
        ([part(10), part(10, more=False)], 0.5, "whole"),
        ([part(10)], 0.5, "408"),
        ([], 0.05, "408"),
        # One byte every tenth of a second keeps nobody waiting beyond the patience.
        ([part(1)] * 100, 0.5, "408"),
        # Ten times the slowest speed that is allowed: longer than the patience, and whole.
        ([*[part(int(ASSUMED_SLOWEST))] * 10, part(0, more=False)], 0.5, "whole"),
    ],
)
def test_a_body_that_comes_too_slowly_is_given_up(
    monkeypatch: pytest.MonkeyPatch, messages: list[Message], patience: float, ends: str
) -> None:
    assert asyncio.run(given_up_after(monkeypatch, messages, patience)) == ends


def test_a_photograph_over_a_slow_telephone_link_has_time_enough() -> None:
    # 800 kbit/s is the slow link of the aims; the largest photograph takes 400 s over it.
    seconds = LARGEST_UPLOAD / (800_000 / 8)
    assert seconds < ASSUMED_PATIENCE + LARGEST_UPLOAD / ASSUMED_SLOWEST


# ---- errors ----


class Told(logging.Handler):
    """What was written to the log."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """One record with its trace."""
        self.lines.append(logging.Formatter().format(record))


@pytest.fixture
def told() -> Iterator[Told]:
    handler = Told()
    logger = logging.getLogger("evenfire.web")
    logger.addHandler(handler)
    yield handler
    logger.removeHandler(handler)


@pytest.mark.parametrize("headers", [{"accept": "text/html"}, JSON])
def test_a_failure_shows_an_id_and_its_trace_is_in_the_log_alone(
    door: AtDoor, told: Told, headers: dict[str, str]
) -> None:
    door.add(May.READ)
    answer = door.logged_in(May.READ).get("/boom", headers)
    assert answer.status_code == 500
    found = re.search(r"this id: ([0-9a-f]{8})", answer.text)
    assert found is not None
    for secret in (BOOM, "ZeroDivisionError", "Traceback", ".py"):
        assert secret not in answer.text
    (line,) = [each for each in told.lines if found.group(1) in each]
    assert BOOM in line
    assert "Traceback" in line


def test_a_failure_of_the_page_for_errors_is_a_sentence_all_the_same(
    door: AtDoor, told: Told, monkeypatch: pytest.MonkeyPatch
) -> None:
    door.add(May.READ)
    browser = door.logged_in(May.READ)
    # The application loses what every page is drawn from.
    monkeypatch.delattr(door.guard._app.state, "units")
    answer = browser.get("/boom", {"accept": "text/html"})
    assert answer.status_code == 500
    assert re.search(r"this id: [0-9a-f]{8}", answer.text)
    assert BOOM in "".join(told.lines)
    assert "default-src 'self'" in answer.headers["content-security-policy"]


def test_a_refusal_of_the_guard_is_a_page_for_people_and_an_object_for_scripts(door: AtDoor) -> None:
    browser = door.browser("http://evil.example:8017")
    page = browser.get("/read")
    assert "<h1>" in page.text
    assert browser.get("/read", JSON).json() == {
        "why": "This server does not answer to that name. Open it by a name that it was started with."
    }


def test_whoever_comes_a_wrong_way_is_shown_no_name(door: AtDoor) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    for headers in ({"host": "evil.example:8017"}, {"x-forwarded-for": "10.0.0.1"}):
        answer = browser.get("/read", headers)
        assert answer.status_code in {400, 421}
        assert NAMES[May.SIGN] not in answer.text
        assert token_in(answer) == ""


# ---- the audit trail ----


def test_every_act_and_every_login_is_in_the_trail_with_what_became_of_it(door: AtDoor) -> None:
    ada, roy = door.add(May.SIGN), door.add(May.READ)
    stranger = door.browser()
    stranger.post("/sign/visit-7")
    stranger.log_in("Ada Quill", "another one entirely")
    stranger.log_in("Nobody Here", "another one entirely")
    browser, reader = door.logged_in(May.SIGN), door.logged_in(May.READ)
    browser.get("/read")
    browser.post("/write/boiler-1", {"note": "hot"})
    browser.put("/typed/field-3", {"text": "8.6 bar"})
    browser.post("/sign/visit-7", {"passphrase": SECRET})
    browser.post("/sign/visit-8", headers={"origin": "https://evil.example"})
    browser.post("/no/such/act/with/anything?in=it")
    reader.post("/write/boiler-1")
    browser.post("/leave")
    names = {ada.id: "Ada", roy.id: "Roy", None: ""}
    assert [(names[each.person], each.what, each.status) for each in door.trail] == [
        ("", "POST /sign/{thing} thing=visit-7", 303),  # led to the login
        ("", f"POST /enter for={ada.id}", 401),
        ("", "POST /enter", 401),
        ("Ada", "POST /enter", 303),
        ("Roy", "POST /enter", 303),
        ("Ada", "POST /write/{thing} thing=boiler-1", 200),
        ("Ada", "PUT /typed/{thing} thing=field-3", 200),
        ("Ada", "POST /sign/{thing} thing=visit-7", 200),
        ("", "POST /sign/{thing} thing=visit-8", 403),
        ("Ada", "POST no page of ours", 404),
        ("Roy", "POST /write/{thing} thing=boiler-1", 403),
        ("Ada", "POST /leave", 303),
    ]
    assert {each.address for each in door.trail} == {"127.0.0.1"}
    own = {each.session for each in door.trail if each.person == ada.id}
    assert len(own) == 1
    assert re.fullmatch("[0-9a-f]{12}", own.pop())


def test_the_start_link_is_in_the_trail(door: AtDoor) -> None:
    link = f"/start?token={door.keeper.start_token}"
    door.browser().get(link)
    door.browser().get(link)
    assert [(each.what, each.status) for each in door.trail] == [("GET /start", 303), ("GET /start", 403)]


def test_nothing_that_opens_anything_is_in_the_trail_or_the_store(door: AtDoor) -> None:
    start = door.keeper.start_token
    assert start is not None
    door.browser().get(f"/start?token={start}x")
    started = door.started()
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    # A passphrase typed where the name belongs, and one in an address.
    door.browser().log_in(SECRET, "x")
    browser.post("/sign/visit-7", {"passphrase": SECRET})
    session = browser.session
    browser.post(f"/leave?passphrase={SECRET}")
    door.store.close()
    kept = b"".join(path.read_bytes() for path in Path(door.store.place).parent.glob("0.sqlite*") if path.is_file())
    secrets = [
        SECRET,
        SECRET.replace(" ", "%20"),
        start,
        browser.token,
        session,
        started.session,
        started.token,
    ]
    for secret in secrets:
        assert secret
        assert secret.encode() not in kept


def test_strangers_cannot_fill_the_disk_with_the_trail(tmp_path: Path) -> None:
    with Store.open(tmp_path / "store.sqlite") as store:
        door = AtDoor(store, tmp_path)
        written = door.guard._audit
        scope = {"method": "POST", "path": "/enter", "state": {}, "client": ("192.0.2.1", 1)}
        began = time.monotonic()
        for _ in range(ASSUMED_MOST_OF_STRANGERS):
            assert written._has_room()
        written.keep(scope, 401)
        assert time.monotonic() - began < 3600.0
        assert audit.trail(store) == ()


def test_a_trail_that_cannot_be_written_is_told_in_the_log_and_undoes_nothing(tmp_path: Path, told: Told) -> None:
    with Store.open(tmp_path / "store.sqlite") as store:
        door = AtDoor(store, tmp_path)
        door.add(May.SIGN)
        browser = door.logged_in(May.SIGN)
        with store.write() as connection:
            connection.exec_driver_sql(
                "CREATE TRIGGER full BEFORE INSERT ON audit BEGIN SELECT RAISE(FAIL, 'full'); END"
            )
        assert browser.post("/write/x", {"note": "hot"}).status_code == 200
        assert any("not in the audit trail" in each and "/write/{thing} thing=x" in each for each in told.lines)
        for each in door.open:
            each.close()


def test_a_method_that_nobody_knows_is_told_without_its_name(door: AtDoor) -> None:
    door.add(May.SIGN)
    browser = door.logged_in(May.SIGN)
    own = {"origin": browser.origin}
    assert browser.client.request("BREW", "/read", headers=own).status_code == 405
    assert door.trail[-1].what == "other method /read"


def test_a_websocket_is_closed(door: AtDoor) -> None:
    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    async def receive() -> Message:
        return {"type": "websocket.connect"}

    asyncio.run(door.guard({"type": "websocket", "path": "/read", "headers": []}, receive, send))
    assert [each["type"] for each in sent] == ["websocket.close"]


def test_the_small_application_of_these_tests_is_put_together_as_the_whole_one(door: AtDoor) -> None:
    assert small_application(door.store).state.open_paths == {"/enter", "/start"}

"""The door in a real browser: what a person sees of it, and what a page of somebody else gets done."""

import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.journeys.web.conftest import (
    CHROMIUM,
    DESK,
    FLAGS,
    PASSPHRASE,
    PHONE,
    QUILL,
    READER,
    READERS_PASSPHRASE,
    Device,
    Shot,
    log_in,
)
from tests.journeys.web.server import Server, command


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_from_the_start_link_to_the_first_login_by_keyboard_alone(
    fresh: Server, device: Device, shot: Shot, scheme: str
) -> None:
    link = fresh.start()
    page = device(PHONE, color_scheme=scheme)
    page.goto(link)
    expect(page.get_by_text("somebody at this computer")).to_be_visible()
    assert "token" not in page.url
    second = device(DESK)
    second.goto(link)
    expect(second.get_by_text("This link was opened before")).to_be_visible()
    shot(second, "link-spent")
    command(fresh.store, "store", "person", QUILL, passphrase=PASSPHRASE)
    page.goto(fresh.address)
    expect(page.get_by_role("heading", level=1)).to_have_text("Log in")
    shot(page, "login")
    page.get_by_label("Name").focus()
    page.keyboard.type(QUILL)
    page.keyboard.press("Tab")
    page.keyboard.type("another one entirely")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_have_text("Name or passphrase is wrong.")
    shot(page, "login-refused")
    page.get_by_label("Name").focus()
    page.keyboard.type(QUILL)
    page.keyboard.press("Tab")
    page.keyboard.type(PASSPHRASE)
    page.keyboard.press("Enter")
    expect(page.get_by_text(QUILL)).to_be_visible()
    page.get_by_role("button", name="Log out").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Log in")
    page.go_back()
    expect(page.get_by_role("heading", level=1)).to_have_text("Log in")


def test_the_cookie_of_a_session_is_out_of_reach_of_scripts(company: Server, device: Device) -> None:
    company.start()
    page = device(PHONE)
    log_in(page, company.address, READER, READERS_PASSPHRASE)
    assert "session" not in page.evaluate("document.cookie")
    (kept,) = [each for each in page.context.cookies() if "evenfire-session" in each["name"]]
    assert (kept["httpOnly"], kept["sameSite"]) == (True, "Strict")


HOSTILE = """<!doctype html><title>hostile</title><h1>hostile</h1>
<form id="f" method="post" action="{address}/leave"><input name="token" value="{token}"></form>
<img id="i" src="{address}/static/mark.svg" alt="">
<p id="told"></p>
<script>
const told = document.getElementById("told");
document.getElementById("i").onerror = () => {{ told.textContent += "no image. "; }};
fetch("{address}/drafts/x/fields", {{credentials: "include"}})
  .then(() => told.textContent += "READ. ", () => told.textContent += "not read. ");
const put = {{method: "PUT", credentials: "include", headers: {{"X-Evenfire-Token": "{token}"}}, body: "{{}}"}};
fetch("{address}/entries/x", put)
  .then(() => told.textContent += "PUT. ", () => told.textContent += "not put. ");
</script>"""


class Elsewhere:
    """A server of somebody else on this computer: the same site to a browser, and another origin."""

    def __init__(self) -> None:
        self.page = ""
        self.seen: list[str] = []
        outer = self

        class Answers(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                outer.seen.append(self.headers.get("Cookie") or "")
                self.send_response(200)
                self.send_header("Content-Type", "text/html")
                self.end_headers()
                self.wfile.write(outer.page.encode())

            def log_message(self, format: str, *told: object) -> None:  # noqa: A002 - its name there
                """Says nothing."""

        self._server = HTTPServer(("127.0.0.1", 0), Answers)
        self._running = threading.Thread(target=self._server.serve_forever)
        self._running.start()

    @property
    def port(self) -> int:
        """Where it listens."""
        return int(self._server.server_address[1])

    def stop(self) -> None:
        """Stop it."""
        self._server.shutdown()
        self._running.join()
        self._server.server_close()


@pytest.fixture
def elsewhere() -> Iterator[Elsewhere]:
    server = Elsewhere()
    yield server
    server.stop()


def token_of(page: Page) -> str:
    """What only our own pages know; here it has leaked."""
    token = page.locator("body").get_attribute("data-token")
    assert token
    return token


@pytest.mark.parametrize("name", ["127.0.0.1", "localhost"])
def test_a_page_of_somebody_else_gets_nothing_done_even_with_a_token_that_leaked(
    company: Server, device: Device, elsewhere: Elsewhere, name: str
) -> None:
    company.start()
    page = device(DESK)
    log_in(page, company.address, READER, READERS_PASSPHRASE)
    elsewhere.page = HOSTILE.format(address=company.address, token=token_of(page))
    page.goto(f"http://{name}:{elsewhere.port}/")
    told = page.locator("#told")
    for each in ("no image.", "not read.", "not put."):
        expect(told).to_contain_text(each)
    page.evaluate("document.getElementById('f').submit()")
    expect(page.get_by_text("Another site asked for this")).to_be_visible()
    page.goto(company.address)
    expect(page.get_by_text(READER)).to_be_visible()


def test_a_name_that_is_made_to_point_here_reads_nothing(company: Server, playwright_here: Playwright) -> None:
    company.start()
    port = urlsplit(company.address).port
    # The browser is told that the name of somebody else is this computer, as a server of names can tell it.
    rules = "--host-resolver-rules=MAP evil.example 127.0.0.1"
    browser = playwright_here.chromium.launch(executable_path=CHROMIUM, args=[*FLAGS, rules])
    try:
        page = browser.new_page()
        answer = page.goto(f"http://evil.example:{port}/enter")
        assert answer is not None
        assert answer.status == 421
        expect(page.get_by_text("does not answer to that name")).to_be_visible()
        expect(page.get_by_label("Passphrase")).to_have_count(0)
    finally:
        browser.close()

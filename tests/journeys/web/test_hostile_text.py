"""In a real browser: whatever anybody typed, nothing of it runs, and no page asks anything of another place."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final
from urllib.parse import quote

import pytest
from playwright.sync_api import ConsoleMessage, Dialog, Page, Request, expect

from tests.delivery.acts.on_visit import PASSPHRASE
from tests.delivery.web.hostile import PAYLOADS, turned
from tests.delivery.web.hostile_world import BOILER, SIGNER, SITE, every_path, world
from tests.journeys.web.conftest import DESK, PHONE, Device, Shot, log_in
from tests.journeys.web.server import Server
from tests.journeys.web.states import OPEN_ALL, SHORT_PAUSE
from tests.journeys.web.typing_in import box, state
from tests.journeys.web.typing_in import field as field_of

pytestmark = pytest.mark.xdist_group("browser")

EXPECTED: Final = ("Failed to load resource",)
"""What a browser says of an answer that is a refusal."""
RAN: Final = """() => [...document.scripts].filter(each => !each.src.startsWith(location.origin + "/static/")).length
  + document.querySelectorAll("[onerror], [onload], [onmouseover], iframe, object, embed, base").length"""
UNSEEN: Final = "never seen before"


@dataclass
class Kept:
    """A server over a store in which every text is hostile."""

    server: Server
    boiler: str
    signed: str
    opened: str


@dataclass
class Watch:
    """Everything that a page does beside showing itself."""

    address: str
    offences: list[str] = field(default_factory=list)

    def on(self, page: Page) -> None:
        """Listen from now on."""
        page.on("dialog", self._asked)
        page.on("console", self._said)
        page.on("request", self._sent)
        page.on("pageerror", lambda error: self.offences.append(f"an error: {error}"))
        page.on("popup", lambda _: self.offences.append("another window"))

    def _asked(self, dialog: Dialog) -> None:
        self.offences.append(f"a dialog: {dialog.message}")
        dialog.dismiss()

    def _said(self, message: ConsoleMessage) -> None:
        if message.type in {"error", "warning"} and not message.text.startswith(EXPECTED):
            self.offences.append(f"it said: {message.text}")

    def _sent(self, request: Request) -> None:
        if not request.url.startswith((f"{self.address}/", "blob:")):
            self.offences.append(f"it asked {request.url}")


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Kept]:
    folder = tmp_path_factory.mktemp("hostile") / "kept"
    with world(folder, str) as made:
        boiler, (signed, opened) = made.boiler, made.visits
    server = Server(folder / "store.sqlite")
    server.start()
    yield Kept(server, boiler, signed, opened)
    server.kill()
    assert "Traceback" not in server.trouble, server.trouble


@pytest.mark.parametrize("viewport", [PHONE, pytest.param(DESK, marks=pytest.mark.soak)], ids=["360", "1280"])
def test_nothing_that_was_typed_runs_on_any_page(
    kept: Kept, device: Device, shot: Shot, viewport: dict[str, int]
) -> None:
    page, watch = device(viewport), Watch(kept.server.address)
    watch.on(page)
    log_in(page, kept.server.address, SIGNER, PASSPHRASE)
    hash_ = quote('"><img src=x onerror=alert(1)>')
    for place, says in {
        "/": BOILER,
        f"/?q={quote(PAYLOADS[0])}": "boilers hold",
        f"/boilers/{kept.boiler}/survey#{hash_}": SITE,
        f"/boilers/{kept.boiler}/settle?target={quote(PAYLOADS[1])}": SITE,
        f"/boilers/{kept.boiler}/visit?new": SITE,
        f"/visits/{kept.opened}#{hash_}": SITE,
        f"/visits/{kept.signed}": SITE,
        f"/boilers/{kept.boiler}/print?verify=yes": SITE,
        f"/boilers/{quote(PAYLOADS[0], safe='')}/survey": "Nothing here",
        "/boilers/new": "A new boiler",
    }.items():
        page.goto(kept.server.address + place)
        expect(page.locator("[data-fill]")).to_have_count(0)
        page.evaluate(OPEN_ALL)
        expect(page.locator("main")).to_contain_text(says)
        assert page.evaluate(RAN) == 0, place
        if place.startswith(f"/visits/{kept.opened}"):
            shot(page, "hostile-visit")
    assert watch.offences == []


def test_nothing_that_the_script_puts_into_a_page_runs(kept: Kept, device: Device) -> None:
    page, other, watch = device(PHONE), device(PHONE), Watch(kept.server.address)
    for each in (page, other):
        watch.on(each)
        log_in(each, kept.server.address, SIGNER, PASSPHRASE)
        each.goto(f"{kept.server.address}/visits/{kept.opened}#step-note")
        expect(each.locator("[data-fill]")).to_have_count(0)
        each.evaluate(OPEN_ALL)
        each.evaluate(SHORT_PAUSE)
    path = next(each for each in every_path() if each.startswith("note."))
    # One value for good, then two that were typed apart: each device has the button that takes the other's.
    box(page, path).fill(f"{turned(2)} {UNSEEN}")
    expect(state(page, path)).to_have_text("saved")
    expect(box(other, path)).to_have_value(f"{turned(2)} {UNSEEN}".replace("\r", ""))
    for each, text in ((page, PAYLOADS[0]), (other, PAYLOADS[1])):
        each.route("**/entries/*", lambda route: route.abort())
        box(each, path).fill(text)
        expect(state(each, path)).to_have_text("kept here")
        each.reload()
        expect(each.locator("[data-fill]")).to_have_count(0)
        each.evaluate(OPEN_ALL)
        expect(box(each, path)).to_have_value(text)
    for each in (page, other):
        each.unroute_all()
        each.evaluate("() => dispatchEvent(new Event('online'))")
    for each in (page, other):
        expect(state(each, path)).to_have_text("two values")
        expect(field_of(each, path).locator(".values")).to_contain_text(f"Take {PAYLOADS[0]}")
    field_of(page, path).get_by_role("button", name=f"Take {PAYLOADS[1]}").click()
    expect(state(page, path)).to_have_text("saved")
    # What a server says why, and what a step is told after a save, are texts too.
    page.route("**/entries/*", lambda route: route.fulfill(status=422, json={"why": PAYLOADS[1]}))
    page.evaluate(SHORT_PAUSE)
    box(page, path).fill(PAYLOADS[2])
    expect(state(page, path)).to_have_text("not taken")
    expect(field_of(page, path)).to_contain_text(PAYLOADS[1])
    assert page.evaluate(RAN) == 0
    assert other.evaluate(RAN) == 0
    assert watch.offences == []


@pytest.mark.parametrize("hash_", ["#%", "#%E0%A4%A", "#'", "#main", "#f-call.consent%00"])
def test_an_odd_place_on_a_page_keeps_it_from_nothing(kept: Kept, device: Device, hash_: str) -> None:
    page, watch = device(PHONE), Watch(kept.server.address)
    watch.on(page)
    log_in(page, kept.server.address, SIGNER, PASSPHRASE)
    with page.expect_response("**/drafts/*/fields*"):
        page.goto(f"{kept.server.address}/visits/{kept.opened}{hash_}")
    expect(page.locator("[data-fill]")).to_have_count(0)
    assert watch.offences == []


def test_the_watch_over_a_page_notices_what_runs(kept: Kept, device: Device) -> None:
    page, watch = device(PHONE), Watch(kept.server.address)
    watch.on(page)
    page.goto(f"{kept.server.address}/enter")
    page.evaluate("alert('seen')")
    page.evaluate(
        "() => document.body.insertAdjacentHTML('beforeend', '<img src=//evil.invalid/a.png onerror=alert(1)>')"
    )
    expect(page.locator("img")).to_have_count(1)
    assert page.evaluate(RAN) == 1
    assert any(each.startswith("a dialog: seen") for each in watch.offences)
    assert any("Content Security Policy" in each for each in watch.offences)

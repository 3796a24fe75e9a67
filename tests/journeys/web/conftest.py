"""A real browser in front of the real server; screenshots are kept for whoever wants to look."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect, sync_playwright

from tests.journeys.web.server import Server, command

CHROMIUM = os.environ.get("EVENFIRE_CHROMIUM", "/usr/bin/chromium")
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PATIENCE_MS = 20_000
"""How long a page may take on a machine that is busy with other tests [ms]"""
ARTIFACTS = Path(os.environ.get("EVENFIRE_ARTIFACTS", Path(__file__).parents[3] / "artifacts"))
PHONE, DESK = {"width": 360, "height": 740}, {"width": 1280, "height": 900}
QUILL, PASSPHRASE = "Ada Quill", "an old kiln burns slowly"
READER, READERS_PASSPHRASE = "Roy Ember", "only here to look at it"

Shot = Callable[[Page, str], None]
Device = Callable[..., Page]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """One journey at a time: a browser, a server and a person take a machine for themselves."""
    for item in items:
        if item.path.is_relative_to(Path(__file__).parent):
            item.add_marker(pytest.mark.xdist_group("browser"))


@pytest.fixture(scope="module")
def playwright_here() -> Iterator[Playwright]:
    """The library, for one module: it keeps a loop in this thread, and no other test could have one of its own."""
    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture(scope="module")
def chromium(playwright_here: Playwright) -> Iterator[Browser]:
    """One browser for all journeys of a module."""
    if not Path(CHROMIUM).exists():
        pytest.skip(f"no browser at {CHROMIUM}: name one in EVENFIRE_CHROMIUM")
    browser = playwright_here.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
    yield browser
    browser.close()


@pytest.fixture
def device(chromium: Browser) -> Iterator[Device]:
    """Gives a page on a device of its own: ``device(PHONE)`` or ``device(DESK, color_scheme="dark")``."""
    contexts: list[BrowserContext] = []

    def made(viewport: dict[str, int], *, color_scheme: str = "light") -> Page:
        context = chromium.new_context(
            viewport={"width": viewport["width"], "height": viewport["height"]},
            color_scheme="dark" if color_scheme == "dark" else "light",
            is_mobile=viewport == PHONE,
            has_touch=viewport == PHONE,
            user_agent="a browser of tests on a mobile" if viewport == PHONE else "a browser of tests",
        )
        context.set_default_timeout(PATIENCE_MS)
        contexts.append(context)
        return context.new_page()

    expect.set_options(timeout=PATIENCE_MS)
    yield made
    for context in contexts:
        context.close()


@pytest.fixture
def shot(request: pytest.FixtureRequest) -> Shot:
    """Keeps a picture of a page under the name of the test."""
    folder = ARTIFACTS / request.node.name.replace("[", "-").replace("]", "")

    def keep(page: Page, name: str) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        page.screenshot(path=folder / f"{name}.png", full_page=True)

    return keep


@pytest.fixture
def fresh(tmp_path: Path) -> Iterator[Server]:
    """A server over a store that nobody has used."""
    server = Server(tmp_path / "mine" / "store.sqlite")
    yield server
    server.kill()
    assert "Traceback" not in server.trouble, server.trouble


@pytest.fixture
def company(tmp_path: Path) -> Iterator[Server]:
    """A server over a store with one who may sign, one who may read, and a calibrated gauge."""
    store = tmp_path / "company" / "store.sqlite"
    command(store, "store", "person", QUILL, "--licence", "B-1204", passphrase=PASSPHRASE)
    command(store, "store", "person", READER, "--may", "read", passphrase=READERS_PASSPHRASE)
    scale = ("--from", "0 psi", "--to", "200 psi", "--division", "0.5 psi", "--accuracy", "0.1 %")
    command(store, "store", "gauge", "G-17", *scale)
    made = ("--on", "2026-09-14", "--uncertainty", "0.1 psi", "--certificate", "C-88", "--by", "a laboratory")
    command(store, "store", "calibration", "G-17", *made)
    server = Server(store)
    yield server
    server.kill()
    assert "Traceback" not in server.trouble, server.trouble


def log_in(page: Page, address: str, name: str = QUILL, passphrase: str = PASSPHRASE) -> None:
    """Log in as a person does."""
    page.goto(f"{address}/enter")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Passphrase").fill(passphrase)
    page.get_by_role("button", name="Log in").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Boilers")

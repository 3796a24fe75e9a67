"""Typing as a person does: a step opened, a box filled and left, a word pressed; and waiting until it says saved."""

from collections.abc import Mapping

from playwright.sync_api import Locator, Page, expect


def box(page: Page, path: str) -> Locator:
    """The control of a field."""
    return page.locator(f'[id="f-{path}"]')


def field(page: Page, path: str) -> Locator:
    """A field: label, control, state, reading."""
    return page.locator(".field").filter(has=box(page, path))


def state(page: Page, path: str) -> Locator:
    """What the page says of a field: kept here, saved, two values."""
    return field(page, path).locator(".state")


def open_step(page: Page, name: str) -> None:
    """Open a step of a visit, if it is not open."""
    step = page.locator(f"#step-{name}")
    if step.get_attribute("open") is None:
        step.locator("summary").first.click()
    expect(step).to_have_attribute("open", "")


def type_in(page: Page, path: str, text: str) -> None:
    """Type or press one text; the page may still say that it is kept here only."""
    control, words = box(page, path), field(page, path).locator(".pick [data-take]")
    if words.count():
        word = field(page, path).locator(f'.pick [data-take="{text}"]')
        if word.get_attribute("aria-pressed") != "true":
            word.click()
        return
    if control.evaluate("each => each.tagName") == "SELECT":
        control.select_option(text)
        return
    unit = field(page, path).locator("[data-free]")
    if unit.count() and not text.endswith(f" {unit.inner_text()}"):
        unit.click()
    control.fill(text)
    control.press("Tab")


def type_all(page: Page, texts: Mapping[str, str]) -> None:
    """Type several, and wait until each is on the disk of the server."""
    for path, text in texts.items():
        type_in(page, path, text)
    for path in texts:
        expect(state(page, path)).to_have_text("saved")

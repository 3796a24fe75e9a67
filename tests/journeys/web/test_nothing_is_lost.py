"""What was typed is never lost: reload, dead link, killed server, two tabs, two devices, logged out in between.

What was acknowledged is looked for in the file of the store, by its own driver and not through the program.
"""

import sqlite3
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.journeys.web.conftest import DESK, PHONE, READER, READERS_PASSPHRASE, Device, Shot, log_in
from tests.journeys.web.server import Server, command
from tests.journeys.web.typing_in import box, field, open_step, state, type_in

LAUNDRY = Path(__file__).parents[3] / "examples" / "laundry.toml"
KEPT_HERE = "Object.keys(localStorage).filter(key => key.startsWith('evenfire kept')).length"
REASON = "call.reason"
PUT_BY_HAND = """async (draft) => {
    const entry = {draft, path: 'call.reason', text: 'x', device: 'd', at: new Date().toISOString(), based_on: []};
    const headers = {'Content-Type': 'application/json', 'X-Evenfire-Token': document.body.dataset.token};
    const id = '0f4f5c1e-1111-4a11-8a11-123456789abc';
    return (await fetch(`/entries/${id}`, {method: 'PUT', body: JSON.stringify(entry), headers})).status;
}"""


@pytest.fixture
def visit(company: Server, tmp_path: Path) -> str:
    """The page of a visit that was opened at the command line."""
    sheet = str(tmp_path / "sheet.toml")
    command(company.store, "visit", "new", str(LAUNDRY), "--sheet", sheet, "--by", "Ada Quill")
    with sqlite3.connect(company.store) as connection:
        (draft,) = connection.execute("SELECT id FROM drafts").fetchone()
    return f"/visits/{draft}"


def held(server: Server, path: str) -> list[str]:
    """Every text that the store holds of one field, oldest first."""
    with sqlite3.connect(f"{server.store.as_uri()}?mode=ro", uri=True) as connection:
        rows = connection.execute("SELECT text FROM entries WHERE path = ? ORDER BY number", (path,)).fetchall()
    return [text for (text,) in rows]


def at(page: Page, server: Server, visit: str, step: str = "call") -> Page:
    """The visit on a page, with a step open."""
    page.goto(server.address + visit)
    open_step(page, step)
    return page


def test_half_a_word_survives_a_killed_server_and_a_reload_and_is_there_once(
    company: Server, device: Device, shot: Shot, visit: str
) -> None:
    company.start()
    page = device(PHONE)
    log_in(page, company.address)
    at(page, company, visit)
    control = box(page, REASON)
    control.press_sequentially("stops at ni")
    expect(state(page, REASON)).to_have_text("kept here")
    company.kill()
    control.press_sequentially("ght, ")
    control.press("Tab")
    expect(page.locator("#link-state")).to_contain_text("kept here")
    shot(page, "server-dead")
    company.start()
    page.reload()
    open_step(page, "call")
    expect(control).to_have_value("stops at night, ")
    control.focus()
    control.press("End")
    control.press_sequentially("twice a week")
    control.press("Tab")
    expect(state(page, REASON)).to_have_text("saved")
    assert held(company, REASON)[-1] == "stops at night, twice a week"
    # What is acknowledged is wiped from the browser.
    assert page.evaluate(KEPT_HERE) == 0
    page.reload()
    open_step(page, "call")
    expect(control).to_have_value("stops at night, twice a week")


@pytest.mark.parametrize("viewport", [PHONE, DESK], ids=["360", "1280"])
def test_fields_typed_without_a_link_are_kept_and_sent_when_it_is_back(
    company: Server, device: Device, shot: Shot, visit: str, viewport: dict[str, int]
) -> None:
    company.start()
    page = device(viewport)
    log_in(page, company.address)
    at(page, company, visit, "as_found")
    page.context.set_offline(True)
    texts = {"as_found.operating_limit": "120 psi", "as_found.high_limit": "140 psi", "as_found.switch": "automatic"}
    for path, text in texts.items():
        type_in(page, path, text)
        expect(state(page, path)).to_have_text("kept here")
    assert held(company, "as_found.high_limit") == []
    shot(page, "no-link")
    page.context.set_offline(False)
    for path, text in texts.items():
        expect(state(page, path)).to_have_text("saved")
        assert held(company, path) == [text]
    expect(page.locator("#link-state")).to_have_text("")
    assert page.evaluate(KEPT_HERE) == 0


def test_two_devices_see_each_other_and_two_values_are_settled_by_a_person(
    company: Server, device: Device, shot: Shot, visit: str
) -> None:
    company.start()
    phone, desk = device(PHONE), device(DESK)
    for page in (phone, desk):
        log_in(page, company.address)
        at(page, company, visit, "as_found")
    high = "as_found.high_limit"
    # One types, the other sees it without doing anything.
    type_in(phone, high, "140 psi")
    expect(state(phone, high)).to_have_text("saved")
    expect(box(desk, high)).to_have_value("140 psi")
    # Both correct it, one of them without a link.
    phone.context.set_offline(True)
    type_in(phone, high, "141 psi")
    expect(state(phone, high)).to_have_text("kept here")
    type_in(desk, high, "142 psi")
    expect(state(desk, high)).to_have_text("saved")
    phone.context.set_offline(False)
    expect(state(phone, high)).to_have_text("two values")
    expect(state(desk, high)).to_have_text("two values")
    expect(field(desk, high).locator(".values")).to_contain_text("141 psi")
    expect(field(desk, high).locator(".values")).to_contain_text("142 psi")
    expect(field(desk, high).locator(".values")).to_contain_text("phone")
    shot(desk, "two-values")
    field(desk, high).get_by_role("button", name="Take 141 psi").click()
    expect(state(desk, high)).to_have_text("saved")
    expect(state(phone, high)).to_have_text("saved")
    expect(box(phone, high)).to_have_value("141 psi")
    # Nothing that anybody typed is gone.
    assert held(company, high) == ["140 psi", "142 psi", "141 psi", "141 psi"]


def test_two_tabs_of_one_browser_type_into_one_field_and_nothing_is_lost(
    company: Server, device: Device, visit: str
) -> None:
    company.start()
    first = device(DESK)
    log_in(first, company.address)
    second = first.context.new_page()
    for page in (first, second):
        at(page, company, visit)
    first.context.set_offline(True)
    box(first, REASON).fill("stops at night")
    box(first, REASON).press("Tab")
    # The other tab of the same browser shows at once what is kept.
    expect(box(second, REASON)).to_have_value("stops at night")
    box(second, "call.consent").fill("plant manager")
    box(second, "call.consent").press("Tab")
    first.context.set_offline(False)
    for page in (first, second):
        page.bring_to_front()
        page.locator("h1").click()
        expect(state(page, REASON)).to_have_text("saved")
        expect(state(page, "call.consent")).to_have_text("saved")
    assert held(company, REASON) == ["stops at night"]
    assert held(company, "call.consent") == ["plant manager"]


def test_whoever_logs_out_with_unsent_fields_is_asked_and_may_keep_or_wipe_them(
    company: Server, device: Device, shot: Shot, visit: str
) -> None:
    company.start()
    page = device(PHONE)
    log_in(page, company.address)
    at(page, company, visit)
    box(page, REASON).fill("stops at night")
    company.kill()
    page.get_by_role("button", name="Log out").click()
    ask = page.get_by_role("dialog")
    expect(ask).to_contain_text("1 field that you typed did not reach the server")
    shot(page, "asked")
    ask.get_by_role("button", name="Stay and send").click()
    expect(ask).to_have_count(0)
    company.start()
    expect(state(page, REASON)).to_have_text("saved")
    # Nothing unsent: nobody is asked.
    page.get_by_role("button", name="Log out").click()
    expect(page.get_by_role("button", name="Log in")).to_be_visible()
    assert page.evaluate(KEPT_HERE) == 0
    assert held(company, REASON) == ["stops at night"]


def test_a_session_that_ended_keeps_what_is_typed_until_the_same_person_is_back(
    company: Server, device: Device, visit: str
) -> None:
    company.start()
    page = device(PHONE)
    log_in(page, company.address)
    at(page, company, visit)
    page.context.clear_cookies()
    type_in(page, REASON, "stops at night")
    expect(page.locator("#link-state")).to_contain_text("not logged in any more")
    log_in(page, company.address, READER, READERS_PASSPHRASE)
    # Another person on the same device sends nothing of it, and sees nothing of it.
    at(page, company, visit)
    expect(box(page, REASON)).to_have_value("")
    assert held(company, REASON) == []
    page.context.clear_cookies()
    log_in(page, company.address)
    at(page, company, visit)
    expect(state(page, REASON)).to_have_text("saved")
    assert held(company, REASON) == ["stops at night"]
    assert page.evaluate(KEPT_HERE) == 0


def test_a_reader_sees_everything_and_changes_nothing(company: Server, device: Device, shot: Shot, visit: str) -> None:
    company.start()
    page = device(DESK)
    log_in(page, company.address, READER, READERS_PASSPHRASE)
    at(page, company, visit)
    expect(box(page, REASON)).to_be_disabled()
    expect(page.get_by_role("button", name="Sign this visit")).to_have_count(0)
    shot(page, "reader")
    # By hand, with the token of a page of one's own, it is refused on the server too.
    answer = page.evaluate(PUT_BY_HAND, visit.rsplit("/", 1)[1])
    assert answer == 403
    assert held(company, REASON) == []

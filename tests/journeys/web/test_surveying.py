"""A boiler surveyed in a browser: typed, judged beside it, mended, taken; the link cut in the middle."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.journeys.web.conftest import DESK, PHONE, Device, Shot, log_in
from tests.journeys.web.server import Server

LEAST = {
    "part-nameplate": {
        "Maximum allowable working pressure (MAWP)": "150 psi",
        "Output at full fire": "200 bhp",
        "Water volume": "1450 gal",
    },
    "part-safety_valves": {"Set pressure": "150 psi", "Relieving capacity": "7500 lb/h"},
}


def typed(page: Page, part: str, label: str, text: str) -> None:
    """Type into the first field of that label of a part, and see that it is saved."""
    box = page.locator(f"#{part} .field").filter(has=page.get_by_label(re.compile(rf"^{re.escape(label)}"))).first
    box.get_by_role("textbox").fill(text)
    box.get_by_role("textbox").press("Tab")
    expect(box.locator(".state")).to_have_text("saved")


def opened(page: Page, part: str) -> None:
    """Open one part of the survey, once all of the page is there."""
    expect(page.locator("[data-fill]")).to_have_count(0)
    if page.locator(f"#{part}").get_attribute("open") is None:
        page.locator(f"#{part} > summary").click()


@pytest.mark.parametrize("viewport", [PHONE, DESK], ids=["phone", "desk"])
def test_a_boiler_is_surveyed_judged_while_typing_and_taken(
    viewport: dict[str, int], company: Server, device: Device, shot: Shot
) -> None:
    company.start()
    page = device(viewport)
    log_in(page, company.address)
    page.goto(f"{company.address}/boilers/new")
    page.get_by_label("Site").fill("Kiln Lane")
    page.get_by_label("Boiler", exact=False).last.fill("No. 1")
    page.get_by_role("button", name="Begin the survey").click()
    expect(page.locator(".verdict-line")).to_contain_text("2 to fill in first")
    expect(page.get_by_role("button", name="Take it as the survey")).to_be_disabled()
    opened(page, "part-nameplate")
    page.get_by_label("Kind of boiler").select_option("firetube")
    for part, fields in LEAST.items():
        opened(page, part)
        for label, text in fields.items():
            typed(page, part, label, text)
    expect(page.locator(".verdict-line")).to_contain_text("STOP")
    expect(page.locator("#found")).to_contain_text("high limit")
    opened(page, "part-load")
    typed(page, "part-load", "Lowest pressure needed", "hundred")
    expect(page.locator(".verdict-line")).to_contain_text("1 to mend")
    page.locator("#found").get_by_role("link", name="Lowest pressure needed").click()
    expect(page.get_by_label("Lowest pressure needed")).to_be_focused()
    typed(page, "part-load", "Lowest pressure needed", "7 bar")
    expect(page.locator("#part-load .reading", has_text="101.5 psi")).to_be_visible()
    expect(page.get_by_role("button", name="Take it as the survey")).to_be_enabled()
    shot(page, "typed")
    page.get_by_role("button", name="Take it as the survey").click()
    expect(page.get_by_role("status").filter(has_text="Taken as the newest survey")).to_be_visible()
    expect(page.get_by_role("button", name="Change this survey")).to_be_visible()
    shot(page, "taken")


def test_what_is_typed_while_the_server_is_dead_is_there_when_it_is_back(
    company: Server, device: Device, shot: Shot
) -> None:
    company.start()
    page = device(PHONE)
    log_in(page, company.address)
    page.goto(f"{company.address}/boilers/new")
    page.get_by_role("button", name="Gull Quay Laundry, No. 1").click()
    page.get_by_role("button", name="Change this survey").click()
    opened(page, "part-load")
    company.kill()
    # Another part than the one that came with the page: without a link every field is there.
    wish = page.get_by_label("Highest pressure wanted")
    box = page.locator("#part-load .field").filter(has=wish)
    wish.fill("128 psi")
    wish.press("Tab")
    expect(box.locator(".state")).to_have_text("kept here")
    expect(page.locator("#link-state")).to_contain_text("No answer from the server")
    shot(page, "cut")
    company.start()
    expect(box.locator(".state")).to_have_text("saved")
    expect(page.locator("#found")).to_contain_text("The operating limit may cut out")
    page.reload()
    opened(page, "part-load")
    expect(page.get_by_label("Highest pressure wanted")).to_have_value("128 psi")


def test_a_survey_is_not_taken_over_the_head_of_what_was_typed_last(company: Server, device: Device) -> None:
    company.start()
    page = device(PHONE)
    log_in(page, company.address)
    page.goto(f"{company.address}/boilers/new")
    page.get_by_role("button", name="Gull Quay Laundry, No. 1").click()
    page.get_by_role("button", name="Change this survey").click()
    opened(page, "part-load")
    typed(page, "part-load", "Highest pressure wanted", "131 psi")
    page.route("**/entries/*", lambda route: route.abort())
    page.get_by_label("Highest pressure wanted").fill("127 psi")
    take = page.get_by_role("button", name="Take it as the survey")
    take.click()
    expect(page.locator("#link-state")).to_contain_text("Not sent")
    expect(take).to_be_visible()
    page.unroute("**/entries/*")
    take.click()
    box = page.locator("#part-load .field").filter(has=page.get_by_label("Highest pressure wanted"))
    expect(box.locator(".state")).to_have_text("saved")
    expect(take).to_be_visible()
    take.click()
    expect(page.get_by_role("status").filter(has_text="Taken as the newest survey")).to_be_visible()
    page.locator("#part-load > summary").click()
    expect(page.locator("#part-load")).to_contain_text("127 psi")


def test_what_a_survey_did_not_take_any_more_is_read_and_let_go_on_another_page(
    company: Server, device: Device
) -> None:
    company.start()
    page, desk = device(PHONE), device(DESK)
    for each in (page, desk):
        log_in(each, company.address)
    page.goto(f"{company.address}/boilers/new")
    page.get_by_role("button", name="Gull Quay Laundry, No. 1").click()
    page.get_by_role("button", name="Change this survey").click()
    opened(page, "part-load")
    page.route("**/entries/*", lambda route: route.abort())
    page.get_by_label("Highest pressure wanted").fill("127 psi")
    page.get_by_label("Highest pressure wanted").press("Tab")
    desk.goto(page.url.split("#")[0])
    desk.get_by_role("button", name="Take it as the survey").click()
    expect(desk.get_by_role("button", name="Change this survey")).to_be_visible()
    page.unroute("**/entries/*")
    page.goto(f"{company.address}/")
    told = page.locator("#link-state")
    expect(told).to_contain_text('Not taken: "127 psi". This survey is finished')
    told.get_by_role("button", name="let go of it").click()
    expect(told).to_be_empty()
    page.reload()
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    expect(told).to_be_empty()

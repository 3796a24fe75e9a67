"""Every page in every state that somebody may meet it in: how a browser is brought there."""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final
from uuid import uuid4

from playwright.sync_api import FilePayload, Page, Route, expect

from evenfire.delivery.acts import people, surveying
from evenfire.delivery.acts.visiting import at_visit
from evenfire.delivery.records import surveys
from evenfire.delivery.records.entries import record
from evenfire.delivery.records.registers import May, boilers_of, find_person
from evenfire.delivery.visits.entry import Entry
from tests.delivery.acts.on_visit import (
    CHANGE,
    FOUND,
    LAUNDRY,
    PASSPHRASE,
    QUILL,
    WHOLE,
    Call,
    Clock,
    new_store,
    opened,
)
from tests.journeys.web.typing_in import box, state

SIGNED_SITE, SURVEY_SITE = "Weir Lane Dye Works", "Stack Hill Dairy"
SETTLED: Final = 120_000
"""The first proofs after a start, on a machine that does something else [ms]"""
OPEN_ALL: Final = """() => { for (const each of document.querySelectorAll("main details")) each.open = true; }"""
SHORT_PAUSE: Final = (
    """() => { for (const each of document.querySelectorAll("[data-pause]")) each.dataset.pause = 1; }"""
)
NO_PLANT: Final[FilePayload] = {"name": "mine.toml", "mimeType": "text/plain", "buffer": b"mawp = 150 psi"}


@dataclass(frozen=True, kw_only=True)
class Places:
    """What a store holds for them."""

    store: Path
    visit: str
    """Open, with a temporary change that stands open and two values in two fields"""
    boiler: str
    """Of that visit"""
    signed: str
    signed_boiler: str
    surveyed: str
    """A boiler with an open survey draft, and no visit"""
    reader: str
    """Somebody with a login who may only read"""
    address: str = ""

    def at(self, address: str) -> "Places":
        """The same, behind a server."""
        return replace(self, address=address)


def places(folder: Path) -> Places:
    """A store with a boiler in each state."""
    place = folder / "store.sqlite"
    with new_store(place, Clock()) as store:
        signed = Call(store, folder, opened(store, folder, LAUNDRY.replace("Gull Quay Laundry", SIGNED_SITE)))
        signed.enter(FOUND)
        signed.settled()
        signed.enter({**FOUND, **WHOLE})
        signed.signed()
        text = LAUNDRY.replace("Gull Quay Laundry", SURVEY_SITE).replace('"140 psi"', '"155 psi"')
        surveys.take(store, text.encode(), "plant.toml")
        call = Call(store, folder, opened(store, folder))
        call.enter(FOUND)
        call.settled()
        still_open = {key: each for key, each in CHANGE.items() if not re.search("closed|verified", key)}
        whole = {key: each for key, each in WHOLE.items() if not key.startswith(("temporary", "as_left"))}
        call.enter({**FOUND, **whole, **still_open})
        at, by = at_visit(store, call.visit), find_person(store, QUILL)
        surveyed = next(each for each in boilers_of(store) if each.site.name == SURVEY_SITE)
        draft = surveying.open_survey(store, surveyed, by).id
        # Typed on another device that had not seen what stood there.
        apart = [(call.visit, "as_found.high_limit", "138 psi"), (call.visit, "as_found.switch", "manual")]
        wrong = [(draft, "load.need", "hundred"), (draft, "boiler.as_found.high_limit", "152 psi")]
        for draft_of, path, said in (*apart, *wrong):
            entry = Entry(
                id=str(uuid4()),
                draft=draft_of,
                path=path,
                text=said,
                author=by.id,
                device="phone 3f2a",
                at=store.clock(),
                based_on=(),
            )
            record(store, entry)
        return Places(
            store=place,
            visit=call.visit,
            boiler=at.boiler.id,
            signed=signed.visit,
            signed_boiler=at_visit(store, signed.visit).boiler.id,
            surveyed=surveyed.id,
            reader=people.add(store, "Ida Glass", "", May.READ, PASSPHRASE).person.name,
        )


State = Callable[[Page, Places], None]


def shown(path: str, *, all_open: bool = True) -> State:
    """A page as it comes, with everything open that can be opened."""

    def go(page: Page, here: Places) -> None:
        page.goto(here.address + path.format(**vars(here)))
        expect(page.locator("h1")).to_have_count(1)
        expect(page.locator("[data-fill]")).to_have_count(0)
        if all_open:
            page.evaluate(OPEN_ALL)

    return go


def refused_file(page: Page, here: Places) -> None:
    """A plant file that is none."""
    shown("/boilers/new")(page, here)
    page.get_by_label("Plant file").set_input_files(files=[NO_PLANT])
    page.get_by_role("button", name="Show what it says").click()
    expect(page.locator("#refusal")).to_be_visible()


def differences(page: Page, here: Places) -> None:
    """What a plant file would change."""
    text = LAUNDRY.replace('"130 psi"', '"128 psi"').encode()
    file: FilePayload = {"name": "a.toml", "mimeType": "text/plain", "buffer": text}
    shown("/boilers/new")(page, here)
    page.get_by_label("Plant file").set_input_files(files=[file])
    page.get_by_role("button", name="Show what it says").click()
    expect(page.get_by_role("table")).to_be_visible()


def under_way(page: Page, here: Places) -> None:
    """Settling, as long as the script is told that it goes on."""
    told = {"done": 3, "total": 9, "what": "High limit alone", "state": "running", "ended": False}
    page.route("**/progress/*", lambda route: route.fulfill(json=told))
    shown("/boilers/{signed_boiler}/settle?target=112+psi")(page, here)
    page.locator("#ask button").first.click()
    expect(page.locator("[data-work]")).to_be_visible()
    # The style of the new page has come: without it every target is small.
    expect(page.get_by_role("button", name="Log out")).to_have_css("min-height", "48px")


def settled(boiler: str, target: str, verdict: str) -> State:
    """The answer to a target."""

    def go(page: Page, here: Places) -> None:
        shown(f"/boilers/{{{boiler}}}/settle?target={target}")(page, here)
        if page.locator("#answer").count() == 0:
            page.locator("#ask button").first.click()
        expect(page.locator("#answer")).to_contain_text(verdict, timeout=SETTLED)
        page.evaluate(OPEN_ALL)

    return go


def every_step(page: Page, here: Places) -> None:
    """A visit with all of it open: a temporary change that stands open, two values in two fields, two trip tests."""
    shown("/visits/{visit}")(page, here)
    expect(page.locator("main .values")).to_have_count(2)
    expect(page.locator(".stands-open:visible").first).to_be_visible()


def trip_test(page: Page, here: Places) -> None:
    """One test open, with where it is broken off in sight."""
    shown("/visits/{visit}#trip-1", all_open=False)(page, here)
    expect(page.locator("#trip-1 .opened-now").first).to_be_visible()


def _typed(page: Page, here: Places, answer: Callable[[Route], None], says: str) -> None:
    page.route("**/entries/*", answer)
    shown("/visits/{visit}#step-call", all_open=False)(page, here)
    page.evaluate(SHORT_PAUSE)
    box(page, "call.consent").fill("the plant engineer")
    expect(state(page, "call.consent")).to_have_text(says)


def not_taken(page: Page, here: Places) -> None:
    """What the server does not take."""
    _typed(page, here, lambda route: route.fulfill(status=422, json={"why": "it is no text of ours"}), "not taken")


def kept_here(page: Page, here: Places) -> None:
    """The link is dead."""
    _typed(page, here, lambda route: route.abort(), "kept here")
    expect(page.locator("#link-state")).to_contain_text("No answer from the server")


def leaving(page: Page, here: Places) -> None:
    """Logging out with something unsent asks first."""
    kept_here(page, here)
    page.get_by_role("button", name="Log out").click()
    expect(page.get_by_role("dialog")).to_be_visible()


def ready(page: Page, here: Places) -> None:
    """A paper that was made."""
    shown("/boilers/{signed_boiler}/print")(page, here)
    page.get_by_role("button", name="Settings sheet").first.click()
    expect(page.get_by_role("link", name=re.compile("^Save "))).to_be_visible(timeout=SETTLED)
    page.evaluate(OPEN_ALL)


STATES: Final[dict[str, State]] = {
    "boilers": shown("/"),
    "a search that finds nothing": shown("/?q=nowhere"),
    "no such page": shown("/no-such-page"),
    "a new boiler": shown("/boilers/new"),
    "a plant file refused": refused_file,
    "what a plant file changes": differences,
    "a survey that is closed": shown("/boilers/{signed_boiler}/survey"),
    "a survey that is open": shown("/boilers/{surveyed}/survey"),
    "a survey with one more row": shown("/boilers/{surveyed}/survey?more=boiler.safety_valve"),
    "before a settle": shown("/boilers/{surveyed}/settle"),
    "a settle under way": under_way,
    "settled": settled("signed_boiler", "", "SETTLED"),
    "nothing fits": settled("signed_boiler", "148+psi", "NOTHING"),
    "a target refused": shown("/boilers/{surveyed}/settle?target=cold"),
    "another visit": shown("/boilers/{boiler}/visit?new"),
    "no visit open": shown("/boilers/{signed_boiler}/visit"),
    "a visit with every step open": every_step,
    "a trip test": trip_test,
    "a field not taken": not_taken,
    "a field kept here": kept_here,
    "leaving with something unsent": leaving,
    "a signed visit": shown("/visits/{signed}"),
    "papers": shown("/boilers/{signed_boiler}/print?verify=yes"),
    "papers of an open visit": shown("/boilers/{boiler}/print"),
    "a paper that is ready": ready,
}

READERS_STATES: Final[dict[str, State]] = {
    "a reader at a visit": shown("/visits/{visit}"),
    "a reader at a survey": shown("/boilers/{surveyed}/survey"),
    "a reader before a settle": shown("/boilers/{surveyed}/settle"),
    "a reader at no visit": shown("/boilers/{signed_boiler}/visit"),
    "a reader where boilers are added": shown("/boilers/new"),
}
"""What somebody sees who may change nothing."""

"""The first page over HTTP: every boiler, the worst first, what stands open, a search, pictures that run nothing."""

import gzip
import html
import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from uuid import uuid4
from xml.etree import ElementTree as ET

import pytest
from sqlalchemy import Engine, event
from starlette.testclient import TestClient

from evenfire.delivery.acts.boiler_now import Whence, boiler_now
from evenfire.delivery.acts.boilers import ON_A_PAGE, boiler_list
from evenfire.delivery.acts.checking import check
from evenfire.delivery.acts.demo import demo_plants
from evenfire.delivery.acts.due import due_list
from evenfire.delivery.acts.handing_on import export, take_in
from evenfire.delivery.records import registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import May
from evenfire.delivery.report.due_answer import Urgency
from evenfire.delivery.report.outcome_text import findings_of
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.web.application import application
from evenfire.delivery.web.rendering import static_content
from evenfire.delivery.words import say
from tests.delivery.acts.on_visit import (
    CHANGE,
    DAY,
    FOUND,
    LAUNDRY,
    READER,
    WHOLE,
    Call,
    Clock,
    copy_of,
    new_store,
    opened,
)
from tests.delivery.web.conftest import TOKEN, Asking, Known

US, SI = UnitSystem.US, UnitSystem.SI
HOSTILE = "\\\"'><script>alert(1)</script>{{ 7*7 }}<img src=x onerror=alert(2)>"
MOST_OF_A_PAGE = 20_000
"""HTML, style sheet and script, pressed [bytes]; so that it is usable on a slow link within a second"""
OPEN_CHANGE = {key: text for key, text in CHANGE.items() if "clos" not in key and "verif" not in key}
ABOVE_VALVE = LAUNDRY.replace('high_limit = "140 psi"', 'high_limit = "155 psi"')


def at_site(site: str, text: str = LAUNDRY) -> str:
    return text.replace('"Gull Quay Laundry"', f'"{site}"')


def take(store: Store, *sites: str) -> None:
    for site in sites:
        surveys.take(store, at_site(site).encode(), "plant.toml")


def shown(answer: str) -> list[str]:
    """Sites in the order of the page."""
    found = re.findall(r'<h2><a href="/boilers/[0-9a-f-]+">(.*?)<strong>', answer, re.DOTALL)
    return [html.unescape(each) for each in found]


def card(answer: str, site: str) -> str:
    """The words of one boiler."""
    cards = re.findall(r'<li class="sheet boiler.*?</li>', answer, re.DOTALL)
    found = next(each for each in cards if site in html.unescape(each))
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", found)).split())


@pytest.fixture
def reader(kept: Store, asking: Asking) -> TestClient:  # noqa: ARG001 - the store is the one that is asked
    return asking(May.READ)


@pytest.fixture(scope="module")
def _stages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A store with a visit that stands open with a temporary change, and one that was signed."""
    folder = tmp_path_factory.mktemp("boilers")
    place, made = folder / "now" / "store.sqlite", {}
    store = new_store(place)
    call = Call(store, folder, opened(store, folder))

    def signed() -> None:
        call.settled()
        call.enter({**FOUND, **WHOLE})
        call.signed()

    for name, does in (("open", lambda: call.enter({**FOUND, **OPEN_CHANGE})), ("signed", signed)):
        does()
        store.close()
        with copy_of(place, folder / name, Clock()) as kept:
            made[name] = Path(kept.place)
    return made


@pytest.fixture
def stood_open(_stages: dict[str, Path], tmp_path: Path) -> Iterator[Store]:
    with copy_of(_stages["open"], tmp_path / "open", Clock()) as store:
        yield store


@pytest.fixture
def signed(_stages: dict[str, Path], tmp_path: Path) -> Iterator[Store]:
    with copy_of(_stages["signed"], tmp_path / "signed", Clock(DAY + timedelta(hours=1))) as store:
        yield store


def test_an_empty_store_shows_two_ways_to_begin_to_those_who_may_write(asking: Asking) -> None:
    writer = asking(May.WRITE)
    empty = writer.get("/").text
    assert "Survey a boiler" in empty
    assert "Take in the demo" in empty
    places = re.findall(r'href="(/boilers/new[^"]*)"', empty)
    assert [place.partition("#")[2] for place in places] == ["", "demo"]
    demos = writer.get("/boilers/new").text.partition('id="demo"')[2].partition("</section>")[0]
    assert demos.count("<form") == len(demo_plants())
    told = re.sub(r"<[^>]*>", " ", demos)
    assert ".toml" not in told
    # Two of them are surveys of one boiler, and look the same by their names.
    assert told.count("There are two surveys of this boiler") == 2
    assert "/boilers/new" not in asking(May.READ).get("/").text


def test_a_boiler_is_told_by_the_worst_finding_of_check_with_its_number(
    kept: Store, reader: TestClient, tmp_path: Path
) -> None:
    # The same words as the command line has for the same plant file.
    path = tmp_path / "plant.toml"
    path.write_text(ABOVE_VALVE, encoding="utf-8")
    take_text = ABOVE_VALVE.encode()
    surveys.take(kept, take_text, "plant.toml")
    for system, unit in ((US, "us"), (SI, "si")):
        worst = findings_of(check(path).boilers[0].outcomes)[0]
        said = say(worst, Page(10_000, system).show)
        reader.cookies.set("evenfire_units", unit)
        told = card(reader.get("/").text, "Gull Quay Laundry")
        assert f"STOP {said.what} {said.do}" in told
    assert "bar" in told
    assert "psi" not in told


def test_the_worst_boiler_stands_first_where_all_of_them_fit_on_a_page(kept: Store, reader: TestClient) -> None:
    take(kept, "A laundry")
    surveys.take(kept, at_site("Z laundry", ABOVE_VALVE).encode(), "plant.toml")
    take(kept, "B laundry")
    answer = reader.get("/").text
    assert shown(answer) == ["Z laundry", "A laundry", "B laundry"]
    assert "Worst first" in answer


def test_an_open_temporary_change_is_told_first_and_red_before_a_stop_finding(stood_open: Store) -> None:
    surveys.take(stood_open, at_site("Above its valve", ABOVE_VALVE).encode(), "plant.toml")
    found = boiler_list(stood_open, "", 1, US)
    assert [row.kept.site.name for row in found.rows] == ["Gull Quay Laundry", "Above its valve"]
    first, second = found.rows
    assert first.is_pressing
    assert not second.is_pressing
    (visit,) = first.opened
    (change,) = visit.changes
    assert "operating limit up from 128.5 to 145 psi" in change.text
    assert "Ada Quill" in visit.line
    assert "read on the open visit" in first.setting.judged


def test_a_visit_that_was_given_up_or_signed_stands_open_no_more(
    stood_open: Store, signed: Store, tmp_path: Path
) -> None:
    (kept,) = registers.boilers_of(stood_open)
    (row,) = boiler_list(stood_open, "", 1, US).rows
    Call(stood_open, tmp_path, row.opened[0].id).enter({"call.given_up": "the wrong boiler"})
    (given_up,) = boiler_list(stood_open, "", 1, US).rows
    assert given_up.opened == ()
    now = boiler_now(stood_open, kept)
    assert now is not None
    assert now.whence is Whence.SURVEY
    (row,) = boiler_list(signed, "", 1, US).rows
    assert row.opened == ()


def test_after_a_signature_a_boiler_is_judged_as_it_was_left_and_its_last_visit_named(signed: Store) -> None:
    (row,) = boiler_list(signed, "", 1, US).rows
    assert row.setting.judged.startswith("Judged as left 2026-11-25, by the last signed visit")
    assert row.calendar.last_visit.startswith("2026-11-25, Ada Quill, record ")
    # The dials as left on that visit, 0.2 psi less for half a foot of water.
    assert "high limit trip 139.7" in row.setting.picture


def test_a_survey_taken_after_the_visit_tells_again(signed: Store) -> None:
    take(signed, "Gull Quay Laundry")
    changed = LAUNDRY.replace('high_limit = "140 psi"', 'high_limit = "138 psi"')
    surveys.take(signed, changed.encode(), "plant.toml")
    (row,) = boiler_list(signed, "", 1, US).rows
    assert "by the survey" in row.setting.judged


def test_a_record_signed_by_a_key_that_nobody_here_knows_makes_no_boiler_look_well(
    signed: Store, kept: Store, tmp_path: Path
) -> None:
    (boiler,) = registers.boilers_of(signed)
    file = tmp_path / "records.evenfire"
    export(signed, boiler.id, file)
    surveys.take(kept, ABOVE_VALVE.encode(), "plant.toml")
    assert take_in(kept, file).is_taken
    (row,) = boiler_list(kept, "", 1, US).rows
    assert row.setting.lines[0].word == "STOP"
    assert "by the survey" in row.setting.judged
    assert "not known here" in row.calendar.last_visit


def test_what_is_due_next_is_the_first_of_the_due_list(signed: Store) -> None:
    (boiler,) = registers.boilers_of(signed)
    (row,) = boiler_list(signed, "", 1, US).rows
    first = due_list(signed, boiler.id, rounds=False).rows[0]
    assert row.calendar.due is not None
    assert first.urgency is Urgency.NEVER_RECORDED
    assert row.calendar.due.word == "NEVER RECORDED HERE"
    assert row.calendar.due.text.startswith(first.item)


def test_a_search_finds_every_word_in_site_name_serial_and_registration(kept: Store, reader: TestClient) -> None:
    take(kept, "Heron Dye Works", "Old Ropewalk", "Bäckerei Süd")
    site = registers.find_site(kept, "Old Ropewalk")
    registers.add_boiler(kept, site.id, "Second", serial="SN-4711", registration="R 99/1")
    for asked, sites in (
        ("heron", ["Heron Dye Works"]),
        ("WORKS dye", ["Heron Dye Works"]),
        ("4711", ["Old Ropewalk"]),
        ("r 99/1", ["Old Ropewalk"]),
        ("BÄCKEREI", ["Bäckerei Süd"]),
        ("ropewalk no. 1", ["Old Ropewalk"]),
        ("heron ropewalk", []),
        ("%", []),
        ("_", []),
    ):
        assert shown(reader.get("/", params={"q": asked}).text) == sites, asked


def test_a_boiler_without_a_survey_is_not_judged_and_says_so(kept: Store, reader: TestClient) -> None:
    site = registers.add_site(kept, "Nowhere Mill")
    registers.add_boiler(kept, site.id, "B 1")
    told = card(reader.get("/").text, "Nowhere Mill")
    assert "NOT JUDGED No survey of it is here" in told
    assert "CLEAR" not in told


def test_a_store_with_many_boilers_is_paged_and_each_stands_on_one_page(kept: Store, reader: TestClient) -> None:
    sites = [f"Site {number:02d}" for number in range(2 * ON_A_PAGE + 3)]
    take(kept, *sites)
    seen = []
    for number in (1, 2, 3):
        answer = reader.get("/", params={"page": number}).text
        seen += shown(answer)
        assert f"Page {number} of 3" in answer
        assert "Worst first" not in answer
    assert seen == sites
    assert shown(reader.get("/", params={"page": 99}).text) == sites[-3:]
    assert reader.get("/", params={"page": 0}).status_code == 422


def statements(store: Store) -> int:
    """How often a list asks the store."""
    asked: list[str] = []

    def count(*told: object) -> None:
        asked.append(str(told[2]))

    event.listen(Engine, "before_cursor_execute", count)
    try:
        boiler_list(store, "", 1, US)
    finally:
        event.remove(Engine, "before_cursor_execute", count)
    return len(asked)


def test_a_list_that_was_worked_out_once_asks_the_store_no_more_for_more_boilers(kept: Store) -> None:
    take(kept, "Site 0")
    statements(kept)
    for_one = statements(kept)
    take(kept, *(f"Site {number}" for number in range(1, 12)))
    worked_out = statements(kept)
    assert statements(kept) == for_one < worked_out


def test_names_that_would_be_obeyed_are_shown_as_they_are(kept: Store, reader: TestClient) -> None:
    surveys.take(kept, at_site(HOSTILE).encode(), "plant.toml")
    name = registers.boilers_of(kept)[0].site.name
    for asked in ("", name):
        answer = reader.get("/", params={"q": asked})
        assert "<script>alert" not in answer.text
        assert "<img src=x" not in answer.text
        assert "49" not in card(answer.text, "alert(1)")
        assert shown(answer.text) == [name]


def test_a_picture_says_its_levels_in_words_runs_nothing_and_is_kept_by_the_browser(
    kept: Store, reader: TestClient
) -> None:
    take(kept, "Heron Dye Works")
    answer = reader.get("/").text
    found = re.search(r'<img src="(/boilers/[0-9a-f-]+/small-stack\.svg\?v=\w+)" alt="([^"]+)"', answer)
    assert found is not None
    assert "safety valve set 150" in found[2]
    drawn = reader.get(found[1])
    assert drawn.headers["content-type"] == "image/svg+xml"
    assert drawn.headers["x-content-type-options"] == "nosniff"
    assert "immutable" in drawn.headers["cache-control"]
    policy = drawn.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "script" not in policy
    assert ET.fromstring(drawn.text).tag.endswith("svg")
    # Another reading has another address, so that no browser shows the old picture.
    surveys.take(kept, at_site("Heron Dye Works", ABOVE_VALVE).encode(), "plant.toml")
    assert found[1] not in reader.get("/").text


def test_the_large_stack_shows_the_open_visit_and_refuses_widths_that_nobody_draws(
    kept: Store, reader: TestClient
) -> None:
    take(kept, "Heron Dye Works")
    boiler = registers.boilers_of(kept)[0].id
    drawn = reader.get(f"/boilers/{boiler}/stack.svg", params={"width": 720})
    assert drawn.status_code == 200
    assert float(ET.fromstring(drawn.text).attrib["width"]) == 720
    assert "default-src 'none'" in drawn.headers["content-security-policy"]
    for width in (10, 10**9, "nan"):
        assert reader.get(f"/boilers/{boiler}/stack.svg", params={"width": width}).status_code == 422
    assert reader.get(f"/boilers/{uuid4()}/stack.svg").status_code == 404


def test_the_way_to_a_boiler_leads_to_its_survey_and_to_a_visit_while_one_is_open(
    stood_open: Store, kept: Store, reader: TestClient
) -> None:
    take(kept, "Heron Dye Works")
    boiler = registers.boilers_of(kept)[0].id
    assert reader.get(f"/boilers/{boiler}").headers["location"] == f"/boilers/{boiler}/survey"
    assert reader.get(f"/boilers/{uuid4()}").status_code == 404
    (row,) = boiler_list(stood_open, "", 1, US).rows
    let_in = Known(application(stood_open), registers.find_person(stood_open, READER))
    with TestClient(let_in, follow_redirects=False) as client:
        assert client.get(f"/boilers/{row.kept.id}").headers["location"] == f"/visits/{row.opened[0].id}"
        told = card(client.get("/").text, "Gull Quay Laundry")
    assert told.index("Temporary change open: operating limit up from 128.5") < told.index("WARN")


def test_units_and_paper_are_kept_on_the_device_and_the_way_back_stays_on_this_server(
    kept: Store, reader: TestClient
) -> None:
    take(kept, "Heron Dye Works")
    for back, to in (
        ("/?q=heron", "/?q=heron"),
        ("//elsewhere.example/", "/"),
        ("/\\elsewhere.example/", "/"),
        ("https://elsewhere.example/", "/"),
        ("javascript:alert(1)", "/"),
        ("/\r\nSet-Cookie: a=b", "/"),
        ("/\x00", "/"),
    ):
        answer = reader.post("/units", data={"token": TOKEN, "units": "si", "back": back})
        assert (answer.status_code, answer.headers["location"]) == (303, to), back
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert "bar" in card(reader.get("/").text, "Heron Dye Works")
    assert reader.post("/units", data={"token": TOKEN, "units": "furlong"}).status_code == 422
    del reader.headers["X-Evenfire-Token"]
    assert reader.post("/units", data={"units": "us"}).status_code == 403


@pytest.mark.parametrize("path", ["/", "/boilers/{id}", "/boilers/{id}/stack.svg", "/boilers/{id}/small-stack.svg"])
def test_nobody_sees_a_boiler_without_a_login(kept: Store, asking: Asking, path: str) -> None:
    take(kept, "Heron Dye Works")
    answer = asking(None).get(path.format(id=registers.boilers_of(kept)[0].id), headers={"Accept": "text/html"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/enter")
    told = asking(None).get(path.format(id=registers.boilers_of(kept)[0].id), headers={"Accept": "application/json"})
    assert told.status_code == 401


def test_a_full_page_with_style_and_script_is_small_enough_for_a_slow_link(kept: Store, reader: TestClient) -> None:
    take(kept, *(f"A site with a long name, number {number}" for number in range(ON_A_PAGE)))
    pressed = sum(
        len(gzip.compress(each))
        for each in (reader.get("/").content, static_content("evenfire.css"), static_content("evenfire.js"))
    )
    assert pressed < MOST_OF_A_PAGE

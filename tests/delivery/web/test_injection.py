"""A text is a text, whoever typed it, in whatever field, on every page, drawing, paper and file that shows it.

What is tried: script, template, path, header and formula injection, as the usual collections of them have it (common
practice, no source). Every field of a visit and of a survey is filled, from the lists of fields themselves.
"""

import csv
import io
import json
import os
import re
from collections.abc import Iterator
from typing import Final
from urllib.parse import quote, unquote

import pytest
from httpx2 import Response
from icalendar import Calendar

from evenfire.delivery.acts.due import due_list
from evenfire.delivery.papers.content import PaperSize
from evenfire.delivery.papers.due_content import due_content
from evenfire.delivery.papers.printing import printed
from evenfire.delivery.records import surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind, drafts_of
from evenfire.delivery.records.registers import May, boilers_of
from evenfire.delivery.report.due_csv import due_csv
from evenfire.delivery.report.due_ical import due_ical
from evenfire.delivery.web.pages.attachments import disposition
from tests.delivery.acts.on_visit import LAUNDRY
from tests.delivery.papers.pages import text_of
from tests.delivery.web.conftest import TOKEN, Asking
from tests.delivery.web.hostile import (
    EVALUATED,
    LONGEST,
    PAYLOADS,
    REFUSED,
    Page,
    offences_of_drawing,
    own_place,
    turned,
    twin,
)
from tests.delivery.web.hostile_world import (
    AT,
    BOILER,
    FILE,
    GAUGE,
    SIGNER,
    SITE,
    World,
    every_path,
    every_survey_path,
    world,
)

pytestmark = pytest.mark.xdist_group("injection")

IN_ADDRESSES: Final = PAYLOADS if os.environ.get("EVENFIRE_SOAK") == "1" else PAYLOADS[::5]
PAGES: Final = (
    "/",
    "/?q={payload}%20nowhere",
    "/boilers/new",
    "/boilers/{boiler}/survey",
    "/boilers/{boiler}/survey?part=controls&more={payload}&done={payload}",
    "/boilers/{boiler}/survey/fields",
    "/boilers/{boiler}/survey/judgement",
    "/boilers/{boiler}/settle",
    "/boilers/{boiler}/visit?new",
    "/boilers/{boiler}/print",
    "/boilers/{boiler}/print?verify=yes&work={payload}",
    "/visits/{signed}",
    "/visits/{signed}/judgement",
    "/visits/{open}",
    "/visits/{open}/steps",
    "/visits/{open}/judgement",
    "/boilers/{payload}/survey",
    "/boilers/{payload}/visit",
    "/visits/{payload}",
    "/attachments/{payload}",
    "/{payload}",
)
DRAWINGS: Final = (
    "/boilers/{boiler}/stack.svg",
    "/boilers/{boiler}/small-stack.svg",
    "/boilers/{boiler}/survey/stack.svg",
    "/boilers/{boiler}/settle/stack.svg?work={settled}",
    "/boilers/{boiler}/qr.svg",
)
PAPERS: Final = ("report", "sheet", "card", pytest.param("record", marks=pytest.mark.soak))


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    """Where everything that can be typed is hostile."""
    with world(tmp_path_factory.mktemp("hostile"), str) as made:
        yield made


@pytest.fixture(scope="module")
def harmless(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    """The same with harmless twins."""
    with world(tmp_path_factory.mktemp("harmless"), twin) as made:
        yield made


def place_in(made: World, place: str, payload: str = "") -> str:
    return place.format(
        boiler=made.boiler,
        signed=made.visits[0],
        open=made.visits[1],
        settled=made.settled,
        payload=quote(made.say(payload), safe=""),
    )


def require_plain_headers(answer: Response) -> None:
    """No text made a header, and none ended one."""
    assert "x-bad" not in answer.headers
    for name, value in answer.headers.multi_items():
        assert value.isascii(), name
        assert value.isprintable(), name


def lifeless(answer: Response) -> Page:
    """A page in which nothing came alive."""
    require_plain_headers(answer)
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    page = Page(answer.text)
    assert page.offences == []
    assert EVALUATED.search(page.text) is None, "braces were reckoned"
    assert "root:" not in page.text, "a file was read"
    return page


@pytest.mark.parametrize(
    "raw",
    [
        *PAYLOADS[:3],
        "</title></style><b onmouseover=alert(6)>x",
        "<!--y-->",
        '<a href="javascript:alert(4)">',
        '<a href="//evil.example">',
        '<img srcset="/a 1x, https://evil.example/a 2x">',
        '<form action="http://evil.example">',
        '<meta http-equiv="refresh" content="0">',
        '<p style="x">',
        "<base href=/>",
    ],
)
def test_the_look_at_a_page_sees_what_came_alive(raw: str) -> None:
    before = '<a title="' if raw.startswith('"') else "<a title='" if raw.startswith("'") else ""
    assert Page(f"<title>x</title>{before}{raw}").offences != []
    assert Page(f"{before}{raw}").shape != Page(f"{before}{twin(raw)}").shape or raw.startswith("<!")


@pytest.mark.parametrize("raw", ["<script>x</script>", '<a href="http://x"/>', '<g onload="x"/>', "<foreignObject/>"])
def test_the_look_at_a_drawing_sees_what_runs(raw: str) -> None:
    assert offences_of_drawing(f'<svg xmlns="http://www.w3.org/2000/svg">{raw}</svg>') != []


@pytest.mark.parametrize("place", PAGES)
def test_no_element_and_no_attribute_of_a_page_comes_out_of_a_text(hostile: World, harmless: World, place: str) -> None:
    tried = IN_ADDRESSES if "{payload}" in place else ("",)
    # A stroke would begin another part of the path.
    for payload in tried if "?" in place else (each.replace("/", "|") for each in tried):
        asked = [made.client.get(place_in(made, place, payload)) for made in (hostile, harmless)]
        assert asked[0].status_code == asked[1].status_code
        assert asked[0].status_code in {200, 404, 422}, place
        pages = [lifeless(each) for each in asked]
        assert pages[0].shape == pages[1].shape, payload


@pytest.mark.parametrize("name", ["settled", "signed"])
def test_nothing_comes_out_of_a_text_on_the_answer_to_an_act(hostile: World, harmless: World, name: str) -> None:
    pages = [Page(made.pages[name]) for made in (hostile, harmless)]
    assert pages[0].offences == []
    assert pages[0].shape == pages[1].shape
    assert SITE in pages[0].text
    assert EVALUATED.search(pages[0].text) is None


def test_every_text_is_shown_as_it_was_typed(hostile: World) -> None:
    signed, opened, survey = (
        Page("".join(hostile.client.get(place_in(hostile, place)).text for place in places))
        for places in (
            ("/visits/{signed}", "/visits/{signed}/steps"),
            ("/visits/{open}", "/visits/{open}/steps"),
            ("/boilers/{boiler}/survey/fields",),
        )
    )
    for each in (SITE, BOILER, SIGNER):
        assert each in signed.text
    assert GAUGE in signed.text
    for page, paths in ((opened, every_path()), (survey, every_survey_path())):
        shown = [place for place, _ in enumerate(paths) if " ".join(turned(place).split()) in page.text]
        # Both values of a field that holds two stand on the page.
        assert len(shown) > 0.9 * len(paths)


@pytest.mark.parametrize("place", DRAWINGS)
def test_a_drawing_is_well_formed_and_runs_nothing(hostile: World, place: str) -> None:
    answer = hostile.client.get(place_in(hostile, place))
    assert answer.status_code == 200, answer.text
    require_plain_headers(answer)
    assert answer.headers["content-type"] == "image/svg+xml"
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert "sandbox" in answer.headers["content-security-policy"]
    assert offences_of_drawing(answer.text) == []


def test_every_trace_of_a_proof_is_well_formed_and_runs_nothing(hostile: World) -> None:
    places = set(re.findall(r'src="(/boilers/[^"]+/traces/[^"]+)"', hostile.pages["settled"]))
    assert places
    for place in sorted(places)[:3]:
        answer = hostile.client.get(place.replace("&amp;", "&"))
        assert answer.status_code == 200
        assert offences_of_drawing(answer.text) == []


@pytest.mark.parametrize("kind", PAPERS)
def test_a_paper_shows_a_text_and_sets_nothing_by_it(hostile: World, kind: str) -> None:
    page = hostile.client.get(place_in(hostile, "/boilers/{boiler}/print")).text
    of = re.findall(r'name="of" value="([^"]+)"', page)[-1]
    asked = hostile.send(place_in(hostile, "/boilers/{boiler}/print"), kind=kind, of=of)
    work = asked.headers["location"].rpartition("=")[2]
    hostile.finished(work)
    ready = lifeless(hostile.client.get(asked.headers["location"]))
    if "Not printed" in ready.text:
        assert kind == "card", ready.text
        return
    answer = hostile.client.get(place_in(hostile, f"/boilers/{{boiler}}/print/{kind}.pdf?work={work}"))
    assert answer.status_code == 200
    require_plain_headers(answer)
    name = re.fullmatch(r'attachment; filename="([a-z0-9-]+\.pdf)"', answer.headers["content-disposition"])
    assert name is not None
    paper = text_of(answer.content)
    assert 'alert("site")' in paper.replace("“", '"').replace("”", '"')
    assert "{{1337*1337}}" in paper
    assert EVALUATED.search(paper) is None
    assert "root:" not in paper
    if kind == "report":
        # Its amendments hold all of them.
        closed = re.sub(r"[\s\N{ZERO WIDTH SPACE}]", "", paper)
        assert [each for each in PAYLOADS if re.sub(r"\s", "", each) not in closed] == []
    assert b"/JavaScript" not in answer.content
    assert b"/OpenAction" not in answer.content


def test_a_plant_file_that_is_given_out_is_taken_in_again_as_it_was(hostile: World) -> None:
    answer = hostile.client.get(place_in(hostile, "/boilers/{boiler}/survey/plant.toml"))
    require_plain_headers(answer)
    assert answer.headers["content-disposition"] == 'attachment; filename="plant.toml"'
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["content-type"].startswith("text/plain")
    shown = hostile.client.post("/boilers/new/file", files={"file": (FILE, answer.content)}, data={"token": TOKEN})
    assert shown.status_code == 200
    assert "<script>alert(" in lifeless(shown).text
    assert surveys.compare(hostile.store, answer.content, "plant.toml").differences == ()


def test_fields_are_told_to_a_script_as_json_and_never_as_a_page(hostile: World) -> None:
    for visit in hostile.visits:
        answer = hostile.client.get(f"/drafts/{visit}/fields", headers={"Accept": "text/html"})
        assert answer.headers["content-type"] == "application/json"
        assert answer.json()["fields"]


def test_a_photograph_of_any_name_is_given_out_as_a_file_under_a_plain_one(hostile: World) -> None:
    answer = hostile.client.get(f"/attachments/{hostile.photo}")
    assert answer.status_code == 200
    require_plain_headers(answer)
    assert answer.headers["content-type"] == "image/png"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "sandbox" in answer.headers["content-security-policy"]
    require_plain_file_name(answer.headers["content-disposition"])


@pytest.mark.parametrize(
    "name", [*PAYLOADS, FILE, *REFUSED[:3], "CON.png", ".htaccess", "..", "", "~/.ssh/id", "ü.png"]
)
def test_a_file_name_stays_in_its_folder_and_in_its_header(name: str) -> None:
    require_plain_file_name(disposition(name))


def require_plain_file_name(header: str) -> None:
    """RFC 6266: quoted ASCII without anything that leaves the quotes, the folder or the line; the rest is encoded."""
    found = re.fullmatch(r"attachment; filename=\"([A-Za-z0-9._-]+)\"; filename\*=UTF-8''([A-Za-z0-9%._~-]+)", header)
    assert found is not None, header
    plain, encoded = found.groups()
    for name in (plain, unquote(encoded)):
        assert "/" not in name
        assert "\\" not in name
        assert not name.startswith(".")
        assert name.isprintable()


@pytest.mark.parametrize("text", REFUSED)
def test_what_is_no_text_is_refused_in_every_field_and_nothing_is_kept(hostile: World, text: str) -> None:
    before = hostile.store.counter
    survey = drafts_of(hostile.store, hostile.boiler, kind=DraftKind.SURVEY)
    draft = next(each.id for each in survey if each.is_open)
    for to, paths in ((hostile.visits[1], every_path()), (draft, every_survey_path())):
        for path in paths[::7]:
            sent = {"draft": to, "path": path, "text": text, "device": "x", "at": AT, "based_on": []}
            # Escaped, as a script can send also what is no text.
            answer = hostile.client.put(
                "/entries/0e0f5a52-7c0e-4a51-9f0e-0a2f52d31c11",
                content=json.dumps(sent),
                headers={"Content-Type": "application/json"},
            )
            assert answer.status_code == 422, answer.text
            assert answer.json()["why"]
    assert hostile.store.counter == before


@pytest.mark.parametrize("length", [LONGEST + 1, 200_000])
def test_what_is_too_long_is_refused_in_a_sentence(hostile: World, length: int) -> None:
    before = hostile.store.counter
    for path in ("call.consent", "note.1.text", "as_found.high_limit"):
        answer = hostile.put(hostile.visits[1], path, "<b>" * (length // 3 + 1), turn=f"{length}")
        assert answer.status_code == 422
        assert answer.json()["why"]
    assert hostile.store.counter == before


@pytest.mark.parametrize("payload", [*PAYLOADS, "\u202etxt", "a\x00b", "a\r\nX-Bad: 1", "x" * 201, "/", "..", "."])
def test_a_name_of_a_site_or_boiler_is_refused_or_is_text(asking: Asking, payload: str) -> None:
    client = asking(May.WRITE)
    for site, boiler in ((payload, "No. 1"), ("A site", f"b {payload}"), ("", payload)):
        answer = client.post("/boilers/new", data={"token": TOKEN, "site": site, "boiler": boiler})
        require_plain_headers(answer)
        if answer.status_code == 303:
            assert re.fullmatch(r"/boilers/[0-9a-f-]{36}/survey", answer.headers["location"])
            assert " ".join(payload.split()) in lifeless(client.get(answer.headers["location"])).text
        else:
            assert answer.status_code == 422
            assert 'id="refusal"' in answer.text or "The request is not one" in answer.text
            lifeless(answer)


@pytest.mark.parametrize("payload", [*PAYLOADS, "//evil.example", "/\\evil.example", "https://evil.example", "\t//x"])
def test_a_way_back_leads_to_no_other_site_and_makes_no_header(hostile: World, payload: str) -> None:
    for back in (payload, f"/{payload}", f"/?q={payload}\r\nX-Bad: 1"):
        answer = hostile.client.post("/units", data={"token": TOKEN, "units": "si", "back": back})
        require_plain_headers(answer)
        assert answer.status_code == 303
        assert own_place(answer.headers["location"])
        answer = hostile.client.post("/units", data={"token": TOKEN, "units": back, "paper": back})
        assert answer.status_code == 422
        assert "set-cookie" not in answer.headers
        lifeless(answer)


@pytest.mark.parametrize("payload", [*PAYLOADS, turned(3)[:60]])
def test_a_target_that_is_none_is_refused_and_shown_as_text(hostile: World, harmless: World, payload: str) -> None:
    pages = []
    for made in (hostile, harmless):
        place, form = f"/boilers/{made.boiler}/settle", {"token": TOKEN, "target": made.say(payload)[:60]}
        for answer in (made.client.post(place, data=form), made.client.get(place, params=form)):
            assert answer.status_code in {200, 422}
            pages.append(lifeless(answer))
    assert pages[0].shape == pages[2].shape
    assert pages[1].shape == pages[3].shape


@pytest.mark.parametrize(("name", "licence"), [(PAYLOADS[0], PAYLOADS[1]), (PAYLOADS[7], "B-1"), ("Ada", "a\x00b")])
def test_who_countersigns_is_text_or_refused(hostile: World, name: str, licence: str) -> None:
    place = f"/boilers/{hostile.boiler}/print"
    of = re.findall(r'name="of" value="([^"]+)"', hostile.client.get(place).text)[-1]
    form = {"token": TOKEN, "kind": "sheet", "of": of, "name": name, "licence": licence}
    answer = hostile.client.post(place, data=form)
    require_plain_headers(answer)
    if answer.status_code == 303:
        hostile.finished(answer.headers["location"].rpartition("=")[2])
        lifeless(hostile.client.get(answer.headers["location"]))
    else:
        assert answer.status_code == 422
        lifeless(answer)


def quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


@pytest.fixture
def sites(kept: Store) -> Store:
    """A store with a surveyed boiler for every payload, which is the name of site and boiler."""
    for payload in PAYLOADS:
        text = LAUNDRY.replace('"Gull Quay Laundry"', quoted(payload)).replace(
            'name = "No. 1"', f"name = {quoted(payload)}"
        )
        surveys.take(kept, text.encode(), f"{payload}.toml")
    assert len(boilers_of(kept)) == len(PAYLOADS)
    return kept


def test_no_cell_of_what_comes_due_is_a_formula(sites: Store) -> None:
    """A cell that begins with = + - @, tab or return is a formula to a spreadsheet (common practice, no source)."""
    rows = list(csv.reader(io.StringIO(due_csv(due_list(sites)).decode("utf-8-sig"))))
    assert len(rows) > len(PAYLOADS)
    for cell in (cell for row in rows for cell in row):
        assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
        assert "\n" not in cell
        assert "\r" not in cell
    assert {len(row) for row in rows} == {len(rows[0])}
    names = {row[rows[0].index("site")] for row in rows[1:]}
    assert {"'=cmd|'/C calc'!A1", "'+1+1"} <= {name.replace("|''", "|'") for name in names}


def test_a_calendar_of_what_comes_due_has_no_line_of_a_stranger(sites: Store) -> None:
    """RFC 5545: lines of at most 75 octets, and a text escaped so that it is read back as it was."""
    content = due_ical(due_list(sites))
    assert max(len(line) for line in content.split(b"\r\n")) <= 75
    assert b"\n" not in content.replace(b"\r\n", b"")
    events = Calendar.from_ical(content).walk("VEVENT")
    places = {str(event["location"]) for event in events}
    for payload in PAYLOADS:
        assert any(payload in place for place in places), payload
    names = {line.partition(b":")[0].partition(b";")[0] for line in content.replace(b"\r\n ", b"").split(b"\r\n")}
    assert {name for name in names if name and not re.fullmatch(rb"[A-Z-]+", name)} == set()


def test_a_paper_of_what_comes_due_shows_every_name(sites: Store) -> None:
    paper = text_of(printed(due_content(due_list(sites)), PaperSize.A4))
    plain = re.sub(r"[\s\N{ZERO WIDTH SPACE}]", "", paper)
    assert [each for each in PAYLOADS if re.sub(r"\s", "", each) not in plain] == []


def test_every_name_is_text_in_the_list_and_found_by_the_search(sites: Store, asking: Asking) -> None:
    client = asking(May.READ)
    page = lifeless(client.get("/"))
    assert [each for each in PAYLOADS if each not in page.text] == []
    for payload in PAYLOADS:
        found = lifeless(client.get("/", params={"q": payload}))
        assert payload in found.text
    for boiler in boilers_of(sites):
        assert client.get(f"/boilers/{boiler.id}").headers["location"] == f"/boilers/{boiler.id}/survey"
        assert lifeless(client.get(f"/boilers/{boiler.id}/survey")).text.count(boiler.name) > 1

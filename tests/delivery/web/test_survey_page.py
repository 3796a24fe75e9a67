import gzip
import html
import re
from collections.abc import Mapping
from datetime import UTC, datetime
from uuid import UUID, uuid5

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from evenfire.delivery.acts import surveying
from evenfire.delivery.acts.checking import check_of
from evenfire.delivery.intake.opening import LARGEST_FILE
from evenfire.delivery.intake.plant_file import read_plant_text
from evenfire.delivery.intake.survey_fields import fields
from evenfire.delivery.records import drafts, entries, registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import May
from evenfire.delivery.web.rendering import static_content
from tests.delivery.acts.typing_surveys import demo, typed_from
from tests.delivery.web.conftest import TOKEN, Asking

LAUNDRY = demo("laundry.toml")
NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC).isoformat()
NAMES = UUID("3f6b1f0e-52e3-4a0e-8d5c-5d0f7a0f6a11")
MOST_OF_A_PAGE = 20_000
"""HTML, style sheet and script of a page, pressed [bytes]; so that it is usable on a slow link within a second"""
HOSTILE = """"><script>alert(1)</script><img src=x onerror=alert(1)>{{7*7}}'"""


@pytest.fixture
def boiler(asking: Asking) -> str:
    """Id of the laundry's boiler, with a survey draft open."""
    client = asking(May.WRITE)
    page = client.post("/boilers/new/demo", data={"plant": "laundry.toml", "token": TOKEN})
    found = str(page.headers["location"]).split("/")[2]
    assert client.post(f"/boilers/{found}/survey", data={"token": TOKEN}).status_code == 303
    return found


def draft_at(kept: Store, boiler: str) -> str:
    found = surveying.open_draft(kept, boiler)
    assert found is not None
    return found.id


def typing(client: TestClient, draft: str, said: Mapping[str, str]) -> None:
    for path, text in said.items():
        sent = {
            "draft": draft,
            "path": path,
            "text": text,
            "device": "phone",
            "at": NOW,
            "based_on": [],
        }
        answer = client.put(f"/entries/{uuid5(NAMES, draft + path + text)}", json=sent)
        assert answer.status_code == 200, answer.text


def told(page: Response) -> str:
    """What a person reads on a page."""
    assert page.status_code in {200, 422}
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page.text)).split())


def value(page: Response, path: str) -> str:
    found = re.search(rf'id="f-{re.escape(path)}"[^>]*value="([^"]*)"', page.text)
    assert found is not None, path
    return html.unescape(found[1])


def test_a_boiler_is_named_typed_judged_and_taken_and_given_out_as_the_command_line_has_it(
    kept: Store, asking: Asking
) -> None:
    client = asking(May.WRITE)
    page = client.post("/boilers/new", data={"site": "Gull Quay Laundry", "boiler": "No. 1", "token": TOKEN})
    assert page.status_code == 303
    at = str(page.headers["location"])
    empty = told(client.get(at))
    assert "Fill in first" in empty
    assert "Maximum allowable working pressure" in empty
    (known,) = registers.boilers_of(kept)
    draft = draft_at(kept, known.id)
    typing(client, draft, typed_from(LAUNDRY))
    judged = told(client.get(f"{at}/judgement"))
    assert "The operating limit may cut out at 117.7 psi" in judged
    assert "All of it can be read." in judged
    seen = entries.entries_of(kept, draft)[-1].id
    done = client.post(f"{at}/take", data={"draft": draft, "seen": seen, "token": TOKEN})
    assert done.headers["location"] == f"{at}?done=taken"
    given = client.get(f"{at}/plant.toml")
    assert given.headers["content-disposition"] == 'attachment; filename="plant.toml"'
    file = read_plant_text(LAUNDRY, "laundry.toml")
    back = read_plant_text(given.text, "laundry.toml")
    assert back.revision == file.revision
    assert check_of(back).boilers[0].outcomes == check_of(file).boilers[0].outcomes


def test_every_field_comes_with_its_page_or_right_after_it(asking: Asking, boiler: str) -> None:
    client = asking(May.WRITE)
    page, rest = (client.get(f"/boilers/{boiler}/survey{part}").text for part in ("", "/fields"))
    held = set(re.findall(r'data-path="([^"]+)"', rest))
    for path, field in fields().items():
        if field.is_asked and field.group.value != "as_left" and "run_on" not in path and "steps" not in path:
            assert path.replace("#", "1") in held, path
    fills = re.findall(r'data-fill="([^"]+)" data-part="([^"]+)"', page)
    assert {place for place, _ in fills} == {f"/boilers/{boiler}/survey/fields"}
    parts = set(re.findall(r'data-part="([^"]+)"', rest))
    assert {part for _, part in fills} < parts
    opened = re.search(r'<details class="step" id="part-([a-z_]+)" open>', page)
    assert opened is not None
    assert {part for _, part in fills} | {opened[1]} == parts


def test_every_part_that_follows_what_is_saved_is_in_the_judgement(asking: Asking, boiler: str) -> None:
    client = asking(May.WRITE)
    page = client.get(f"/boilers/{boiler}/survey").text
    followed = set(re.findall(r'data-follows="[^"]*/judgement" data-part="([^"]+)"', page))
    offered = set(re.findall(r'data-part="([^"]+)"', client.get(f"/boilers/{boiler}/survey/judgement").text))
    assert followed
    assert followed <= offered


def test_a_page_is_small_enough_for_a_slow_link(asking: Asking, boiler: str) -> None:
    page = asking(May.WRITE).get(f"/boilers/{boiler}/survey").content
    files = (static_content(name) for name in ("evenfire.css", "evenfire.js"))
    assert sum(len(gzip.compress(each, 6)) for each in (page, *files)) <= MOST_OF_A_PAGE


def test_what_is_typed_stands_on_the_page_with_what_was_surveyed(kept: Store, asking: Asking, boiler: str) -> None:
    client = asking(May.WRITE)
    typing(client, draft_at(kept, boiler), {"load.wish": "8.6 bar", "load.need": "hundred"})
    page = client.get(f"/boilers/{boiler}/survey?part=load")
    assert value(page, "load.wish") == "8.6 bar"
    assert "124.7 psi Surveyed: 130 psi." in told(page)
    assert "Not understood: it does not begin with a number. Accepted for gauge pressure" in told(page)
    judged = told(client.get(f"/boilers/{boiler}/survey/judgement"))
    assert "NOT JUDGED" in judged
    assert "To mend What the plant wants: Lowest pressure needed Not understood" in judged
    assert "Judged without what cannot be read" in judged


def test_what_does_not_count_and_what_is_left_out_is_told_at_its_field(
    kept: Store, asking: Asking, boiler: str
) -> None:
    client = asking(May.WRITE)
    said = {"load.demand.shape": "constant", "load.demand.steam": "3000 lb/h", "load.demand.file": "load.csv"}
    typing(client, draft_at(kept, boiler), {**said, "boiler.controls.high_limit.scale.to": "?"})
    page = told(client.get(f"/boilers/{boiler}/survey/fields"))
    assert page.count("Does not count with what stands beside it.") == 1
    # Where the scale begins, and its division.
    assert page.count("Left out of the judgement until it is right.") == 2


def test_an_incomplete_survey_is_refused_with_where_and_why(kept: Store, asking: Asking, boiler: str) -> None:
    client = asking(May.WRITE)
    draft = draft_at(kept, boiler)
    typing(client, draft, {"load.need": "hundred"})
    seen = entries.entries_of(kept, draft)[-1].id
    page = client.post(f"/boilers/{boiler}/survey/take", data={"draft": draft, "seen": seen, "token": TOKEN})
    assert page.status_code == 422
    assert "cannot be taken as a survey yet. What the plant wants: Lowest pressure needed" in told(page)
    assert len(surveys.surveys_of(kept, boiler)) == 1


def test_what_another_device_typed_since_is_shown_before_it_is_taken(kept: Store, asking: Asking, boiler: str) -> None:
    client = asking(May.WRITE)
    draft = draft_at(kept, boiler)
    typing(client, draft, {"load.need": "104 psi"})
    page = client.post(f"/boilers/{boiler}/survey/take", data={"draft": draft, "seen": "", "token": TOKEN})
    assert page.status_code == 422
    assert "typed since you looked: Lowest pressure needed" in told(page)


def test_two_values_are_shown_with_who_and_when(kept: Store, asking: Asking, boiler: str) -> None:
    client = asking(May.WRITE)
    draft = draft_at(kept, boiler)
    typing(client, draft, {"load.wish": "128 psi"})
    typing(asking(May.SIGN), draft, {"load.wish": "126 psi"})
    page = client.get(f"/boilers/{boiler}/survey?part=load")
    assert 'data-take="128 psi"' in page.text
    assert "Take 126 psi Somebody who may sign, phone, 2026-11-25 09:00 UTC" in told(page)
    assert value(page, "load.wish") == ""


def test_a_row_is_added_and_taken_away(kept: Store, asking: Asking, boiler: str) -> None:
    client = asking(May.WRITE)
    at, draft = f"/boilers/{boiler}/survey", draft_at(kept, boiler)
    assert f'{at}?more=boiler.safety_valve#f-boiler.safety_valve.3.name"' in client.get(f"{at}/fields").text
    assert 'data-path="boiler.safety_valve.3.set"' in client.get(f"{at}?more=boiler.safety_valve").text
    assert "boiler.safety_valve.3.set" not in client.get(f"{at}?more=boiler.nothing").text
    form = {"draft": draft, "row": "boiler.safety_valve.1", "token": TOKEN}
    assert client.post(f"{at}/away", data=form).status_code == 303
    now = surveying.at_survey(kept, drafts.draft_of(kept, draft))
    assert now.surveyed is not None
    assert [valve.name for valve in now.surveyed.safety_valves] == ["rear"]
    for row in ("boiler.safety_valve.1", "boiler.controls.high_limit", "boiler", ""):
        assert client.post(f"{at}/away", data={**form, "row": row}).status_code == 422


def test_what_was_surveyed_is_put_back(kept: Store, asking: Asking, boiler: str) -> None:
    client = asking(May.WRITE)
    draft = draft_at(kept, boiler)
    typing(client, draft, {"load.wish": "8 bar", "boiler.mawp": "", "boiler.safety_valve.3.set": "1 bar"})
    answer = client.post(f"/boilers/{boiler}/survey/back", data={"draft": draft, "token": TOKEN})
    assert answer.status_code == 303
    now = surveying.at_survey(kept, drafts.draft_of(kept, draft))
    assert now.standing.changed == ()
    assert now.standing.is_complete


def test_a_page_that_stood_open_while_the_survey_was_finished_is_told_so(
    kept: Store, asking: Asking, boiler: str
) -> None:
    client = asking(May.WRITE)
    draft = draft_at(kept, boiler)
    form = {"draft": draft, "seen": "", "token": TOKEN}
    assert client.post(f"/boilers/{boiler}/survey/take", data=form).headers["location"].endswith("?done=same")
    page = client.post(f"/boilers/{boiler}/survey/take", data=form)
    assert "finished already" in told(page)


def test_a_reader_sees_every_field_and_changes_none(kept: Store, asking: Asking, boiler: str) -> None:
    reader = asking(May.READ)
    page = reader.get(f"/boilers/{boiler}/survey?part=load")
    assert re.search(r'id="f-load.wish"[^>]* disabled', page.text)
    assert "Take it as the survey" not in page.text
    surveying.finish_survey(
        kept, drafts.draft_of(kept, draft_at(kept, boiler)), registers.find_person(kept, "Somebody who may sign")
    )
    closed = reader.get(f"/boilers/{boiler}/survey")
    assert "130 psi" in told(closed)
    assert "data-path" not in closed.text
    assert "Change this survey" not in closed.text
    assert "Begin the survey" not in reader.get("/boilers/new").text


POSTS = ("", "/take", "/back", "/away")
NEW = ("/boilers/new", "/boilers/new/demo", "/boilers/new/file", "/boilers/new/file/take")
GETS = ("", "/judgement", "/fields", "/stack.svg", "/plant.toml")


def test_every_route_asks_for_its_right(asking: Asking, boiler: str) -> None:
    at = f"/boilers/{boiler}/survey"
    for may, expected in ((None, 401), (May.READ, 403)):
        client = asking(may)
        for place in (*(f"{at}{each}" for each in POSTS), *NEW):
            assert client.post(place, data={"token": TOKEN}).status_code == expected, place
    for place in (*(f"{at}{each}" for each in GETS), "/boilers/new"):
        assert asking(None).get(place, headers={"Accept": "application/json"}).status_code == 401, place
        assert asking(May.READ).get(place).status_code == 200, place


def test_a_boiler_that_is_not_here_is_nothing(asking: Asking) -> None:
    for each in GETS:
        assert asking(May.WRITE).get(f"/boilers/{'0' * 8}-0000-4000-8000-{'0' * 12}/survey{each}").status_code == 404


@pytest.mark.parametrize(
    "path",
    [
        "site.jurisdiction",
        "load.need",
        "boiler.kind",
        "boiler.safety_valve.1.name",
        "boiler.as_found.jumpers",
        "boiler.controls.high_limit.serial",
    ],
)
def test_script_in_any_field_is_shown_and_never_run(path: str, kept: Store, asking: Asking, boiler: str) -> None:
    client = asking(May.WRITE)
    typing(client, draft_at(kept, boiler), {path: HOSTILE})
    pages = [client.get(f"/boilers/{boiler}/survey{part}").text for part in ("", "/fields", "/judgement", "/stack.svg")]
    for page in pages:
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert "alert(1)>49" not in page
    assert HOSTILE in html.unescape(pages[1])


def test_names_of_sites_files_and_boilers_are_shown_and_never_run(asking: Asking) -> None:
    client = asking(May.WRITE)
    named = HOSTILE[:90]
    made = client.post("/boilers/new", data={"site": named, "boiler": named, "token": TOKEN})
    for part in ("", "/fields", "/judgement", "/stack.svg"):
        assert "<script>" not in client.get(f"{made.headers['location']}{part}").text
    shown = client.post("/boilers/new/file", files={"file": (f"../../{named}.toml", b"x = 1")}, data={"token": TOKEN})
    assert "<script>" not in shown.text
    assert ".." not in told(shown)


def test_names_that_cannot_be_kept_are_refused_with_what_was_typed(asking: Asking) -> None:
    page = asking(May.WRITE).post("/boilers/new", data={"site": "Kiln Lane", "boiler": "x" * 150, "token": TOKEN})
    assert page.status_code == 422
    assert "1 to 100 characters" in told(page)
    assert 'value="Kiln Lane"' in page.text


def test_a_plant_file_is_shown_with_its_differences_and_taken_as_shown(
    kept: Store, asking: Asking, boiler: str
) -> None:
    client = asking(May.WRITE)
    given = client.get(f"/boilers/{boiler}/survey/plant.toml").text
    changed = given.replace('wish = "130 psi"', 'wish = "128 psi"')
    shown = client.post("/boilers/new/file", files={"file": ("mine.toml", changed.encode())}, data={"token": TOKEN})
    assert "1 key differs" in told(shown)
    assert "load.wish 130 psi 128 psi" in told(shown).replace('"', "")
    assert len(surveys.surveys_of(kept, boiler)) == 1
    form = dict(re.findall(r'<input type="hidden" name="([a-z0-9]+)" value="([^"]*)"', shown.text))
    # A browser sends the lines of a text box with other ends than they had.
    text = changed.replace("\n", "\r\n")
    other = client.post("/boilers/new/file/take", data={**form, "text": text.replace("128", "120")})
    assert "another one than was shown" in told(other)
    taken = client.post("/boilers/new/file/take", data={**form, "text": text})
    assert taken.headers["location"] == f"/boilers/{boiler}/survey?done=taken"
    held = surveys.surveys_of(kept, boiler)
    assert [each.origin for each in held] == ["laundry.toml", "mine.toml"]
    later = client.post("/boilers/new/file", files={"file": ("old.toml", given.encode())}, data={"token": TOKEN})
    assert "1 survey was taken after the one that this file was given out from" in told(later)


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"mawp = 150 psi", "line 1"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "binary"),
        (b"", "empty"),
        (b"a = [" + b"[" * 10_000, "nest deeper"),
        (b"#" * (LARGEST_FILE + 10), "1.0 MB"),
    ],
)
def test_what_is_no_plant_file_is_refused_in_a_sentence(content: bytes, why: str, asking: Asking) -> None:
    page = asking(May.WRITE).post("/boilers/new/file", files={"file": ("x.toml", content)}, data={"token": TOKEN})
    assert page.status_code == 422
    assert why in told(page)


def test_a_stack_is_drawn_of_what_is_typed(kept: Store, asking: Asking, boiler: str) -> None:
    client = asking(May.WRITE)
    typing(client, draft_at(kept, boiler), {"boiler.safety_valve.1.set": "146 psi"})
    drawn = client.get(f"/boilers/{boiler}/survey/stack.svg")
    assert drawn.headers["content-type"].startswith("image/svg+xml")
    assert "sandbox" in drawn.headers["content-security-policy"]
    assert ">146<" in drawn.text
    typing(client, draft_at(kept, boiler), {"boiler.mawp": "?"})
    assert "Nothing to draw yet" in html.unescape(client.get(f"/boilers/{boiler}/survey/stack.svg").text)


def test_the_examples_beside_the_fields_are_in_the_units_of_the_reader(boiler: str, asking: Asking) -> None:
    client = asking(May.WRITE)
    place = f"/boilers/{boiler}/survey?part=nameplate"
    assert "Such as 150 psi." in client.get(place).text
    client.cookies.set("evenfire_units", "si")
    page = client.get(place).text
    # NIST SP 811: 150 psi are 10.34 bar.
    assert "Such as 10.34 bar." in page
    assert not re.search(r"Such as [^.]*(?:psi|bhp|ft2|gal|lb)\b", page)

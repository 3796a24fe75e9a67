"""The page of a visit over HTTP: every act with the right it needs, text escaped wherever it is shown, a signature."""

import html
import re
import threading
from collections.abc import Iterator, Sequence
from io import BytesIO
from pathlib import Path
from urllib.parse import unquote
from uuid import uuid4

import pytest
from httpx2 import Response
from PIL import Image
from starlette.testclient import TestClient

from evenfire.delivery.acts.judging_visit import judged_at_rest
from evenfire.delivery.acts.open_changes import open_changes
from evenfire.delivery.acts.verifying import verified_here
from evenfire.delivery.acts.visiting import at_visit
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind, drafts_of
from evenfire.delivery.records.entries import entries_of
from evenfire.delivery.records.registers import May, find_person
from evenfire.delivery.records.signed import records_of
from evenfire.delivery.records.verification import Judged
from evenfire.delivery.report.visit_stands import visit_stands
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visits.fields import MANY, ONCE, REPEATED
from evenfire.delivery.web.application import application
from evenfire.delivery.web.door.throttle import Throttle
from evenfire.delivery.web.wording import on_screen
from tests.delivery.acts.on_visit import (
    CHANGE,
    FOUND,
    PASSPHRASE,
    QUILL,
    WHOLE,
    Call,
    Clock,
    copy_of,
    new_store,
    opened,
)
from tests.delivery.web.conftest import HEADERS, Asking, Known

AT = "2026-11-25T15:30:00.125Z"
HOSTILE = "\"'><script>alert(1)</script>{{ 7*7 }}<img src=x onerror=alert(2)>"


@pytest.fixture(scope="module")
def stages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Path, str]]:
    """One store at each stage of a call."""
    folder = tmp_path_factory.mktemp("call over the web")
    place, made = folder / "now" / "store.sqlite", {}
    store = new_store(place)
    call = Call(store, folder, opened(store, folder))
    for name, does in (
        ("opened", lambda: None),
        ("found", lambda: call.enter(FOUND)),
        ("ready", lambda: (call.settled(), call.enter({**FOUND, **WHOLE}))),
    ):
        does()
        store.close()
        with copy_of(place, folder / name, Clock()) as kept:
            made[name] = (Path(kept.place), call.visit)
    return made


@pytest.fixture
def kept(request: pytest.FixtureRequest, stages: dict[str, tuple[Path, str]], tmp_path: Path) -> Iterator[Store]:
    """A store of its own, with a visit at the stage that a test asks for."""
    with copy_of(stages[getattr(request, "param", "opened")][0], tmp_path / "kept", Clock()) as store:
        yield store


@pytest.fixture
def visit(stages: dict[str, tuple[Path, str]]) -> str:
    return stages["opened"][1]


@pytest.fixture
def signer(kept: Store) -> Iterator[TestClient]:
    """Somebody with a key, at a server whose clock stands still: nobody has waited long enough to guess again."""
    app = application(kept)
    app.state.passphrases = Throttle(lambda: 0.0)
    client = TestClient(Known(app, find_person(kept, QUILL)), headers=HEADERS, follow_redirects=False)
    yield client
    client.close()
    app.state.work.close()


at_stage = pytest.mark.parametrize
found, ready = (at_stage("kept", [stage], indirect=True) for stage in ("found", "ready"))


def put(client: TestClient, visit: str, path: str, text: str, based_on: Sequence[str] = ()) -> None:
    entry = {"draft": visit, "path": path, "text": text, "device": "phone 3f2a", "at": AT, "based_on": list(based_on)}
    answer = client.put(f"/entries/{uuid4()}", json=entry)
    assert answer.status_code == 200, answer.text


def sign(client: TestClient, visit: str, passphrase: str = PASSPHRASE, *, looked_at: str | None = None) -> Response:
    """Sign what a page told of; without one, what the page tells now."""
    told = re.findall(r'name="seen" value="([^"]*)"', seen(client, visit) if looked_at is None else looked_at)
    return client.post(f"/visits/{visit}/sign", data={"passphrase": passphrase, "seen": told[0] if told else ""})


def plain(page: str) -> str:
    """What a reader sees of HTML, unbroken."""
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


def picture() -> bytes:
    content = BytesIO()
    Image.new("RGB", (8, 8), "red").save(content, "PNG")
    return content.getvalue()


def boiler_of(store: Store, visit: str) -> str:
    return at_visit(store, visit).boiler.id


def test_a_boiler_with_an_open_visit_leads_to_it_on_any_device(kept: Store, visit: str, asking: Asking) -> None:
    answer = asking(May.READ).get(f"/boilers/{boiler_of(kept, visit)}/visit")
    assert (answer.status_code, answer.headers["location"]) == (303, f"/visits/{visit}")


def test_a_visit_is_opened_by_a_button_where_none_is_open(kept: Store, visit: str, asking: Asking) -> None:
    boiler = boiler_of(kept, visit)
    put(asking(May.WRITE), visit, "call.given_up", "the wrong boiler")
    page = asking(May.WRITE).get(f"/boilers/{boiler}/visit")
    assert page.status_code == 200
    assert f'action="/boilers/{boiler}/visit"' in page.text
    assert f'action="/boilers/{boiler}/visit"' not in asking(May.READ).get(f"/boilers/{boiler}/visit").text
    answer = asking(May.WRITE).post(f"/boilers/{boiler}/visit")
    assert answer.status_code == 303
    new = answer.headers["location"].removeprefix("/visits/")
    assert new in {draft.id for draft in drafts_of(kept, boiler, kind=DraftKind.VISIT)} - {visit}


@pytest.mark.parametrize(
    ("act", "needs"),
    [
        ("/boilers/{boiler}/visit", May.WRITE),
        ("/visits/{visit}/judge", May.WRITE),
        ("/visits/{visit}/photos", May.WRITE),
        ("/visits/{visit}/sign", May.SIGN),
        ("/visits/{visit}/amend", May.SIGN),
    ],
)
def test_an_act_is_refused_to_whoever_may_not(kept: Store, visit: str, asking: Asking, act: str, needs: May) -> None:
    place = act.format(boiler=boiler_of(kept, visit), visit=visit)
    before = entries_of(kept, visit)
    refused = [None, May.READ, *([May.WRITE] if needs is May.SIGN else [])]
    form = {"passphrase": PASSPHRASE, "text": "amended"}
    answers = [asking(may).post(place, data=form, files={"photo": ("a.png", picture())}) for may in refused]
    assert [answer.status_code for answer in answers] == [401, 403, 403][: len(refused)]
    without_token = asking(May.SIGN).post(place, data=form, headers={"X-Evenfire-Token": "another"})
    assert without_token.status_code == 403
    assert entries_of(kept, visit) == before
    assert len(drafts_of(kept, boiler_of(kept, visit), kind=DraftKind.VISIT)) == 1


def seen(client: TestClient, visit: str) -> str:
    """The page of a visit with the steps that come right after it."""
    return "".join(client.get(f"/visits/{visit}{rest}").text for rest in ("", "/steps"))


@pytest.mark.parametrize(
    "place", ["/visits/{visit}", "/visits/{visit}/steps", "/visits/{visit}/judgement", "/boilers/{boiler}/visit"]
)
def test_pages_need_a_login(kept: Store, visit: str, asking: Asking, place: str) -> None:
    answer = asking(None).get(place.format(visit=visit, boiler=boiler_of(kept, visit)))
    assert (answer.status_code, answer.headers["location"]) == (303, "/enter")


def test_who_may_only_read_gets_every_field_closed_and_no_act(visit: str, asking: Asking) -> None:
    page = seen(asking(May.READ), visit)
    boxes = re.findall(r"<(?:input|select|textarea) [^>]*data-path=[^>]*>", page)
    assert len(boxes) > 20
    assert all(" disabled" in box for box in boxes)
    assert set(re.findall(r'action="([^"]*)"', page)) <= {"/leave", "/units"}
    written = seen(asking(May.WRITE), visit)
    assert f'action="/visits/{visit}/sign"' not in written
    assert f'action="/visits/{visit}/sign"' in seen(asking(May.SIGN), visit)


def every_path() -> list[str]:
    once = [f"{table}.{key}" for table, keys in ONCE.items() for key in keys]
    many = [f"{table}.1.{key}" for table, keys in MANY.items() for key in keys]
    return [*once, *many, *(f"{table}.1.{key}.1" for table, keys in REPEATED.items() for key in keys)]


def test_text_from_strangers_is_text_in_every_field(visit: str, asking: Asking) -> None:
    client = asking(May.WRITE)
    for path in every_path():
        put(client, visit, path, HOSTILE)
    for place in (f"/visits/{visit}", f"/visits/{visit}/steps", f"/visits/{visit}/judgement"):
        page = client.get(place)
        assert page.status_code == 200, page.text
        assert "<script>alert" not in page.text
        assert "<img src=x" not in page.text
        assert "{{ 7*7 }}" in page.text, "braces are text, and nothing that is reckoned"
        attributes = re.findall(r"data-puts='([^']*)'", page.text)
        assert all("<" not in each for each in attributes)
    assert HOSTILE in html.unescape(seen(client, visit))


def test_two_hostile_values_are_text_too(visit: str, asking: Asking) -> None:
    for text in (HOSTILE, f"{HOSTILE} again"):
        put(asking(May.WRITE), visit, "as_found.switch", text)
    page = seen(asking(May.SIGN), visit)
    assert page.count("data-take=") > 2
    assert "<script>alert" not in page


@pytest.mark.parametrize("kept", ["opened", "found", "ready"], indirect=True)
def test_the_page_and_its_judgement_say_the_lines_of_the_terminal(kept: Store, visit: str, signer: TestClient) -> None:
    stands = visit_stands(judged_at_rest(kept, at_visit(kept, visit)), UnitSystem.US)
    told = [stands.head, *(bar.text for bar in stands.bars), *stands.flags, *stands.not_judged, *stands.wanted]
    told += [text for rows in (*stands.findings, *stands.trips.values()) for _, text in rows]
    for text in (seen(signer, visit), signer.get(f"/visits/{visit}/judgement").text):
        page = plain(text)
        assert [line for line in map(on_screen, told) if " ".join(line.split()) not in page] == []


@found
def test_what_is_not_shown_in_the_head_is_counted_there(visit: str, signer: TestClient) -> None:
    page = seen(signer, visit)
    head, stands = page.partition('<p class="faint">')[0], page.partition('id="stands"')[2]
    count = stands.count('class="finding stop"') + stands.count('class="finding warn"')
    assert count > 1
    assert f'<a class="alone" href="#stands">{count - 1} more, worst first</a>' in head


@ready
def test_what_follows_a_save_holds_every_part_that_the_page_follows(visit: str, signer: TestClient) -> None:
    page, fragment = seen(signer, visit), signer.get(f"/visits/{visit}/judgement").text
    followed = set(re.findall(r'data-follows="[^"]*" data-part="([^"]*)"', page))
    given = set(re.findall(r'<div data-part="([^"]*)"', fragment))
    spare = {name for name in followed if re.fullmatch(r"(trip-3|temporary-2|device-1).*", name)}
    assert followed - spare == given


@found
def test_a_temporary_change_is_red_with_its_word_until_it_is_closed_and_seen(
    kept: Store, visit: str, asking: Asking
) -> None:
    client = asking(May.WRITE)
    for path in ("what", "reason", "opened_by", "opened_at"):
        put(client, visit, f"temporary.1.{path}", CHANGE[f"temporary.1.{path}"])
    page = seen(client, visit)
    red = re.findall(r'<p class="stands-open">.*?</p>', page, re.DOTALL)
    assert red
    assert all("OPEN" in plain(each) for each in red)
    boiler = boiler_of(kept, visit)
    for other in ("survey", "print", "settle", "visit?new"):
        beside = client.get(f"/boilers/{boiler}/{other}")
        assert beside.status_code == 200
        assert "OPEN" in plain("".join(re.findall(r'<p class="stands-open">.*?</p>', beside.text, re.DOTALL))), other
    for path in ("closed_by", "closed_at", "verified_by"):
        assert visit in open_changes(kept, boiler_of(kept, visit))
        put(client, visit, f"temporary.1.{path}", CHANGE[f"temporary.1.{path}"])
    assert "stands-open" not in seen(client, visit)
    assert "stands-open" not in client.get(f"/boilers/{boiler}/print").text


def test_another_visit_that_is_open_is_told_before_a_second_one(kept: Store, visit: str, asking: Asking) -> None:
    boiler = boiler_of(kept, visit)
    page = asking(May.WRITE).get(f"/boilers/{boiler}/visit?new").text
    assert f'href="/visits/{visit}"' in page
    assert "If it is the same call, go on with that one." in plain(page)
    asking(May.WRITE).post(f"/boilers/{boiler}/visit")
    both = asking(May.WRITE).get(f"/boilers/{boiler}/visit")
    assert both.status_code == 200, "two are open: which one is meant is for a person to say"
    assert len(re.findall(r'href="/visits/[^"]*"', both.text)) == 2


def test_a_photograph_is_kept_entered_and_given_out_as_a_file(kept: Store, visit: str, asking: Asking) -> None:
    client = asking(May.WRITE)
    files = [("photo", (f"{HOSTILE}\r\nX-Bad: 1.png", picture(), "image/png"))]
    answer = client.post(f"/visits/{visit}/photos", data={"shows": "the plate"}, files=files)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/visits/{visit}#step-photo"), answer.text
    (photo,) = at_visit(kept, visit).visit.photos
    assert photo.shows == "the plate"
    page = seen(client, visit)
    assert f'href="/attachments/{photo.hash}" download' in page
    assert "<script>alert" not in page
    given = asking(May.READ).get(f"/attachments/{photo.hash}")
    assert given.status_code == 200
    assert given.headers["content-disposition"].startswith("attachment;")
    assert given.headers["x-content-type-options"] == "nosniff"
    assert given.headers["content-type"] in {"image/png", "image/jpeg"}
    assert "x-bad" not in given.headers
    assert "<" not in given.headers["content-disposition"]
    assert "script" in unquote(given.headers["content-disposition"])
    assert Image.open(BytesIO(given.content)).size == (8, 8)


def test_the_same_photograph_twice_is_entered_once(kept: Store, visit: str, asking: Asking) -> None:
    for _ in range(2):
        asking(May.WRITE).post(f"/visits/{visit}/photos", files={"photo": ("a.png", picture(), "image/png")})
    assert len(at_visit(kept, visit).visit.photos) == 1


@pytest.mark.parametrize("content", [b"<html><script>alert(1)</script>", b"", picture()[:40]])
def test_what_is_no_picture_is_refused_and_nothing_is_entered(
    kept: Store, visit: str, asking: Asking, content: bytes
) -> None:
    before = entries_of(kept, visit)
    answer = asking(May.WRITE).post(f"/visits/{visit}/photos", files={"photo": ("a.png", content, "image/png")})
    assert answer.status_code == 422
    assert 'id="refusal"' in answer.text
    assert entries_of(kept, visit) == before


@pytest.mark.parametrize("name", ["0" * 64, "..%2f..%2fstore.sqlite", "store.sqlite"])
def test_an_attachment_is_named_by_a_hash_that_the_store_knows(asking: Asking, name: str) -> None:
    assert asking(May.READ).get(f"/attachments/{name}").status_code == 404
    assert asking(None).get(f"/attachments/{name}").status_code in {303, 404}


@found
def test_a_visit_that_cannot_be_signed_is_refused_with_every_reason(
    kept: Store, visit: str, signer: TestClient
) -> None:
    answer = sign(signer, visit)
    assert answer.status_code == 422
    assert "Nobody says how the boiler is left" in plain(answer.text)
    assert "Read the dial; never copy it from the proposal" in plain(answer.text)
    assert at_visit(kept, visit).draft.is_open


@ready
def test_a_visit_signed_over_the_web_verifies_and_takes_nothing_more(
    kept: Store, visit: str, signer: TestClient
) -> None:
    boiler = boiler_of(kept, visit)
    done = sign(signer, visit)
    assert done.status_code == 200, done.text
    (record,) = records_of(kept, boiler)
    told = plain(done.text)
    assert f"Signed by {QUILL}" in told
    assert f"Record {record.record.id}." in told
    assert record.record.fingerprint in told.replace(" ", "")
    assert "A backup of the store stands in" in told
    verified = verified_here(kept, boiler)
    assert [each.judged for each in verified.verifications] == [Judged.VERIFIED]
    page = seen(signer, visit)
    assert f"Record {record.record.id}." in plain(page)
    assert f'href="/boilers/{boiler}/print"' in page
    boxes = re.findall(r"<(?:input|select|textarea) [^>]*data-path=[^>]*>", page)
    assert boxes
    assert all(" disabled" in box for box in boxes)
    entry = {"draft": visit, "path": "note.1.text", "text": "late", "device": "d", "at": AT, "based_on": []}
    assert signer.put(f"/entries/{uuid4()}", json=entry).status_code == 422
    assert signer.post(f"/visits/{visit}/photos", files={"photo": ("a.png", picture())}).status_code == 422
    assert signer.post(f"/visits/{visit}/sign", data={"passphrase": PASSPHRASE}).status_code == 422


@ready
def test_a_limit_that_failed_leads_the_page_and_takes_the_pressure_away_at_which_somebody_would_go_on(
    kept: Store, visit: str, signer: TestClient
) -> None:
    for path, text in (("trip.1.opened", "no"), ("trip.1.stopped_by_hand", "146 psi")):
        put(signer, visit, path, text, at_visit(kept, visit).fold.based_on(path))
    page = signer.get(f"/visits/{visit}/judgement").text
    named = re.split(r'<div data-part="([a-z0-9_-]+)">', page)
    parts = dict(zip(named[1::2], named[2::2], strict=True))
    head = plain(parts["head"])
    assert head.startswith("STOP High limit")
    assert "FAILED: did not open" in head
    assert "Keep the boiler out of service" in head
    assert plain(parts["trip-1-sight"]).startswith("FAILED Keep the boiler out of service")
    assert "STOP THE BURNER BY HAND" not in parts["trip-1-sight"]


@ready
def test_what_another_device_entered_after_the_signer_looked_is_not_signed(
    kept: Store, visit: str, signer: TestClient, asking: Asking
) -> None:
    looked_at = seen(signer, visit)
    put(asking(May.WRITE), visit, "as_left.high_limit", "139 psi")
    answer = sign(signer, visit, looked_at=looked_at)
    assert answer.status_code == 422
    assert "something was entered since you looked" in plain(answer.text)
    assert "high limit, as left" in plain(answer.text)
    assert at_visit(kept, visit).draft.is_open
    (follows,) = re.findall(r'name="seen" value="([^"]*)"', signer.get(f"/visits/{visit}/judgement").text)
    assert follows == at_visit(kept, visit).newest_entry


def test_the_address_of_a_form_that_is_asked_for_again_leads_back_to_its_page(visit: str, signer: TestClient) -> None:
    # A phone that slept asks for the address that it showed last.
    answer = signer.get(f"/visits/{visit}/sign")
    assert answer.status_code == 405
    assert f'href="/visits/{visit}"' in answer.text
    assert "Method Not Allowed" not in answer.text


@ready
@pytest.mark.parametrize("nothing", ["", "never an entry"])
def test_a_request_that_tells_not_what_was_seen_signs_nothing(
    kept: Store, visit: str, signer: TestClient, nothing: str
) -> None:
    answer = signer.post(f"/visits/{visit}/sign", data={"passphrase": PASSPHRASE, "seen": nothing})
    assert answer.status_code == 422
    assert at_visit(kept, visit).draft.is_open


@ready
def test_an_amendment_is_signed_beside_the_record(kept: Store, visit: str, signer: TestClient) -> None:
    early = signer.post(f"/visits/{visit}/amend", data={"text": "too early", "passphrase": PASSPHRASE})
    assert early.status_code == 422
    sign(signer, visit)
    done = signer.post(f"/visits/{visit}/amend", data={"text": HOSTILE, "passphrase": PASSPHRASE})
    assert done.status_code == 200, done.text
    page = seen(signer, visit)
    assert HOSTILE in html.unescape(page)
    assert "<script>alert" not in page
    verified = verified_here(kept, boiler_of(kept, visit))
    assert [each.judged for each in verified.verifications] == [Judged.VERIFIED]


@ready
def test_a_wrong_passphrase_signs_nothing_and_is_not_tried_for_ever(
    kept: Store, visit: str, signer: TestClient
) -> None:
    answers = [sign(signer, visit, "wrong") for _ in range(6)]
    assert {answer.status_code for answer in answers} == {422}
    assert "does not open this key" in plain(answers[0].text)
    assert all("wrong" not in re.findall(r'type="password"[^>]*', answer.text)[0] for answer in answers)
    right = sign(signer, visit)
    assert right.status_code == 422
    assert "typed too often" in plain(right.text)
    assert at_visit(kept, visit).draft.is_open


@ready
def test_proofs_are_long_work_and_hold_until_something_is_entered(visit: str, signer: TestClient) -> None:
    not_yet = plain(seen(signer, visit))
    assert "NOT PROVED YET" in not_yet
    assert "Nothing stands against signing it." not in not_yet
    assert signer.post(f"/visits/{visit}/judge").status_code == 303
    for thread in threading.enumerate():
        if thread.name == "evenfire long work":
            thread.join(120)
    proved = plain(seen(signer, visit))
    assert "Nothing stands against signing it." in proved
    assert "NOT PROVED YET" not in proved
    put(signer, visit, "note.1.text", "the trap drips")
    assert "NOT PROVED YET" in plain(seen(signer, visit))

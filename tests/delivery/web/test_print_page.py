"""The page of papers over HTTP: what is offered and why not, downloads with safe names, the code, the history."""

import html
import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from time import monotonic, sleep
from uuid import uuid4
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.testclient import TestClient

from evenfire.delivery.acts.print_offers import Offer, print_offers
from evenfire.delivery.acts.print_out import PaperKind, file_name
from evenfire.delivery.records import registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import KeptBoiler, KeptSite, May
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.web.application import application
from tests.delivery.acts.on_visit import (
    DAY,
    FOUND,
    LAUNDRY,
    QUILL,
    READER,
    WHOLE,
    Call,
    Clock,
    copy_of,
    new_store,
    opened,
)
from tests.delivery.papers.pages import size_in_points, text_of
from tests.delivery.web.conftest import HEADERS, TOKEN, Asking, Known

US = UnitSystem.US
ABOVE_VALVE = LAUNDRY.replace('high_limit = "140 psi"', 'high_limit = "155 psi"')
UNSURE = LAUNDRY.replace('reset = "manual"\n', "")
HOSTILE = "\\\"'><script>alert(1)</script>{{ 7*7 }}"
PATIENCE = 90.0
"""For one paper, proofs and all, on a busy machine [s]"""


def at_site(site: str, text: str = LAUNDRY) -> str:
    return text.replace('"Gull Quay Laundry"', f'"{site}"')


def boiler_of(store: Store, text: str = LAUNDRY) -> KeptBoiler:
    """The boiler of a plant file that is taken into the store."""
    (id_,) = surveys.take(store, text.encode(), "plant.toml").revision.boilers
    return next(each for each in registers.boilers_of(store) if each.id == id_)


def offers(store: Store, boiler: KeptBoiler) -> dict[PaperKind, Offer]:
    return {each.kind: each for each in print_offers(store, boiler, US).offers}


def words(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


def made(client: TestClient, boiler: str, **form: str) -> str:
    """The page that shows what became of a paper."""
    begun = client.post(f"/boilers/{boiler}/print", data={"token": TOKEN, **form})
    assert begun.status_code == 303, begun.text
    end = monotonic() + PATIENCE
    while monotonic() < end:
        page = client.get(begun.headers["location"]).text
        if "data-work=" not in page:
            return page
        sleep(0.1)
    raise AssertionError("the paper was not made in time")


@contextmanager
def asked_by(store: Store, name: str, base: str = "http://testserver") -> Iterator[TestClient]:
    person = registers.find_person(store, name)
    client = TestClient(Known(application(store), person), base_url=base, headers=HEADERS, follow_redirects=False)
    with client:
        yield client


@pytest.fixture(scope="module")
def stage(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    folder = tmp_path_factory.mktemp("printed")
    store = new_store(folder / "now" / "store.sqlite")
    call = Call(store, folder, opened(store, folder))
    call.enter(FOUND)
    call.settled()
    call.enter({**FOUND, **WHOLE})
    record = call.signed().record.id
    place = Path(store.place)
    store.close()
    return place, record


@pytest.fixture
def signed(stage: tuple[Path, str], tmp_path: Path) -> Iterator[Store]:
    with copy_of(stage[0], tmp_path / "signed", Clock(DAY + timedelta(hours=1))) as store:
        yield store


@pytest.fixture
def reader(kept: Store, asking: Asking) -> TestClient:  # noqa: ARG001 - the store is the one that is asked
    return asking(May.READ)


def test_of_a_survey_with_nothing_proposed_a_card_and_a_record_are_offered_and_the_rest_is_told(kept: Store) -> None:
    found = offers(kept, boiler_of(kept))
    assert found[PaperKind.SHEET].stops == (
        "Nothing is proposed and nothing was left: settle first, or print the as-found record.",
    )
    assert "There is no visit to report" in found[PaperKind.REPORT].stops[0]
    for kind in (PaperKind.CARD, PaperKind.RECORD):
        assert not found[kind].is_refused
    assert "not from a signed visit" in found[PaperKind.CARD].marked


def test_a_stop_finding_refuses_the_card_before_anybody_presses_and_leaves_the_record(
    kept: Store, reader: TestClient
) -> None:
    # DESIGN: no sheet or card for settings with a stop finding, except as an as-found record.
    boiler = boiler_of(kept, ABOVE_VALVE)
    found = offers(kept, boiler)
    assert any("above the MAWP of 150 psi" in each for each in found[PaperKind.CARD].stops)
    assert not found[PaperKind.RECORD].is_refused
    shown = reader.get(f"/boilers/{boiler.id}/print").text
    assert 'value="card"' not in shown
    assert 'value="record"' in shown
    assert "STOP The high limit trips at 154.8 psi" in words(shown)


def test_a_stop_rule_that_could_not_be_judged_asks_for_a_name_and_a_licence(kept: Store, reader: TestClient) -> None:
    boiler = boiler_of(kept, UNSURE)
    (unjudged,) = offers(kept, boiler)[PaperKind.CARD].unjudged
    assert "reset" in unjudged
    shown = reader.get(f"/boilers/{boiler.id}/print").text
    assert 'name="licence"' in shown
    for name, licence in (("Ada Quill", ""), ("", "L-17"), ("Ada Quill", "L-17, L-18"), ("A\x07", "L-17")):
        form = {"token": TOKEN, "kind": "card", "name": name, "licence": licence}
        assert reader.post(f"/boilers/{boiler.id}/print", data=form).status_code == 422, (name, licence)


def test_an_open_visit_without_a_reading_says_so_and_can_still_be_reported(kept: Store, tmp_path: Path) -> None:
    registers.add_person(kept, QUILL, licence="B-1204", may=May.SIGN)
    opened(kept, tmp_path)
    found = offers(kept, registers.boilers_of(kept)[0])
    assert found[PaperKind.CARD].stops == (
        "No pressure is known, so there is nothing for a card to tell. Read the dials first.",
    )
    assert found[PaperKind.RECORD].stops == ("No dial was read as found, so there is nothing to record.",)
    assert found[PaperKind.REPORT].marked == "The visit is open: this paper is marked NOT SIGNED."


def test_a_reader_saves_report_and_card_of_a_signed_visit_as_files_on_the_paper_of_the_device(
    signed: Store, stage: tuple[Path, str]
) -> None:
    (boiler,) = registers.boilers_of(signed)
    with asked_by(signed, READER) as client:
        for kind, size in (("report", "letter"), ("card", "a4")):
            client.cookies.set("evenfire_paper", size)
            page = made(client, boiler.id, kind=kind, of=stage[1])
            link = re.search(r'href="(/boilers/[^"]+\.pdf\?work=[^"]+)"', page)
            assert link is not None, words(page)
            answer = client.get(html.unescape(link[1]))
            assert answer.headers["content-type"] == "application/pdf"
            assert answer.headers["content-disposition"] == (
                f'attachment; filename="gull-quay-laundry-no-1-{kind}-2026-11-25.pdf"'
            )
            assert answer.headers["x-content-type-options"] == "nosniff"
            assert answer.content.startswith(b"%PDF-")
            assert "Gull Quay Laundry" in text_of(answer.content)
            # ISO 216: A4 is 210 mm by 297 mm; ANSI/ASME Y14.1: Letter is 8.5 in by 11 in; 72 points make an inch.
            width, height = (8.5 * 72, 11 * 72) if size == "letter" else (210 / 25.4 * 72, 297 / 25.4 * 72)
            assert size_in_points(answer.content) == pytest.approx((width, height), abs=0.5)
            # The link of one paper opens no other, and not at another boiler.
            other = "card" if kind == "report" else "report"
            assert client.get(html.unescape(link[1]).replace(f"/{kind}.pdf", f"/{other}.pdf")).status_code == 404
            assert client.get(html.unescape(link[1]).replace(boiler.id, str(uuid4()))).status_code == 404


def test_what_motion_refuses_is_told_on_the_page_and_nothing_can_be_saved(kept: Store, reader: TestClient) -> None:
    boiler = boiler_of(kept, UNSURE)
    shown = made(reader, boiler.id, kind="card")
    assert "Not printed." in shown
    assert "could not be judged" in words(shown)
    assert ".pdf?work=" not in shown


def test_papers_are_made_of_the_visits_of_this_boiler_alone(signed: Store, stage: tuple[Path, str]) -> None:
    other = boiler_of(signed, at_site("Heron Dye Works"))
    with asked_by(signed, READER) as client:
        for of in (stage[1], stage[1][:8], str(uuid4()), "../../etc/passwd"):
            form = {"token": TOKEN, "kind": "report", "of": of}
            assert client.post(f"/boilers/{other.id}/print", data=form).status_code == 404
        assert client.post(f"/boilers/{other.id}/print", data={"token": TOKEN, "kind": "poster"}).status_code == 422
        assert client.get(f"/boilers/{other.id}/print/../../x.pdf").status_code == 404
        shown = client.get(f"/boilers/{other.id}/print", params={"work": "nothing"})
        assert "not kept any more" in shown.text


def test_past_visits_are_listed_and_their_records_verified_at_a_press(signed: Store, stage: tuple[Path, str]) -> None:
    (boiler,) = registers.boilers_of(signed)
    with asked_by(signed, READER) as client:
        at = f"/boilers/{boiler.id}/print"
        shown = client.get(at).text
        assert f"2026-11-25, Ada Quill, record {stage[1][:8]}." in words(shown)
        assert "where its limits acted" in shown
        assert "VERIFIED" not in shown
        assert "VERIFIED: unchanged" in client.get(at, params={"verify": "yes"}).text
        with sqlite3.connect(signed.place) as database:
            database.execute("UPDATE records SET content = replace(content, 'Ada Quill', 'Ada Quilt')")
        database.close()
        assert "DOES NOT VERIFY" in client.get(at, params={"verify": "yes"}).text
        assert "Its records do not verify" in client.get("/").text


def test_the_code_holds_the_address_at_which_the_server_was_reached_dark_on_light(signed: Store) -> None:
    (boiler,) = registers.boilers_of(signed)
    with asked_by(signed, READER, "https://boilers.example:8443") as client:
        shown = client.get(f"/boilers/{boiler.id}/print").text
        address = f"https://boilers.example:8443/boilers/{boiler.id}"
        assert address in shown
        assert "--self-signed" not in shown
        code = client.get(f"/boilers/{boiler.id}/qr.svg")
        assert "default-src 'none'" in code.headers["content-security-policy"]
        root = ET.fromstring(code.text)
        assert root.findtext("{*}title") == address
        # ISO/IEC 18004: dark modules on a light ground, with four free modules round them.
        ground, modules = (each for each in root.iter() if each.tag.endswith("path"))
        assert (ground.attrib["fill"], modules.attrib["stroke"]) == ("#fff", "#000")
        assert modules.attrib["d"].startswith("M4 4.5h7")
        assert client.get(f"/boilers/{boiler.id}/qr.svg", params={"at": 1}).status_code == 404


@pytest.mark.parametrize("base", ["http://localhost:8000", "http://127.0.0.1:8000", "http://[::1]:8000"])
def test_on_this_computer_alone_the_page_says_that_a_phone_would_open_nothing(signed: Store, base: str) -> None:
    (boiler,) = registers.boilers_of(signed)
    with asked_by(signed, READER, base) as client:
        shown = client.get(f"/boilers/{boiler.id}/print").text
        assert "qr.svg" not in shown
        assert "evenfire serve --listen ADDRESS --self-signed" in shown


def test_other_names_of_the_server_have_codes_of_their_own(signed: Store) -> None:
    (boiler,) = registers.boilers_of(signed)
    app = application(signed)
    app.state.addresses = ("https://192.0.2.7:8443", "http://localhost:8000")
    with TestClient(Known(app, registers.find_person(signed, READER)), base_url="http://localhost:8000") as client:
        shown = client.get(f"/boilers/{boiler.id}/print").text
        assert f"https://192.0.2.7:8443/boilers/{boiler.id}" in shown
        (at,) = re.findall(r"qr\.svg\?at=(\d+)", shown)
        code = client.get(f"/boilers/{boiler.id}/qr.svg", params={"at": at})
        assert ET.fromstring(code.text).findtext("{*}title") == f"https://192.0.2.7:8443/boilers/{boiler.id}"


@given(st.text(max_size=80), st.text(max_size=80), st.sampled_from(PaperKind))
def test_the_name_of_a_file_can_be_kept_by_any_computer_and_breaks_no_header(
    site: str, name: str, kind: PaperKind
) -> None:
    id_ = "523084e6-c887-5354-87fe-e794a165a81c"
    boiler = KeptBoiler(id=id_, site=KeptSite(id=id_, name=site, address=""), name=name, serial=None, registration=None)
    assert re.fullmatch(r"[a-z0-9][a-z0-9-]*-2026-11-25\.pdf", file_name(boiler, kind, date(2026, 11, 25)))
    assert len(file_name(boiler, kind, date(2026, 11, 25))) < 120


def test_a_name_without_a_single_plain_letter_still_gives_a_name_of_a_file() -> None:
    id_ = "523084e6-c887-5354-87fe-e794a165a81c"
    boiler = KeptBoiler(
        id=id_, site=KeptSite(id=id_, name="洗濯工場", address=""), name="第二", serial=None, registration=None
    )
    assert file_name(boiler, PaperKind.CARD, date(2026, 11, 25)) == "boiler-523084e6-card-2026-11-25.pdf"


def test_names_that_would_be_obeyed_are_shown_as_they_are(kept: Store, reader: TestClient) -> None:
    boiler = boiler_of(kept, at_site(HOSTILE))
    shown = reader.get(f"/boilers/{boiler.id}/print").text
    assert "<script>alert" not in shown
    assert "{{ 7*7 }}" in html.unescape(shown)


def test_a_boiler_without_a_survey_has_nothing_to_print(kept: Store, reader: TestClient) -> None:
    site = registers.add_site(kept, "Nowhere Mill")
    boiler = registers.add_boiler(kept, site.id, "B 1")
    assert "There is no survey of this boiler yet" in reader.get(f"/boilers/{boiler.id}/print").text
    assert reader.get(f"/boilers/{uuid4()}/print").status_code == 404


def test_nobody_prints_without_a_login_or_without_the_token_of_the_page(kept: Store, asking: Asking) -> None:
    boiler = boiler_of(kept).id
    for path in (f"/boilers/{boiler}/print", f"/boilers/{boiler}/qr.svg", f"/boilers/{boiler}/print/card.pdf?work=x"):
        answer = asking(None).get(path, headers={"Accept": "text/html"})
        assert (answer.status_code, answer.headers["location"]) == (303, "/enter"), path
        assert asking(None).get(path, headers={"Accept": "application/json"}).status_code == 401
    client = asking(May.READ)
    del client.headers["X-Evenfire-Token"]
    assert client.post(f"/boilers/{boiler}/print", data={"kind": "card"}).status_code == 403

"""The page of a settle: asking, work under way, the answer, its pictures, and putting it into a visit.

That its numbers and sentences are those of the command line is held in ``test_same_words``.
"""

import gzip
import re
import subprocess
import sys
import time
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator
from pathlib import Path
from uuid import uuid4

import pytest
from starlette.testclient import TestClient

from evenfire.delivery.acts import visiting
from evenfire.delivery.acts.checking import check_of, has_stale_proposal
from evenfire.delivery.acts.entering import Sent, enter
from evenfire.delivery.acts.settling import settle_of
from evenfire.delivery.acts.settling_here import settle_here
from evenfire.delivery.intake.plant_file import read_plant_text
from evenfire.delivery.records import registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import May, Person
from evenfire.delivery.report.settle_page import name_of, scenario_of, step_told
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.web.work import Work
from evenfire.errors import BadRequest
from evenfire.judgement.proofs.result import Scenario
from evenfire.judgement.settle.result import Fits
from evenfire.si import PA_PER_PSI
from tests.delivery.web.conftest import Asking
from tests.delivery.web.test_work import Gate

EXAMPLES = Path(__file__).parents[3] / "examples"
PATIENCE = 120.0
MOST_OF_A_PAGE = 20_000
"""[bytes]"""
FOUND = {
    "as_found.operating_limit": "120 psi",
    "as_found.operating_limit_differential": "8 psi",
    "as_found.high_limit": "140 psi",
    "as_found.firing_rate": "110 psi",
    "as_found.firing_rate_differential": "15 psi",
    "as_found.low_fire_hold": "60 psi",
    "as_found.switch": "automatic",
    "as_found.jumpers": "none",
}


def taken(store: Store, name: str = "laundry") -> str:
    """A demo plant in the store; the id of its boiler."""
    surveys.take(store, (EXAMPLES / f"{name}.toml").read_bytes(), f"{name}.toml")
    return registers.boilers_of(store)[0].id


def ended(client: TestClient, address: str) -> str:
    """The page once nothing is under way."""
    end = time.monotonic() + PATIENCE
    while "data-work=" in (page := client.get(address).text):
        assert time.monotonic() < end, "it never ended"
        time.sleep(0.05)
    return page


def settled(client: TestClient, boiler: str, target: str = "") -> str:
    """The page with its answer."""
    answer = client.post(f"/boilers/{boiler}/settle", data={"target": target})
    assert answer.status_code == 303
    page = ended(client, answer.headers["location"])
    assert 'id="answer"' in page
    return page


def work_of(client: TestClient) -> Work:
    found: Work = client.app.app.state.work  # type: ignore[attr-defined]
    return found


def pictures(page: str) -> set[str]:
    return {each.replace("&amp;", "&") for each in re.findall(r'(?:src|srcset)="(/boilers/[^"]+\.svg[^"]*)"', page)}


def writer(store: Store) -> Person:
    return next(each for each in registers.people_of(store) if each.may is May.WRITE)


def typed(store: Store, visit: str, by: Person, fields: dict[str, str]) -> None:
    for path, text in fields.items():
        sent = Sent(id=str(uuid4()), draft=visit, path=path, text=text, device="test", at=store.clock(), based_on=())
        enter(store, sent, by, UnitSystem.US)


@pytest.fixture
def busy(asking: Asking) -> Iterator[Callable[[], None]]:
    """Keeps every thread for long work busy until it is called."""
    gate, work = Gate(), work_of(asking(May.WRITE))
    for place in range(work.at_once):
        work.start(("busy", place), gate)
    yield gate.is_open.set
    gate.is_open.set()


def test_before_a_settle_the_page_shows_need_and_wish_and_a_button_only_to_who_may_write(
    kept: Store, asking: Asking
) -> None:
    boiler = taken(kept)
    page = asking(May.WRITE).get(f"/boilers/{boiler}/settle").text
    # As the demo plant file states them.
    assert "105 psi" in page
    assert "130 psi" in page
    assert "<button" in page.split('id="ask"')[1].split("</section>")[0]
    page = asking(May.READ).get(f"/boilers/{boiler}/settle").text
    assert "<button" not in page.split('id="ask"')[1].split("</section>")[0]
    assert "You may read here" in page


def test_a_boiler_without_a_survey_is_told_so(kept: Store, asking: Asking) -> None:
    site = registers.add_site(kept, "Bare Yard")
    boiler = registers.add_boiler(kept, site.id, "No. 9").id
    answer = asking(May.WRITE).get(f"/boilers/{boiler}/settle")
    assert answer.status_code == 404
    assert "There is no survey of this boiler yet" in answer.text


def test_work_under_way_is_followed_and_a_reader_sees_it_without_a_button_to_stop_it(
    kept: Store, asking: Asking, busy: Callable[[], None]
) -> None:
    boiler, client = taken(kept), asking(May.WRITE)
    client.post(f"/boilers/{boiler}/settle", data={"target": ""})
    page = client.get(f"/boilers/{boiler}/settle").text
    work = re.search(r'data-work="([^"]+)"', page)
    assert work is not None
    assert "waiting for other work" in page
    assert "Stop it" in page
    read = asking(May.READ).get(f"/boilers/{boiler}/settle").text
    assert work.group(1) in read
    assert "Stop it" not in read
    assert asking(May.READ).get(f"/progress/{work.group(1)}").json()["ended"] is False
    busy()
    assert 'id="answer"' in ended(client, f"/boilers/{boiler}/settle")


def test_stopped_work_is_told_and_may_be_begun_again(kept: Store, asking: Asking, busy: Callable[[], None]) -> None:
    boiler, client = taken(kept), asking(May.WRITE)
    client.post(f"/boilers/{boiler}/settle", data={"target": "+2 psi"})
    assert client.post(f"/boilers/{boiler}/settle/stop", data={"target": "+2 psi"}).status_code == 303
    page = client.get(f"/boilers/{boiler}/settle?target=%2B2+psi").text
    assert "Stopped. Nothing was settled." in page
    assert 'value="+2 psi"' in page
    busy()
    assert "107 psi" in settled(client, boiler, "+2 psi")


@pytest.mark.parametrize(
    ("target", "why"),
    [
        ("90 psi", "is stopped by the need"),
        ("-1 division", "is stopped by the need"),
        ("115", "unit"),
        ("115 furlongs", "furlongs"),
        ("<script>alert(1)</script>", "&lt;script&gt;"),
    ],
)
def test_a_target_that_cannot_be_asked_for_is_refused_beside_its_field(
    target: str, why: str, kept: Store, asking: Asking
) -> None:
    boiler, client = taken(kept), asking(May.WRITE)
    answer = client.post(f"/boilers/{boiler}/settle", data={"target": target})
    assert answer.status_code == 422
    refusal = answer.text.split('id="refusal"')[1].split("</p>")[0]
    assert why in refusal
    assert 'aria-describedby="refusal"' in answer.text
    assert "<script>alert" not in answer.text


def test_an_error_and_a_mistake_of_the_program_are_told_on_the_page(
    kept: Store, asking: Asking, caplog: pytest.LogCaptureFixture
) -> None:
    from evenfire.delivery.acts.settling_here import to_settle

    boiler, client = taken(kept), asking(May.WRITE)
    asked = to_settle(kept, registers.boilers_of(kept)[0], "")
    assert asked is not None

    def refuses(_watch: object) -> object:
        raise BadRequest("This boiler cannot be run.")

    def breaks(_watch: object) -> object:
        raise ZeroDivisionError

    work_of(client).start(asked.key, refuses)
    assert "This boiler cannot be run." in ended(client, f"/boilers/{boiler}/settle")
    id_ = work_of(client).start(asked.key, breaks)
    page = ended(client, f"/boilers/{boiler}/settle")
    assert "The program failed" in page
    assert id_ in page
    assert id_ in caplog.text
    assert "ZeroDivisionError" not in page


def test_the_answer_is_there_for_everybody_and_for_a_reader_without_buttons(kept: Store, asking: Asking) -> None:
    boiler = taken(kept)
    page = settled(asking(May.WRITE), boiler)
    assert "SETTLED" in page
    read = asking(May.READ).get(f"/boilers/{boiler}/settle").text
    assert read.split('id="answer"')[1].split("</section>")[0] == page.split('id="answer"')[1].split("</section>")[0]
    assert "/settle/plant.toml" not in read
    assert "<form" not in read.split('id="main"')[1].split("</main>")[0]


def test_one_division_up_is_offered_where_it_fits_and_down_only_where_the_need_allows_it(
    kept: Store, asking: Asking
) -> None:
    # The scale of the laundry's operating limit has divisions of 2 psi, and its need is 105 psi.
    boiler, client = taken(kept), asking(May.WRITE)
    page = settled(client, boiler)
    assert "One division up: 107 psi" in page
    assert 'value="+1 division"' in page
    assert "One division down: not allowed. 103 psi is below the need of the plant." in page
    raised = settled(client, boiler, "+1 division")
    assert "One division down: 105 psi" in raised
    assert 'name="target" value=""' in raised
    assert "109 psi" in raised


def test_where_nothing_fits_a_division_is_refused_with_the_demand_that_fails(kept: Store, asking: Asking) -> None:
    page = settled(asking(May.WRITE), taken(kept, "school-by-dial"))
    assert "One division up: not allowed. Nothing fits at 4.5 psi: the need through a restart: short by" in page


def test_a_division_that_breaks_a_stop_rule_or_cannot_be_settled_is_not_allowed() -> None:
    plant_file = read_plant_text((EXAMPLES / "laundry.toml").read_text(), "laundry.toml")
    answer = settle_of(plant_file, in_motion=False).boilers[0].answer
    assert isinstance(answer, Fits)
    at = 107 * PA_PER_PSI
    assert step_told("+1 division", at, answer, UnitSystem.US).why_not == ""  # type: ignore[arg-type]
    # The same plant with a high limit that comes back by itself: the dials fit, and it must not be fired so.
    text = (EXAMPLES / "laundry.toml").read_text().replace('reset = "manual"', 'reset = "automatic"', 1)
    unsafe = settle_of(read_plant_text(text, "laundry.toml"), in_motion=False).boilers[0].answer
    assert isinstance(unsafe, Fits)
    told = step_told("+1 division", at, unsafe, UnitSystem.US)  # type: ignore[arg-type]
    assert told.why_not == "At 107 psi a stop rule would be broken."


def test_no_division_is_offered_for_a_target_in_psi_or_without_a_scale() -> None:
    text = (EXAMPLES / "laundry.toml").read_text()
    plant_file = read_plant_text(text, "laundry.toml")
    found = settle_here(plant_file, "No. 1", "110 psi", UnitSystem.US, None)
    assert (found.up, found.down) == (None, None)
    assert found.held == pytest.approx(110 * PA_PER_PSI)


def test_where_nothing_fits_the_least_bad_is_locked_out_and_can_neither_be_put_in_nor_written(
    kept: Store, asking: Asking
) -> None:
    boiler, client = taken(kept, "school-by-dial"), asking(May.WRITE)
    page = settled(client, boiler)
    assert "NOTHING FITS" in page
    assert "LEAST BAD" in page
    assert "BURNER OFF AND LOCKED OUT" in page
    assert 'id="put"' not in page
    assert 'id="moves"' not in page
    work = re.search(r"work=([\w-]+)", page)
    assert work is not None
    answer = client.get(f"/boilers/{boiler}/settle/plant.toml?work={work.group(1)}")
    assert answer.status_code == 422
    assert "Nothing is written" in answer.text


def test_every_picture_of_the_answer_is_an_svg_and_traces_wait_until_they_are_looked_at(
    kept: Store, asking: Asking
) -> None:
    boiler, client = taken(kept), asking(May.WRITE)
    page = settled(client, boiler)
    asked = {each for each in pictures(page) if "width=360" in each}
    names = {re.sub(r".*/([\w-]+)\.svg.*", r"\1", each) for each in asked}
    assert {"stack", "high-limit-alone", "valves-alone", "the-plants-day".replace("the-plants-", "")} <= names
    for each in asked:
        answer = client.get(each)
        assert answer.status_code == 200, each
        assert answer.headers["content-type"] == "image/svg+xml"
        assert "default-src 'none'" in answer.headers["content-security-policy"]
        assert ET.fromstring(answer.content).tag.endswith("}svg")
        assert "immutable" in answer.headers["cache-control"]
    tags = re.findall(r'<img src="/boilers/[^>]*>', page)
    assert tags
    assert all('loading="lazy"' in tag and 'alt="' in tag for tag in tags)
    one = next(each for each in asked if "high-limit-alone" in each)
    assert client.get(one).content == client.get(one).content
    assert asking(None).get(one).status_code == 303


def test_a_picture_that_is_not_kept_or_does_not_exist_is_said_to_be_gone(kept: Store, asking: Asking) -> None:
    boiler, client = taken(kept), asking(May.WRITE)
    page = settled(client, boiler)
    one = next(each for each in pictures(page) if "high-limit-alone" in each)
    assert client.get(one.replace("high-limit-alone", "no-such-thing")).status_code == 404
    assert client.get(re.sub(r"work=[\w-]+", "work=gone", one)).status_code == 404
    assert client.get(f"/boilers/{boiler}/settle/stack.svg?work=gone").status_code == 404
    assert client.get(f"/boilers/{boiler}/settle/plant.toml?work=gone").status_code == 404


def test_every_scenario_has_a_name_of_its_own_in_an_address() -> None:
    assert len({name_of(each) for each in Scenario}) == len(Scenario)
    assert all(scenario_of(name_of(each)) is each for each in Scenario)
    assert all(re.fullmatch(r"[a-z-]+", name_of(each)) for each in Scenario)
    assert scenario_of("../secret") is None


def test_the_plant_file_is_given_out_with_the_proposal_that_the_page_shows(kept: Store, asking: Asking) -> None:
    boiler, client = taken(kept), asking(May.WRITE)
    page = settled(client, boiler)
    address = re.search(r'href="([^"]+/settle/plant\.toml[^"]+)"', page)
    assert address is not None
    answer = client.get(address.group(1))
    assert answer.headers["content-disposition"].startswith("attachment")
    written = read_plant_text(answer.text, "plant.toml")
    proposed = written.plant.boilers[0].proposed
    assert proposed is not None
    assert not has_stale_proposal(written, written.plant.boilers[0])
    done = settle_of(surveys.give(kept, boiler).plant_file()).boilers[0].answer
    assert isinstance(done, Fits)
    for role in ("operating_limit", "high_limit", "firing_rate", "low_fire_hold"):
        now, wanted = getattr(proposed.settings, role), getattr(done.chosen.settings, role)
        assert now.main == pytest.approx(wanted.main, abs=1.0)
    assert check_of(written).boilers[0].beside_stale is False


def test_without_a_visit_one_is_offered_and_one_without_readings_takes_no_settings(kept: Store, asking: Asking) -> None:
    boiler, client = taken(kept), asking(May.WRITE)
    page = settled(client, boiler)
    assert f'href="/boilers/{boiler}/visit"' in page.split('id="put"')[1]
    visit = visiting.open_visit(kept, writer(kept), plant=None, boiler=boiler).at.draft.id
    page = client.get(f"/boilers/{boiler}/settle").text
    assert "Read a dial on it first" in page
    answer = client.post(f"/visits/{visit}/settle", data={"target": ""})
    assert answer.status_code == 422
    assert "Read a dial on this visit first" in answer.text


def test_what_was_settled_is_put_into_the_visit_with_its_moves_and_is_stale_after_another_reading(
    kept: Store, asking: Asking
) -> None:
    boiler, client = taken(kept), asking(May.WRITE)
    visit = visiting.open_visit(kept, writer(kept), plant=None, boiler=boiler).at.draft.id
    typed(kept, visit, writer(kept), FOUND)
    page = settled(client, boiler, "+1 division")
    assert "as the open visit read them" in page
    assert "Put it into the visit" in page
    assert "/settle/plant.toml" not in page
    answer = client.post(f"/visits/{visit}/settle", data={"target": "+1 division"})
    assert (answer.status_code, answer.headers["location"]) == (303, f"/visits/{visit}")
    at = visiting.at_visit(kept, visit)
    assert at.visit.proposed is not None
    assert at.visit.proposed.plant_revision == at.plant_file.revision
    assert at.fold.text("move.1.words")
    page = client.get(f"/boilers/{boiler}/settle?target=%2B1+division").text
    assert "It stands in the open visit" in page
    assert "STALE" not in page
    head = at.fold.fields["as_found.high_limit"].heads[-1].id
    sent = Sent(
        id=str(uuid4()),
        draft=visit,
        path="as_found.high_limit",
        text="138 psi",
        device="test",
        at=kept.clock(),
        based_on=(head,),
    )
    enter(kept, sent, writer(kept), UnitSystem.US)
    page = client.get(f"/boilers/{boiler}/settle?target=%2B1+division").text
    assert 'id="answer"' not in page
    assert "STALE" in page


def test_a_visit_that_nobody_settled_yet_is_settled_first_and_then_holds_the_proposal(
    kept: Store, asking: Asking
) -> None:
    boiler, client = taken(kept), asking(May.WRITE)
    visit = visiting.open_visit(kept, writer(kept), plant=None, boiler=boiler).at.draft.id
    typed(kept, visit, writer(kept), FOUND)
    answer = client.post(f"/visits/{visit}/settle", data={"target": ""})
    assert (answer.status_code, answer.headers["location"]) == (303, f"/boilers/{boiler}/settle")
    page = ended(client, f"/boilers/{boiler}/settle")
    assert "It stands in the open visit" in page
    assert visiting.at_visit(kept, visit).visit.proposed is not None


def test_nothing_unsafe_or_unfit_is_put_into_a_visit(kept: Store, asking: Asking) -> None:
    boiler, client = taken(kept, "school-by-dial"), asking(May.WRITE)
    visit = visiting.open_visit(kept, writer(kept), plant=None, boiler=boiler).at.draft.id
    typed(kept, visit, writer(kept), {"as_found.operating_limit": "9 psi", "as_found.high_limit": "11.5 psi"})
    settled(client, boiler)
    answer = client.post(f"/visits/{visit}/settle", data={"target": ""})
    assert answer.status_code == 422
    assert "Nothing was put into the visit" in answer.text
    assert visiting.at_visit(kept, visit).visit.proposed is None


def test_the_page_with_its_answer_its_style_and_its_script_is_small(kept: Store, asking: Asking) -> None:
    # On a link of 800 kbit/s that is a fifth of a second.
    client = asking(May.WRITE)
    page = settled(client, taken(kept, "board-mill"))
    files = [client.get(each).content for each in set(re.findall(r'"(/static/evenfire[^"]+)"', page))]
    assert len(files) == 2
    assert sum(len(gzip.compress(each, 6)) for each in (page.encode(), *files)) <= MOST_OF_A_PAGE


def test_looking_at_the_page_before_the_first_settle_loads_no_compiler_and_no_drawing_of_traces() -> None:
    program = (
        "import sys\n"
        "from evenfire.delivery.web.pages import settle\n"
        "heavy = [each for each in ('numba', 'matplotlib', 'scipy') if each in sys.modules]\n"
        "print(settle.router is not None, heavy)\n"
    )
    told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "True []"

"""A store in which every text is hostile, filled in through the pages; and the same store with harmless twins."""

import io
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from itertools import count
from pathlib import Path
from typing import Final
from uuid import UUID, uuid5

from httpx2 import Response
from PIL import Image
from starlette.testclient import TestClient

from evenfire.delivery.acts import people, surveying
from evenfire.delivery.intake.survey_fields import field_of, fields
from evenfire.delivery.intake.survey_kinds import Text
from evenfire.delivery.records import entries, instruments
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.instruments import Calibration
from evenfire.delivery.records.registers import May, Person
from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.fields import MANY, ONCE, REPEATED, Holds
from evenfire.delivery.web.application import application
from tests.delivery.acts.on_visit import FOUND, PASSPHRASE, WHOLE, Clock
from tests.delivery.acts.typing_surveys import demo, typed_from
from tests.delivery.web.conftest import TOKEN, Known
from tests.delivery.web.hostile import PAYLOADS, turned

Say = Callable[[str], str]

_NAMES: Final = UUID("e7a7f6c2-6c53-4c1a-93a9-3d1fc1a3c6f1")
AT: Final = "2026-11-25T15:30:00Z"
LONGEST_WAIT: Final = 120.0
"""For settings and papers, on a machine that does something else [s]"""
SITE: Final = '<script>alert("site")</script>{{1337*1337}}'
BOILER: Final = "\"><img src=x onerror=alert('boiler')>"
SIGNER: Final = "</title><script>alert('person')</script>"
GAUGE: Final = "=cmd|'/C calc'!A1\"<b>"
FILE: Final = '../../..\\..\\"><script>x</script>\u202e;\r\nX-Bad: 1; name=gnp.png'
DEVICE: Final = "<i>phone</i> {{1337*1337}}"


@dataclass
class World:
    """What was made, and where it is shown."""

    store: Store
    client: TestClient
    person: Person
    say: Say
    boiler: str = ""
    visits: list[str] = field(default_factory=list)
    """The signed one, and the open one"""
    photo: str = ""
    settled: str = ""
    """Id of the work that settled"""
    pages: dict[str, str] = field(default_factory=dict)
    """Pages that were seen on the way and look otherwise now"""

    def send(self, place: str, **form: str) -> Response:
        """Send a form of ours."""
        answer = self.client.post(place, data={"token": TOKEN, **form})
        assert answer.status_code == 303, (place, answer.status_code, answer.text[:2000])
        return answer

    def put(self, draft: str, path: str, text: str, *, turn: str = "") -> Response:
        """Send one entry as the script does."""
        entry = {
            "draft": draft,
            "path": path,
            "text": text,
            "device": self.say(DEVICE),
            "at": AT,
            "based_on": [],
        }
        return self.client.put(f"/entries/{uuid5(_NAMES, draft + path + turn)}", json=entry)

    def type_all(self, draft: str, said: dict[str, str], *, turn: str = "") -> None:
        """Send entries that are all taken."""
        for path, text in said.items():
            answer = self.put(draft, path, text, turn=turn)
            assert answer.status_code == 200, (path, answer.text)

    def finished(self, work: str) -> None:
        """Wait until long work has ended."""
        until = time.monotonic() + LONGEST_WAIT
        while not self.client.get(f"/progress/{work}").json()["ended"]:
            assert time.monotonic() < until
            time.sleep(0.05)


@contextmanager
def world(folder: Path, say: Say) -> Iterator[World]:
    """A store with one boiler, a survey, a signed visit with an amendment, an open survey and an open visit."""
    with Store.open(folder / "store.sqlite", clock=Clock()) as store:
        person = people.add(store, say(SIGNER), say(PAYLOADS[0]), May.SIGN, PASSPHRASE).person
        app = application(store)
        with TestClient(Known(app, person), headers={"X-Evenfire-Token": TOKEN}, follow_redirects=False) as client:
            made = World(store, client, person, say)
            _gauge(made)
            _survey(made)
            _visit(made)
            _drafts(made)
            yield made


def _gauge(made: World) -> None:
    store, say = made.store, made.say
    instruments.add_gauge(
        store,
        serial=say(GAUGE),
        name=say(PAYLOADS[1]),
        scale_from="0 psi",
        scale_to="200 psi",
        division="0.5 psi",
        accuracy="0.1 %",
    )
    calibration = Calibration(
        made_on=date(2026, 9, 14),
        due_on=None,
        certificate=say(PAYLOADS[10]),
        made_by=say(PAYLOADS[12]),
        correction=None,
        expanded_uncertainty="0.1 psi",
        coverage_factor="2",
        attachment=None,
    )
    instruments.add_calibration(store, say(GAUGE), calibration)


def _survey(made: World) -> None:
    """A complete survey, with a hostile text in every field that takes one."""
    say, payload = made.say, count()
    at = made.send("/boilers/new", site=say(SITE), boiler=say(BOILER)).headers["location"]
    made.boiler = at.split("/")[2]
    said = typed_from(demo("laundry.toml"))
    texts = {path for path in said if isinstance(field_of(path).holds, Text)}
    texts |= {path.replace("#", "1") for path, each in fields().items() if isinstance(each.holds, Text)}
    # A price is for a unit of energy, and a file of a recorded load would be another shape of demand.
    texts -= {"site.fuel_price.currency", "site.fuel_price.per", "load.demand.file"}
    for path in sorted(texts):
        said[path] = say(PAYLOADS[next(payload) % len(PAYLOADS)])
    draft = surveying.open_draft(made.store, made.boiler)
    assert draft is not None
    made.type_all(draft.id, said)
    made.send(f"{at}/take", draft=draft.id, seen=entries.entries_of(made.store, draft.id)[-1].id)


def _visit(made: World) -> None:
    """A whole call, with a hostile text in every field that takes one and stops no signature."""
    say, payload = made.say, count()
    made.send(f"/boilers/{made.boiler}/settle", target="")
    made.visits.append(made.send(f"/boilers/{made.boiler}/visit").headers["location"].rpartition("/")[2])
    visit = made.visits[0]
    said = {**FOUND, **WHOLE}
    said |= {path: say(GAUGE) for path in said if path.endswith(".gauge")}
    for path in said | {"call.reason": "", "trip.1.note": "", "note.1.text": "", "note.2.text": ""}:
        table, *_, key = path.split(".")
        kinds = ONCE.get(table) or MANY[table]
        if kinds.get(key) is Holds.TEXT and key != "gauge":
            said[path] = say(PAYLOADS[next(payload) % len(PAYLOADS)])
    made.type_all(visit, {path: said[path] for path in FOUND})
    made.send(f"/visits/{visit}/settle", target="")
    while (page := made.client.get(f"/boilers/{made.boiler}/settle")).text.count('data-work="'):
        made.finished(page.text.partition('data-work="')[2].partition('"')[0])
    made.pages["settled"] = page.text
    made.settled = page.text.partition("stack.svg?work=")[2].partition("&")[0]
    made.type_all(visit, said)
    made.photo = photograph(made, visit, say(FILE))
    looked = made.client.get(f"/visits/{visit}").text.partition('name="seen" value="')[2].partition('"')[0]
    signed = made.client.post(f"/visits/{visit}/sign", data={"token": TOKEN, "passphrase": PASSPHRASE, "seen": looked})
    assert signed.status_code == 200, signed.text
    made.pages["signed"] = signed.text
    for each in (*PAYLOADS[:3], turned(0)):
        form = {"token": TOKEN, "passphrase": PASSPHRASE, "text": say(each)}
        amended = made.client.post(f"/visits/{visit}/amend", data=form)
        assert amended.status_code == 200, amended.text


def photograph(made: World, visit: str, name: str) -> str:
    """Hash of a photograph of a hostile name that shows something hostile."""
    content = io.BytesIO()
    Image.new("RGB", (12, 8), "red").save(content, "PNG")
    answer = made.client.post(
        f"/visits/{visit}/photos",
        data={"token": TOKEN, "shows": made.say(PAYLOADS[1])},
        files={"photo": (name, content.getvalue(), "text/html")},
    )
    assert answer.status_code == 303, answer.text
    page = "".join(made.client.get(f"/visits/{visit}{rest}").text for rest in ("", "/steps"))
    return page.partition('href="/attachments/')[2].partition('"')[0]


def every_path() -> list[str]:
    """Every field of a visit, in its first row."""
    once = [f"{table}.{key}" for table, keys in ONCE.items() for key in keys]
    many = [f"{table}.1.{key}" for table, keys in MANY.items() for key in keys]
    return [*once, *many, *(f"{table}.1.{key}.1" for table, keys in REPEATED.items() for key in keys)]


def every_survey_path() -> list[str]:
    """Every field of a survey, in its first rows."""
    return [path.replace("#", "1") for path in fields()]


def _drafts(made: World) -> None:
    """Everything at once in every field of an open survey and of an open visit, and two values in each."""
    made.visits.append(made.send(f"/boilers/{made.boiler}/visit").headers["location"].rpartition("/")[2])
    made.send(f"/boilers/{made.boiler}/survey")
    draft = surveying.open_draft(made.store, made.boiler)
    assert draft is not None
    for to, paths in ((made.visits[1], every_path()), (draft.id, every_survey_path())):
        made.type_all(to, {path: made.say(turned(place)) for place, path in enumerate(paths)})
        entries.record_all(made.store, [_again(made, to, path, place) for place, path in enumerate(paths)])
    photograph(made, made.visits[1], "b.png")


def _again(made: World, draft: str, path: str, place: int) -> Entry:
    """Another value of a field, typed by somebody who did not see the first."""
    return Entry(
        id=str(uuid5(_NAMES, f"{draft} {path} again")),
        draft=draft,
        path=path,
        text=made.say(turned(place + 5)),
        why_not=made.say(PAYLOADS[0]),
        author=made.person.id,
        device=made.say(DEVICE),
        at=datetime(2026, 11, 25, 15, 30, tzinfo=UTC),
        based_on=(),
    )

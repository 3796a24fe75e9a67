"""One entry by a request: acknowledged after the commit, harmless twice, two values told, never lost silently."""

from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest

from evenfire.delivery.acts.entering import Sent
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.entries import entries_at, entries_of
from evenfire.delivery.records.registers import May, people_of
from tests.delivery.acts.on_visit import Clock, new_store, opened
from tests.delivery.web.conftest import Asking

AT = "2026-11-25T15:30:00.125Z"


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Store]:
    """A store with people and a gauge."""
    with new_store(tmp_path / "kept" / "store.sqlite", Clock()) as store:
        yield store


@pytest.fixture
def visit(kept: Store, tmp_path: Path) -> str:
    return opened(kept, tmp_path)


def body(visit: str, path: str, text: str, *based_on: str) -> dict[str, object]:
    return {"draft": visit, "path": path, "text": text, "device": "phone 3f2a", "at": AT, "based_on": list(based_on)}


def test_an_entry_is_on_the_disk_when_it_is_acknowledged(kept: Store, visit: str, asking: Asking) -> None:
    id_ = str(uuid4())
    answer = asking(May.WRITE).put(f"/entries/{id_}", json=body(visit, "as_found.high_limit", "9.65 bar"))
    assert answer.status_code == 200, answer.text
    # 9.65 bar is 139.96 psi by the pound-force per square inch of 6894.757 Pa (SP 811, from memory).
    assert answer.json()["reading"] == "140 psi"
    assert [head["id"] for head in answer.json()["heads"]] == [id_]
    found = {entry.id: entry for entry in entries_of(kept, visit)}
    assert (found[id_].text, found[id_].device, found[id_].at.isoformat()) == (
        "9.65 bar",
        "phone 3f2a",
        "2026-11-25T15:30:00.125000+00:00",
    )


def test_the_same_entry_twice_is_one(kept: Store, visit: str, asking: Asking) -> None:
    before = len(entries_of(kept, visit))
    id_, client = str(uuid4()), asking(May.WRITE)
    answers = [client.put(f"/entries/{id_}", json=body(visit, "call.reason", "stops at night")) for _ in range(3)]
    assert {answer.status_code for answer in answers} == {200}
    assert len({answer.text for answer in answers}) == 1
    assert len(entries_of(kept, visit)) == before + 1


def test_an_id_that_another_entry_has_is_refused_and_changes_nothing(kept: Store, visit: str, asking: Asking) -> None:
    id_, client = str(uuid4()), asking(May.WRITE)
    client.put(f"/entries/{id_}", json=body(visit, "call.reason", "stops at night"))
    before = entries_of(kept, visit)
    answer = client.put(f"/entries/{id_}", json=body(visit, "call.reason", "something else"))
    assert 400 <= answer.status_code < 500
    assert "another entry has it" in answer.json()["why"]
    assert entries_of(kept, visit) == before


def test_what_cannot_be_read_is_kept_and_told(visit: str, asking: Asking) -> None:
    answer = asking(May.WRITE).put(f"/entries/{uuid4()}", json=body(visit, "as_found.high_limit", "140"))
    assert answer.status_code == 200
    assert answer.json()["state"] == "saved"
    assert "psi" in answer.json()["why_not"]


def test_two_devices_that_typed_apart_leave_two_values_until_a_person_chooses(visit: str, asking: Asking) -> None:
    client, (one, two, choice) = asking(May.WRITE), (str(uuid4()) for _ in range(3))
    client.put(f"/entries/{one}", json=body(visit, "as_found.high_limit", "140 psi"))
    later = body(visit, "as_found.high_limit", "150 psi") | {"at": "2026-11-25T15:31:00Z"}
    other = asking(May.SIGN).put(f"/entries/{two}", json=later).json()
    assert other["state"] == "two values"
    assert [(head["text"], head["by"]) for head in other["heads"]] == [
        ("140 psi", "Somebody who may write"),
        ("150 psi", "Somebody who may sign"),
    ]
    chosen = client.put(f"/entries/{choice}", json=body(visit, "as_found.high_limit", "150 psi", one, two)).json()
    assert (chosen["state"], chosen["text"], len(chosen["heads"])) == ("saved", "150 psi", 1)


def test_other_devices_are_told_what_stands_and_nothing_twice(visit: str, asking: Asking) -> None:
    client = asking(May.READ)
    asking(May.WRITE).put(f"/entries/{uuid4()}", json=body(visit, "call.reason", "stops at night"))
    first = client.get(f"/drafts/{visit}/fields").json()
    assert {field["path"]: field["text"] for field in first["fields"]}["call.reason"] == "stops at night"
    assert client.get(f"/drafts/{visit}/fields", params={"since": first["counter"]}).json()["fields"] == []


@pytest.mark.parametrize(
    "wrong",
    [
        {"path": "as_found.no_such_dial"},
        {"path": "../../etc/passwd"},
        {"path": "as_found.high_limit\x00"},
        {"draft": "6f2b1c9e-3d51-4a7c-9c41-0a5d7e8b9f10"},
        {"draft": "not an id"},
        {"text": "x" * 4001},
        {"text": "\x07"},
        {"text": 140},
        {"at": "yesterday"},
        {"based_on": ["6f2b1c9e-3d51-4a7c-9c41-0a5d7e8b9f11"]},
        {"based_on": ["x"] * 51},
        {"author": "somebody else"},
        {"device": "d" * 101},
    ],
    ids=lambda wrong: ", ".join(wrong) + " " + str(next(iter(wrong.values())))[:20].encode("unicode_escape").decode(),
)
def test_what_no_draft_can_hold_is_refused_with_a_reason_and_not_kept(
    kept: Store, visit: str, asking: Asking, wrong: dict[str, object]
) -> None:
    before = entries_of(kept, visit)
    answer = asking(May.WRITE).put(f"/entries/{uuid4()}", json=body(visit, "call.reason", "stops at night") | wrong)
    assert 400 <= answer.status_code < 500
    assert answer.json()["why"]
    assert entries_of(kept, visit) == before


@pytest.mark.parametrize(("may", "status"), [(None, 401), (May.READ, 403), (May.WRITE, 200), (May.SIGN, 200)])
def test_only_who_may_write_enters(visit: str, asking: Asking, may: May | None, status: int) -> None:
    answer = asking(may).put(f"/entries/{uuid4()}", json=body(visit, "call.reason", "stops at night"))
    assert answer.status_code == status


def test_the_author_is_who_is_logged_in_whatever_is_sent(kept: Store, visit: str, asking: Asking) -> None:
    assert "author" not in Sent.__dataclass_fields__
    id_ = str(uuid4())
    asking(May.WRITE).put(f"/entries/{id_}", json=body(visit, "call.reason", "stops at night"))
    (entry,) = entries_at(kept, visit, "call.reason")
    names = {each.id: each.name for each in people_of(kept)}
    assert names[entry.author] == "Somebody who may write"

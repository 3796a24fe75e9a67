"""A sealed record: what it holds, and what is refused before anybody signs."""

import hashlib
import json
from dataclasses import replace
from datetime import timedelta, timezone

import pytest
import rfc8785
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from evenfire.delivery.records.canonical import Content, canonical_bytes
from evenfire.delivery.records.record import RecordHead, RecordKind, content_of, facts_of
from evenfire.delivery.records.sealing import seal
from evenfire.errors import BadContent
from tests.delivery.records.signed_examples import ADA, FIRST, OTHER_BOILER, amendment, head, history, visit


def test_a_record_is_what_the_format_says() -> None:
    record = visit(0)
    content = json.loads(record.content)
    assert rfc8785.dumps(content) == record.content
    assert record.id == hashlib.sha256(record.content).hexdigest()
    key = bytes.fromhex(content["signer"]["key"])
    assert record.fingerprint == hashlib.sha256(key).hexdigest()
    # Raises when it does not fit.
    message = b"evenfire.record/1 signature\n" + record.content
    Ed25519PublicKey.from_public_bytes(key).verify(bytes.fromhex(record.signature), message)
    assert content["signed_at"] == "2026-03-02T09:30:00Z"
    assert content["parents"] == []


def test_what_was_put_in_is_read_back() -> None:
    asked = head(3)
    facts = facts_of(content_of(asked, ADA.public, {"as_left": {"cut_out": "110 psi"}}))
    assert facts.head == asked
    assert facts.key == ADA.public
    assert facts.body == {"as_left": {"cut_out": "110 psi"}}
    assert facts.amends is None


def test_an_amendment_names_what_it_amends() -> None:
    root = visit(0)
    assert facts_of(amendment(1, (root,), root).content).amends == root.id


BODY: dict[str, Content] = {"remark": "none"}


@pytest.mark.parametrize(
    ("changes", "body", "path"),
    [
        ({}, {"readings": [{"value": 110.5}]}, "body.readings[0].value"),
        ({"parents": ("b" * 64, "a" * 64)}, BODY, "parents"),
        ({"parents": ("a" * 64, "a" * 64)}, BODY, "parents"),
        ({"parents": ("A" * 64,)}, BODY, "parents[0]"),
        ({"parents": tuple(f"{place:064x}" for place in range(51))}, BODY, "parents"),
        ({"attachments": ("b" * 64, "a" * 64)}, BODY, "attachments"),
        ({"surveys": ("short",)}, BODY, "surveys[0]"),
        ({"signed_at": FIRST.replace(microsecond=1)}, BODY, "signed_at"),
        ({"signed_at": FIRST.replace(tzinfo=None)}, BODY, "signed_at"),
        ({"signed_at": FIRST.astimezone(timezone(timedelta(hours=2)))}, BODY, "signed_at"),
        ({"boiler": {"id": "x", "site": "y"}}, BODY, "boiler"),
        ({"boiler": {"id": "x", "site": "y", "name": ""}}, BODY, "boiler.name"),
        ({"boiler": {"id": "x", "site": "y", "name": "z", "Serial": "1"}}, BODY, "boiler"),
        ({"engine": ""}, BODY, "engine"),
        ({"rule_book": "3\x1b[2J"}, BODY, "rule_book"),
        ({"physics": "x" * 201}, BODY, "physics"),
        ({}, {"amends": "a" * 64}, "body.amends"),
        ({"kind": RecordKind.AMENDMENT}, BODY, "body.amends"),
        ({"kind": RecordKind.AMENDMENT}, {"amends": "the last one"}, "body.amends"),
    ],
)
def test_what_cannot_be_signed_is_refused_with_the_path_to_it(
    changes: dict[str, object], body: dict[str, Content], path: str
) -> None:
    asked: RecordHead = replace(head(0), **changes)  # type: ignore[arg-type]
    with pytest.raises(BadContent) as caught:
        seal(asked, body, ADA, ())
    assert caught.value.path == path


@pytest.mark.parametrize("name", ["", "  ", "A" * 201, "Ada\nField", "Ada \u202eField", "Ada\x1b[31m"])
def test_a_signer_has_a_name_that_every_screen_shows_as_it_is(name: str) -> None:
    asked = replace(head(0), signer=replace(head(0).signer, name=name))
    with pytest.raises(BadContent) as caught:
        seal(asked, BODY, ADA, ())
    assert caught.value.path == "signer.name"


def test_a_licence_may_be_empty() -> None:
    record = seal(replace(head(0), signer=replace(head(0).signer, licence="")), BODY, ADA, ())
    assert facts_of(record.content).head.signer.licence == ""


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"format": "evenfire.record/2"}, "format"),
        ({"kind": "reading"}, "kind"),
        ({"more": 1}, ""),
        ({"signed_at": "2026-02-30T10:00:00Z"}, "signed_at"),
        ({"signed_at": "2026-03-02 10:00:00"}, "signed_at"),
        ({"signed_at": 5}, "signed_at"),
        ({"parents": "a"}, "parents"),
        ({"body": []}, "body"),
        ({"boiler": None}, "boiler"),
        ({"signer": {"name": "Ada Field", "licence": "", "role": "x"}}, "signer"),
        ({"signer": {"name": "Ada Field", "licence": "", "role": "x", "key": "AB" * 32}}, "signer.key"),
    ],
)
def test_a_content_of_another_shape_is_refused_with_the_path_to_it(change: dict[str, Content], path: str) -> None:
    content = json.loads(visit(0).content) | change
    with pytest.raises(BadContent) as caught:
        facts_of(canonical_bytes(content))
    assert caught.value.path == path


def test_a_content_that_lacks_a_key_names_it() -> None:
    content = json.loads(visit(0).content)
    del content["engine"]
    with pytest.raises(BadContent, match="without engine"):
        facts_of(canonical_bytes(content))


def test_a_content_deeper_than_a_file_can_carry_is_not_signed() -> None:
    deep: Content = "x"
    for _ in range(31):
        deep = [deep]
    with pytest.raises(BadContent, match="deeper than 32"):
        seal(head(0), {"deep": deep}, ADA, ())


def test_a_record_is_not_dated_before_the_one_that_it_follows() -> None:
    root = visit(2)
    with pytest.raises(BadContent, match=r"2026-03-04T09:30:00Z or later: set the clock"):
        visit(1, (root,))
    assert visit(2, (root,)).id != root.id


def test_the_parents_are_those_that_the_record_names() -> None:
    root, left, *_ = history()
    with pytest.raises(BadContent, match="heads at hand"):
        seal(head(100, (root,)), BODY, ADA, (left,))
    with pytest.raises(BadContent, match="heads at hand"):
        seal(head(100), BODY, ADA, (left,))


def test_a_parent_of_another_boiler_is_refused() -> None:
    other = visit(0, boiler=OTHER_BOILER)
    with pytest.raises(BadContent, match="of another boiler"):
        visit(1, (other,))


def test_the_same_content_signed_twice_is_one_record() -> None:
    # RFC 8032: Ed25519 signatures are deterministic.
    assert visit(0) == visit(0)
    assert visit(0, cut_out="111").id != visit(0).id

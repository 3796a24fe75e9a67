"""One file for the records of a boiler: one encoding, everything in it, nothing else."""

import base64
import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
import rfc8785

from evenfire.delivery.records import container as containers
from evenfire.delivery.records.container import MOST_RECORDS, Container, container_bytes, opened_container
from evenfire.delivery.records.json_places import MOST_VALUES
from evenfire.delivery.records.verification import Flaw, Judged
from evenfire.delivery.records.verifying import take_file
from evenfire.errors import BadContent
from tests.delivery.records.signed_examples import (
    ADA,
    BEN,
    BOILER,
    PHOTOGRAPH,
    SURVEY,
    container,
    history,
    known,
    sha256,
)

WHOLE = container(history())
FILE = container_bytes(WHOLE)


def test_the_file_is_what_the_format_says() -> None:
    # An independent library of RFC 8785 writes the same bytes from the same content.
    content = json.loads(FILE)
    assert rfc8785.dumps(content) == FILE
    assert content["format"] == "evenfire.records/1"
    assert content["boiler"] == BOILER["id"]
    assert content["keys"] == sorted([ADA.public.hex, BEN.public.hex])
    assert [record["id"] for record in content["records"]] == sorted(record.id for record in history())
    assert base64.b64decode(content["attachments"][sha256(PHOTOGRAPH)]) == PHOTOGRAPH
    assert content["surveys"] == {sha256(SURVEY): SURVEY}


def test_a_file_gives_back_what_was_put_in() -> None:
    opened = opened_container(FILE)
    assert opened.problems == ()
    assert opened.container == replace(WHOLE, records=tuple(sorted(WHOLE.records, key=lambda record: record.id)))
    assert container_bytes(opened.container) == FILE


def test_the_order_in_which_records_are_given_does_not_matter() -> None:
    assert container_bytes(replace(WHOLE, records=WHOLE.records[::-1])) == FILE


def test_only_a_file_that_verifies_is_handed_on() -> None:
    good = take_file(FILE, known())
    assert good.verification.judged is Judged.VERIFIED
    assert good.container is not None
    bad = take_file(FILE.replace(b"misread", b"misraed"), known())
    assert bad.verification.judged is Judged.DOES_NOT_VERIFY
    assert bad.container is None
    assert bad.verification.signers, "what still holds is told"


def test_taking_a_file_twice_gives_the_same_records() -> None:
    first, second = take_file(FILE, known()).container, take_file(FILE, known()).container
    assert first is not None
    assert second is not None
    held = {record.id: record for record in first.records}
    assert held | {record.id: record for record in second.records} == held


def rewritten(change: Callable[[Any], object]) -> bytes:
    """The file with its content changed, encoded canonically again, as a careful forger would."""
    content = json.loads(FILE)
    change(content)
    return rfc8785.dumps(content)


def first_key(content: Any) -> str:
    return str(next(iter(content["attachments"])))


ODD_FILES: dict[str, tuple[bytes, Flaw, str]] = {
    "spaces": (FILE.replace(b",", b", ", 1), Flaw.NOT_ONE_ENCODING, "byte "),
    "a line at the end": (FILE + b"\n", Flaw.NOT_ONE_ENCODING, f"byte {len(FILE) + 1}"),
    "an escape that is not needed": (FILE.replace(b"misread", b"\\u006disread"), Flaw.NOT_ONE_ENCODING, "records["),
    "records in another order": (
        rewritten(lambda content: content["records"].reverse()),
        Flaw.NOT_ONE_ENCODING,
        "records[0]",
    ),
    "no text": (FILE.replace(b"misread", b"mis\xffread"), Flaw.NOT_READABLE, "remark"),
    "a byte order mark": (b"\xef\xbb\xbf" + FILE, Flaw.NOT_READABLE, "byte 1"),
    "half a file": (FILE[: len(FILE) // 2], Flaw.NOT_READABLE, "byte"),
    "nothing": (b"", Flaw.NOT_READABLE, "byte 1"),
    "a picture": (PHOTOGRAPH, Flaw.NOT_READABLE, "byte 1"),
    "another document": (b"[]", Flaw.NOT_READABLE, "format"),
    "a later format": (
        rewritten(lambda content: content.update(format="evenfire.records/2")),
        Flaw.NOT_READABLE,
        "format",
    ),
    "a floating-point number": (FILE.replace(b'"110"', b"110.0", 1), Flaw.NOT_READABLE, "cut_out.value"),
    "a huge number": (FILE.replace(b'"110"', b"9" * 4000, 1), Flaw.NOT_READABLE, "a number"),
    "a key twice": (
        FILE.replace(b'{"attachments"', b'{"attachments":{},"attachments"'),
        Flaw.NOT_READABLE,
        "an object",
    ),
    "too deep": (b"[" * 5_000_000, Flaw.NOT_READABLE, "byte 65"),
    "too many values": (b"[" + b"{}," * MOST_VALUES + b"{}]", Flaw.NOT_READABLE, "the whole"),
    "a part more": (rewritten(lambda content: content.update(more=[])), Flaw.MALFORMED, "the outermost"),
    "a part less": (rewritten(lambda content: content.pop("surveys")), Flaw.MALFORMED, "the outermost"),
    "a boiler that is no text": (rewritten(lambda content: content.update(boiler=7)), Flaw.MALFORMED, "boiler"),
    "records that are no list": (rewritten(lambda content: content.update(records={})), Flaw.MALFORMED, "records"),
    "a record that is none": (
        rewritten(lambda content: content["records"].append({"content": {}})),
        Flaw.MALFORMED,
        "records[5]",
    ),
    "a signature in capitals": (
        rewritten(lambda content: content["records"][1]["signature"].update(value="AB" * 64)),
        Flaw.MALFORMED,
        "records[1]",
    ),
    "an id that is a number": (
        rewritten(lambda content: content["records"][4].update(id=7)),
        Flaw.MALFORMED,
        "records[4]",
    ),
    "a signature that is a text": (
        rewritten(lambda content: content["records"][3].update(signature="signed")),
        Flaw.MALFORMED,
        "records[3]",
    ),
    "a signature with something beside it": (
        rewritten(lambda content: content["records"][3]["signature"].update(note="x")),
        Flaw.MALFORMED,
        "records[3]",
    ),
    "a record that is a text": (
        rewritten(lambda content: content["records"].append("none")),
        Flaw.MALFORMED,
        "records[5]",
    ),
    "a fingerprint that is none": (
        rewritten(lambda content: content["records"][2]["signature"].update(key="Ada's")),
        Flaw.MALFORMED,
        "records[2]",
    ),
    "an id that is none": (
        rewritten(lambda content: content["records"][4].update(id="x")),
        Flaw.MALFORMED,
        "records[4]",
    ),
    "attachments that are a list": (
        rewritten(lambda content: content.update(attachments=[])),
        Flaw.MALFORMED,
        "attachments",
    ),
    "an attachment named by no hash": (
        rewritten(lambda content: content["attachments"].update(photograph="")),
        Flaw.MALFORMED,
        "attachments",
    ),
    "a survey that is no text": (
        rewritten(lambda content: content["surveys"].update({"a" * 64: {}})),
        Flaw.MALFORMED,
        "surveys",
    ),
    "an attachment in no base64": (
        rewritten(lambda content: content["attachments"].update({first_key(content): "?"})),
        Flaw.ATTACHMENT_CHANGED,
        "",
    ),
    "keys of somebody else": (
        rewritten(lambda content: content.update(keys=[ADA.public.hex])),
        Flaw.OTHER_KEYS,
        "keys",
    ),
    "keys that are no list": (rewritten(lambda content: content.update(keys=None)), Flaw.OTHER_KEYS, "keys"),
}


@pytest.mark.parametrize("name", ODD_FILES)
def test_another_encoding_of_the_same_or_of_anything_else_is_refused_with_its_place(name: str) -> None:
    data, flaw, place = ODD_FILES[name]
    taken = take_file(data, known())
    assert taken.container is None
    assert taken.verification.judged is Judged.DOES_NOT_VERIFY
    told = [problem for problem in taken.verification.problems if problem.flaw is flaw]
    assert told
    assert any(place in problem.place for problem in told)


def test_base64_with_idle_bits_set_is_not_the_one_way() -> None:
    # RFC 4648, section 3.5: the idle bits of the last sign are nought in canonical base64.
    text = base64.b64encode(PHOTOGRAPH).decode()
    assert text.endswith("="), "the example must have idle bits"
    place = text.index("=") - 1
    alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"
    other = text[:place] + alphabet[alphabet.index(text[place]) + 1] + text[place + 1 :]
    assert base64.b64decode(other) == PHOTOGRAPH
    data = rewritten(lambda content: content["attachments"].update({sha256(PHOTOGRAPH): other}))
    problems = take_file(data, known()).verification.problems
    assert [(problem.flaw, problem.other) for problem in problems] == [(Flaw.ATTACHMENT_CHANGED, sha256(PHOTOGRAPH))]


def test_more_records_than_the_limit_are_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    assert MOST_RECORDS == 10_000
    monkeypatch.setattr(containers, "MOST_RECORDS", len(WHOLE.records) - 1)
    problems = take_file(FILE, known()).verification.problems
    assert (Flaw.BEYOND_LIMIT, "records") in [(problem.flaw, problem.place) for problem in problems]


def test_a_file_larger_than_the_limit_is_neither_read_nor_written(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(containers, "LARGEST_FILE", len(FILE) - 1)
    assert [problem.flaw for problem in take_file(FILE, known()).verification.problems] == [Flaw.BEYOND_LIMIT]
    with pytest.raises(BadContent, match="at most"):
        container_bytes(WHOLE)
    monkeypatch.setattr(containers, "LARGEST_FILE", len(FILE))
    assert container_bytes(WHOLE) == FILE
    assert take_file(FILE, known()).verification.judged is Judged.VERIFIED


def test_a_file_of_more_than_can_be_read_is_not_written(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(BadContent, match=f"at most {MOST_RECORDS}"):
        container_bytes(replace(WHOLE, records=WHOLE.records[:1] * (MOST_RECORDS + 1)))
    monkeypatch.setattr(containers, "MOST_VALUES", 40)
    with pytest.raises(BadContent, match="more than 40 values"):
        container_bytes(WHOLE)


def test_as_many_records_as_the_limit_are_written_and_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(containers, "MOST_RECORDS", len(WHOLE.records))
    assert container_bytes(WHOLE) == FILE
    assert take_file(FILE, known()).verification.judged is Judged.VERIFIED


def test_a_record_that_has_no_shape_is_not_written() -> None:
    odd = replace(WHOLE.records[0], content=b"{}")
    with pytest.raises(BadContent, match="format"):
        container_bytes(Container(boiler=BOILER["id"], records=(odd,), attachments={}, surveys={}))


def test_what_is_left_of_a_file_with_one_odd_record_is_still_judged() -> None:
    data = rewritten(lambda content: content["records"][0].pop("signature"))
    found = take_file(data, known()).verification
    assert len(found.records) == len(history()) - 1
    assert (Flaw.MALFORMED, "records[0]") in [(problem.flaw, problem.place) for problem in found.problems]

"""Verifying answers two questions apart. Each row makes one thing wrong by hand and says what has to be told of it."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from evenfire.delivery.records.canonical import Content, canonical_bytes, parsed
from evenfire.delivery.records.container import Container
from evenfire.delivery.records.keys import withdrawn
from evenfire.delivery.records.record import SignedRecord, content_of
from evenfire.delivery.records.sealing import seal, sealed
from evenfire.delivery.records.verification import Flaw, Judged, Known, KnownRecord, Standing
from evenfire.delivery.records.verifying import verify
from tests.delivery.records.signed_examples import (
    ADA,
    BEN,
    BOILER,
    FIRST,
    OTHER_BOILER,
    OTHER_PHOTOGRAPH,
    PHOTOGRAPH,
    STRANGER,
    SURVEY,
    amendment,
    container,
    head,
    history,
    known,
    known_key,
    sha256,
    visit,
)

ROOT, LEFT, RIGHT, JOINED, AMENDED = history()
WHOLE = (ROOT, LEFT, RIGHT, JOINED, AMENDED)


def with_content(record: SignedRecord, old: bytes, new: bytes) -> SignedRecord:
    """A record whose content was changed, and nothing else."""
    assert old in record.content
    return replace(record, content=record.content.replace(old, new))


def flaws(told: Container, of: Known | None = None) -> set[tuple[Flaw, str, str]]:
    found = verify(told, of or known())
    assert found.is_unchanged == (not found.problems)
    return {(problem.flaw, problem.record, problem.other) for problem in found.problems}


def test_an_untouched_history_is_unchanged_and_its_signers_are_known() -> None:
    found = verify(container(WHOLE), known())
    assert found.problems == ()
    assert found.judged is Judged.VERIFIED
    assert [told.id for told in found.records] == [record.id for record in WHOLE]
    assert found.heads == (AMENDED.id,)
    assert [(signed.name, signed.standing) for signed in found.signers] == [
        ("Ada Field", Standing.KNOWN),
        ("Ada Field", Standing.KNOWN),
        ("Ben Marsh", Standing.KNOWN),
        ("Ada Field", Standing.KNOWN),
        ("Ada Field", Standing.KNOWN),
    ]


def test_histories_made_apart_have_two_heads_until_one_record_joins_them() -> None:
    assert verify(container((ROOT, LEFT, RIGHT)), known()).heads == (LEFT.id, RIGHT.id)
    assert verify(container((ROOT, LEFT, RIGHT, JOINED)), known()).heads == (JOINED.id,)


def test_two_histories_without_a_first_record_of_their_own_join_as_well() -> None:
    here, there = visit(0, attachments=(PHOTOGRAPH, OTHER_PHOTOGRAPH)), visit(1, key=BEN, name="Ben Marsh")
    assert verify(container((here, there, visit(2, (here, there)))), known()).judged is Judged.VERIFIED


OTHER = visit(5, boiler=OTHER_BOILER)
RESIGNED = sealed(LEFT.content.replace(b'"110"', b'"140"'), ADA)
"""Another content under a good signature: a forger who has the key, or the signer who wants another past"""
FORGED_DATE = sealed(JOINED.content.replace(b"2026-08-29", b"2026-01-29"), ADA)
CIRCLE = replace(visit(1, (ROOT,)), id="a" * 64)
ROUND = seal(head(2), {"remark": "x"}, ADA, ())


def on_a_circle() -> tuple[SignedRecord, ...]:
    """Two records that name each other; no honest id can do that, so the ids are false."""
    first = replace(sealed(content_of(replace(head(1), parents=("b" * 64,)), ADA.public, {}), ADA), id="a" * 64)
    second = replace(sealed(content_of(replace(head(1), parents=("a" * 64,)), ADA.public, {}), ADA), id="b" * 64)
    return first, second


def of_no_head() -> SignedRecord:
    """A record that names a head and its ancestor side by side."""
    return visit(200, (ROOT, LEFT))


def amends_what_comes_later() -> SignedRecord:
    return amendment(95, (RIGHT,), LEFT)


CASES: dict[str, tuple[Callable[[], Container], set[tuple[Flaw, str, str]]]] = {
    "a content changed after it was signed": (
        lambda: container((*WHOLE[:4], with_content(AMENDED, b"misread", b"misraed"))),
        {
            (Flaw.CHANGED, AMENDED.id, with_content(AMENDED, b"misread", b"misraed").id),
            (Flaw.SIGNATURE, AMENDED.id, ""),
        },
    ),
    "a date moved after it was signed": (
        lambda: container((*WHOLE[:4], with_content(AMENDED, b"2026-08-30", b"2026-09-30"))),
        {(Flaw.CHANGED, AMENDED.id, ""), (Flaw.SIGNATURE, AMENDED.id, "")},
    ),
    "a signature changed": (
        lambda: container((*WHOLE[:4], replace(AMENDED, signature=JOINED.signature))),
        {(Flaw.SIGNATURE, AMENDED.id, "")},
    ),
    "a signature that is no signature": (
        lambda: container((*WHOLE[:4], replace(AMENDED, signature="none"))),
        {(Flaw.SIGNATURE, AMENDED.id, "")},
    ),
    "an id changed": (
        lambda: container((*WHOLE[:4], replace(AMENDED, id="c" * 64))),
        {(Flaw.CHANGED, "c" * 64, AMENDED.id)},
    ),
    "a key named that did not sign": (
        lambda: container((*WHOLE[:4], replace(AMENDED, fingerprint=BEN.public.fingerprint))),
        {(Flaw.OTHER_SIGNER, AMENDED.id, BEN.public.fingerprint)},
    ),
    "a visit removed between a record and its ancestors": (
        lambda: container((ROOT, LEFT, RIGHT, AMENDED)),
        {(Flaw.PARENT_MISSING, AMENDED.id, JOINED.id)},
    ),
    "one of two parents removed": (
        lambda: container((ROOT, LEFT, JOINED, AMENDED)),
        {(Flaw.PARENT_MISSING, JOINED.id, RIGHT.id)},
    ),
    "the first record removed": (
        lambda: replace(container(WHOLE[1:]), attachments={sha256(OTHER_PHOTOGRAPH): OTHER_PHOTOGRAPH}),
        {(Flaw.PARENT_MISSING, LEFT.id, ROOT.id), (Flaw.PARENT_MISSING, RIGHT.id, ROOT.id)},
    ),
    "a record replaced by another with a good signature": (
        lambda: container((ROOT, RESIGNED, RIGHT, JOINED, AMENDED)),
        {(Flaw.PARENT_MISSING, JOINED.id, LEFT.id), (Flaw.AMENDED_MISSING, AMENDED.id, LEFT.id)},
    ),
    "a record dated before its parents, signed as such": (
        lambda: container((ROOT, LEFT, RIGHT, FORGED_DATE)),
        {(Flaw.BEFORE_PARENT, FORGED_DATE.id, LEFT.id), (Flaw.BEFORE_PARENT, FORGED_DATE.id, RIGHT.id)},
    ),
    "a record twice": (lambda: container((*WHOLE, JOINED)), {(Flaw.TWICE, JOINED.id, "")}),
    "a record of another boiler among them": (
        lambda: container((*WHOLE, OTHER)),
        {(Flaw.OTHER_BOILER, OTHER.id, "")},
    ),
    "all records under another boiler": (
        lambda: replace(container(WHOLE), boiler=OTHER_BOILER["id"]),
        {(Flaw.OTHER_BOILER, record.id, "") for record in WHOLE},
    ),
    "a parent that another parent follows": (
        lambda: container((ROOT, LEFT, of_no_head())),
        {(Flaw.NOT_A_HEAD, of_no_head().id, ROOT.id)},
    ),
    "an amendment of what does not come before it": (
        lambda: container((ROOT, LEFT, RIGHT, amends_what_comes_later())),
        {(Flaw.AMENDED_NOT_BEFORE, amends_what_comes_later().id, LEFT.id)},
    ),
    "two attachments swapped": (
        lambda: replace(
            container(WHOLE), attachments={sha256(PHOTOGRAPH): OTHER_PHOTOGRAPH, sha256(OTHER_PHOTOGRAPH): PHOTOGRAPH}
        ),
        {
            (Flaw.ATTACHMENT_CHANGED, ROOT.id, sha256(PHOTOGRAPH)),
            (Flaw.ATTACHMENT_CHANGED, LEFT.id, sha256(OTHER_PHOTOGRAPH)),
        },
    ),
    "an attachment left out": (
        lambda: replace(container(WHOLE), attachments={sha256(PHOTOGRAPH): PHOTOGRAPH}),
        {(Flaw.ATTACHMENT_MISSING, LEFT.id, sha256(OTHER_PHOTOGRAPH))},
    ),
    "an attachment that nobody names": (
        lambda: replace(container(WHOLE), attachments={**container(WHOLE).attachments, sha256(b"x"): b"x"}),
        {(Flaw.ATTACHMENT_STRAY, "", sha256(b"x"))},
    ),
    "a survey changed": (
        lambda: replace(container((ROOT, LEFT)), surveys={sha256(SURVEY): SURVEY.replace("150", "250")}),
        {(Flaw.SURVEY_CHANGED, LEFT.id, sha256(SURVEY))},
    ),
    "a survey left out": (
        lambda: replace(container((ROOT, LEFT)), surveys={}),
        {(Flaw.SURVEY_MISSING, LEFT.id, sha256(SURVEY))},
    ),
    "a survey that nobody names": (
        lambda: replace(container((ROOT, LEFT)), surveys={sha256(SURVEY): SURVEY, sha256("{}"): "{}"}),
        {(Flaw.SURVEY_STRAY, "", sha256("{}"))},
    ),
    "no record at all": (
        lambda: Container(boiler=BOILER["id"], records=(), attachments={}, surveys={}),
        {(Flaw.NO_RECORDS, "", "")},
    ),
    "records on a circle": (
        lambda: replace(container(on_a_circle()), attachments={}),
        {
            *((Flaw.CYCLE, record.id, "") for record in on_a_circle()),
            *((Flaw.CHANGED, record.id, "") for record in on_a_circle()),
        },
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_what_was_done_to_the_records_is_told(name: str) -> None:
    made, expected = CASES[name]
    told = flaws(made())
    # What a changed content would be called is no part of the row, except where the row says it.
    shown = {(flaw, record, "" if flaw is Flaw.CHANGED else other) for flaw, record, other in told}
    named = {(flaw, record, "" if flaw is Flaw.CHANGED else other) for flaw, record, other in expected}
    assert shown == named
    assert verify(made(), known()).judged is Judged.DOES_NOT_VERIFY


def test_every_flaw_of_records_has_been_provoked() -> None:
    of_files = {Flaw.NOT_ONE_ENCODING, Flaw.BEYOND_LIMIT, Flaw.NOT_READABLE, Flaw.OTHER_KEYS}
    provoked = {flaw for _, expected in CASES.values() for flaw, _, _ in expected}
    assert provoked | of_files | {Flaw.MALFORMED} == set(Flaw)


def test_a_content_without_the_shape_of_a_record_is_told_with_its_place() -> None:
    content = parsed(AMENDED.content)
    assert isinstance(content, dict)
    bent: dict[str, Content] = {**content, "signed_at": "yesterday"}
    odd = sealed(canonical_bytes(bent), ADA)
    problems = verify(container((*WHOLE[:4], odd)), known()).problems
    assert [(problem.flaw, problem.record, problem.place) for problem in problems] == [
        (Flaw.MALFORMED, odd.id, "signed_at")
    ]


def test_behind_a_record_that_cannot_be_read_nothing_is_said_of_what_came_before_what() -> None:
    unread = replace(JOINED, content=b"{}")
    problems = verify(container((ROOT, LEFT, RIGHT, unread, AMENDED)), known()).problems
    assert [(problem.flaw, problem.record) for problem in problems] == [(Flaw.MALFORMED, JOINED.id)]


def test_a_record_signed_by_somebody_else_is_unchanged_but_its_signer_is_unknown() -> None:
    forged = visit(90, (ROOT,), key=STRANGER, attachments=(OTHER_PHOTOGRAPH,))
    found = verify(container((ROOT, forged)), known())
    assert found.is_unchanged
    assert [(signed.record, signed.standing) for signed in found.signers] == [
        (ROOT.id, Standing.KNOWN),
        (forged.id, Standing.UNKNOWN),
    ]
    assert found.signers[1].fingerprint == STRANGER.public.fingerprint
    assert found.judged is Judged.SIGNER_NOT_JUDGED


def test_without_any_known_key_nobody_is_known_and_nothing_is_changed() -> None:
    found = verify(container(WHOLE), Known())
    assert found.is_unchanged
    assert {signed.standing for signed in found.signers} == {Standing.UNKNOWN}
    assert found.judged is Judged.SIGNER_NOT_JUDGED


def test_a_record_that_fails_its_signature_has_no_signer() -> None:
    found = verify(container((*WHOLE[:4], replace(AMENDED, signature=JOINED.signature))), known())
    assert AMENDED.id not in {signed.record for signed in found.signers}


def test_a_known_key_under_another_name_is_not_judged() -> None:
    borrowed = visit(90, (ROOT,), key=BEN, name="Ada Field", attachments=(OTHER_PHOTOGRAPH,))
    found = verify(container((ROOT, borrowed)), known())
    assert (found.signers[1].standing, found.signers[1].known_as) == (Standing.OTHER_NAME, "Ben Marsh")
    assert found.judged is Judged.SIGNER_NOT_JUDGED


def test_a_key_given_as_a_file_has_no_name_to_compare() -> None:
    found = verify(container(WHOLE), known(known_key(ADA, ""), known_key(BEN, "")))
    assert found.judged is Judged.VERIFIED


ALONE = replace(container((visit(0, attachments=(PHOTOGRAPH,)),)), attachments={sha256(PHOTOGRAPH): PHOTOGRAPH})


@pytest.mark.parametrize(
    ("withdrawn_after", "held_after", "standing", "judged"),
    [
        # In days from the signature: when the key was withdrawn, and since when this store holds the record.
        (-1, None, Standing.WITHDRAWN_BEFORE, Judged.DOES_NOT_VERIFY),
        (0, None, Standing.WITHDRAWN_BEFORE, Judged.DOES_NOT_VERIFY),
        (-1, -2, Standing.WITHDRAWN_BEFORE, Judged.DOES_NOT_VERIFY),
        (10, None, Standing.WITHDRAWN_DATE_UNPROVEN, Judged.SIGNER_NOT_JUDGED),
        (10, 11, Standing.WITHDRAWN_DATE_UNPROVEN, Judged.SIGNER_NOT_JUDGED),
        (10, 10, Standing.WITHDRAWN_DATE_UNPROVEN, Judged.SIGNER_NOT_JUDGED),
        (10, 1, Standing.WITHDRAWN_SINCE, Judged.VERIFIED),
    ],
)
def test_a_withdrawn_key_counts_for_what_was_held_before_it_was_withdrawn(
    withdrawn_after: int, held_after: int | None, standing: Standing, judged: Judged
) -> None:
    key = withdrawn(known_key(ADA, "Ada Field"), FIRST + timedelta(days=withdrawn_after), "lost telephone")
    held = {}
    if held_after is not None:
        since = FIRST + timedelta(days=held_after)
        held = {ALONE.records[0].id: KnownRecord(boiler=BOILER["id"], held_since=since)}
    found = verify(ALONE, Known(keys={key.key.fingerprint: key}, records=held))
    assert found.signers[0].standing is standing
    assert found.judged is judged
    assert found.is_unchanged


def test_what_the_store_holds_of_this_boiler_and_the_file_does_not_is_listed() -> None:
    held = {
        record.id: KnownRecord(boiler=boiler["id"], held_since=FIRST)
        for record, boiler in ((ROOT, BOILER), (JOINED, BOILER), (OTHER, OTHER_BOILER))
    }
    found = verify(container((ROOT, LEFT)), Known(keys=known().keys, records=held))
    assert found.lacking == (JOINED.id,)
    assert found.judged is Judged.VERIFIED


def test_a_parent_that_only_the_store_holds_is_still_gone_from_the_file() -> None:
    held = {JOINED.id: KnownRecord(boiler=BOILER["id"], held_since=FIRST)}
    found = verify(container((ROOT, LEFT, RIGHT, AMENDED)), Known(keys=known().keys, records=held))
    assert [(problem.flaw, problem.found) for problem in found.problems] == [(Flaw.PARENT_MISSING, "held here")]

from collections.abc import Sequence
from dataclasses import replace

import pytest

from evenfire.delivery.records import drafts
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.entries import entries_of, record
from evenfire.delivery.records.record import RecordKind, SignedRecord, record_id
from evenfire.delivery.records.sealing import seal
from evenfire.delivery.records.signed import (
    KeptFinding,
    KeptSetting,
    Searchable,
    TripResult,
    heads_of,
    keep_amendment,
    keep_imported,
    keep_visit,
    record_by_id,
    records_of,
    trip_results_of,
)
from evenfire.errors import BadRequest
from tests.delivery.records import signed_examples
from tests.delivery.records.store_examples import FIRST, AtWork, at_work, entry

TRIP = TripResult(
    role="high_limit",
    serial="HL-1",
    method="true rise",
    set_pa_gauge="965266",
    trip_pa_gauge="963887.1",
    standard_uncertainty_pa="1378.95",
    degrees_of_freedom="2",
    verdict="passed",
    tested_at=FIRST,
)
SEARCHABLE = Searchable(
    trips=(TRIP,),
    settings=(KeptSetting(which="as_left", dial="high_limit", text="140 psi", si="965266"),),
    findings=(KeptFinding(which="as_found", code="high-limit-order", severity="stop", subject="No. 1"),),
)


def named(at: AtWork) -> dict[str, str]:
    return {"id": at.boiler.id, "site": at.boiler.site.name, "name": at.boiler.name}


def visit(at: AtWork, days: float, parents: Sequence[SignedRecord] = ()) -> SignedRecord:
    return signed_examples.visit(days, parents, boiler=named(at))


def sign(store: Store, at: AtWork, days: float, parents: Sequence[SignedRecord] = ()) -> SignedRecord:
    made = visit(at, days, parents)
    draft = drafts.open_visit(store, boiler=at.boiler.id, by=at.person.id)
    keep_visit(store, made, Searchable(), visit=draft.id, seen=())
    return made


def take_in(store: Store, records: Sequence[SignedRecord]) -> tuple[str, ...]:
    with store.write() as connection:
        return keep_imported(connection, [(each, Searchable()) for each in records], store.clock())


def test_a_signed_visit_is_closed_by_its_record_which_comes_back_byte_for_byte(store: Store) -> None:
    at = at_work(store)
    record(store, entry(at, 1))
    made = visit(at, 0)
    keep_visit(store, made, SEARCHABLE, visit=at.visit.id, seen=[entry(at, 1).id])
    (kept,) = records_of(store, at.boiler.id)
    assert kept.record == made
    assert (kept.visit, kept.kind, kept.parents, kept.boiler) == (at.visit.id, RecordKind.VISIT, (), at.boiler.id)
    draft = drafts.draft_of(store, at.visit.id)
    assert (draft.record, draft.is_open) == (made.id, False)
    assert heads_of(store, at.boiler.id) == (made.id,)
    assert record_by_id(store, made.id[:10]) == kept
    (found,) = trip_results_of(store, serial="HL-1")
    assert (found.record, found.boiler, found.result) == (made.id, at.boiler.id, TRIP)
    assert trip_results_of(store, boiler=at.boiler.id) == (found,)
    assert trip_results_of(store, serial="HL-2") == ()
    with pytest.raises(BadRequest, match="takes no more entries"):
        record(store, entry(at, 2))


def test_keeping_the_same_record_again_is_harmless(store: Store) -> None:
    at = at_work(store)
    made = visit(at, 0)
    for _ in range(2):
        keep_visit(store, made, SEARCHABLE, visit=at.visit.id, seen=[])
    assert len(records_of(store, at.boiler.id)) == 1


def test_a_visit_is_not_closed_over_an_entry_that_the_signer_did_not_see(store: Store) -> None:
    at = at_work(store)
    record(store, entry(at, 1))
    for seen in ([], [entry(at, 1).id, entry(at, 2).id]):
        with pytest.raises(BadRequest, match="look at the visit and sign again"):
            keep_visit(store, visit(at, 0), Searchable(), visit=at.visit.id, seen=seen)
    assert drafts.draft_of(store, at.visit.id).is_open
    assert records_of(store, at.boiler.id) == ()
    assert len(entries_of(store, at.visit.id)) == 1


def test_a_record_has_all_heads_as_parents_or_is_not_kept(store: Store) -> None:
    at = at_work(store)
    first = sign(store, at, 0)
    second = sign(store, at, 1, (first,))
    assert heads_of(store, at.boiler.id) == (second.id,)
    draft = drafts.open_visit(store, boiler=at.boiler.id, by=at.person.id)
    for stale in (visit(at, 2, (first,)), visit(at, 2)):
        with pytest.raises(BadRequest, match="look at them and sign again"):
            keep_visit(store, stale, Searchable(), visit=draft.id, seen=())
    assert drafts.draft_of(store, draft.id).is_open


def test_histories_made_apart_join_like_branches(store: Store) -> None:
    at = at_work(store)
    root = sign(store, at, 0)
    here = sign(store, at, 1, (root,))
    elsewhere = visit(at, 2, (root,))
    assert take_in(store, (root, elsewhere)) == (elsewhere.id,)
    assert heads_of(store, at.boiler.id) == tuple(sorted((here.id, elsewhere.id)))
    joined = sign(store, at, 3, (here, elsewhere))
    assert heads_of(store, at.boiler.id) == (joined.id,)
    assert [each.record for each in records_of(store, at.boiler.id)] == [root, here, elsewhere, joined]


def test_taken_in_twice_is_once_and_in_any_order(store: Store) -> None:
    at = at_work(store)
    root = visit(at, 0)
    later = visit(at, 1, (root,))
    assert take_in(store, (later,)) == (later.id,)
    assert take_in(store, (later, root)) == (root.id,)
    assert take_in(store, (root, later)) == ()
    assert heads_of(store, at.boiler.id) == (later.id,)


def test_another_record_under_the_same_id_is_refused_and_nothing_of_the_lot_is_kept(store: Store) -> None:
    at = at_work(store)
    root = sign(store, at, 0)
    forged = replace(root, signature="0" * 128)
    with pytest.raises(BadRequest, match="Another record of the id"):
        take_in(store, (visit(at, 5), forged))
    assert [each.record for each in records_of(store, at.boiler.id)] == [root]


def test_a_content_under_an_id_that_is_not_its_own_is_refused(store: Store) -> None:
    at = at_work(store)
    wrong = replace(visit(at, 0), id=record_id(b"another"))
    with pytest.raises(BadRequest, match="The content is not that of the record"):
        take_in(store, (wrong,))


def test_a_record_of_another_boiler_closes_no_visit(store: Store) -> None:
    at = at_work(store)
    with pytest.raises(BadRequest, match="of another boiler"):
        keep_visit(store, signed_examples.visit(0), Searchable(), visit=at.visit.id, seen=())
    with pytest.raises(BadRequest, match="no boiler"):
        take_in(store, (signed_examples.visit(0),))


def test_a_visit_is_signed_once(store: Store) -> None:
    at = at_work(store)
    first = visit(at, 0)
    keep_visit(store, first, Searchable(), visit=at.visit.id, seen=())
    with pytest.raises(BadRequest, match="signed already"):
        keep_visit(store, visit(at, 1, (first,)), Searchable(), visit=at.visit.id, seen=())


def test_an_amendment_follows_what_it_amends(store: Store) -> None:
    at = at_work(store)
    first = sign(store, at, 0)
    body = signed_examples.head(1, (first,), kind=RecordKind.AMENDMENT, boiler=named(at))
    made = seal(body, {"amends": first.id, "remark": "misread"}, signed_examples.ADA, (first,))
    for _ in range(2):
        keep_amendment(store, made)
    assert heads_of(store, at.boiler.id) == (made.id,)
    assert records_of(store, at.boiler.id)[-1].kind is RecordKind.AMENDMENT
    unknown = signed_examples.head(2, (made,), kind=RecordKind.AMENDMENT, boiler=named(at))
    lost = seal(unknown, {"amends": "0" * 64}, signed_examples.ADA, (made,))
    with pytest.raises(BadRequest, match="not in this store"):
        keep_amendment(store, lost)
    stale = signed_examples.head(3, (first,), kind=RecordKind.AMENDMENT, boiler=named(at))
    late = seal(stale, {"amends": first.id}, signed_examples.ADA, (first,))
    with pytest.raises(BadRequest, match="look at them and sign again"):
        keep_amendment(store, late)

import random
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import text

from evenfire.delivery.records import drafts, registers
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.entries import entries_of, record, record_all
from evenfire.delivery.records.registers import May
from evenfire.delivery.visits.entry import LONGEST_TEXT, Entry
from evenfire.delivery.visits.folding import folded
from evenfire.errors import BadEntry, BadRequest
from tests.delivery.records.store_examples import at_work, chain, entry, named_id


def test_what_was_recorded_comes_back_as_it_was_typed(store: Store) -> None:
    at = at_work(store)
    typed = replace(entry(at, 1, path="as_found.high_limit", text=" 140 psi\t"), unit="psi", si="965266.0249412731")
    unreadable = replace(entry(at, 2, path="as_found.manual_cap", text="½ °\n'; --"), why_not="it has no number")
    for each in (typed, unreadable):
        recorded = record(store, each)
        assert (recorded.entry, recorded.is_new) == (each, True)
        assert recorded.received_at.tzinfo is not None
    assert entries_of(store, at.visit.id) == (typed, unreadable)


def test_sending_an_entry_again_is_harmless_and_says_so(store: Store) -> None:
    at = at_work(store)
    first = record(store, entry(at, 1))
    again = record(store, entry(at, 1))
    assert not again.is_new
    assert (again.number, again.entry, again.received_at) == (first.number, first.entry, first.received_at)
    assert entries_of(store, at.visit.id) == (entry(at, 1),)


@pytest.mark.parametrize("field", ["text", "path", "unit", "why_not", "device", "at"])
def test_the_same_id_with_another_content_is_refused(store: Store, field: str) -> None:
    at = at_work(store)
    first = entry(at, 1)
    record(store, first)
    changed = {
        "text": replace(first, text="another"),
        "path": replace(first, path="note.2.text"),
        "unit": replace(first, unit="psi"),
        "why_not": replace(first, why_not="no"),
        "device": replace(first, device="laptop"),
        "at": replace(first, at=first.at + timedelta(microseconds=1)),
    }
    with pytest.raises(BadEntry, match="another entry has it"):
        record(store, changed[field])
    assert entries_of(store, at.visit.id) == (first,)


def test_an_id_is_taken_in_the_whole_store_and_not_in_one_draft(store: Store) -> None:
    at = at_work(store)
    record(store, entry(at, 1))
    other = drafts.open_visit(store, boiler=at.boiler.id, by=at.person.id)
    with pytest.raises(BadEntry, match="another entry has it"):
        record(store, replace(entry(at, 1), draft=other.id))


def test_an_entry_replaces_only_what_its_own_draft_has_in_the_same_field(store: Store) -> None:
    at = at_work(store)
    other = drafts.open_visit(store, boiler=at.boiler.id, by=at.person.id)
    elsewhere = replace(entry(at, 1), draft=other.id)
    here = entry(at, 2, path="call.reason")
    record_all(store, (elsewhere, here))
    for base in (elsewhere.id, here.id, named_id("never sent")):
        with pytest.raises(BadEntry, match=r"an entry of note\.1\.text that this draft has"):
            record(store, entry(at, 3, base))
    assert entries_of(store, at.visit.id) == (here,)


def test_an_entry_that_settles_a_conflict_names_all_that_it_replaces_in_its_order(store: Store) -> None:
    at = at_work(store)
    one, other = entry(at, 1), entry(at, 2)
    settles = entry(at, 3, other.id, one.id)
    record_all(store, (one, other, settles))
    assert entries_of(store, at.visit.id)[-1].based_on == (other.id, one.id)
    (field,) = folded(entries_of(store, at.visit.id)).fields.values()
    assert field.standing == settles


def test_naming_one_entry_twice_as_replaced_is_refused(store: Store) -> None:
    at = at_work(store)
    record(store, entry(at, 1))
    with pytest.raises(BadEntry, match="each entry once"):
        record(store, entry(at, 2, entry(at, 1).id, entry(at, 1).id))


def test_an_unknown_author_and_one_who_may_only_read_are_refused(store: Store) -> None:
    at = at_work(store)
    reader = registers.add_person(store, "Ben Marsh", licence="", may=May.READ)
    with pytest.raises(BadEntry, match="a person that this store knows"):
        record(store, replace(entry(at, 1), author=named_id("nobody")))
    with pytest.raises(BadEntry, match="a person who may write"):
        record(store, replace(entry(at, 1), author=reader.id))


def test_a_draft_that_is_not_here_takes_no_entry(store: Store) -> None:
    at = at_work(store)
    with pytest.raises(BadRequest, match="no visit or survey draft"):
        record(store, replace(entry(at, 1), draft=named_id("no draft")))
    assert entries_of(store, named_id("no draft")) == ()


def test_a_field_that_no_visit_has_is_refused_and_a_survey_has_fields_of_its_own(store: Store) -> None:
    at = at_work(store)
    with pytest.raises(BadEntry, match="a field of a visit"):
        record(store, entry(at, 1, path="as_found.high_limmit"))
    survey = drafts.open_survey(store, boiler=at.boiler.id, by=at.person.id)
    typed = replace(entry(at, 2, path="boiler.mawp"), draft=survey.id)
    record(store, typed)
    assert entries_of(store, survey.id) == (typed,)
    with pytest.raises(BadEntry, match=r"a field of a survey, such as boiler\.safety_valve\.1\.set"):
        record(store, replace(entry(at, 3, path="boiler.safety_valve.1.sett"), draft=survey.id))


def test_a_closed_visit_takes_no_new_entry_but_knows_what_it_had(store: Store) -> None:
    at = at_work(store)
    record(store, entry(at, 1))
    with store.write() as connection:
        connection.execute(text("UPDATE drafts SET closed_at = '2026-03-02T10:00:00.000000Z'"))
    with pytest.raises(BadRequest, match=r"takes no more entries; note\.1\.text was not kept"):
        record(store, entry(at, 2))
    assert not record(store, entry(at, 1)).is_new
    assert entries_of(store, at.visit.id) == (entry(at, 1),)


def test_all_of_a_sheet_is_kept_or_nothing_of_it(store: Store) -> None:
    at = at_work(store)
    good, bad = entry(at, 1), entry(at, 2, named_id("never sent"))
    with pytest.raises(BadEntry):
        record_all(store, (good, bad))
    assert entries_of(store, at.visit.id) == ()
    kept = record_all(store, chain(at, 5))
    assert [each.entry for each in kept] == list(chain(at, 5))
    assert entries_of(store, at.visit.id) == chain(at, 5)


def test_the_longest_text_is_kept_whole(store: Store) -> None:
    at = at_work(store)
    longest = entry(at, 1, text="\N{GREEK SMALL LETTER OMEGA}\N{LINE SEPARATOR}" * (LONGEST_TEXT // 2))
    record(store, longest)
    assert entries_of(store, at.visit.id) == (longest,)


def test_two_devices_that_send_everything_twice_in_any_order_make_one_draft(store: Store) -> None:
    at = at_work(store)
    fields = [tuple(_field(at_entries, row) for at_entries in chain(at, 3)) for row in (1, 2, 3)]
    order = [each for field in fields for each in field]
    chance = random.Random(11)

    def send(seed: int) -> None:
        mine = [*order]
        if seed:
            # The other device has the fields in another order; within a field what is replaced comes first.
            chance.shuffle(fields)
            mine = [each for field in fields for each in field]
        for each in mine + mine:
            record(store, each)

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(send, (0, 1)))
    kept = entries_of(store, at.visit.id)
    assert len(kept) == len(order)
    assert {each.id: each for each in kept} == {each.id: each for each in order}


def _field(made: Entry, row: int) -> Entry:
    ids = tuple(named_id(f"{row} {each}") for each in made.based_on)
    return replace(made, id=named_id(f"{row} {made.id}"), path=f"note.{row}.text", based_on=ids)


def test_many_entries_come_back_with_what_each_replaces(store: Store) -> None:
    at = at_work(store)
    record_all(store, chain(at, 1_100))
    assert entries_of(store, at.visit.id) == chain(at, 1_100)


def test_what_is_acknowledged_is_seen_by_another_program_at_once(tmp_path: object) -> None:
    path = f"{tmp_path}/store.sqlite"
    with Store.open(path) as store:
        at = at_work(store)
        record(store, entry(at, 1))
        other = sqlite3.connect(path)
        assert other.execute("SELECT text FROM entries").fetchall() == [("reading 1",)]
        other.close()

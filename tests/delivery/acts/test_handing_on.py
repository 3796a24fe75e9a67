"""Signed records handed from store to store: whole or not at all, twice is once, made apart is joined."""

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from evenfire.delivery.acts import people, visiting
from evenfire.delivery.acts.handing_on import export, take_in
from evenfire.delivery.acts.judging_visit import judged
from evenfire.delivery.records.attachments import content_of
from evenfire.delivery.records.canonical import Content
from evenfire.delivery.records.container import Container, container_bytes
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.held import container_of, known_of
from evenfire.delivery.records.record import SignedRecord, facts_of
from evenfire.delivery.records.registers import add_boiler, add_site, boilers_of
from evenfire.delivery.records.sealing import seal
from evenfire.delivery.records.signed import heads_of, records_of, trip_results_of
from evenfire.delivery.records.surveys import document_of
from evenfire.delivery.records.verification import Judged, Standing
from evenfire.delivery.records.verifying import verify
from evenfire.delivery.report.store_text import imported_text
from evenfire.errors import BadRequest
from tests.delivery.acts.on_visit import DAY, FOUND, LAUNDRY, QUILL, WHOLE, Call, Clock, new_store, opened
from tests.delivery.records.signed_examples import ADA, container, head, history

READY = {**FOUND, **WHOLE}


@dataclass
class Exchange:
    """Two stores of one company that know nothing of each other."""

    here: Call
    there: Store
    folder: Path

    def hand_over(self, boiler: str = "No. 1") -> Path:
        file = self.folder / f"records-{len(list(self.folder.glob('records-*')))}"
        export(self.here.store, boiler, file)
        return file

    def know_each_other(self) -> None:
        """Each store enters the key of the other's engineer, with the fingerprint compared."""
        for giver, taker in ((self.here.store, self.there), (self.there, self.here.store)):
            file = self.folder / f"key-{len(list(self.folder.glob('key-*')))}"
            key = people.give_key(giver, QUILL, file)
            people.enter_key(taker, file, QUILL, key.known.key.fingerprint)


@pytest.fixture
def exchange(ready: Call, tmp_path: Path) -> Iterator[Exchange]:
    with new_store(tmp_path / "there" / "store.sqlite", Clock(DAY + timedelta(hours=3))) as there:
        yield Exchange(ready, there, tmp_path)


def boiler_of(store: Store) -> str:
    (boiler,) = boilers_of(store)
    return boiler.id


def verified(store: Store, boiler: str) -> Judged:
    return verify(container_of(store, boiler), known_of(store)).judged


def signed_there(exchange: Exchange) -> Call:
    """The same boiler surveyed and signed in the other store, which has seen nothing of this one."""
    call = Call(exchange.there, exchange.folder, opened(exchange.there, exchange.folder))
    call.enter(FOUND)
    call.settled()
    call.enter(READY)
    call.signed()
    return call


def test_what_is_exported_is_imported_whole_and_twice_is_once(exchange: Exchange) -> None:
    picture = BytesIO()
    Image.new("RGB", (20, 20), (10, 90, 10)).save(picture, "PNG")
    (exchange.folder / "plate.png").write_bytes(picture.getvalue())
    exchange.here.enter({**READY, "photo.1.file": "plate.png"})
    done = exchange.here.signed()
    file = exchange.hand_over()
    first = take_in(exchange.there, file)
    assert first.new == (done.record.id,)
    boiler = boiler_of(exchange.there)
    assert boiler == boiler_of(exchange.here.store)
    assert [each.record for each in records_of(exchange.there, boiler)] == [done.record]
    assert heads_of(exchange.there, boiler) == (done.record.id,)
    assert document_of(exchange.there, done.judged.at.survey.sha256) == done.judged.at.survey.document
    (photo,) = done.judged.at.visit.photos
    assert sha256(content_of(exchange.there, photo.hash)).hexdigest() == photo.hash
    assert len(trip_results_of(exchange.there, boiler=boiler)) == 2, "it can be searched there as here"
    again = take_in(exchange.there, file)
    assert (again.new, again.is_taken) == ((), True)
    assert "Nothing new" in imported_text(again, 80)


def test_a_signer_whom_nobody_knows_is_told_until_the_fingerprint_was_compared(exchange: Exchange) -> None:
    exchange.here.signed()
    taken = take_in(exchange.there, exchange.hand_over())
    (signed,) = taken.verified.verifications[0].signers
    assert signed.standing is Standing.UNKNOWN
    assert taken.ending.value == 4
    assert verified(exchange.there, boiler_of(exchange.there)) is Judged.SIGNER_NOT_JUDGED
    exchange.know_each_other()
    assert verified(exchange.there, boiler_of(exchange.there)) is Judged.VERIFIED


def test_two_stores_that_surveyed_one_plant_apart_join_their_records(exchange: Exchange) -> None:
    mine = exchange.here.signed().record.id
    there = signed_there(exchange)
    boiler = boiler_of(exchange.there)
    assert boiler == boiler_of(exchange.here.store), "a boiler is called the same by whoever surveys the same plant"
    taken = take_in(exchange.there, exchange.hand_over())
    assert taken.new == (mine,)
    assert taken.heads == 2
    assert "end in 2 that know nothing of each other" in " ".join(imported_text(taken, 80).split())
    theirs = next(each.record.id for each in records_of(exchange.there, boiler) if each.record.id != mine)
    later = there.again()
    later.enter({**READY, "call.arrived": "2026-11-25 16:00", "as_found.operating_limit": "128.5 psi"})
    joined = later.signed().record
    assert facts_of(joined.content).head.parents == tuple(sorted((mine, theirs)))
    assert heads_of(exchange.there, boiler) == (joined.id,)
    exchange.know_each_other()
    assert verified(exchange.there, boiler) is Judged.VERIFIED
    back = exchange.folder / "back"
    export(exchange.there, "No. 1", back)
    assert set(take_in(exchange.here.store, back).new) == {theirs, joined.id}
    assert heads_of(exchange.here.store, boiler) == (joined.id,)


def test_a_plant_spelled_a_little_otherwise_is_the_same_plant(exchange: Exchange) -> None:
    exchange.here.signed()
    respelled = LAUNDRY.replace('"Gull Quay Laundry"', '"GULL QUAY  Laundry"').replace(
        'name = "No. 1"', 'name = "no. 1"'
    )
    opened(exchange.there, exchange.folder, respelled)
    taken = take_in(exchange.there, exchange.hand_over())
    assert len(taken.new) == 1
    assert len(boilers_of(exchange.there)) == 1


def test_a_boiler_that_is_called_otherwise_by_now_keeps_its_id_and_its_records(exchange: Exchange) -> None:
    """The id that follows from a name is taken by a boiler that had that name once: the new one gets another id."""
    exchange.here.signed()
    named = boiler_of(exchange.here.store)
    site = add_site(exchange.there, "Gull Quay Laundry")
    add_boiler(exchange.there, site.id, "No. 1 east", boiler=named)
    opened(exchange.there, exchange.folder)
    ids = {each.name: each.id for each in boilers_of(exchange.there)}
    assert ids["No. 1 east"] == named
    assert ids["No. 1"] != named
    assert len(take_in(exchange.there, exchange.hand_over()).new) == 1
    assert [len(records_of(exchange.there, ids[name])) for name in ("No. 1 east", "No. 1")] == [1, 0]


def test_another_boiler_of_the_same_name_is_never_mixed_with_this_one(exchange: Exchange) -> None:
    """Records from a store that gave its boiler an id of its own, under the names of ours."""
    opened(exchange.there, exchange.folder, LAUNDRY.replace("Gull Quay Laundry", "Kiln Lane Laundry"))
    file = exchange.folder / "foreign"
    file.write_bytes(container_bytes(container(history())))
    with pytest.raises(BadRequest, match=r"another boiler Kiln Lane Laundry/No\. 1 of its own"):
        take_in(exchange.there, file)
    assert records_of(exchange.there, boiler_of(exchange.there)) == ()


@pytest.mark.parametrize("plate", ["S-200", "s-100"])
def test_two_boilers_whose_plates_differ_are_never_joined(exchange: Exchange, plate: str) -> None:
    named = {"id": "7d4c1f3a-52aa-4f0e-9c51-0f60d1a7a001", "site": "Kiln Lane Laundry", "name": "No. 1"}

    def file_of(serial: str, days: float) -> Path:
        record = strange({**named, "serial": serial}, days)
        file = exchange.folder / f"of-{serial}-{days}"
        file.write_bytes(container_bytes(only(record)))
        return file

    take_in(exchange.there, file_of("S-100", 0))
    second = file_of(plate, 1)
    if plate.casefold() == "s-100":
        assert len(take_in(exchange.there, second).new) == 1
        return
    with pytest.raises(BadRequest, match="serial number S-200"):
        take_in(exchange.there, second)


def only(record: SignedRecord) -> Container:
    """A file with one record, which names no survey."""
    named = facts_of(record.content).head.boiler["id"]
    return Container(boiler=named, records=(record,), attachments={}, surveys={})


def strange(boiler: Mapping[str, str], days: float, trip_tests: Sequence[Content] = ()) -> SignedRecord:
    """A visit signed by a stranger, with anything for its trip tests."""
    made = replace(head(days, boiler=boiler), surveys=())
    return seal(made, {"trip_tests": trip_tests}, ADA, ())


def test_a_tampered_file_is_refused_and_shown_and_nothing_of_it_is_kept(exchange: Exchange) -> None:
    exchange.here.signed()
    file = exchange.hand_over()
    file.write_bytes(file.read_bytes().replace(b"141 psi", b"149 psi"))
    taken = take_in(exchange.there, file)
    assert (taken.is_taken, taken.new, taken.ending.value) == (False, (), 5)
    text = " ".join(imported_text(taken, 80).split())
    assert "NOTHING WAS TAKEN IN: the file does not verify." in text
    assert "does not fit" in text
    assert boilers_of(exchange.there) == ()


def test_a_record_that_was_left_out_between_others_is_named(exchange: Exchange, clock: Clock) -> None:
    first = exchange.here.signed()
    clock.now += timedelta(days=1)
    later = exchange.here.again()
    later.enter({**READY, "call.arrived": "2026-11-26 09:00", "as_found.operating_limit": "128.5 psi"})
    later.signed()
    whole = container_of(exchange.here.store, boiler_of(exchange.here.store))
    kept = tuple(each for each in whole.records if each.id != first.record.id)
    file = exchange.folder / "short"
    file.write_bytes(container_bytes(replace(whole, records=kept)))
    taken = take_in(exchange.there, file)
    assert not taken.is_taken
    assert first.record.id[:12] in imported_text(taken, 200)


def test_a_boiler_without_a_record_has_nothing_to_hand_on(exchange: Exchange) -> None:
    with pytest.raises(BadRequest, match="no signed record yet"):
        exchange.hand_over()


def test_a_file_that_is_there_is_never_written_over(exchange: Exchange) -> None:
    exchange.here.signed()
    file = exchange.folder / "there already"
    file.write_text("mine", encoding="utf-8")
    with pytest.raises(BadRequest, match="left as it is"):
        export(exchange.here.store, "No. 1", file)
    assert file.read_text(encoding="utf-8") == "mine"


def test_a_store_whose_records_were_changed_hands_nothing_on(exchange: Exchange) -> None:
    exchange.here.signed()
    with sqlite3.connect(exchange.here.store.place) as database:
        database.execute("update records set content = replace(content, '141 psi', '149 psi')")
    with pytest.raises(BadRequest, match="do not verify; nothing was written"):
        export(exchange.here.store, "No. 1", exchange.folder / "changed")
    assert not (exchange.folder / "changed").exists()


def test_a_stranger_may_write_anything_into_a_record_and_no_visit_here_stumbles_over_it(exchange: Exchange) -> None:
    """A record that verifies, of an unknown signer, whose trip tests are nonsense."""
    there = Call(exchange.there, exchange.folder, opened(exchange.there, exchange.folder))
    boiler = boilers_of(exchange.there)[0]
    odd: list[Content] = [
        {"control": "no such control", "on": "2026-01-01"},
        {"control": "high_limit", "on": "yesterday"},
        {"control": "high_limit", "on": "2026-01-01", "method": "true rise", "readings": [{"shown_pa_gauge": "NaN"}]},
        {"control": "high_limit", "on": "2026-01-01", "readings": [{"shown_pa_gauge": "12,5"}]},
    ]
    named = {"id": boiler.id, "site": boiler.site.name, "name": boiler.name}
    file = exchange.folder / "odd"
    file.write_bytes(container_bytes(only(strange(named, 0, odd))))
    assert take_in(exchange.there, file).is_taken
    there.enter(FOUND)
    found = judged(exchange.there, visiting.at_visit(exchange.there, there.visit))
    assert found.wanted, "the visit goes on as if the stranger had said nothing"

"""What a store holds is verified like a file; whatever is changed in it behind its back shows."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import text

from evenfire.delivery.acts.verifying import verify_records
from evenfire.delivery.answers import Ending
from evenfire.delivery.records import attachments, key_register, signed, surveys
from evenfire.delivery.records.container import container_bytes
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.held import boilers_with_records, container_of, known_of
from evenfire.delivery.records.key_files import sealed_key
from evenfire.delivery.records.keys import KnownKey, withdrawn
from evenfire.delivery.records.record import RecordHead, RecordKind, SignedRecord, Signer
from evenfire.delivery.records.sealing import seal
from evenfire.delivery.records.verification import Flaw, Judged, Standing
from evenfire.delivery.records.verifying import take_file, verify
from tests.delivery.records.signed_examples import ADA, sha256
from tests.delivery.records.store_examples import FIRST, at_work

LOG = b"time,pressure\n0,110\n"


@dataclass(frozen=True)
class Signed:
    """A store in which one visit was signed and amended."""

    store: Store
    boiler: str
    visit: SignedRecord
    amendment: SignedRecord
    survey: str


@pytest.fixture
def there(tmp_path: Path) -> Iterator[Signed]:
    with Store.open(tmp_path / "store.sqlite", clock=lambda: FIRST + timedelta(days=3)) as store:
        at = at_work(store)
        attachments.attach_file(store, LOG, "log.csv", "text/csv")
        private = sealed_key(ADA, "four words nobody says")
        key_register.keep_own_key(store, person=at.person.id, key=ADA.public, private_pem=private)
        survey = surveys.surveys_of(store, at.boiler.id)[-1].sha256

        def head(kind: RecordKind, days: int, *parents: SignedRecord) -> RecordHead:
            return RecordHead(
                kind=kind,
                boiler={"id": at.boiler.id, "site": at.boiler.site.name, "name": at.boiler.name},
                parents=tuple(sorted(parent.id for parent in parents)),
                signed_at=FIRST + timedelta(days=days),
                signer=Signer(name=at.person.name, licence=at.person.licence, role="service engineer"),
                engine="0.6.0",
                rule_book="3",
                physics="2",
                attachments=(sha256(LOG),),
                surveys=(survey,),
            )

        visit = seal(head(RecordKind.VISIT, 0), {"as_left": "110 psi"}, ADA, ())
        signed.keep_visit(store, visit, signed.Searchable(), visit=at.visit.id, seen=())
        amended = seal(head(RecordKind.AMENDMENT, 1, visit), {"amends": visit.id}, ADA, (visit,))
        signed.keep_amendment(store, amended)
        yield Signed(store=store, boiler=at.boiler.id, visit=visit, amendment=amended, survey=survey)


def test_a_store_that_nobody_touched_is_verified(there: Signed) -> None:
    assert boilers_with_records(there.store) == (there.boiler,)
    found = verify(container_of(there.store, there.boiler), known_of(there.store))
    assert found.problems == ()
    assert [told.id for told in found.records] == [there.visit.id, there.amendment.id]
    assert found.judged is Judged.VERIFIED


def test_what_is_written_out_of_a_store_verifies_as_a_file(there: Signed) -> None:
    data = container_bytes(container_of(there.store, there.boiler))
    taken = take_file(data, known_of(there.store))
    assert taken.verification.judged is Judged.VERIFIED
    assert taken.container is not None
    assert taken.container.attachments == {sha256(LOG): LOG}
    assert list(taken.container.surveys) == [there.survey]


def sql(statement: str) -> Callable[[Signed], None]:
    """Somebody who writes in the database without the program."""

    def change(there: Signed) -> None:
        with there.store.write() as connection:
            connection.execute(text("PRAGMA defer_foreign_keys = ON"))
            done = connection.execute(
                text(statement), {"visit": there.visit.id, "amendment": there.amendment.id, "survey": there.survey}
            )
            assert done.rowcount == 1

    return change


def write_log(there: Signed) -> None:
    attachments.file_of(there.store, sha256(LOG)).write_bytes(LOG + b"1,140\n")


def remove_log(there: Signed) -> None:
    attachments.file_of(there.store, sha256(LOG)).unlink()


CHANGES: dict[str, tuple[Callable[[Signed], None], set[Flaw]]] = {
    "a content": (
        sql("UPDATE records SET content = replace(content, '110 psi', '140 psi') WHERE id = :visit"),
        {Flaw.CHANGED, Flaw.SIGNATURE},
    ),
    "a signature": (
        sql("UPDATE records SET signature = (SELECT signature FROM records WHERE id = :amendment) WHERE id = :visit"),
        {Flaw.SIGNATURE},
    ),
    "a survey": (
        sql("UPDATE survey_documents SET document = replace(document, 'psi', 'bar') WHERE sha256 = :survey"),
        {Flaw.SURVEY_CHANGED},
    ),
    "the content of an attached file": (write_log, {Flaw.ATTACHMENT_CHANGED}),
    "that an attached file is there": (remove_log, {Flaw.ATTACHMENT_MISSING}),
}


@pytest.mark.parametrize("name", CHANGES)
def test_whoever_changes_a_store_behind_its_back_is_noticed(name: str, there: Signed) -> None:
    change, flaws = CHANGES[name]
    change(there)
    done = verify_records(None, (), there.store.place)
    assert {problem.flaw for problem in done.verifications[0].problems} == flaws
    assert done.ending is Ending.DOES_NOT_VERIFY


def test_a_whole_store_is_verified_with_its_own_keys(there: Signed) -> None:
    done = verify_records(None, (), there.store.place)
    assert done.ending is Ending.CLEAR
    assert done.file is None
    assert done.store == there.store.place


def test_a_file_is_verified_with_the_keys_of_a_store(there: Signed, tmp_path: Path) -> None:
    file = tmp_path / "records.json"
    file.write_bytes(container_bytes(container_of(there.store, there.boiler)))
    assert verify_records(file, (), None).ending is Ending.STOP_NOT_JUDGED
    assert verify_records(file, (), there.store.place).ending is Ending.CLEAR


def test_a_key_withdrawn_later_still_counts_for_what_the_store_held_before(there: Signed) -> None:
    known: KnownKey = key_register.known_keys(there.store)[ADA.public.fingerprint]
    key_register.keep_withdrawal(there.store, withdrawn(known, FIRST + timedelta(days=4), "telephone lost"))
    done = verify_records(None, (), there.store.place)
    assert {signer.standing for signer in done.verifications[0].signers} == {Standing.WITHDRAWN_SINCE}
    assert done.ending is Ending.CLEAR


def test_a_key_withdrawn_before_the_store_held_the_record_does_not(there: Signed) -> None:
    known = key_register.known_keys(there.store)[ADA.public.fingerprint]
    key_register.keep_withdrawal(there.store, withdrawn(known, FIRST + timedelta(days=2), "telephone lost"))
    done = verify_records(None, (), there.store.place)
    assert {signer.standing for signer in done.verifications[0].signers} == {Standing.WITHDRAWN_DATE_UNPROVEN}
    assert done.ending is Ending.STOP_NOT_JUDGED


def test_a_store_without_a_record_has_nothing_that_is_changed(tmp_path: Path) -> None:
    with Store.open(tmp_path / "store.sqlite") as store:
        place = store.place
    done = verify_records(None, (), place)
    assert done.verifications == ()
    assert done.ending is Ending.CLEAR

"""A store and an export of format 1, written once and opened for ever. What is in them is told here by hand."""

import json
import shutil
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from evenfire.delivery.records import drafts, due_items, instruments, key_register, registers, surveys
from evenfire.delivery.records.attachments import content_of, orphans
from evenfire.delivery.records.backup import examine
from evenfire.delivery.records.container import container_bytes
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.entries import entries_of
from evenfire.delivery.records.held import container_of, known_of
from evenfire.delivery.records.key_files import opened_key
from evenfire.delivery.records.restoring import restore
from evenfire.delivery.records.signed import heads_of, records_of, trip_results_of
from evenfire.delivery.records.verification import Judged, Known
from evenfire.delivery.records.verifying import take_file, verify
from evenfire.delivery.visits.folding import folded
from evenfire.plant.controls import Role
from tests.database_server import Server
from tests.records.freeze import PASSPHRASE

FROZEN = Path(__file__).with_name("v1")
PASCALS = 6894.757293
"""In one psi: NIST SP 811, appendix B.8, from memory."""
IMAGE = b"\x89PNG\r\n\x1a\n"


@pytest.fixture
def frozen(tmp_path: Path) -> Path:
    """A copy of the frozen store: opening one may bring it up to a newer layout."""
    shutil.copytree(FROZEN, tmp_path / "v1")
    return tmp_path / "v1" / "store.sqlite"


def require_everything(store: Store) -> None:
    """What was put in, in the words of the one who put it in."""
    assert [(each.name, each.licence, each.may.value) for each in registers.people_of(store)] == [
        ("Ada Quill", "B-1204", "sign"),
        ("Ben Marsh", "", "read"),
    ]
    assert [f"{each.site.name}/{each.name}" for each in registers.boilers_of(store)] == [
        "Cold Fell Tank Car Depot/Trailer 7",
        "Gull Quay Laundry/No. 1",
    ]
    laundry = registers.find_boiler(store, "Gull Quay Laundry/No. 1")
    plant = surveys.give(store, laundry.id).plant_file().plant
    mawp = plant.boilers[0].mawp
    assert mawp is not None
    assert float(mawp) == pytest.approx(150 * PASCALS, rel=1e-9)
    signed, open_ = sorted(drafts.drafts_of(store, laundry.id), key=lambda each: each.opened_at)
    assert (signed.is_open, open_.is_open) == (False, True)
    typed = folded(entries_of(store, signed.id))
    assert typed.text("as_found.high_limit") == "140 psi"
    assert typed.text("as_found.operating_limit") == "120 psi"
    assert typed.text("note.1.text") == "Ünder the cover:\n2 °C"
    assert typed.conflicts == ()
    assert len(entries_of(store, signed.id)) == 7
    assert folded(entries_of(store, open_.id)).text("call.reason") == "yearly"
    photograph = typed.text("photo.1.hash")
    assert photograph is not None
    assert content_of(store, photograph).startswith(IMAGE)
    assert orphans(store).missing == ()
    (gauge,) = instruments.gauges_of(store)
    assert (gauge.serial, [each.certificate for each in gauge.calibrations]) == ("G-17", ["C-118"])
    (fitting,) = instruments.fittings_of(store, laundry.id)
    assert (fitting.serial, fitting.role, fitting.fitted_on) == ("HL-1", Role.HIGH_LIMIT, date(2020, 5, 1))
    (due,) = due_items.due_items_of(store)
    assert (due.item, due.every.months, due.last_done_on) == ("high limit proved", 6, date(2025, 9, 1))
    visit, amendment = records_of(store, laundry.id)
    assert (visit.visit, amendment.parents) == (signed.id, (visit.record.id,))
    assert visit.signed_at.date() == date(2026, 3, 2)
    assert visit.held_since.tzinfo is UTC
    assert visit.held_since >= datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
    assert heads_of(store, laundry.id) == (amendment.record.id,)
    (trip,) = trip_results_of(store, serial="HL-1")
    assert (trip.result.trip_pa_gauge, trip.result.verdict) == ("963887.1", "passed")
    judged = verify(container_of(store, laundry.id), known_of(store))
    assert judged.judged is Judged.VERIFIED


def test_the_frozen_store_opens_and_everything_in_it_is_there(frozen: Path) -> None:
    with Store.open(frozen) as store:
        require_everything(store)


def test_the_frozen_backup_is_good_and_restores_to_both_databases(tmp_path: Path, database_server: Server) -> None:
    assert examine(FROZEN / "backup.tar").snapshot.tables["records"].rows == 2
    for place in (str(tmp_path / "store.sqlite"), database_server.new_database()):
        restore(FROZEN / "backup.tar", place, folder=tmp_path / "files")
        with Store.open(place, folder=tmp_path / "files") as store:
            require_everything(store)


def test_the_frozen_key_opens_with_its_passphrase_and_is_the_one_that_signed(frozen: Path) -> None:
    with Store.open(frozen) as store:
        (kept,) = key_register.keys_of(store)
        assert kept.private_pem is not None
        assert opened_key(kept.private_pem, PASSPHRASE).public == kept.known.key
        assert {each.record.fingerprint for each in records_of(store, registers.boilers_of(store)[1].id)} == {
            kept.known.key.fingerprint
        }


def test_the_frozen_export_verifies_and_its_signer_is_not_known_to_a_stranger() -> None:
    taken = take_file((FROZEN / "no-1.records.json").read_bytes(), Known())
    assert taken.verification.is_unchanged
    assert taken.verification.judged is Judged.SIGNER_NOT_JUDGED
    assert [each.kind for each in taken.verification.records] == ["visit", "amendment"]
    assert taken.container is not None
    assert len(taken.container.attachments) == len(taken.container.surveys) == 1


def test_the_frozen_export_is_what_the_frozen_store_hands_on_today(frozen: Path) -> None:
    with Store.open(frozen) as store:
        laundry = registers.find_boiler(store, "Gull Quay Laundry/No. 1")
        again = container_bytes(container_of(store, laundry.id))
    assert again == (FROZEN / "no-1.records.json").read_bytes()
    assert json.loads(again)["format"] == "evenfire.records/1"

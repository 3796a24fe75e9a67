"""Write the store and the signed export that are frozen for ever: run once for each format, never over an older one.

``python -m tests.records.freeze v1`` makes the folder; what the test knows of it is written by hand beside it.
"""

import io
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Final

from PIL import Image

from evenfire.delivery.records import drafts, due_items, instruments, key_register, registers, surveys
from evenfire.delivery.records.attachments import Attachment, attach_file, attach_photograph
from evenfire.delivery.records.backup import backup
from evenfire.delivery.records.canonical import Content
from evenfire.delivery.records.container import container_bytes
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.entries import entries_of, record_all
from evenfire.delivery.records.held import container_of
from evenfire.delivery.records.key_files import sealed_key
from evenfire.delivery.records.keys import new_key
from evenfire.delivery.records.record import RecordHead, RecordKind, SignedRecord, Signer, facts_of
from evenfire.delivery.records.registers import KeptBoiler, May, Person
from evenfire.delivery.records.sealing import seal
from evenfire.delivery.records.searchable import searchable_in
from evenfire.delivery.records.signed import keep_amendment, keep_visit
from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.fields import typed
from evenfire.plant.controls import Role
from tests.delivery.records.store_examples import EXAMPLES, named_id

HERE: Final = Path(__file__).parent
PASSPHRASE: Final = "a kettle that is never left alone"
"""Of a key that signs nothing but these examples."""
FIRST: Final = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)


@dataclass
class Clock:
    """A clock that goes on by a second whenever it is read."""

    now: datetime = FIRST

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


def main(name: str) -> None:
    """Fill a new store, sign in it, and write beside it the export of its boiler and a backup of everything."""
    folder = HERE / name
    folder.mkdir()
    with Store.open(folder / "store.sqlite", clock=Clock()) as store:
        person, boiler = _registers(store)
        visit = drafts.open_visit(store, boiler=boiler.id, by=person.id)
        photograph = _typed(store, visit.id, person)
        _sign(store, boiler, person, visit.id, photograph)
        (folder / "no-1.records.json").write_bytes(container_bytes(container_of(store, boiler.id)))
        open_ = drafts.open_visit(store, boiler=boiler.id, by=person.id)
        record_all(store, [_entry(open_.id, person, 100, "call.reason", "yearly")])
        backup(store, folder / "backup.tar")


def _registers(store: Store) -> tuple[Person, KeptBoiler]:
    ada = registers.add_person(store, "Ada Quill", licence="B-1204", may=May.SIGN, person=named_id("Ada Quill"))
    registers.add_person(store, "Ben Marsh", licence="", may=May.READ, person=named_id("Ben Marsh"))
    for name in ("laundry", "rental-trailer-depot"):
        surveys.take(store, (EXAMPLES / f"{name}.toml").read_bytes(), f"{name}.toml", by=ada.id)
    boiler = registers.find_boiler(store, "Gull Quay Laundry/No. 1")
    certificate = attach_file(store, b"%PDF-1.7 invented certificate\n", "C-118.pdf", "application/pdf")
    instruments.add_gauge(
        store,
        serial="G-17",
        name="test gauge",
        scale_from="0 psi",
        scale_to="200 psi",
        division="1 psi",
        accuracy="0.25 %",
    )
    instruments.add_calibration(store, "G-17", _calibration(certificate))
    instruments.fit_control(
        store, boiler=boiler.id, role=Role.HIGH_LIMIT, serial="HL-1", kind="bellows", on=date(2020, 5, 1)
    )
    due_items.set_due_item(
        store,
        boiler=boiler.id,
        item="high limit proved",
        every=due_items.Every(months=6),
        whose_rule="insurer",
        last_done_on=date(2025, 9, 1),
    )
    return ada, boiler


def _calibration(certificate: Attachment) -> instruments.Calibration:
    return instruments.Calibration(
        made_on=date(2026, 1, 12),
        due_on=date(2027, 1, 12),
        certificate="C-118",
        made_by="Fell Instruments",
        correction="-0.2 psi",
        expanded_uncertainty="0.25 psi",
        coverage_factor="2",
        attachment=certificate.sha256,
    )


def _entry(draft: str, person: Person, number: int, path: str, text: str, *based_on: str) -> Entry:
    means = typed(path, text)
    return Entry(
        id=named_id(f"{draft} {number}"),
        draft=draft,
        path=path,
        text=text,
        unit=means.unit,
        si=means.si,
        why_not=means.why_not,
        author=person.id,
        device="phone",
        at=FIRST + timedelta(minutes=number),
        based_on=based_on,
    )


def _typed(store: Store, visit: str, person: Person) -> Attachment:
    picture = io.BytesIO()
    Image.new("RGB", (32, 24), "firebrick").save(picture, "PNG")
    photograph = attach_photograph(store, picture.getvalue(), "dial.png")

    def entered(number: int, path: str, text: str, *based_on: int) -> Entry:
        return _entry(visit, person, number, path, text, *(named_id(f"{visit} {each}") for each in based_on))

    record_all(
        store,
        [
            entered(1, "as_found.high_limit", "140 psi"),
            entered(2, "as_found.high_limit", "141 psi"),
            entered(3, "as_found.high_limit", "140 psi", 1, 2),
            entered(4, "as_found.operating_limit", "a hundred and twenty"),
            entered(5, "as_found.operating_limit", "120 psi", 4),
            entered(6, "photo.1.hash", photograph.sha256),
            entered(7, "note.1.text", "Ünder the cover:\n2 °C"),
        ],
    )
    return photograph


def _sign(store: Store, boiler: KeptBoiler, person: Person, visit: str, photograph: Attachment) -> None:
    key = new_key()
    key_register.keep_own_key(store, person=person.id, key=key.public, private_pem=sealed_key(key, PASSPHRASE))
    survey = surveys.give(store, boiler.id).sha256
    trip: Mapping[str, Content] = {
        "control": "high_limit",
        "serial": "HL-1",
        "method": "true rise",
        "set_pa_gauge": "965266",
        "trip_pa_gauge": "963887.1",
        "standard_uncertainty_pa": "1378.95",
        "degrees_of_freedom": "2",
        "verdict": "passed",
    }

    def sealed(
        kind: RecordKind, body: Mapping[str, Content], parents: tuple[SignedRecord, ...], hashes: tuple[str, ...]
    ) -> SignedRecord:
        head = RecordHead(
            kind=kind,
            boiler={"id": boiler.id, "site": boiler.site.name, "name": boiler.name},
            parents=tuple(each.id for each in parents),
            signed_at=store.clock().replace(microsecond=0),
            signer=Signer(name=person.name, licence=person.licence, role="service engineer"),
            engine="0.1.0",
            rule_book="2026.1",
            physics="1",
            attachments=hashes,
            surveys=(survey,) if kind is RecordKind.VISIT else (),
        )
        return seal(head, body, key, parents)

    made = sealed(RecordKind.VISIT, {"trip_tests": [trip], "remark": "frozen"}, (), (photograph.sha256,))
    seen = [each.id for each in entries_of(store, visit)]
    keep_visit(store, made, searchable_in(facts_of(made.content)), visit=visit, seen=seen)
    amended = sealed(RecordKind.AMENDMENT, {"amends": made.id, "text": "The serial number is HL-1."}, (made,), ())
    keep_amendment(store, amended)


if __name__ == "__main__":
    main(sys.argv[1])

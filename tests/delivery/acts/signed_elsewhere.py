"""A visit signed by another version of the program than this one: what it judged is not what would be judged now."""

import json
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

from PIL import Image

from evenfire.delivery.records.key_files import opened_key
from evenfire.delivery.records.key_register import keys_of
from evenfire.delivery.records.record import RecordHead, RecordKind, SignedRecord, Signer, facts_of
from evenfire.delivery.records.sealing import seal
from evenfire.delivery.records.searchable import searchable_in
from evenfire.delivery.records.signed import heads_of, keep_visit
from evenfire.delivery.report.visit_record import body_of
from evenfire.delivery.units import UnitSystem
from tests.delivery.acts.on_visit import DAY, PASSPHRASE, QUILL, Call

ENGINE, RULE_BOOK, PHYSICS = "0.0.7", "1998.2", "1997.1"


def signed_by_another_version(call: Call, change: Callable[[dict[str, Any]], None]) -> SignedRecord:
    """The visit of this call, signed and kept with a body that was changed before it was signed."""
    judged = call.judged()
    body = json.loads(json.dumps(body_of(judged, UnitSystem.US)))
    change(body)
    (kept,) = keys_of(call.store)
    assert kept.private_pem is not None
    boiler = judged.at.boiler
    head = RecordHead(
        kind=RecordKind.VISIT,
        boiler={"id": boiler.id, "site": boiler.site.name, "name": boiler.name},
        parents=heads_of(call.store, boiler.id),
        signed_at=DAY + timedelta(hours=1),
        signer=Signer(name=QUILL, licence="B-1204", role="service engineer"),
        engine=ENGINE,
        rule_book=RULE_BOOK,
        physics=PHYSICS,
        attachments=tuple(sorted({each.hash for each in judged.at.visit.photos})),
        surveys=(judged.at.survey.sha256,),
    )
    record = seal(head, body, opened_key(kept.private_pem, PASSPHRASE), ())
    seen = [each.id for each in judged.at.entries]
    keep_visit(call.store, record, searchable_in(facts_of(record.content)), visit=call.visit, seen=seen)
    return record


def picture(folder: Path, name: str, size: tuple[int, int], colour: tuple[int, int, int]) -> None:
    """A picture file beside the sheet of a visit."""
    Image.new("RGB", size, colour).save(folder / name)

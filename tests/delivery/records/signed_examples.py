"""Signed records of an invented boiler, the same every time: keys come of names, dates are given."""

import hashlib
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from evenfire.delivery.records.canonical import Content, canonical_bytes
from evenfire.delivery.records.container import Container
from evenfire.delivery.records.keys import KnownKey, PrivateKey
from evenfire.delivery.records.record import RecordHead, RecordKind, SignedRecord, Signer
from evenfire.delivery.records.sealing import seal
from evenfire.delivery.records.verification import Known

BOILER = {"id": "7d4c1f3a-52aa-4f0e-9c51-0f60d1a7a001", "site": "Kiln Lane Laundry", "name": "No. 1"}
OTHER_BOILER = {"id": "7d4c1f3a-52aa-4f0e-9c51-0f60d1a7a002", "site": "Kiln Lane Laundry", "name": "No. 2"}
FIRST = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
PHOTOGRAPH = b"\x89PNG invented dial, as found"
OTHER_PHOTOGRAPH = b"\x89PNG invented dial, as left"
SURVEY = canonical_bytes({"boiler": "No. 1", "mawp": "150 psi"}).decode()


def person(name: str) -> PrivateKey:
    """The key of an invented person."""
    return PrivateKey(Ed25519PrivateKey.from_private_bytes(hashlib.sha256(name.encode()).digest()))


ADA, BEN, STRANGER = person("Ada Field"), person("Ben Marsh"), person("nobody's friend")


def sha256(content: bytes | str) -> str:
    return hashlib.sha256(content.encode() if isinstance(content, str) else content).hexdigest()


def head(
    days: float,
    parents: Sequence[SignedRecord] = (),
    *,
    name: str = "Ada Field",
    boiler: Mapping[str, str] = BOILER,
    kind: RecordKind = RecordKind.VISIT,
    attachments: Sequence[bytes] = (),
) -> RecordHead:
    return RecordHead(
        kind=kind,
        boiler=boiler,
        parents=tuple(sorted(parent.id for parent in parents)),
        signed_at=FIRST + timedelta(days=days),
        signer=Signer(name=name, licence="BT-1182", role="service engineer"),
        engine="0.6.0",
        rule_book="3",
        physics="2",
        attachments=tuple(sorted(sha256(each) for each in attachments)),
        surveys=(sha256(SURVEY),),
    )


def visit(
    days: float,
    parents: Sequence[SignedRecord] = (),
    *,
    key: PrivateKey = ADA,
    name: str = "Ada Field",
    boiler: Mapping[str, str] = BOILER,
    attachments: Sequence[bytes] = (),
    cut_out: str = "110",
) -> SignedRecord:
    body: dict[str, Content] = {
        "as_left": {"cut_out": {"value": cut_out, "unit": "psi"}},
        "remark": "d\u00e9j\u00e0 vu \U0001f525",
    }
    return seal(head(days, parents, name=name, boiler=boiler, attachments=attachments), body, key, parents)


def amendment(days: float, parents: Sequence[SignedRecord], amends: SignedRecord) -> SignedRecord:
    body: dict[str, Content] = {"amends": amends.id, "remark": "the serial number was misread"}
    return seal(head(days, parents, kind=RecordKind.AMENDMENT), body, ADA, parents)


def history() -> tuple[SignedRecord, ...]:
    """A root, two visits made apart from each other, one that joins them, and an amendment of the second."""
    root = visit(0, attachments=(PHOTOGRAPH,))
    left = visit(90, (root,), attachments=(OTHER_PHOTOGRAPH,))
    right = visit(91, (root,), key=BEN, name="Ben Marsh", cut_out="112")
    joined = visit(180, (left, right))
    return root, left, right, joined, amendment(181, (joined,), left)


def container(records: Sequence[SignedRecord]) -> Container:
    """The file of these records, with what `history` names."""
    return Container(
        boiler=BOILER["id"],
        records=tuple(records),
        attachments={sha256(each): each for each in (PHOTOGRAPH, OTHER_PHOTOGRAPH)},
        surveys={sha256(SURVEY): SURVEY},
    )


def known_key(key: PrivateKey, name: str) -> KnownKey:
    return KnownKey(key=key.public, name=name, entered=FIRST)


def known(*keys: KnownKey) -> Known:
    """Ada and Ben, or the keys that are given."""
    keys = keys or (known_key(ADA, "Ada Field"), known_key(BEN, "Ben Marsh"))
    return Known(keys={each.key.fingerprint: each for each in keys})

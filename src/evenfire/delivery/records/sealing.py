"""Seal a record: what was signed is never changed, only amended."""

from collections.abc import Mapping, Sequence

from evenfire.delivery.records.canonical import Content
from evenfire.delivery.records.keys import PrivateKey
from evenfire.delivery.records.record import (
    TIME,
    RecordHead,
    SignedRecord,
    content_of,
    facts_of,
    record_id,
    signed_message,
)
from evenfire.errors import BadContent


def seal(
    head: RecordHead, body: Mapping[str, Content], key: PrivateKey, parents: Sequence[SignedRecord]
) -> SignedRecord:
    """The signed record of a visit or of an amendment.

    ``parents`` are the records that ``head.parents`` names: all heads that the store holds for this boiler.

    Raises
    ------
    BadContent
        Something in it cannot be signed (with the path to it); the parents are not those that it names, or of another
        boiler; or it would be dated before one of them.
    """
    content = content_of(head, key.public, body)
    _see_parents(head, parents)
    return sealed(content, key)


def sealed(content: bytes, key: PrivateKey) -> SignedRecord:
    """A content, signed; what it says has been seen to before."""
    return SignedRecord(
        id=record_id(content),
        content=content,
        fingerprint=key.public.fingerprint,
        signature=key.sign(signed_message(content)).hex(),
    )


def _see_parents(head: RecordHead, parents: Sequence[SignedRecord]) -> None:
    if sorted(parent.id for parent in parents) != list(head.parents):
        raise BadContent(path="parents", found="others than the heads at hand", must_be="the ids of all heads")
    for parent in parents:
        before = facts_of(parent.content).head
        if before.boiler["id"] != head.boiler["id"]:
            raise BadContent(path="parents", found=f"{parent.id}, of another boiler", must_be="of this boiler")
        if before.signed_at > head.signed_at:
            raise BadContent(
                path="signed_at",
                found=f"{head.signed_at.strftime(TIME)}, before the record that it follows",
                must_be=f"{before.signed_at.strftime(TIME)} or later: set the clock of this device",
            )

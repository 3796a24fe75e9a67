"""Seal a record: what was signed is never changed, only amended."""

from collections.abc import Mapping

from evenfire.delivery.records.canonical import Content
from evenfire.delivery.records.keys import PrivateKey
from evenfire.delivery.records.record import RecordHead, SignedRecord


def seal(
    head: RecordHead, body: Mapping[str, Content], key: PrivateKey, parents: tuple[SignedRecord, ...]
) -> SignedRecord:
    """The signed record of a visit or of an amendment.

    ``parents`` are the records that ``head.parents`` names, all heads that the store holds for this boiler.

    Raises
    ------
    BadContent
        Something in it cannot be signed (with the path to it), or it would be dated before a parent.
    """
    raise NotImplementedError

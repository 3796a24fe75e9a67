"""Verify records, offline: each signature, each hash, and that nothing between a record and its ancestors is gone."""

from collections.abc import Mapping, Sequence

from evenfire.delivery.records.keys import KnownKey
from evenfire.delivery.records.record import SignedRecord
from evenfire.delivery.records.verification import KnownRecord, Verification


def verify(
    records: Sequence[SignedRecord],
    attachments: Mapping[str, bytes],
    surveys: Mapping[str, str],
    known_keys: Sequence[KnownKey],
    known_records: Mapping[str, KnownRecord],
) -> Verification:
    """Judge the records of one boiler; nothing that they hold raises."""
    raise NotImplementedError


def verify_file(data: bytes, known_keys: Sequence[KnownKey], known_records: Mapping[str, KnownRecord]) -> Verification:
    """Judge a file of records; nothing that it holds raises."""
    raise NotImplementedError

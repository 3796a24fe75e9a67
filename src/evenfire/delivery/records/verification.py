"""What verifying finds out; two answers, never mixed: is it unchanged, and is the signer known here."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import Enum
from typing import Final

from evenfire.delivery.records.keys import KnownKey


class Flaw(Enum):
    """One way in which records are not what was signed."""

    NOT_ONE_ENCODING = "not the one encoding"
    BEYOND_LIMIT = "beyond a limit"
    NOT_READABLE = "not readable"
    NO_RECORDS = "no records"
    OTHER_KEYS = "other keys than the signers'"
    MALFORMED = "malformed"
    CHANGED = "changed"
    """The content does not give the id"""
    SIGNATURE = "signature"
    OTHER_SIGNER = "other signer than its key"
    TWICE = "twice"
    OTHER_BOILER = "other boiler"
    PARENT_MISSING = "parent missing"
    NOT_A_HEAD = "parent is no head"
    CYCLE = "cycle"
    BEFORE_PARENT = "dated before a parent"
    AMENDED_MISSING = "amended record missing"
    AMENDED_NOT_BEFORE = "amended record is no ancestor"
    ATTACHMENT_CHANGED = "attachment changed"
    ATTACHMENT_MISSING = "attachment missing"
    ATTACHMENT_STRAY = "attachment named by no record"
    SURVEY_CHANGED = "survey changed"
    SURVEY_MISSING = "survey missing"
    SURVEY_STRAY = "survey named by no record"


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One flaw, as near to its place as can be known."""

    flaw: Flaw
    record: str = ""
    """Id of the record in which it is; empty where it is in no record"""
    other: str = ""
    """Id or hash of what is missing, changed or stray"""
    place: str = ""
    """Path or byte"""
    found: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What a record says of itself, whether it is true or not."""

    id: str
    kind: str
    signed_at: datetime
    """UTC"""
    signer: str
    site: str
    boiler: str
    """Name at the site"""


class Standing(Enum):
    """Whether the key that signed is known here."""

    KNOWN = "known"
    UNKNOWN = "unknown"
    OTHER_NAME = "known by another name"
    """The key is known, but as that of a person of another name than the record says"""
    WITHDRAWN_SINCE = "withdrawn since"
    """Signed before by its own date, and held here before the key was withdrawn"""
    WITHDRAWN_DATE_UNPROVEN = "withdrawn, date unproven"
    """Signed before by its own date, which a stolen key can write at will"""
    WITHDRAWN_BEFORE = "withdrawn before"
    """Signed after the key was withdrawn"""


NOT_JUDGED: Final = frozenset({Standing.UNKNOWN, Standing.OTHER_NAME, Standing.WITHDRAWN_DATE_UNPROVEN})
"""Nobody here can say whose signature it is, or when it was made."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedBy:
    """Who signed one record, and whether the key is known here."""

    record: str
    signed_at: datetime
    name: str
    """As the record says"""
    fingerprint: str
    standing: Standing
    known_as: str
    """The name under which the key is known here; empty where it is not"""


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownRecord:
    """A record that the store holds already."""

    boiler: str
    """Id"""
    held_since: datetime
    """UTC, by the clock of the store"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known here beforehand; both are empty where there is no store."""

    keys: Mapping[str, KnownKey] = field(default_factory=dict)
    """By fingerprint"""
    records: Mapping[str, KnownRecord] = field(default_factory=dict)
    """By id"""


class Judged(Enum):
    """The two answers together."""

    VERIFIED = "verified"
    SIGNER_NOT_JUDGED = "unchanged, but a signer could not be judged"
    DOES_NOT_VERIFY = "does not verify"


@dataclass(frozen=True, slots=True, kw_only=True)
class Verification:
    """The answer about a set of records of one boiler."""

    boiler: str
    """Id"""
    records: tuple[Told, ...]
    """Those that have the shape of one, in the order of their dates"""
    heads: tuple[str, ...]
    problems: tuple[Problem, ...]
    """None: unchanged"""
    signers: tuple[SignedBy, ...]
    lacking: tuple[str, ...]
    """Records of this boiler that the store holds and that are not among these"""

    @property
    def is_unchanged(self) -> bool:
        """The first answer: every record is what was signed, and none is gone from between the others."""
        return not self.problems

    @property
    def judged(self) -> Judged:
        """Both answers together; a change outweighs an unknown signer."""
        standings = {signed.standing for signed in self.signers}
        if self.problems or Standing.WITHDRAWN_BEFORE in standings:
            return Judged.DOES_NOT_VERIFY
        return Judged.SIGNER_NOT_JUDGED if standings & NOT_JUDGED else Judged.VERIFIED

"""What verifying finds out; two answers, never mixed: is it unchanged, and is the signer known here."""

from dataclasses import dataclass
from datetime import datetime
from enum import Enum


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


class Standing(Enum):
    """Whether the key that signed is known here."""

    KNOWN = "known"
    UNKNOWN = "unknown"
    WITHDRAWN_SINCE = "withdrawn since"
    """Signed before by its own date, and held here before the key was withdrawn"""
    WITHDRAWN_DATE_UNPROVEN = "withdrawn, date unproven"
    """Signed before by its own date, which a stolen key can write at will"""
    WITHDRAWN_BEFORE = "withdrawn before"
    """Signed after the key was withdrawn"""


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
    signed_at: datetime
    held_since: datetime


class Judged(Enum):
    """The two answers together."""

    VERIFIED = "verified"
    SIGNER_NOT_JUDGED = "unchanged, but a signer could not be judged"
    DOES_NOT_VERIFY = "does not verify"


@dataclass(frozen=True, slots=True, kw_only=True)
class Verification:
    """The answer about a set of records of one boiler."""

    boiler: str
    records: tuple[str, ...]
    """Ids, in the order of their dates"""
    heads: tuple[str, ...]
    problems: tuple[Problem, ...]
    """None: unchanged"""
    signers: tuple[SignedBy, ...]
    lacking: tuple[str, ...]
    """Records of this boiler that the store holds and that are not among these"""

"""What stands on a paper: texts that are worded already, in the reader's units. Templates only place them.

Every text is data to the printer, whatever is in it; an empty text or tuple leaves its place out.
"""

from dataclasses import dataclass
from datetime import date
from enum import Enum


class PaperSize(Enum):
    """What the paper is printed on."""

    LETTER = "letter"
    A4 = "a4"


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """What every page carries: whose boiler it is and what may be made of the paper."""

    title: str
    """Kind of paper"""
    site: str
    boiler: str
    """Empty on a list of several"""
    plate: str
    """Kind, size and MAWP"""
    state: str
    """Which settings, and whether they are more than a record; on every page"""
    notices: tuple[str, ...] = ()
    """What a reader has to know before anything else"""
    day: date | None = None
    """Of what the paper tells; the date of the document, so that the same data gives the same bytes"""
    made_from: str = ""
    """Survey and versions"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A figure."""

    svg: str
    says: str
    """The figure in words, for whoever cannot see it"""
    wide: bool = False
    """It has several panels and needs the whole width"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedPart:
    """A signature under a record that cannot be changed any more."""

    signer: str
    licence: str
    role: str
    signed_at: str
    """UTC, as in the record"""
    record: str
    """Its id, 64 hexadecimal digits"""
    fingerprint: str
    """Of the signer's public key"""
    mark: str = ""
    """What has to be known of the key wherever the signature is told; empty where it is known here"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signing:
    """The foot of a paper: a signature, or that there is none."""

    signed: SignedPart | None
    unsigned: str
    """What is said where there is none"""
    countersigned: str = ""
    """Who answers for what could not be judged; typed at printing, and never inside of the signature"""
    code: Drawing | None = None
    """What a telephone reads to find the record or the survey again"""
    by_hand: bool = True
    """Whether there is a place to sign by hand, where there is no signature"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ActingLine:
    """Where a control acts, as it is to be set."""

    control: str
    acts: str
    """The pressures at the boiler"""
    tolerance: str
    how: str
    leads: bool
    """Its pressure comes first: it is proved on a gauge, and its dial is only a start"""


@dataclass(frozen=True, slots=True, kw_only=True)
class DialLine:
    """One dial in all three sets of settings."""

    dial: str
    as_found: str
    proposed: str
    as_left: str
    flag: str = ""
    """What does not agree"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A word in the margin, a sentence, and what belongs to it."""

    label: str
    text: str
    beside: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing to do and to tick."""

    number: str
    do: str
    beside: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MovesPart:
    """The way from one set of settings to another."""

    lead: tuple[str, ...]
    steps: tuple[Step, ...]
    closing: tuple[Step, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofPart:
    """One scenario with its verdict."""

    verdict: str
    title: str
    said: str
    beside: tuple[str, ...] = ()
    drawings: tuple[Drawing, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetContent:
    """The settings sheet."""

    head: Head
    verdict: str
    acting_title: str
    acting: tuple[ActingLine, ...]
    dials: tuple[DialLine, ...]
    stack: Drawing | None
    standing: tuple[str, ...]
    findings: tuple[Told, ...]
    clear: tuple[str, ...]
    """What was judged and is in order"""
    moves: MovesPart | None
    proofs: tuple[ProofPart, ...]
    assumptions: tuple[str, ...]
    not_judged: tuple[str, ...]
    left_to_a_visit: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    signing: Signing


@dataclass(frozen=True, slots=True, kw_only=True)
class CardLine:
    """One pressure, in large type, and what happens there."""

    number: str
    unit: str
    name: str
    does: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardContent:
    """The card beside the boiler: one page, for those who run it."""

    head: Head
    lines: tuple[CardLine, ...]
    """From the highest pressure down"""
    not_read: str
    daily: tuple[str, ...]
    acted: tuple[str, ...]
    """What to do when the high limit has acted"""
    never: tuple[str, ...]
    call: str
    cautions: tuple[str, ...]
    foot: str
    code: Drawing | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """One thing that was written down."""

    name: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TemporaryChangeLine:
    """Something that was set out of the way for a test."""

    what: str
    reason: str
    opened: str
    """Who and when"""
    closed: str
    """Who and when; says so where it is still open"""
    verified: str
    is_open: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TripTestLine:
    """A trip test with its uncertainty and its verdict."""

    control: str
    method: str
    gauge: str
    """Reference gauge with class and calibration"""
    asked: str
    """Where it shall act, and within what"""
    readings: str
    result: str
    """Where it acts, at the boiler"""
    uncertainty: str
    """Expanded, with its coverage"""
    accepted: str
    """Between which pressures it passes, guard band taken off"""
    verdict: str
    passed: bool
    reset: str
    """Whether the reset was proved"""
    do: str
    note: str = ""
    told: str = ""
    """What came out, in a sentence"""
    beside: tuple[str, ...] = ()
    """Whatever else holds, and what a reader has to be told"""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceTestLine:
    """A test of another safety device."""

    device: str
    result: str
    limit: str
    verdict: str
    passed: bool
    note: str = ""
    do: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DoneLine:
    """A move, or a step after it, and whether it was ticked."""

    number: str
    what: str
    done: bool
    by: str
    """Who and when"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoLine:
    """A photograph."""

    picture: bytes | None
    """JPEG or PNG; nothing where it cannot be shown"""
    shows: str
    hash: str
    """SHA-256 of the attachment"""
    why_not: str = ""
    """Why it cannot be shown"""


@dataclass(frozen=True, slots=True, kw_only=True)
class AmendmentLine:
    """What was signed beside a record later."""

    text: str
    by: str
    """Who and when, and whether the key is known"""
    record: str
    """Id of the amendment"""


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionLine:
    """A field that was corrected after it had been entered."""

    what: str
    """The field"""
    was: str
    now: str
    by: str
    """Who and when"""


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitContent:
    """The report of one visit."""

    head: Head
    left: str
    """How the boiler is left, in one sentence"""
    call: tuple[Stated, ...]
    """Reason, who agreed, when, condition as found"""
    findings: tuple[Told, ...]
    not_judged: tuple[str, ...]
    temporary: tuple[TemporaryChangeLine, ...]
    trips: tuple[TripTestLine, ...]
    devices: tuple[DeviceTestLine, ...]
    moves: tuple[DoneLine, ...]
    dials: tuple[DialLine, ...]
    proofs: tuple[ProofPart, ...]
    """On the settings as left"""
    photographs: tuple[PhotoLine, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    signing: Signing
    findings_title: str = "Findings"
    verdict: str = ""
    """How the settings were judged, before the findings"""
    found: tuple[Told, ...] = ()
    """What was wrong as found, where the settings as left were judged too"""
    assumed: str = ""
    """What the judgement took for granted"""
    amendments: tuple[AmendmentLine, ...] = ()
    corrected: tuple[CorrectionLine, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DueLine:
    """One thing that is due."""

    due: str
    boiler: str
    what: str
    last: str
    """When it was done last, and what came of it"""
    why: str
    """What sets the interval"""
    overdue: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DueContent:
    """What is due, soonest first."""

    head: Head
    lines: tuple[DueLine, ...]
    nothing: str
    """Said where nothing is due"""
    cautions: tuple[str, ...]


Paper = SheetContent | CardContent | VisitContent | DueContent

"""The record of a signed visit, told beside the visit: who signed what, and what was added since."""

from dataclasses import dataclass

from evenfire.delivery.papers.admission import Refusal
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.keys import grouped
from evenfire.delivery.report.visit_lines import backed_up_line
from evenfire.delivery.visit_answers import AmendedVisit, AtVisit, SignedVisit
from evenfire.delivery.words.visits import say_flag


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordShown:
    """What a page tells of a record."""

    lines: tuple[str, ...]
    amendments: tuple[str, ...]
    refusal: str
    """Why it is not what was signed; empty where it is"""


@dataclass(frozen=True, slots=True, kw_only=True)
class JustSigned:
    """What a page tells after a signature."""

    lines: tuple[str, ...]
    flags: tuple[str, ...]
    """What the head of the record says"""


def record_shown(store: Store, at: AtVisit) -> RecordShown | None:
    """The record of a visit; nothing while it is open."""
    if at.draft.is_open:
        return None
    # Verifying loads what papers are made of; an open visit does without it.
    from evenfire.delivery.acts.visit_source import source_of

    source = source_of(store, at.draft.id)
    if isinstance(source, Refusal):
        return RecordShown(lines=(), amendments=(), refusal=source.why)
    if isinstance(source, AtVisit):
        return None
    part = source.sealed.part
    signed = f"Signed by {part.signer} ({part.licence}), {part.role}, at {part.signed_at}. {part.mark}".rstrip()
    lines = (signed, *source.sealed.notices, f"Record {part.record}.", f"Key {part.fingerprint}.")
    amendments = tuple(f"{each.text} {each.by} Amendment {each.record}." for each in source.sealed.amendments)
    return RecordShown(lines=lines, amendments=amendments, refusal="")


def just_signed(signed: SignedVisit) -> JustSigned:
    """What was signed, under which name it stands, and what became of the backup."""
    licence = signed.signer.licence or "no licence on record"
    return JustSigned(
        lines=(
            f"Signed by {signed.signer.name} ({licence}) at {signed.signed_at:%Y-%m-%d %H:%M:%S} UTC.",
            "It cannot be changed any more; what has to be put right goes into an amendment.",
            f"Record {signed.record.id}.",
            f"Key {grouped(signed.record.fingerprint)}.",
            backed_up_line(signed.backup),
        ),
        flags=tuple(say_flag(each) for each in signed.judged.flags),
    )


def just_amended(amended: AmendedVisit) -> JustSigned:
    """What was amended, and what became of the backup."""
    told = (
        f"Amendment {amended.record.id} to record {amended.amends} signed by {amended.signer.name}. The record itself "
        "stays as it was signed."
    )
    return JustSigned(lines=(told, backed_up_line(amended.backup)), flags=())

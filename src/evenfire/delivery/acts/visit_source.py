"""Which visit somebody means, and what is known of it: entries while it is open, the record once it is signed."""

from collections.abc import Iterator
from dataclasses import dataclass

from evenfire.delivery.acts.signed_settings import OF_A_RECORD_ALONE, survey_signed
from evenfire.delivery.acts.visiting import at_visit
from evenfire.delivery.answers import Ending
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.papers.admission import Refusal
from evenfire.delivery.papers.content import AmendmentLine, SignedPart
from evenfire.delivery.papers.visit_body import table_of
from evenfire.delivery.papers.visit_content import SealedVisit
from evenfire.delivery.records.container import Container
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind, drafts_of
from evenfire.delivery.records.finding import one_of
from evenfire.delivery.records.held import known_of
from evenfire.delivery.records.keys import grouped
from evenfire.delivery.records.record import TIME, RecordFacts, RecordKind, SignedRecord, facts_of
from evenfire.delivery.records.registers import boilers_of
from evenfire.delivery.records.searchable import text_of
from evenfire.delivery.records.signed import KeptRecord, record_by_id, records_named, records_of
from evenfire.delivery.records.verification import SignedBy, Standing
from evenfire.delivery.records.verifying import verify
from evenfire.delivery.visit_answers import AtVisit
from evenfire.delivery.words import visit_papers as words
from evenfire.delivery.words.records import STANDINGS
from evenfire.errors import BadContent

WELL_KNOWN = frozenset({Standing.KNOWN, Standing.WITHDRAWN_SINCE})
WITHDRAWN = frozenset({Standing.WITHDRAWN_BEFORE, Standing.WITHDRAWN_DATE_UNPROVEN})
SHORT = 8
"""Of an id that a person types [characters]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedSource:
    """A signed visit as the store holds it; its record and its amendments are what was signed."""

    kept: KeptRecord
    facts: RecordFacts
    sealed: SealedVisit


@dataclass(frozen=True, slots=True)
class _Named:
    name: str
    draft: str | None
    record: str | None


def source_of(store: Store, visit: str | None) -> AtVisit | SignedSource | Refusal:
    """A visit by the beginning of its id or of the id of its record; without one, the only visit that is open.

    A record that is not what was signed is refused.

    Raises
    ------
    BadRequest
        There is none, or several might be meant.
    """
    if visit is None:
        return at_visit(store, None)
    whole = _by_whole_id(store, visit)
    if whole is not None:
        return whole
    found = one_of(tuple(_named(store)), visit, what="visit", names=lambda each: (each.name,))
    if found.record is None:
        return at_visit(store, found.draft)
    return source_of_record(store, record_by_id(store, found.record))


def _by_whole_id(store: Store, visit: str) -> AtVisit | SignedSource | Refusal | None:
    """Without reading every record of the store; nothing where it is no whole id of something held here."""
    record = next((each.record for each in drafts_of(store, kind=DraftKind.VISIT) if each.id == visit), visit)
    if record is None:
        return at_visit(store, visit)
    kept = next(iter(records_named(store, (record,))), None)
    return source_of_record(store, kept) if kept is not None and kept.kind is RecordKind.VISIT else None


def survey_of(store: Store, source: SignedSource) -> PlantFile | None:
    """The survey that a signed visit stands on; nothing where it is not here, or not what was signed, or unreadable."""
    return survey_signed(store, source.kept.boiler, source.facts)


def _named(store: Store) -> Iterator[_Named]:
    """Every name by which a visit may be asked for."""
    for draft in drafts_of(store, kind=DraftKind.VISIT):
        yield _Named(draft.id, draft.id, draft.record)
    for boiler in boilers_of(store):
        for kept in records_of(store, boiler.id):
            if kept.kind is not RecordKind.VISIT:
                continue
            yield _Named(kept.record.id, None, kept.record.id)
            facts = _facts(kept.record) if kept.visit is None else None
            if facts is not None and (signed := text_of(table_of(facts.body, "visit"), "id")):
                yield _Named(signed, None, kept.record.id)


def _facts(record: SignedRecord) -> RecordFacts | None:
    try:
        return facts_of(record.content)
    except BadContent:
        return None


def source_of_record(store: Store, kept: KeptRecord) -> SignedSource | Refusal:
    """A signed visit by its record; one that is not what was signed is refused."""
    others = [each for each in records_of(store, kept.boiler) if each.kind is RecordKind.AMENDMENT]
    read = {each.record.id: _facts(each.record) for each in (kept, *others)}
    named = _with_amendments(kept.record.id, read)
    # An amendment that cannot be read may be one of this record: nobody can say that it is not.
    about = [each for each in (kept, *others) if each.record.id in named or read[each.record.id] is None]
    records = tuple(each.record for each in about)
    found = verify(Container(boiler=kept.boiler, records=records, attachments={}, surveys={}), known_of(store))
    wrong = [each.record for each in found.problems if each.flaw in OF_A_RECORD_ALONE]
    facts = read[kept.record.id]
    if wrong or facts is None:
        why = words.DOES_NOT_VERIFY.format(record=(wrong or [kept.record.id])[0])
        return Refusal(ending=Ending.DOES_NOT_VERIFY, why=why)
    signers = {each.record: each for each in found.signers}
    by = signers[kept.record.id]
    sealed = SealedVisit(
        part=_part(kept, facts, by.standing),
        notices=_notices(by),
        amendments=tuple(
            _amendment(each, amending, kept.record.id, signers[each.record.id])
            for each in about[1:]
            if (amending := read[each.record.id]) is not None
        ),
    )
    return SignedSource(kept=kept, facts=facts, sealed=sealed)


def _with_amendments(record: str, read: dict[str, RecordFacts | None]) -> set[str]:
    """The record, what amends it, what amends that, and so on."""
    named, before = {record}, 0
    while len(named) > before:
        before = len(named)
        named |= {name for name, facts in read.items() if facts is not None and facts.amends in named}
    return named


def _part(kept: KeptRecord, facts: RecordFacts, standing: Standing) -> SignedPart:
    signer = facts.head.signer
    return SignedPart(
        signer=signer.name,
        licence=signer.licence or words.NO_LICENCE,
        role=signer.role,
        signed_at=facts.head.signed_at.strftime(TIME),
        record=kept.record.id,
        fingerprint=grouped(kept.record.fingerprint),
        mark=_mark(standing),
    )


def _mark(standing: Standing) -> str:
    """What every page has to say of the key; nothing of one that is known here."""
    if standing in WELL_KNOWN:
        return ""
    return words.KEY_WITHDRAWN if standing in WITHDRAWN else words.SIGNER_UNKNOWN


def _notices(by: SignedBy) -> tuple[str, ...]:
    """What has to be said of the key; nothing of one that is known here."""
    if by.standing in WELL_KNOWN:
        return ()
    standing = STANDINGS[by.standing.value]
    places = {"name": by.name, "known_as": by.known_as, "fingerprint": grouped(by.fingerprint), "count": "1 record"}
    what, do = standing.what.format(**places), standing.do.format(**places)
    return (words.SIGNER.format(label=standing.label, what=what, do=do),)


def _amendment(kept: KeptRecord, facts: RecordFacts, record: str, by: SignedBy) -> AmendmentLine:
    signer, text = facts.head.signer, text_of(facts.body, "text")
    if facts.amends is not None and facts.amends != record:
        text = words.ANOTHER_AMENDMENT.format(record=facts.amends[:SHORT], text=text)
    label = STANDINGS[by.standing.value].label
    return AmendmentLine(
        text=text,
        by=words.AMENDED_BY.format(
            name=signer.name,
            licence=signer.licence or words.NO_LICENCE,
            at=facts.head.signed_at.strftime(TIME),
            fingerprint=grouped(kept.record.fingerprint),
            standing="." if by.standing in WELL_KNOWN else words.STANDING.format(label=label),
        ),
        record=kept.record.id,
    )

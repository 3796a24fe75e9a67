"""Verify records, offline: each signature, each hash, and that nothing between a record and its ancestors is gone."""

import hashlib
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from evenfire.delivery.records.container import Container, opened_container
from evenfire.delivery.records.lineage import Lineage, lineage
from evenfire.delivery.records.record import TIME, RecordFacts, SignedRecord, facts_of, record_id, signed_message
from evenfire.delivery.records.verification import Flaw, Judged, Known, Problem, SignedBy, Standing, Told, Verification
from evenfire.errors import BadContent

_HEX_128: Final = re.compile(r"[0-9a-f]{128}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A file of records, judged."""

    verification: Verification
    container: Container | None
    """Only of a file that verifies, whoever the signers are"""


Facts = Mapping[str, RecordFacts]
"""By the id of each record that has the shape of one."""


def verify(container: Container, known: Known) -> Verification:
    """Judge the records of one boiler; nothing that they hold raises."""
    facts: dict[str, RecordFacts] = {}
    problems: list[Problem] = [] if container.records else [Problem(flaw=Flaw.NO_RECORDS)]
    fitting: list[SignedRecord] = []
    for record in container.records:
        try:
            facts[record.id] = facts_of(record.content)
        except BadContent as error:
            found = f"{error.found}; it must be {error.must_be}"
            problems.append(Problem(flaw=Flaw.MALFORMED, record=record.id, place=error.path, found=found))
            continue
        wrong = list(_own_problems(record, facts[record.id], container.boiler))
        problems += wrong
        if not any(problem.flaw in {Flaw.SIGNATURE, Flaw.OTHER_SIGNER} for problem in wrong):
            fitting.append(record)
    problems += _repeated(container)
    problems += _ancestry(container, facts, known)
    problems += _files(container, facts)
    order = sorted(facts, key=lambda name: (facts[name].head.signed_at, name))
    named = {parent for each in facts.values() for parent in each.head.parents}
    held = {name for name, record in known.records.items() if record.boiler == container.boiler}
    return Verification(
        boiler=container.boiler,
        records=tuple(_told(name, facts[name]) for name in order),
        heads=tuple(name for name in order if name not in named),
        problems=tuple(problems),
        signers=tuple(_signed_by(record, facts[record.id], known) for record in _by_date(fitting, facts)),
        lacking=tuple(sorted(held - {record.id for record in container.records})),
    )


def take_file(data: bytes, known: Known) -> Taken:
    """Judge a file of records; nothing that it holds raises, and what does not verify is not handed on."""
    opened = opened_container(data)
    if opened.container is None:
        nothing = Verification(boiler="", records=(), heads=(), problems=opened.problems, signers=(), lacking=())
        return Taken(verification=nothing, container=None)
    found = verify(opened.container, known)
    found = replace(found, problems=(*opened.problems, *found.problems))
    is_good = found.judged is not Judged.DOES_NOT_VERIFY
    return Taken(verification=found, container=opened.container if is_good else None)


def _own_problems(record: SignedRecord, facts: RecordFacts, boiler: str) -> Iterator[Problem]:
    """What is wrong with one record by itself."""
    actual = record_id(record.content)
    if actual != record.id:
        yield Problem(flaw=Flaw.CHANGED, record=record.id, other=actual)
    if facts.key.fingerprint != record.fingerprint:
        yield Problem(flaw=Flaw.OTHER_SIGNER, record=record.id, other=record.fingerprint)
    is_hex = _HEX_128.fullmatch(record.signature) is not None
    signature = bytes.fromhex(record.signature) if is_hex else b""
    if not facts.key.verifies(signature, signed_message(record.content)):
        yield Problem(flaw=Flaw.SIGNATURE, record=record.id)
    if facts.head.boiler["id"] != boiler:
        yield Problem(flaw=Flaw.OTHER_BOILER, record=record.id, found=facts.head.boiler["id"])


def _repeated(container: Container) -> Iterator[Problem]:
    for name, count in Counter(record.id for record in container.records).items():
        if count > 1:
            yield Problem(flaw=Flaw.TWICE, record=name)


def _ancestry(container: Container, facts: Facts, known: Known) -> Iterator[Problem]:
    """What is wrong between records: gone, in a circle, or dated against their order."""
    parents: dict[str, tuple[str, ...]] = {record.id: () for record in container.records}
    walked = lineage(parents | {name: each.head.parents for name, each in facts.items()})
    for name in walked.on_cycle:
        yield Problem(flaw=Flaw.CYCLE, record=name)
    # Where something is gone, what came before what cannot be told; that it is gone is told.
    is_whole = len(facts) == len(parents) and all(
        parent in parents for each in facts.values() for parent in each.head.parents
    )
    for name, each in facts.items():
        yield from _parents(name, each, facts, known, walked)
        if each.amends is None:
            continue
        if each.amends not in walked.places:
            yield Problem(flaw=Flaw.AMENDED_MISSING, record=name, other=each.amends)
        elif is_whole and not walked.is_before(each.amends, name):
            yield Problem(flaw=Flaw.AMENDED_NOT_BEFORE, record=name, other=each.amends)


def _parents(name: str, facts: RecordFacts, all_facts: Facts, known: Known, walked: Lineage) -> Iterator[Problem]:
    head = facts.head
    for parent in head.parents:
        if parent not in walked.places:
            held = "held here" if parent in known.records else ""
            yield Problem(flaw=Flaw.PARENT_MISSING, record=name, other=parent, found=held)
            continue
        if any(walked.is_before(parent, other) for other in head.parents):
            yield Problem(flaw=Flaw.NOT_A_HEAD, record=name, other=parent)
        before = all_facts[parent].head.signed_at if parent in all_facts else head.signed_at
        if before > head.signed_at:
            found = f"{head.signed_at.strftime(TIME)}, before {before.strftime(TIME)}"
            yield Problem(flaw=Flaw.BEFORE_PARENT, record=name, other=parent, found=found)


def _files(container: Container, facts: Facts) -> Iterator[Problem]:
    """What is wrong with the attachments and the surveys."""
    flaws = (Flaw.ATTACHMENT_CHANGED, Flaw.ATTACHMENT_MISSING, Flaw.ATTACHMENT_STRAY)
    naming = {sha256: name for name, each in facts.items() for sha256 in each.head.attachments}
    yield from _named_files(container.attachments, naming, flaws)
    flaws = (Flaw.SURVEY_CHANGED, Flaw.SURVEY_MISSING, Flaw.SURVEY_STRAY)
    naming = {sha256: name for name, each in facts.items() for sha256 in each.head.surveys}
    yield from _named_files(container.surveys, naming, flaws)


def _named_files(
    files: Mapping[str, bytes] | Mapping[str, str], naming: Mapping[str, str], flaws: tuple[Flaw, Flaw, Flaw]
) -> Iterator[Problem]:
    changed, missing, stray = flaws
    for sha256 in sorted(naming.keys() - files.keys()):
        yield Problem(flaw=missing, record=naming[sha256], other=sha256)
    for sha256 in sorted(files):
        file = files[sha256]
        actual = hashlib.sha256(file.encode("utf-8", "replace") if isinstance(file, str) else file).hexdigest()
        if actual != sha256:
            yield Problem(flaw=changed, record=naming.get(sha256, ""), other=sha256, found=actual)
        if sha256 not in naming:
            yield Problem(flaw=stray, other=sha256)


def _told(name: str, facts: RecordFacts) -> Told:
    head = facts.head
    return Told(
        id=name,
        kind=head.kind.value,
        signed_at=head.signed_at,
        signer=head.signer.name,
        site=head.boiler["site"],
        boiler=head.boiler["name"],
    )


def _by_date(records: list[SignedRecord], facts: Facts) -> list[SignedRecord]:
    return sorted(records, key=lambda record: (facts[record.id].head.signed_at, record.id))


def _signed_by(record: SignedRecord, facts: RecordFacts, known: Known) -> SignedBy:
    key = known.keys.get(facts.key.fingerprint)
    return SignedBy(
        record=record.id,
        signed_at=facts.head.signed_at,
        name=facts.head.signer.name,
        fingerprint=facts.key.fingerprint,
        standing=_standing(record, facts, known),
        known_as=key.name if key is not None else "",
    )


def _standing(record: SignedRecord, facts: RecordFacts, known: Known) -> Standing:
    key = known.keys.get(facts.key.fingerprint)
    if key is None:
        return Standing.UNKNOWN
    if key.withdrawn is not None and facts.head.signed_at >= key.withdrawn.at:
        return Standing.WITHDRAWN_BEFORE
    if key.name and key.name != facts.head.signer.name:
        return Standing.OTHER_NAME
    if key.withdrawn is None:
        return Standing.KNOWN
    held = known.records.get(record.id)
    is_proven = held is not None and held.held_since < key.withdrawn.at
    return Standing.WITHDRAWN_SINCE if is_proven else Standing.WITHDRAWN_DATE_UNPROVEN

"""Sign a visit, or amend one that is signed: nothing that is signed is ever changed."""

from evenfire import __version__
from evenfire.delivery.papers.plain_names import name_of_path
from evenfire.delivery.records.backup import automatic_backup
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.key_files import opened_key
from evenfire.delivery.records.key_register import keys_of
from evenfire.delivery.records.keys import PrivateKey
from evenfire.delivery.records.record import RecordHead, RecordKind, SignedRecord, Signer, facts_of
from evenfire.delivery.records.registers import KeptBoiler, May, Person, boilers_of
from evenfire.delivery.records.sealing import seal
from evenfire.delivery.records.searchable import searchable_in
from evenfire.delivery.records.signed import heads_of, keep_amendment, keep_visit, record_by_id
from evenfire.delivery.report.visit_record import body_of
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visit_answers import AmendedVisit, AtVisit, BackedUp, JudgedVisit, SignedVisit
from evenfire.delivery.words.visits import ENTERED_SINCE, say_bar
from evenfire.errors import BadRequest, BadStore
from evenfire.judgement.rulebook import RULE_BOOK_VERSION
from evenfire.physics.motion.run import PHYSICS_VERSION

MOST_TOLD = 5
"""Fields that are named of those that were entered since somebody looked."""


def require_signable(judged: JudgedVisit) -> None:
    """See that nothing stands against signing.

    Raises
    ------
    BadRequest
        Something does: all of it is named, worst first; or it was judged at rest.
    """
    if judged.is_at_rest:
        raise BadRequest("This visit was judged at rest. It is signed after its settings as left were set in motion.")
    if not judged.at.draft.is_open:
        raise BadRequest("This visit is signed already; what has to be put right goes into an amendment.")
    if judged.bars:
        told = " ".join(f"({number}) {say_bar(each)}" for number, each in enumerate(judged.bars, 1))
        raise BadRequest(f"This visit cannot be signed as it stands. {told}")


def require_seen(at: AtVisit, seen: str) -> None:
    """See that whoever signs saw all that was entered; ``seen`` is the newest entry that the page told of.

    Raises
    ------
    BadRequest
        Something was entered since, here or on another device: it is named.
    """
    if not at.draft.is_open or seen == at.newest_entry:
        return
    ids = [each.id for each in at.entries]
    since = at.entries[ids.index(seen) + 1 :] if seen in ids else at.entries
    paths = tuple(dict.fromkeys(each.path for each in since))
    told = [name_of_path(path) for path in paths[:MOST_TOLD]]
    if len(paths) > MOST_TOLD:
        told.append(f"{len(paths) - MOST_TOLD} more")
    raise BadRequest(ENTERED_SINCE.format(fields="; ".join(told)))


def sign_visit(store: Store, judged: JudgedVisit, person: Person, passphrase: str, system: UnitSystem) -> SignedVisit:
    """Sign a visit as it was judged and keep it; a backup is made after it, or it is said why not.

    Raises
    ------
    BadRequest
        Something stands against signing, the person may not sign, or something was entered since it was judged.
    BadKey
        The passphrase does not open the key.
    """
    require_signable(judged)
    key, signer = _key_of(store, person, passphrase), _signer(person)
    body = body_of(judged, system)
    photos = tuple(sorted({each.hash for each in judged.at.visit.photos}))
    head = _head(store, judged.at.boiler, RecordKind.VISIT, signer, photos, (judged.at.survey.sha256,))
    record = seal(head, body, key, _parents(store, head))
    searchable = searchable_in(facts_of(record.content))
    keep_visit(store, record, searchable, visit=judged.at.draft.id, seen=[entry.id for entry in judged.at.entries])
    return SignedVisit(
        judged=judged,
        record=record,
        signer=signer,
        person=person,
        signed_at=head.signed_at,
        backup=_backed_up(store, "signature"),
    )


def amend(store: Store, record: str, text: str, person: Person, passphrase: str) -> AmendedVisit:
    """Sign an amendment to a record; the record itself stays as it is.

    Raises
    ------
    BadRequest
        There is no such record, nothing is said, or the person may not sign.
    BadKey
        The passphrase does not open the key.
    """
    if not text.strip():
        raise BadRequest("An amendment says something: give it with --text.")
    kept = record_by_id(store, record)
    key, signer = _key_of(store, person, passphrase), _signer(person)
    boiler = next(each for each in boilers_of(store) if each.id == kept.boiler)
    body = {"amends": kept.record.id, "text": text.strip()}
    head = _head(store, boiler, RecordKind.AMENDMENT, signer, (), ())
    made = seal(head, body, key, _parents(store, head))
    keep_amendment(store, made)
    return AmendedVisit(record=made, amends=kept.record.id, signer=signer, backup=_backed_up(store, "amendment"))


def _backed_up(store: Store, why: str) -> BackedUp:
    """The record is kept by now: a backup that fails is told, and makes nothing of that undone."""
    try:
        return BackedUp(path=automatic_backup(store, why).path)
    except BadStore as error:
        return BackedUp(why_not=str(error))


def _head(
    store: Store,
    boiler: KeptBoiler,
    kind: RecordKind,
    signer: Signer,
    attachments: tuple[str, ...],
    surveys: tuple[str, ...],
) -> RecordHead:
    plates = {"serial": boiler.serial, "registration": boiler.registration}
    named = {"id": boiler.id, "site": boiler.site.name, "name": boiler.name}
    named |= {key: value for key, value in plates.items() if value}
    return RecordHead(
        kind=kind,
        boiler=named,
        parents=heads_of(store, boiler.id),
        signed_at=store.clock().replace(microsecond=0),
        signer=signer,
        engine=__version__,
        rule_book=RULE_BOOK_VERSION,
        physics=PHYSICS_VERSION,
        attachments=attachments,
        surveys=surveys,
    )


def _parents(store: Store, head: RecordHead) -> tuple[SignedRecord, ...]:
    return tuple(record_by_id(store, each).record for each in head.parents)


def _signer(person: Person) -> Signer:
    return Signer(name=person.name, licence=person.licence, role="service engineer")


def _key_of(store: Store, person: Person, passphrase: str) -> PrivateKey:
    """The key of a person, opened."""
    if person.may is not May.SIGN:
        raise BadRequest(f"{person.name} may {person.may.value} in this store, and not sign.")
    own = [each for each in keys_of(store, person.id) if each.private_pem is not None and each.known.withdrawn is None]
    if not own:
        raise BadRequest(f"{person.name} has no key here. Make one: evenfire store key {person.name!r}.")
    pem = own[-1].private_pem
    assert pem is not None
    return opened_key(pem, passphrase)

"""People of a store, their logins and their keys: added, made, entered by an explicit act, withdrawn."""

from dataclasses import dataclass
from pathlib import Path

from argon2 import PasswordHasher

from evenfire.delivery.acts.files import write_new
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.key_files import public_file, read_public, sealed_key
from evenfire.delivery.records.key_register import (
    KeptKey,
    keep_entered_key,
    keep_own_key,
    keep_withdrawal,
    keys_of,
)
from evenfire.delivery.records.keys import entered, new_key, withdrawn
from evenfire.delivery.records.logins import HASHER, hashed, set_login
from evenfire.delivery.records.registers import (
    May,
    Person,
    add_person,
    find_person,
    people_of,
    spelled,
)
from evenfire.errors import BadKey, BadRequest


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """A person that was added, with the key where one was made."""

    person: Person
    key: KeptKey | None
    has_login: bool
    """Whether he or she can log in on the web app"""


def add(
    store: Store,
    name: str,
    licence: str,
    may: May,
    passphrase: str | None,
    *,
    hasher: PasswordHasher = HASHER,
) -> Added:
    """Add a person, who logs in with the passphrase; one who may sign gets a key, encrypted by it.

    Raises
    ------
    BadKey
        The passphrase is too short; the person is not added then.
    BadRequest
        Somebody has this name here: nobody could tell the two apart, neither on a sheet nor under a signature.
    """
    _refuse_namesake(store, name)
    if passphrase is None:
        return Added(person=add_person(store, name, licence=licence, may=may), key=None, has_login=False)
    login = hashed(passphrase, hasher)
    private = new_key() if may is May.SIGN else None
    pem = None if private is None else sealed_key(private, passphrase)
    person = add_person(store, name, licence=licence, may=may)
    set_login(store, person.id, login)
    if private is None or pem is None:
        return Added(person=person, key=None, has_login=True)
    key = keep_own_key(store, person=person.id, key=private.public, private_pem=pem)
    return Added(person=person, key=key, has_login=True)


def set_passphrase(store: Store, name: str, passphrase: str, *, hasher: PasswordHasher = HASHER) -> Person:
    """Give a person a login, or another passphrase to log in with; whatever browser was logged in is logged out.

    A key that was made before keeps the passphrase that it was made with: without that one nobody can open it.

    Raises
    ------
    BadKey
        The passphrase is too short.
    BadRequest
        There is no such person.
    """
    person = find_person(store, name)
    set_login(store, person.id, hashed(passphrase, hasher))
    return person


def _refuse_namesake(store: Store, name: str) -> None:
    if spelled(name) in {spelled(each.name) for each in people_of(store)}:
        raise BadRequest(
            f"{name!r} is in this store already. A new key: evenfire store key. Somebody else of that name: add what "
            "tells them apart."
        )


def renew_key(store: Store, name: str, passphrase: str, *, hasher: PasswordHasher = HASHER) -> KeptKey:
    """A new key of a person, who logs in with its passphrase from now on.

    Withdraw the old key when it is lost or somebody else may have it.
    """
    private, login = new_key(), hashed(passphrase, hasher)
    pem = sealed_key(private, passphrase)
    person = find_person(store, name)
    kept = keep_own_key(store, person=person.id, key=private.public, private_pem=pem)
    set_login(store, person.id, login)
    return kept


def enter_key(store: Store, file: Path, name: str, fingerprint: str) -> KeptKey:
    """Enter the public key of a person, whose fingerprint was compared by another way than the file came.

    Raises
    ------
    BadKey
        The file holds no public key, or it is another fingerprint.
    """
    person = find_person(store, name)
    try:
        key = read_public(file.read_bytes())
    except OSError as error:
        raise BadRequest(f"{file} cannot be read: {error.strerror}.") from error
    return keep_entered_key(store, entered(key, fingerprint, person.name, store.clock()), person=person.id)


def give_key(store: Store, name: str, file: Path) -> KeptKey:
    """Write the newest public key of a person into a new file, to hand to others; one made here before one entered.

    Raises
    ------
    BadKey
        The person has no key here.
    """
    person = find_person(store, name)
    standing = [each for each in keys_of(store, person.id) if each.known.withdrawn is None]
    if not standing:
        raise BadKey(f"{person.name} has no key here that stands.")
    given = [*standing, *(each for each in standing if each.private_pem is not None)][-1]
    write_new(file, public_file(given.known.key).decode("ascii"))
    return given


def withdraw_key(store: Store, fingerprint: str, reason: str) -> KeptKey:
    """Withdraw a key: what it signs from now on does not verify.

    Raises
    ------
    BadKey
        No key, or several, begin so; or no reason is given.
    """
    wanted = fingerprint.replace(" ", "").replace("-", "").lower()
    found = [each for each in keys_of(store) if wanted and each.known.key.fingerprint.startswith(wanted)]
    if len(found) != 1:
        raise BadKey(f"{len(found) or 'No'} keys of this store begin with {wanted!r}.")
    return keep_withdrawal(store, withdrawn(found[0].known, store.clock(), reason))

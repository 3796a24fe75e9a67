"""Verify signed records, of a file or of a store, against keys that somebody named or that a store knows."""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from evenfire.delivery.answers import GivenKey, Verified
from evenfire.delivery.records.container import LARGEST_FILE
from evenfire.delivery.records.key_files import read_public
from evenfire.delivery.records.keys import KnownKey, PublicKey
from evenfire.delivery.records.place import default_place, is_url
from evenfire.delivery.records.verification import Known, Verification
from evenfire.delivery.records.verifying import take_file, verify
from evenfire.errors import BadKey, BadRequest

if TYPE_CHECKING:
    # What opens a database is loaded only where there is one.
    from evenfire.delivery.records.database import Store

LARGEST_KEY_FILE: Final = 100_000
"""[bytes]"""


def verify_records(file: Path | None, keys: Sequence[Path], store: str | None) -> Verified:
    """Verify a file of records, or every record of a store where no file is named.

    ``keys`` are files of public keys that count as known besides those of the store. Where no store is named it is
    the user's own, if there is one.

    Raises
    ------
    BadInput
        A file cannot be read, a key file holds no public key, or there is no such store. What a file of records holds
        raises nothing.
    """
    given = [(path, _key(path)) for path in keys]
    named = tuple(GivenKey(file=str(path), fingerprint=key.fingerprint) for path, key in given)
    extra = {key.fingerprint: _named(key) for _, key in given}
    shown: str | None = None
    found: tuple[Verification, ...]
    place = store if store is not None else _own_store()
    if place is not None:
        shown, found = _with_store(file, extra, place)
    elif file is not None:
        found = (take_file(_read(file, LARGEST_FILE), Known(keys=extra)).verification,)
    else:
        raise BadRequest(f"Name a file of records, or a store with --store; there is none at {default_place()}.")
    return Verified(file=None if file is None else str(file), verifications=found, given=named, store=shown)


def verified_here(store: "Store", boiler: str) -> Verified:
    """Every record of a boiler (by its id) verified against the keys that the store knows."""
    from evenfire.delivery.records.held import container_of, known_of

    container = container_of(store, boiler)
    found = (verify(container, known_of(store)),) if container.records else ()
    return Verified(file=None, verifications=found, given=(), store="this server")


def _with_store(file: Path | None, extra: Mapping[str, KnownKey], place: str) -> tuple[str, tuple[Verification, ...]]:
    """The place as it may be shown, without a password, and what was found."""
    # What opens a database is loaded only where there is one.
    from evenfire.delivery.acts.storing import opened
    from evenfire.delivery.records.held import boilers_with_records, container_of, known_of

    if not _is_there(place):
        raise BadRequest(f"There is no store at {place}.")
    with opened(place) as store:
        known = known_of(store)
        # A key that the store knows as withdrawn stays withdrawn, whoever names its file.
        known = Known(keys={**extra, **known.keys}, records=known.records)
        if file is None:
            boilers = boilers_with_records(store)
            return store.place, tuple(verify(container_of(store, boiler), known) for boiler in boilers)
        return store.place, (take_file(_read(file, LARGEST_FILE), known).verification,)


def _own_store() -> str | None:
    """What the user's settings name, or the usual place; nothing where no store was made there yet."""
    place = default_place()
    return place if _is_there(place) else None


def _is_there(place: str) -> bool:
    return is_url(place) or Path(place).is_file()


def _named(key: PublicKey) -> KnownKey:
    """Known for this once, without a name to compare."""
    return KnownKey(key=key, name="", entered=datetime.min.replace(tzinfo=UTC))


def _key(path: Path) -> PublicKey:
    try:
        return read_public(_read(path, LARGEST_KEY_FILE))
    except BadKey as error:
        raise BadKey(f"{path}: {error}") from None


def _read(path: Path, most: int) -> bytes:
    """The bytes of a file, one more than the most that is read where it is larger."""
    try:
        with path.open("rb") as file:
            return file.read(most + 1)
    except OSError as error:
        raise BadRequest(f"{path} cannot be read: {error.strerror}.") from error

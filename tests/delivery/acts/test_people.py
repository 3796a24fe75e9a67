"""People and their keys, through the acts."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from evenfire.delivery.acts import people
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.key_files import opened_key
from evenfire.delivery.records.key_register import keys_of
from evenfire.delivery.records.registers import May, people_of
from evenfire.errors import BadKey, BadRequest
from tests.delivery.acts.on_visit import Clock

SECRET = "a kettle is no boiler"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "store.sqlite", clock=Clock()) as made:
        yield made


def test_who_may_sign_gets_a_key_that_only_the_passphrase_opens(store: Store) -> None:
    added = people.add(store, "Ada Quill", "B-1204", May.SIGN, SECRET)
    assert added.key is not None
    pem = added.key.private_pem
    assert pem is not None
    assert opened_key(pem, SECRET).public == added.key.known.key
    with pytest.raises(BadKey):
        opened_key(pem, SECRET + "s")


@pytest.mark.parametrize("may", [May.READ, May.WRITE])
def test_who_may_not_sign_gets_no_key(store: Store, may: May) -> None:
    assert people.add(store, "Roy Ember", "", may, SECRET).key is None
    assert keys_of(store) == ()


def test_with_a_passphrase_too_short_nobody_is_added(store: Store) -> None:
    with pytest.raises(BadKey):
        people.add(store, "Ada Quill", "", May.SIGN, "short")
    assert people_of(store) == ()


@pytest.mark.parametrize("name", ["Ada Quill", "ada  quill "])
def test_two_people_whom_nobody_could_tell_apart_are_refused(store: Store, name: str) -> None:
    people.add(store, "Ada Quill", "B-1204", May.SIGN, SECRET)
    with pytest.raises(BadRequest, match="in this store already"):
        people.add(store, name, "B-9", May.SIGN, SECRET)
    assert len(people_of(store)) == 1


@pytest.mark.parametrize("name", ["", " ", "x" * 201, "two\nlines\x00"])
def test_a_name_that_cannot_stand_under_a_signature_is_refused(store: Store, name: str) -> None:
    with pytest.raises(BadRequest):
        people.add(store, name, "", May.WRITE, None)


def test_a_key_goes_to_another_store_by_file_and_the_fingerprint_by_another_way(store: Store, tmp_path: Path) -> None:
    made = people.add(store, "Ada Quill", "B-1204", May.SIGN, SECRET).key
    assert made is not None
    file = tmp_path / "ada.pem"
    assert people.give_key(store, "Ada Quill", file) == made
    assert b"PRIVATE" not in file.read_bytes()
    with Store.open(tmp_path / "other.sqlite", clock=Clock()) as other:
        people.add(other, "Ada Quill", "", May.WRITE, None)
        with pytest.raises(BadKey):
            people.enter_key(other, file, "Ada Quill", "0000 1111 2222 3333 4444 5555 6666 7777")
        assert keys_of(other) == ()
        kept = people.enter_key(other, file, "Ada Quill", made.known.key.fingerprint)
        assert kept.known.key == made.known.key
        assert kept.private_pem is None
        with pytest.raises(BadRequest, match="already"):
            people.enter_key(other, file, "Ada Quill", made.known.key.fingerprint)


@pytest.mark.parametrize("content", [None, b"", b"no key", b"\xff\x00" * 50])
def test_a_file_that_holds_no_public_key_is_refused(store: Store, tmp_path: Path, content: bytes | None) -> None:
    people.add(store, "Ada Quill", "", May.WRITE, None)
    file = tmp_path / "key.pem"
    if content is not None:
        file.write_bytes(content)
    with pytest.raises((BadKey, BadRequest)):
        people.enter_key(store, file, "Ada Quill", "0" * 64)


def test_a_key_is_withdrawn_for_good_and_a_new_one_takes_its_place(store: Store, tmp_path: Path) -> None:
    first = people.add(store, "Ada Quill", "", May.SIGN, SECRET).key
    assert first is not None
    gone = people.withdraw_key(store, first.known.key.fingerprint[:10], "the laptop was stolen")
    assert gone.known.withdrawn is not None
    assert gone.known.withdrawn.reason == "the laptop was stolen"
    with pytest.raises(BadKey, match="no key here that stands"):
        people.give_key(store, "Ada Quill", tmp_path / "gone.pem")
    with pytest.raises((BadKey, BadRequest)):
        people.withdraw_key(store, first.known.key.fingerprint, "twice")
    second = people.renew_key(store, "Ada Quill", SECRET)
    assert people.give_key(store, "Ada Quill", tmp_path / "new.pem") == second


@pytest.mark.parametrize("fingerprint", ["", "zz", "ffff"])
def test_a_key_that_cannot_be_told_is_not_withdrawn(store: Store, fingerprint: str) -> None:
    people.add(store, "Ada Quill", "", May.SIGN, SECRET)
    with pytest.raises(BadKey, match="No keys of this store begin"):
        people.withdraw_key(store, fingerprint, "a reason")


def test_who_may_only_read_gets_no_new_key(store: Store) -> None:
    people.add(store, "Roy Ember", "", May.READ, None)
    with pytest.raises(BadRequest, match="may not sign"):
        people.renew_key(store, "Roy Ember", SECRET)

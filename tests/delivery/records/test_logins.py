"""Logins, sessions and the audit trail in the store, on a file and on a server."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from argon2 import PasswordHasher

from evenfire.delivery.records import audit, logins, registers, sessions
from evenfire.delivery.records.audit import LONGEST, Asked
from evenfire.delivery.records.backup import backup
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import UNNAMED, May, add_person, unnamed_person
from evenfire.delivery.records.restoring import restore
from evenfire.errors import BadKey, BadRequest

CHEAP = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
SECRET = "a kettle is no boiler"


def kept(passphrase: str = SECRET) -> logins.Hashed:
    return logins.hashed(passphrase, CHEAP)


def test_a_login_tells_the_right_passphrase_from_a_wrong_one(store: Store) -> None:
    ada = add_person(store, "Ada Quill", licence="", may=May.SIGN)
    assert not logins.has_login(store, ada.id)
    assert logins.login_named(store, "Ada Quill") is None
    logins.set_login(store, ada.id, kept())
    found = logins.login_named(store, " ada  QUILL ")
    assert found is not None
    person, login = found
    assert person == ada.id
    assert logins.is_right(login, SECRET, CHEAP)
    for wrong in ("", SECRET + "s", SECRET.upper(), SECRET[:-1]):
        assert not logins.is_right(login, wrong, CHEAP)


def test_a_login_set_anew_takes_the_place_of_the_one_before(store: Store) -> None:
    ada = add_person(store, "Ada Quill", licence="", may=May.SIGN)
    logins.set_login(store, ada.id, kept())
    logins.set_login(store, ada.id, kept("the kettle sings at noon"))
    found = logins.login_named(store, "Ada Quill")
    assert found is not None
    assert not logins.is_right(found[1], SECRET, CHEAP)
    assert logins.is_right(found[1], "the kettle sings at noon", CHEAP)


def test_one_passphrase_is_kept_twice_in_two_ways() -> None:
    assert kept() != kept()


def test_letters_that_a_keyboard_composes_otherwise_are_the_same_passphrase() -> None:
    # Unicode: U+00FC, and u with U+0308, are one letter in normal form C.
    login = logins.hashed("\u00fcber zw\u00f6lf Kessel", CHEAP)
    assert logins.is_right(login, "u\u0308ber zwo\u0308lf Kessel", CHEAP)


@pytest.mark.parametrize("short", ["", "short", "x" * 11])
def test_a_short_passphrase_is_refused(short: str) -> None:
    with pytest.raises(BadKey, match="at least 12"):
        logins.hashed(short, CHEAP)


@pytest.mark.parametrize("spoiled", ["", "x", "$argon2id$v=19$m=8,t=1,p=1$", "$2b$12$aaaaaaaaaaaaaaaaaaaaaa"])
def test_a_login_that_is_spoiled_lets_nobody_in(spoiled: str) -> None:
    assert not logins.is_right(logins.Hashed(spoiled), SECRET, CHEAP)


def test_nobody_gets_a_login_who_is_not_there(store: Store) -> None:
    with pytest.raises(BadRequest, match="no person"):
        logins.set_login(store, UNNAMED, kept())


def test_somebody_at_this_computer_is_no_user(store: Store) -> None:
    first, second = unnamed_person(store), unnamed_person(store)
    assert first == second
    assert (first.id, first.may) == (UNNAMED, May.WRITE)
    assert registers.people_of(store) == ()
    assert not registers.has_people(store)
    for name in (first.name, first.id, first.id[:8]):
        with pytest.raises(BadRequest):
            registers.find_person(store, name)
    with store.read() as connection:
        assert registers.person_by_id(connection, UNNAMED) == first
    ada = add_person(store, "Ada Quill", licence="", may=May.READ)
    assert registers.has_people(store)
    assert registers.people_of(store) == (ada,)
    assert registers.names_of_people(store) == {UNNAMED: first.name, ada.id: "Ada Quill"}


def test_two_stores_call_somebody_at_this_computer_the_same(store: Store, tmp_path: Path) -> None:
    # So that what such a person wrote means the same after a restore.
    with Store.open(tmp_path / "other.sqlite") as other:
        assert unnamed_person(other).id == unnamed_person(store).id == UNNAMED


class Day:
    """A clock that a test sets."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def day(store: Store) -> Day:
    store.clock = Day()
    return store.clock


@pytest.fixture
def ada(store: Store) -> str:
    return add_person(store, "Ada Quill", licence="", may=May.SIGN).id


def test_a_session_is_found_by_its_token_alone(store: Store, ada: str) -> None:
    session, token = sessions.begin(store, person=ada, device="phone 3f2a")
    found = sessions.session_of(store, token)
    assert found == session
    assert (session.person.id, session.device) == (ada, "phone 3f2a")
    for other in ("", token[:-1], token + "x", session.token_sha256, session.short):
        assert sessions.session_of(store, other) is None
    assert token not in repr(session)
    assert session.token_sha256 not in repr(session)


def test_no_two_sessions_have_one_token_and_each_is_256_bits_of_chance(store: Store, ada: str) -> None:
    tokens = {sessions.begin(store, person=ada, device="")[1] for _ in range(20)}
    assert len(tokens) == 20
    # Base64: six bits a character.
    assert all(len(token) * 6 >= 256 for token in tokens)
    assert len({sessions.csrf_of(token) for token in tokens}) == 20


def test_a_session_that_was_ended_stays_ended(store: Store, ada: str) -> None:
    _, token = sessions.begin(store, person=ada, device="")
    _, other = sessions.begin(store, person=ada, device="")
    sessions.end(store, token)
    sessions.end(store, token)
    sessions.end(store, "x")
    assert sessions.session_of(store, token) is None
    assert sessions.session_of(store, other) is not None


@pytest.mark.parametrize("may", [May.READ, May.SIGN])
def test_a_login_set_anew_ends_the_sessions_of_that_person_alone(store: Store, ada: str, may: May) -> None:
    ben = add_person(store, "Ben Marsh", licence="", may=may).id
    _, of_ada = sessions.begin(store, person=ada, device="")
    _, of_ben = sessions.begin(store, person=ben, device="")
    logins.set_login(store, ada, kept())
    assert sessions.session_of(store, of_ada) is None
    assert sessions.session_of(store, of_ben) is not None


def test_that_a_session_is_in_use_is_not_written_with_every_page(store: Store, ada: str, day: Day) -> None:
    _, token = sessions.begin(store, person=ada, device="")
    before = store.counter
    for _ in range(10):
        day.now += sessions.ASSUMED_SEEN_EVERY / 20
        session = sessions.session_of(store, token)
        assert session is not None
        sessions.seen(store, session)
    assert store.counter == before
    day.now += sessions.ASSUMED_SEEN_EVERY
    session = sessions.session_of(store, token)
    assert session is not None
    sessions.seen(store, session)
    again = sessions.session_of(store, token)
    assert again is not None
    assert again.last_seen == day.now


def test_old_sessions_are_let_go_of(store: Store, ada: str, day: Day) -> None:
    _, token = sessions.begin(store, person=ada, device="")
    day.now += sessions.ASSUMED_KEPT + timedelta(days=1)
    sessions.begin(store, person=ada, device="")
    with store.read() as connection:
        rows = connection.exec_driver_sql("SELECT token_sha256 FROM sessions").all()
    assert sessions.hash_of(token) not in {row[0] for row in rows}
    assert len(rows) == 1


def asked(what: str = "POST /boilers/{boiler}/settle boiler=x", **also: str) -> Asked:
    return Asked(person=None, session="", address=also.get("address", "192.0.2.7"), what=what, status=403)


def test_the_trail_keeps_its_order_and_its_moments(store: Store, ada: str, day: Day) -> None:
    first = Asked(person=ada, session="0123456789ab", address="192.0.2.7", what="POST /enter", status=303)
    audit.write_down(store, first)
    day.now += timedelta(seconds=1)
    audit.write_down(store, asked())
    trail = audit.trail(store)
    assert [each.asked for each in trail] == [first, asked()]
    assert trail[1].at - trail[0].at == timedelta(seconds=1)
    assert trail[0].number < trail[1].number


def test_what_cannot_be_printed_or_has_no_end_is_cut(store: Store) -> None:
    audit.write_down(store, asked("POST /x\r\n\x1b[2J\x00\u202e" + "x" * 10_000, address="a\nb"))
    (row,) = audit.trail(store)
    assert row.asked.what.startswith("POST /x???[2J??xx")
    assert len(row.asked.what) == LONGEST
    assert row.asked.address == "a?b"


def test_logins_and_the_trail_come_back_from_a_backup_and_tokens_are_in_none(
    store: Store, ada: str, tmp_path: Path
) -> None:
    logins.set_login(store, ada, kept())
    _, token = sessions.begin(store, person=ada, device="phone 3f2a")
    audit.write_down(store, asked())
    done = backup(store, tmp_path / "backup.tar")
    for secret in (token, sessions.csrf_of(token), SECRET):
        assert secret.encode() not in done.path.read_bytes()
    restore(done.path, tmp_path / "again" / "store.sqlite")
    with Store.open(tmp_path / "again" / "store.sqlite") as again:
        found = logins.login_named(again, "Ada Quill")
        assert found is not None
        assert logins.is_right(found[1], SECRET, CHEAP)
        assert [each.asked for each in audit.trail(again)] == [asked()]

"""People and passphrases at the command line: with a file, with the variable, typed, and with nobody there to type."""

from pathlib import Path

import pytest
from typer.testing import CliRunner

from evenfire.delivery.cli.main import app
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.logins import is_right, login_named
from evenfire.delivery.records.registers import unnamed_person

SECRET = "the kettle sings at noon"
OTHER = "a kettle is no boiler"


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.delenv("EVENFIRE_PASSPHRASE", raising=False)
    monkeypatch.setenv("COLUMNS", "80")
    return str(tmp_path / "store.sqlite")


def said(place: str, *asked: str, typed: str | None = None) -> str:
    """What a command says, its lines joined; it has to end well."""
    done = CliRunner().invoke(app, ["store", *asked, "--store", place], input=typed, catch_exceptions=False)
    assert done.exit_code == 0, done.output
    return " ".join(done.output.split())


def logs_in(place: str, name: str, passphrase: str) -> bool:
    with Store.open(place) as store:
        found = login_named(store, name)
    return found is not None and is_right(found[1], passphrase)


@pytest.mark.parametrize("may", ["sign", "write", "read"])
def test_a_person_who_is_added_with_a_passphrase_logs_in_with_it(
    place: str, monkeypatch: pytest.MonkeyPatch, may: str
) -> None:
    monkeypatch.setenv("EVENFIRE_PASSPHRASE", SECRET)
    told = said(place, "person", "R. Fenn", "--may", may)
    assert "Login on the web app: R. Fenn, with this passphrase." in told
    assert ("key of" in told) == (may == "sign")
    assert SECRET not in told
    assert logs_in(place, "R. Fenn", SECRET)
    assert "no login" not in said(place, "show")


def test_a_passphrase_from_a_file_is_its_first_line(place: str, tmp_path: Path) -> None:
    file = tmp_path / "secret.txt"
    file.write_text(f"{SECRET}\nand more\n")
    said(place, "person", "R. Fenn", "--may", "read", "--passphrase-file", str(file))
    assert logs_in(place, "R. Fenn", SECRET)


@pytest.mark.parametrize("may", ["write", "read"])
def test_with_nobody_there_to_type_a_reader_is_added_without_a_login_and_told_how_to_get_one(
    place: str, monkeypatch: pytest.MonkeyPatch, may: str
) -> None:
    told = said(place, "person", "R. Fenn", "--may", may)
    assert (
        'No login on the web app yet: nobody was there to give a passphrase. evenfire store passphrase "R. Fenn"'
        in told
    )
    assert "R. Fenn: may " + may + ", no login" in said(place, "show")
    assert not logs_in(place, "R. Fenn", "")
    monkeypatch.setenv("EVENFIRE_PASSPHRASE", SECRET)
    assert "R. Fenn logs in with the new passphrase from now on." in said(place, "passphrase", "R. Fenn")
    assert logs_in(place, "R. Fenn", SECRET)


def test_a_passphrase_that_was_forgotten_is_set_anew_and_the_key_stays_as_it_was(
    place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("EVENFIRE_PASSPHRASE", SECRET)
    said(place, "person", "R. Fenn")
    monkeypatch.setenv("EVENFIRE_PASSPHRASE", OTHER)
    told = said(place, "passphrase", "R. Fenn")
    assert "The signing key still opens only with the passphrase that it was made with." in told
    assert logs_in(place, "R. Fenn", OTHER)
    assert not logs_in(place, "R. Fenn", SECRET)


def test_a_new_key_comes_with_a_login_by_its_passphrase(place: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EVENFIRE_PASSPHRASE", SECRET)
    said(place, "person", "R. Fenn")
    monkeypatch.setenv("EVENFIRE_PASSPHRASE", OTHER)
    said(place, "key", "R. Fenn")
    assert logs_in(place, "R. Fenn", OTHER)


def test_typed_twice_alike_it_is_taken_and_never_shown(place: str) -> None:
    said(place, "person", "R. Fenn", "--may", "read")
    told = said(place, "passphrase", "R. Fenn", typed=f"{OTHER}\n{SECRET}\n{SECRET}\n{SECRET}\n")
    assert SECRET not in told
    assert logs_in(place, "R. Fenn", SECRET)


@pytest.mark.parametrize(
    ("asked", "passphrase", "why"),
    [
        (("passphrase", "Nobody"), SECRET, "There is no person 'Nobody'"),
        (("passphrase", "R. Fenn"), "short", "at least 12"),
        (("person", "B. Marsh", "--may", "read"), "short", "at least 12"),
        (("person", "r. fenn", "--may", "read"), SECRET, "in this store already"),
    ],
)
def test_what_cannot_be_is_refused(
    place: str, monkeypatch: pytest.MonkeyPatch, asked: tuple[str, ...], passphrase: str, why: str
) -> None:
    said(place, "person", "R. Fenn", "--may", "read")
    monkeypatch.setenv("EVENFIRE_PASSPHRASE", passphrase)
    done = CliRunner().invoke(app, ["store", *asked, "--store", place])
    assert done.exit_code != 0
    assert why in str(done.exception)
    assert not logs_in(place, "R. Fenn", passphrase)
    assert "B. Marsh" not in said(place, "show")


def test_somebody_at_this_computer_is_not_shown_among_the_people(place: str) -> None:
    with Store.open(place) as store:
        unnamed_person(store)
    assert 'nobody yet: evenfire store person "NAME"' in said(place, "show")
    done = CliRunner().invoke(app, ["store", "passphrase", "Somebody at this computer", "--store", place])
    assert "There is no person" in str(done.exception)

from pathlib import Path

import pytest
from sqlalchemy import update

from evenfire.delivery.records import registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import May
from evenfire.delivery.records.tables import boilers
from evenfire.errors import BadRequest
from tests.delivery.records.store_examples import LAUNDRY, named_id


def test_sites_boilers_and_people_come_back_as_they_were_given(store: Store) -> None:
    site = registers.add_site(store, "  Kiln   Lane ", address="Kiln Lane 4")
    boiler = registers.add_boiler(store, site.id, "No. 1", serial="4711", registration="NB 12")
    person = registers.add_person(store, "Ada Quill", licence=" B-1204 ", may=May.SIGN)
    assert (site.name, site.address) == ("Kiln Lane", "Kiln Lane 4")
    assert registers.sites_of(store) == (site,)
    assert registers.boilers_of(store) == registers.boilers_of(store, site.id) == (boiler,)
    assert (boiler.site, boiler.serial, boiler.registration) == (site, "4711", "NB 12")
    assert registers.people_of(store) == (person,)
    assert (person.licence, person.may) == ("B-1204", May.SIGN)
    assert registers.boilers_of(store, named_id("elsewhere")) == ()


def test_a_boiler_is_found_by_everything_that_names_it_and_by_nothing_else(store: Store) -> None:
    site = registers.add_site(store, "Kiln Lane")
    boiler = registers.add_boiler(store, site.id, "No. 1", serial="4711", registration="NB 12")
    registers.add_boiler(store, site.id, "No. 2")
    for name in (boiler.id, boiler.id[:8].upper(), "Kiln Lane/No. 1", " No. 1 ", "4711", "NB 12"):
        assert registers.find_boiler(store, name) == boiler
    for name in ("No. 3", "", boiler.id[:3], "%", "No. _"):
        with pytest.raises(BadRequest, match="There is no boiler"):
            registers.find_boiler(store, name)


def test_a_name_that_two_have_is_not_guessed(store: Store) -> None:
    for place in ("Kiln Lane", "Gull Quay"):
        registers.add_boiler(store, registers.add_site(store, place).id, "No. 1")
    with pytest.raises(BadRequest, match="more than one boiler: Gull Quay/No"):
        registers.find_boiler(store, "No. 1")
    assert registers.find_boiler(store, "Gull Quay/No. 1").site.name == "Gull Quay"


def test_nothing_known_and_what_is_known_are_said(store: Store) -> None:
    with pytest.raises(BadRequest, match="this store has no person yet"):
        registers.find_person(store, "Ada")
    registers.add_person(store, "Ada Quill", licence="", may=May.READ)
    with pytest.raises(BadRequest, match="known here: Ada Quill"):
        registers.find_person(store, "Ben")
    assert registers.find_person(store, "Ada Quill").may is May.READ


@pytest.mark.parametrize("again", ["Kiln Lane", " kiln  LANE"])
def test_a_site_and_a_boiler_have_their_names_once(store: Store, again: str) -> None:
    site = registers.add_site(store, "Kiln Lane")
    with pytest.raises(BadRequest, match="already"):
        registers.add_site(store, again)
    with pytest.raises(BadRequest, match="already"):
        registers.add_site(store, "Other", site=site.id)
    boiler = registers.add_boiler(store, site.id, "No. 1")
    for name in ("No. 1", "NO.  1"):
        with pytest.raises(BadRequest, match="already"):
            registers.add_boiler(store, site.id, name)
    with pytest.raises(BadRequest, match="already"):
        registers.add_boiler(store, site.id, "No. 9", boiler=boiler.id)
    with pytest.raises(BadRequest, match="no site of the id"):
        registers.add_boiler(store, named_id("nowhere"), "No. 1")


@pytest.mark.parametrize("name", ["", "  ", "x" * 201, "a\u202eb", "a\x00b"])
def test_a_name_that_nobody_can_read_is_refused(store: Store, name: str) -> None:
    with pytest.raises(BadRequest, match="1 to 200 characters that can be printed"):
        registers.add_site(store, name)
    with pytest.raises(BadRequest, match="1 to 200 characters that can be printed"):
        registers.add_person(store, name, licence="", may=May.READ)


def test_a_person_of_an_id_is_there_once(store: Store) -> None:
    person = registers.add_person(store, "Ada Quill", licence="", may=May.SIGN, person=named_id("Ada"))
    assert person.id == named_id("Ada")
    with pytest.raises(BadRequest, match="already"):
        registers.add_person(store, "Ada Quill", licence="", may=May.SIGN, person=named_id("Ada"))


def test_two_stores_that_survey_a_boiler_apart_call_it_the_same(tmp_path: Path) -> None:
    ids = []
    for name in ("phone", "office"):
        with Store.open(tmp_path / f"{name}.sqlite") as store:
            ids.append(surveys.take(store, LAUNDRY, "laundry.toml").revision.boilers)
    assert ids[0] == ids[1]


def test_a_new_boiler_under_the_name_that_another_had_is_another(store: Store) -> None:
    first = surveys.take(store, LAUNDRY, "laundry.toml").revision.boilers
    with store.write() as connection:
        connection.execute(update(boilers).values(name="No. 1 old"))
    second = surveys.take(store, LAUNDRY, "laundry.toml", by=None)
    third = surveys.take(store, LAUNDRY.replace(b'"130 psi"', b'"131 psi"'), "laundry.toml")
    assert not second.is_new
    assert third.revision.boilers != first

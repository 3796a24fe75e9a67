from pathlib import Path

import pytest

from evenfire.delivery.intake.plant_file import read_plant_bytes
from evenfire.delivery.records import registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import May
from evenfire.delivery.records.survey_document import read_survey, with_keys
from evenfire.delivery.records.surveys import IMPORTED, compare, document_of, give, keep_document, surveys_of, take
from evenfire.errors import BadPlantFile, BadRequest
from tests.delivery.records.store_examples import EXAMPLES, LAUNDRY, named_id

CHANGED = LAUNDRY.replace(b'mawp = "150 psi"', b'mawp = "160 psi"')
AGAIN = LAUNDRY.replace(b'mawp = "150 psi"', b'mawp = "155 psi"')


def test_taking_a_plant_file_makes_its_site_and_its_boilers(store: Store) -> None:
    ada = registers.add_person(store, "Ada Quill", licence="", may=May.WRITE)
    taken = take(store, LAUNDRY, "laundry.toml", by=ada.id)
    assert taken.is_new
    assert (taken.before, taken.differences, taken.unaware_of) == (None, (), ())
    (boiler,) = registers.boilers_of(store)
    assert (boiler.site.name, boiler.name) == ("Gull Quay Laundry", "No. 1")
    revision = taken.revision
    assert (revision.boilers, revision.origin, revision.taken_by) == ((boiler.id,), "laundry.toml", ada.id)
    assert revision == give(store, boiler.id)


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.toml")), ids=lambda path: path.stem)
def test_what_is_given_out_is_the_plant_that_was_taken(tmp_path: Path, path: Path) -> None:
    with Store.open(tmp_path / "store.sqlite") as store:
        taken = take(store, path.read_bytes(), path.name)
        before = read_plant_bytes(path.read_bytes(), path.name)
        for boiler in taken.revision.boilers:
            given = give(store, boiler)
            assert read_plant_bytes(given.toml().encode(), "given").plant == before.plant
            assert given.plant_file().revision == before.revision


def test_a_file_says_its_origin_and_comes_back_as_the_same_survey(store: Store) -> None:
    taken = take(store, LAUNDRY, "laundry.toml")
    text = taken.revision.toml()
    assert text.startswith("# Given out by evenfire: taken from laundry.toml at 20")
    again = take(store, text.encode(), "given.toml")
    assert not again.is_new
    assert again.revision == taken.revision
    assert len(surveys_of(store, taken.revision.boilers[0])) == 1


def test_a_changed_file_is_a_new_revision_and_the_older_one_stays(store: Store) -> None:
    first = take(store, LAUNDRY, "laundry.toml")
    second = take(store, CHANGED, "laundry.toml")
    assert [(each.key, each.before, each.after) for each in second.differences] == [
        ("boiler[No. 1].mawp", '"150 psi"', '"160 psi"')
    ]
    assert second.before == first.revision
    (boiler,) = registers.boilers_of(store)
    assert surveys_of(store, boiler.id) == (first.revision, second.revision)
    assert give(store, boiler.id) == second.revision
    assert give(store, boiler.id, sha256=first.revision.sha256) == first.revision


def test_going_back_to_an_older_survey_is_a_revision_of_its_own(store: Store) -> None:
    numbers = [take(store, content, "laundry.toml").revision.number for content in (LAUNDRY, CHANGED, LAUNDRY)]
    assert None not in numbers
    assert len(set(numbers)) == 3
    (boiler,) = registers.boilers_of(store)
    assert give(store, boiler.id).sha256 == surveys_of(store, boiler.id)[0].sha256


def test_a_file_that_does_not_know_of_a_newer_survey_says_which(store: Store) -> None:
    first = take(store, LAUNDRY, "laundry.toml")
    out_of_date = first.revision.toml().replace('mawp = "150 psi"', 'mawp = "155 psi"').encode()
    second = take(store, CHANGED, "laundry.toml")
    before = compare(store, out_of_date, "given.toml")
    assert before.is_new
    assert before.unaware_of == (second.revision,)
    assert [(each.before, each.after) for each in before.differences] == [('"160 psi"', '"155 psi"')]
    (boiler,) = registers.boilers_of(store)
    assert len(surveys_of(store, boiler.id)) == 2, "comparing writes nothing"
    assert take(store, out_of_date, "given.toml").unaware_of == (second.revision,)
    fresh = give(store, boiler.id).toml().replace('"155 psi"', '"156 psi"').encode()
    assert take(store, fresh, "given.toml").unaware_of == ()


def test_a_plant_of_several_boilers_is_one_survey_of_each(store: Store) -> None:
    second = LAUNDRY.decode().split("[[boiler]]")[1].replace('name = "No. 1"', 'name = "No. 2"')
    taken = take(store, LAUNDRY + b"\n[[boiler]]" + second.encode(), "two.toml")
    assert len(taken.revision.boilers) == 2
    for boiler in registers.boilers_of(store):
        assert give(store, boiler.id).sha256 == taken.revision.sha256


def test_names_that_differ_in_spaces_and_capitals_are_one_boiler_and_the_newest_spelling_counts(store: Store) -> None:
    take(store, LAUNDRY, "laundry.toml")
    other = LAUNDRY.replace(b'"No. 1"', b'"NO.  1"').replace(b'"Gull Quay Laundry"', b'"GULL quay laundry"')
    taken = take(store, other, "laundry.toml")
    assert taken.is_new
    (boiler,) = registers.boilers_of(store)
    assert boiler.name == taken.revision.plant_file().plant.boilers[0].name
    assert len(registers.sites_of(store)) == 1


def test_a_bad_file_and_an_unknown_person_change_nothing(store: Store) -> None:
    with pytest.raises(BadPlantFile):
        take(store, b"format = 1\n", "bad.toml")
    with pytest.raises(BadRequest, match="no person"):
        take(store, LAUNDRY, "laundry.toml", by=named_id("nobody"))
    assert registers.sites_of(store) == ()


def test_a_boiler_without_survey_and_a_survey_that_is_not_here_are_told(store: Store) -> None:
    site = registers.add_site(store, "Kiln Lane")
    boiler = registers.add_boiler(store, site.id, "No. 1")
    with pytest.raises(BadRequest, match=r"no survey of Kiln Lane/No\. 1"):
        give(store, boiler.id)
    with pytest.raises(BadRequest, match="no survey"):
        document_of(store, "0" * 64)


def test_a_document_that_came_with_records_is_held_and_is_no_revision(store: Store) -> None:
    take(store, LAUNDRY, "laundry.toml")
    (boiler,) = registers.boilers_of(store)
    newest = give(store, boiler.id)
    came = read_survey(CHANGED, "elsewhere").document
    with store.write() as connection:
        sha256 = keep_document(connection, came, store.clock())
        assert keep_document(connection, came, store.clock()) == sha256
    assert give(store, boiler.id) == newest
    held = give(store, boiler.id, sha256=sha256)
    assert (held.number, held.document, held.origin) == (None, came, IMPORTED)
    assert document_of(store, sha256) == came


def test_what_a_visit_found_out_goes_back_into_the_survey(store: Store) -> None:
    taken = take(store, LAUNDRY, "laundry.toml")
    proved = ("boiler", 0, "controls", "high_limit", "tolerance", "proved")
    changed = with_keys(taken.revision.document, {proved: "0.4 psi"})
    again = surveys.take_document(store, changed, origin="visit of 2026-03-02")
    assert again.is_new
    assert [each.key for each in again.differences] == ["boiler[No. 1].controls.high_limit.tolerance.proved"]

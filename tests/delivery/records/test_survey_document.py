import json
import re
import tomllib
from pathlib import Path

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.intake.plant_file import read_plant_bytes, read_plant_text
from evenfire.delivery.intake.template import new_plant_file
from evenfire.delivery.records.survey_document import (
    differences,
    origin_line,
    read_document,
    read_survey,
    sha256_of,
    toml_of,
    with_keys,
)
from evenfire.errors import BadContent, BadPlantFile
from tests.delivery.records.store_examples import EXAMPLES, LAUNDRY

PLANTS = sorted(EXAMPLES.glob("*.toml"))


def test_there_are_seven_examples() -> None:
    assert len(PLANTS) == 7


@pytest.mark.parametrize("path", PLANTS, ids=lambda path: path.stem)
def test_taken_and_given_a_plant_is_the_same_plant_and_revision(path: Path) -> None:
    before = read_plant_bytes(path.read_bytes(), path.name)
    survey = read_survey(path.read_bytes(), path.name)
    after = read_plant_text(toml_of(survey.document), "given")
    assert after.plant == before.plant
    assert after.revision == before.revision
    assert after.filled == before.filled
    assert read_survey(toml_of(survey.document).encode(), "given").document == survey.document


# RFC 8785 by an independent implementation; that no binary fraction is in it, by the reader of the standard library.
@pytest.mark.parametrize("path", PLANTS, ids=lambda path: path.stem)
def test_a_document_is_canonical_and_holds_no_floating_point_number(path: Path) -> None:
    document = read_survey(path.read_bytes(), path.name).document

    def refuse(text: str) -> float:
        raise AssertionError(text)

    content = json.loads(document, parse_float=refuse)
    assert rfc8785.dumps(content).decode() == document


@pytest.mark.parametrize("path", PLANTS, ids=lambda path: path.stem)
def test_everything_that_the_file_says_is_in_the_file_that_is_given_out(path: Path) -> None:
    def exact(text: str) -> str:
        return text

    before = tomllib.loads(path.read_text(encoding="utf-8"), parse_float=exact)
    after = tomllib.loads(toml_of(read_survey(path.read_bytes(), path.name).document), parse_float=exact)
    assert after == before


def test_the_order_of_keys_and_comments_make_no_other_survey() -> None:
    text = LAUNDRY.decode()
    site = '[site]\nname = "Gull Quay Laundry"\naltitude = "40 ft"\n'
    assert site in text
    turned = text.replace(site, '[site] # by the water\naltitude = "40 ft"\nname = "Gull Quay Laundry"\n')
    assert read_survey(turned.encode(), "turned").sha256 == read_survey(LAUNDRY, "laundry").sha256


def test_one_changed_key_is_another_survey_and_the_one_difference() -> None:
    changed = LAUNDRY.replace(b'mawp = "150 psi"', b'mawp = "160 psi"').replace(b'wish = "130 psi"', b"")
    before, after = read_survey(LAUNDRY, "before"), read_survey(changed, "after")
    assert before.sha256 != after.sha256
    assert [(each.key, each.before, each.after) for each in differences(before.document, after.document)] == [
        ("boiler[No. 1].mawp", '"150 psi"', '"160 psi"'),
        ("load.wish", '"130 psi"', None),
    ]


def test_a_valve_that_is_added_in_front_changes_no_other_valve() -> None:
    front = '[[boiler.safety_valve]]\nname = "front"'
    added = '[[boiler.safety_valve]]\nname = "top"\nset = "149 psi"\ncapacity = "100 lb/h"\n\n' + front
    changed = LAUNDRY.decode().replace(front, added).encode()
    found = differences(read_survey(LAUNDRY, "before").document, read_survey(changed, "after").document)
    assert {each.key for each in found} == {
        f"boiler[No. 1].safety_valve[top].{key}" for key in ("name", "set", "capacity")
    }


def test_a_file_says_where_it_was_given_out_from() -> None:
    sha256 = read_survey(LAUNDRY, "laundry").sha256
    assert read_survey(LAUNDRY, "laundry").origin is None
    given_out = f"# a word\n{origin_line(sha256)}\n".encode() + LAUNDRY
    assert read_survey(given_out, "given").origin == sha256
    assert read_survey(given_out, "given").sha256 == sha256


def test_the_examples_of_the_template_are_no_survey() -> None:
    with pytest.raises(BadPlantFile, match="an example of the template stands there and no reading") as told:
        read_survey(new_plant_file().encode(), "new.toml")
    assert told.value.line is not None


@pytest.mark.parametrize(
    ("typed", "shown"), [("+1_1.50", "11.50"), ("11.5", "11.5"), ("1.15e1", "1.15e1"), ("0.1", "0.1")]
)
def test_a_plain_number_is_kept_to_the_digit(typed: str, shown: str) -> None:
    changed = LAUNDRY.replace(b"price = 11.50", f"price = {typed}".encode())
    survey = read_survey(changed, "laundry")
    assert f'"$decimal":"{shown}"' in survey.document
    assert f"price = {shown}," in toml_of(survey.document)


@given(st.text(st.characters(blacklist_categories=("Cs", "Cc", "Cf", "Zl", "Zp", "Co", "Cn")), min_size=1, max_size=40))
def test_any_name_comes_back_as_it_was(name: str) -> None:
    quoted = json.dumps(name, ensure_ascii=False)
    text = re.sub(r'name = "No\. 1"', lambda _: f"name = {quoted}", LAUNDRY.decode())
    try:
        survey = read_survey(text.encode(), "named")
    except BadPlantFile:
        return  # a name that no plant file may have
    assert read_plant_text(toml_of(survey.document), "given").plant.boilers[0].name == name


def test_keys_are_written_anew_where_they_are_and_where_they_were_not() -> None:
    document = read_survey(LAUNDRY, "laundry").document
    edits = {
        ("boiler", 0, "controls", "high_limit", "tolerance", "proved"): "0.4 psi",
        ("boiler", 0, "as_left", "high_limit"): "138 psi",
    }
    changed = with_keys(document, edits)
    assert [(each.key, each.after) for each in differences(document, changed)] == [
        ("boiler[No. 1].as_left.high_limit", '"138 psi"'),
        ("boiler[No. 1].controls.high_limit.tolerance.proved", '"0.4 psi"'),
    ]
    for nowhere in (("boiler", 7, "mawp"), ("boiler", 0, "mawp", "deep"), ("boiler", 0)):
        with pytest.raises(BadContent):
            with_keys(document, {nowhere: "1 psi"})


def test_a_document_from_elsewhere_is_read_as_strictly_as_a_file() -> None:
    survey = read_survey(LAUNDRY, "laundry")
    assert read_document(survey.document, "import").sha256 == survey.sha256 == sha256_of(survey.document)
    for broken in (
        survey.document.replace("evenfire.survey/1", "evenfire.survey/2"),
        survey.document.replace(":", ": ", 1),
        survey.document[:-1],
        "[]",
        '{"format":"evenfire.survey/1","plant":[]}',
    ):
        with pytest.raises(BadContent):
            read_document(broken, "import")
    for bad in (survey.document.replace('"mawp"', '"mawpp"'), survey.document.replace('"150 psi"', '"150 ps"', 1)):
        with pytest.raises((BadPlantFile, BadContent)):
            read_document(bad, "import")

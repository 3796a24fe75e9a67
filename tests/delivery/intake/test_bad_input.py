"""One table of bad plant files; each gets one message with file, line, key, what was found and what to do."""

from dataclasses import dataclass
from pathlib import Path

import pytest

from evenfire.delivery.intake.plant_file import read_plant_text
from evenfire.errors import BadPlantFile
from tests.delivery.intake.samples import LAUNDRY, SMALLEST, changed, line_with

TABLE = Path(__file__).with_name("bad_inputs.txt").read_text(encoding="utf-8")


@dataclass(frozen=True)
class Row:
    """A change to the laundry's file, and what its message must say."""

    old: str
    new: str
    at: str
    key: str
    found: str
    do: str


def rows() -> list[Row]:
    lines = [line for line in TABLE.split("\n") if line.strip() and not line.startswith("#")]
    return [Row(*(cell.strip(" ").replace("\\n", "\n") for cell in line.split("|"))) for line in lines]


def refused(text: str) -> BadPlantFile:
    with pytest.raises(BadPlantFile) as caught:
        read_plant_text(text, "laundry.toml")
    return caught.value


@pytest.mark.parametrize("row", rows(), ids=lambda row: row.new[:50])
def test_a_bad_file_gets_one_message_with_line_key_what_was_found_and_what_to_do(row: Row) -> None:
    text = changed(row.old, row.new)
    error = refused(text)
    if row.at:
        assert error.line == line_with(row.at, text)
    assert error.line is not None
    assert (error.key or "").endswith(row.key)
    assert (error.key is not None) == bool(row.key) or not row.at
    assert row.found in error.found
    assert row.do in error.do


@pytest.mark.parametrize("row", rows(), ids=lambda row: row.new[:50])
def test_a_message_is_one_line_of_plain_words(row: Row) -> None:
    message = str(refused(changed(row.old, row.new)))
    assert message.startswith("laundry.toml, line ")
    assert message.isprintable()
    assert message.endswith(".")
    assert len(message) < 700
    for strange in ("pydantic", "Traceback", "validation", "tuple", "NoneType", "Enum", "..", ". ."):
        assert strange not in message.replace(" . ", " ")


def test_several_problems_give_the_first_in_the_file_and_how_many_follow() -> None:
    text = changed('wish = "130 psi"', 'wish = "130"')
    text = changed("turndown = 4", "turndown = -4", text)
    text = changed("feed = ", "food = ", text)
    error = refused(text)
    assert error.key == "load . wish"
    assert error.do.endswith("2 more problems were found after it.")


def test_a_single_problem_is_not_followed_by_a_count() -> None:
    assert "more problem" not in refused(changed("turndown = 4", "turndwn = 4")).do


def test_a_second_boiler_is_counted_as_a_person_counts() -> None:
    second = LAUNDRY[LAUNDRY.index("[[boiler]]") :].replace('"No. 1"', '"No. 2"')
    second = second.replace('valve]]\nname = "rear"\nset = "150 psi"', 'valve]]\nname = "rear"\nset = "150"')
    error = refused(f"{LAUNDRY}\n{second}")
    assert error.key == "boiler 2 . safety_valve 2 . set"
    assert error.line is not None
    assert error.line > LAUNDRY.count("\n")


def test_two_boilers_of_one_name_are_refused_because_a_sheet_could_go_to_the_wrong_one() -> None:
    second = LAUNDRY[LAUNDRY.index("[[boiler]]") :].replace('"No. 1"', '"no.  1"')
    error = refused(f"{LAUNDRY}\n{second}")
    assert (error.key, "also named" in error.found) == ("boiler 2 . name", True)


def test_low_fire_of_a_burner_without_turndown_cannot_be_told() -> None:
    measured = '[boiler.measured]\nrun_on = [{ rise = "1 psi", firing = "low", load = "none" }]\n[boiler.gauge]'
    text = changed("[boiler.gauge]", measured, changed("turndown = 4\n", ""))
    error = refused(text)
    assert error.key == "boiler 1 . measured . run_on"
    assert "turndown" in error.do


def test_an_on_off_burner_has_no_low_fire_to_measure_at() -> None:
    measured = '[boiler.measured]\nrun_on = [{ rise = "1 psi", firing = "low", load = "none" }]\n[boiler.gauge]'
    text = changed("[boiler.gauge]", measured, changed("turndown = 4\n", ""))
    assert "low" in refused(changed('firing = "modulating"', 'firing = "on-off"', text)).found


def test_absolute_pressure_is_refused_where_nobody_stated_the_air() -> None:
    error = refused(changed('mawp = "150 psi"', 'mawp = "165 psia"', SMALLEST))
    assert (error.line, error.key) == (7, "boiler 1 . mawp")
    assert "altitude" in error.found


def test_a_file_of_comments_alone_lacks_everything_and_says_so_from_its_first_line() -> None:
    error = refused("# nothing here\n")
    assert (error.line, error.key) == (1, "format")
    assert "2 more problems" in error.do


def test_a_number_of_thousands_of_digits_is_refused_in_both_ways_of_writing() -> None:
    for digits in ("1" * 5000, "0x" + "f" * 5000):
        error = refused(changed("turndown = 4", f"turndown = {digits}"))
        assert error.line == line_with("turndown", LAUNDRY)
        assert "very many digits" in error.found
        assert len(str(error)) < 400


def test_an_endless_key_is_not_printed_in_full() -> None:
    assert len(str(refused(changed("turndown = 4", "t" * 100_000 + " = 4")))) < 600


def test_nesting_is_counted_outside_of_texts_and_comments_only() -> None:
    text = changed('name = "front"', 'name = "[[[[[[[[[[[[[[[[[[[[[[[[[["  # [[[[[[[[[[[[[[[[[[[[[[[[[')
    assert read_plant_text(text, "x").plant.boilers[0].safety_valves[0].name == 26 * "["

"""A recorded load becomes the steps that it draws; everything else is refused with line, find and what is accepted.

Factors of units: NIST SP 811, appendix B.8.
"""

import os
from pathlib import Path

import pytest

from evenfire.delivery.intake.recorded_load import GREATEST_NUMBER, HEADER, LONGEST_LINE, MOST_ROWS, read_recorded_load
from evenfire.errors import BadInput, BadRecordedLoad
from evenfire.plant.load import Steps
from tests.delivery.intake.samples import POUND, unprivileged_folder

LB_H = POUND / 3600


@pytest.fixture
def at(tmp_path: Path) -> Path:
    return tmp_path / "load.csv"


def loaded(at: Path, content: str | bytes) -> Steps:
    at.write_bytes(content if isinstance(content, bytes) else content.encode())
    return read_recorded_load(at)


def refused(at: Path, content: str | bytes) -> BadRecordedLoad:
    with pytest.raises(BadRecordedLoad) as caught:
        loaded(at, content)
    error = caught.value
    assert error.file == str(at)
    assert str(error).startswith(f"{at}")
    assert str(error).isprintable()
    assert error.found
    assert error.accepted.endswith(".")
    assert len(error.found) < 300
    return error


def test_each_row_holds_until_the_next_and_the_last_as_long_as_the_one_before_it(at: Path) -> None:
    steps = loaded(at, f"{HEADER}\n0, 2400\n15, 3100\n20, 900\n").steps
    assert [duration for duration, _ in steps] == [900, 300, 300]
    assert [steam for _, steam in steps] == pytest.approx([2400 * LB_H, 3100 * LB_H, 900 * LB_H])


def test_the_first_time_is_the_beginning_of_the_run_whatever_the_clock_said(at: Path) -> None:
    early = loaded(at, f"{HEADER}\n0, 1\n1, 2\n")
    for start in (-1, 5, 1_000_000):
        assert loaded(at, f"{HEADER}\n{start}, 1\n{start + 1}, 2\n") == early


@pytest.mark.parametrize(
    ("header", "seconds", "flow"),
    [
        ("time [s], steam [kg/s]", 1, 1),
        ("time [h], steam [kg/h]", 3600, 1 / 3600),
        ("time [days],steam [t/h]", 86_400, 1 / 3.6),
        ('"Time [min]","Steam [lb/h]"', 60, LB_H),
        ("\ufeff  TIME [ minutes ] ,  steam[pounds per hour]", 60, LB_H),
    ],
)
def test_each_column_has_the_unit_of_its_bracket(at: Path, header: str, seconds: float, flow: float) -> None:
    steps = loaded(at, f"{header}\n1, 10\n3, 20.5\n").steps
    assert [duration for duration, _ in steps] == pytest.approx([2 * seconds, 2 * seconds])
    assert [steam for _, steam in steps] == pytest.approx([10 * flow, 20.5 * flow])


def test_blank_lines_line_ends_quotes_and_exponents_do_not_matter(at: Path) -> None:
    plain = loaded(at, f"{HEADER}\n0, 2400\n15, 3100\n")
    for text in (
        f"\r\n{HEADER}\r\n\r\n0, 2400\r\n15, 3100\r\n\r\n",
        f'{HEADER}\n"0","2400"\n"15","3100"',
        f"{HEADER}\n0.0,2.4e3\n+15.,31E2",
    ):
        assert loaded(at, text) == plain


def test_no_steam_at_all_is_a_load(at: Path) -> None:
    assert loaded(at, f"{HEADER}\n0, 0\n1, 0\n").steps == ((60.0, 0.0), (60.0, 0.0))


@pytest.mark.parametrize(
    ("header", "found", "accepted"),
    [
        ("0, 2400", "time with its unit", HEADER),
        ("steam [lb/h], time [min]", "time with its unit", HEADER),
        ("time [min], pressure [psi]", "steam with its unit", HEADER),
        ("time, steam", "time with its unit", HEADER),
        ("time [min], steam (lb/h)", "steam with its unit", HEADER),
        ("time [min], steam [lb/h", "steam with its unit", HEADER),
        ("time [min]", "two columns", HEADER),
        ("time [min], steam [lb/h], note", "two columns", HEADER),
        ("time [min]; steam [lb/h]", "the header is", "Part columns with commas"),
        ("time [min]\tsteam [lb/h]", "the header is", "Part columns with commas"),
        ("time [], steam [lb/h]", "no unit of time", "min"),
        ("time [5 min], steam [lb/h]", "no unit of time", "min"),
        ("time [psi], steam [lb/h]", "no unit of time", "min"),
        ("time [m], steam [lb/h]", "no unit of time", "min"),
        ("time [min], steam [Btu/h]", "no unit of mass flow", "lb/h"),
        ("time [min], steam [klb/h]", "no unit of mass flow", "lb/h"),
    ],
)
def test_a_bad_header_is_refused_with_the_form_or_the_units(at: Path, header: str, found: str, accepted: str) -> None:
    error = refused(at, f"{header}\n0, 2400\n15, 3100\n")
    assert error.line == 1
    assert found in error.found
    assert accepted in error.accepted


@pytest.mark.parametrize(
    "cell", ["a lot", "", "nan", "inf", "-", "1_000", "0x10", "12:30", "2400 lb/h", "\u0663", "1e"]
)
def test_a_text_in_the_place_of_a_number_is_refused_at_its_line(at: Path, cell: str) -> None:
    error = refused(at, f"{HEADER}\n0, 2400\n\n15, {cell}\n30, 100\n")
    assert error.line == 4
    assert "steam" in error.found
    assert "no plain number" in error.found
    assert "plain numbers" in error.accepted
    assert "the time" in refused(at, f"{HEADER}\n{cell}, 2400\n15, 100\n").found


@pytest.mark.parametrize("row", ["15, 3100,5", "0,5, 3100", "0,5, 3100,5", '"15","3,100"', "15, 3,100.5"])
def test_a_decimal_comma_is_refused_with_an_explanation(at: Path, row: str) -> None:
    error = refused(at, f"{HEADER}\n0, 2400\n{row}\n")
    assert error.line == 3
    assert "a comma parts columns" in error.found
    assert "decimals with a point" in error.accepted


@pytest.mark.parametrize("row", ["15;3100", "15,5;3100,5", "15\t3100"])
def test_other_marks_between_columns_are_refused(at: Path, row: str) -> None:
    error = refused(at, f"{HEADER}\n0, 2400\n{row}\n")
    assert error.line == 3
    assert "not parted by a comma" in error.found


@pytest.mark.parametrize("row", ["15", "15, 3100, warm", "15, 3100,"])
def test_a_row_has_two_columns(at: Path, row: str) -> None:
    error = refused(at, f"{HEADER}\n0, 2400\n{row}\n")
    assert error.line == 3
    assert "two are wanted" in error.found


@pytest.mark.parametrize("later", ["14.999", "15", "-15"])
def test_a_time_that_does_not_rise_is_refused_at_its_line(at: Path, later: str) -> None:
    error = refused(at, f"{HEADER}\n0, 2400\n15, 3100\n{later}, 900\n")
    assert error.line == 4
    assert "not later" in error.found


def test_steam_below_nought_is_refused(at: Path) -> None:
    error = refused(at, f"{HEADER}\n0, 2400\n15, -0.1\n")
    assert error.line == 3
    assert "below nought" in error.found


@pytest.mark.parametrize("number", [f"{2 * GREATEST_NUMBER:g}", "1e999"])
def test_a_slipped_exponent_is_refused(at: Path, number: str) -> None:
    assert "larger" in refused(at, f"{HEADER}\n0, 1\n1, {number}\n").found
    assert "larger" in refused(at, f"{HEADER}\n0, 1\n{number}, 1\n").found


@pytest.mark.parametrize("content", ["", "\n \r\n", "\ufeff"])
def test_an_empty_file_is_called_empty(at: Path, content: str) -> None:
    error = refused(at, content)
    assert "is empty" in error.found
    assert HEADER in error.accepted


def test_a_header_alone_is_no_load(at: Path) -> None:
    assert "no rows" in refused(at, f"{HEADER}\n").found


def test_one_row_is_refused_since_nobody_knows_how_long_it_holds(at: Path) -> None:
    error = refused(at, f"{HEADER}\n0, 2400\n")
    assert "one row" in error.found
    assert "constant" in error.accepted


def test_a_recording_with_too_many_rows_is_refused_and_the_longest_allowed_is_read(at: Path) -> None:
    at.write_text(f"{HEADER}\n" + "".join(f"{row}, 100\n" for row in range(5)), encoding="utf-8")
    assert len(read_recorded_load(at, most_rows=5).steps) == 5
    with pytest.raises(BadRecordedLoad, match="more than 4 rows") as caught:
        read_recorded_load(at, most_rows=4)
    assert caught.value.line == 6
    assert MOST_ROWS == 2_000_000


def test_an_endless_line_is_refused_before_it_is_read(at: Path) -> None:
    assert "more than" in refused(at, "t" * (LONGEST_LINE + 1)).found
    error = refused(at, f"{HEADER}\n0, 1\n" + "1" * 10_000_000)
    assert error.line == 3
    assert f"{LONGEST_LINE} characters" in error.found


@pytest.mark.parametrize(
    "content", [HEADER.encode("utf-16"), HEADER.encode() + b"\n0, 1\n1, \xff\n", b"PK\x03\x04\x80"]
)
def test_what_is_no_text_is_refused(at: Path, content: bytes) -> None:
    error = refused(at, content)
    assert "no UTF-8 text" in error.found
    assert "UTF-8" in error.accepted


def test_what_cannot_be_printed_is_not_printed(at: Path) -> None:
    assert "\x1b" not in str(refused(at, f"{HEADER}\n0, \x1b[31m1\n1, 1\n"))
    assert "\0" not in str(refused(at, f"{HEADER}\0\n0, 1\n1, 1\n"))


def test_a_file_that_is_not_there_or_no_file_is_refused(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path, found in (
        (tmp_path / "none.csv", "no such file"),
        (tmp_path, "no plain file"),
        (pipe, "no plain file"),
        (Path("a\0b"), "character that no file name can"),
    ):
        with pytest.raises(BadRecordedLoad, match=found) as caught:
            read_recorded_load(path)
        assert caught.value.line is None


def test_a_file_that_may_not_be_read_is_refused() -> None:
    with unprivileged_folder() as folder:
        path = folder / "load.csv"
        path.write_text(f"{HEADER}\n0, 1\n1, 1\n", encoding="utf-8")
        path.chmod(0)
        with pytest.raises(BadInput, match="permission denied"):
            read_recorded_load(path)

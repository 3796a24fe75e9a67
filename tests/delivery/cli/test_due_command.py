"""``evenfire due``, ``history`` and the items that are set by hand, as a person types them.

The command line goes by the clock of the machine: the visits lie years back, so that what is overdue stays so.
"""

import csv
import io
import json
import re
import shutil
from datetime import date
from pathlib import Path

import icalendar
import pytest

from evenfire.errors import BadInput
from tests.delivery.acts.years import BOILER, Trip, laundry, new_years
from tests.delivery.cli.test_commands import as_one_line, evenfire
from tests.delivery.papers.pages import text_of

NOT_JUDGED = 4


@pytest.fixture(scope="module")
def _made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("years")
    years = new_years(folder)
    with years.store:
        years.survey(laundry())
        for year in (2022, 2023):
            years.calibrated(date(year, 3, 1))
        years.visit(date(2022, 3, 8), Trip((139.5, 139.75, 139.5)))
        years.visit(date(2023, 3, 7), Trip((140.0, 140.25, 140.25)))
    return folder


@pytest.fixture
def place(_made: Path, tmp_path: Path) -> str:
    shutil.copytree(_made, tmp_path / "kept")
    return str(tmp_path / "kept" / "store.sqlite")


def test_due_lists_what_presses_with_the_next_step(place: str) -> None:
    done = evenfire("due", "--store", place)
    text = as_one_line(done.output)
    assert done.exit_code == 0
    assert "2024-03-07 high limit, HL-4711, Gull Quay Laundry/No. 1" in text
    assert f"Next: evenfire visit new --boiler '{BOILER}'" in text
    assert "2023-09-01 reference gauge recalibrated, G-17" in text
    assert all(len(line) <= 100 for line in done.output.splitlines())


def test_due_writes_a_table_and_a_calendar_and_json(place: str, tmp_path: Path) -> None:
    table, calendar = tmp_path / "due.csv", tmp_path / "due.ics"
    done = evenfire("due", "--store", place, "--csv", str(table), "--ical", str(calendar), "--json")
    assert done.exit_code == 0
    rows = json.loads(done.stdout)["rows"]
    cells = list(csv.DictReader(io.StringIO(table.read_bytes().decode("utf-8-sig"), newline="")))
    assert [each["what"] for each in cells] == [each["item"] for each in rows]
    events = icalendar.Calendar.from_ical(calendar.read_bytes()).walk("VEVENT")
    assert len(events) == len(rows)
    first = table.read_bytes(), calendar.read_bytes()
    paper = tmp_path / "due.pdf"
    evenfire(
        "due", "--store", place, "--csv", str(table), "--ical", str(calendar), "--pdf", str(paper), "--paper", "a4"
    )
    assert (table.read_bytes(), calendar.read_bytes()) == first, "same data, same bytes"
    assert "high limit, HL-4711" in text_of(paper.read_bytes())


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--csv", "due.txt"), "name a file that ends in .csv"),
        (("--ical", "due"), "name a file that ends in .ics"),
        (("--pdf", "due.ps"), "name a file that ends in .pdf"),
        (("--until", "soon"), "is no day; write it like"),
        (("--boiler", "No. 9"), "There is no boiler 'No. 9'"),
    ],
)
def test_due_refuses_what_it_cannot_do_in_one_sentence(place: str, arguments: tuple[str, ...], words: str) -> None:
    done = evenfire("due", "--store", place, *arguments)
    assert isinstance(done.exception, BadInput), "which the command line ends with 2"
    assert words in str(done.exception)


def test_items_are_set_and_ended_by_hand(place: str) -> None:
    item = ("No. 1", "high limit")
    done = evenfire(
        "store",
        "due-item",
        *item,
        "--every",
        "3 months",
        "--whose",
        "insurer",
        "--last",
        "2023-04-01",
        "--store",
        place,
    )
    assert done.exit_code == 0
    assert f"{BOILER}: high limit comes due every 3 months: the insurer; last done 2023-04-01" in as_one_line(
        done.output
    )
    assert "2023-07-01 high limit, HL-4711" in as_one_line(evenfire("due", "--store", place).output)
    moved = evenfire("store", "due-item", *item, "--last", "2023-06-01", "--store", place)
    assert "every 3 months: the insurer; last done 2023-06-01" in as_one_line(moved.output)
    ended = evenfire("store", "end-item", *item, "--store", place)
    assert ended.exit_code == 0
    assert "high limit is no longer wanted by the insurer. What the codes want of it stays." in as_one_line(
        ended.output
    )
    assert "2024-03-07 high limit, HL-4711" in as_one_line(evenfire("due", "--store", place).output)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("due-item", "No. 1", "x", "--every", "often", "--whose", "owner"), "'often' is no interval"),
        (
            ("due-item", "No. 1", "x", "--every", "1 day", "--whose", "code"),
            "none of jurisdiction, insurer, maker, owner",
        ),
        (("due-item", "No. 1", "x", "--every", "1 day", "--whose", "owner", "--last", "1"), "is no day"),
        (("due-item", "No. 1", "x"), "is not set by hand at No. 1 yet"),
        (("end-item", "No. 1", "high limit"), "What a code wants cannot be ended"),
    ],
)
def test_an_item_that_cannot_be_set_or_ended_is_refused(place: str, arguments: tuple[str, ...], words: str) -> None:
    done = evenfire("store", *arguments, "--store", place)
    assert isinstance(done.exception, BadInput), "which the command line ends with 2"
    assert words in str(done.exception)


def test_history_tells_each_limit_and_ends_with_what_stands_worst(place: str) -> None:
    done = evenfire("history", "No. 1", "--store", place)
    text = as_one_line(done.output)
    # Two tests give the slope no degree of freedom: nothing follows from it, and the test is years overdue.
    assert done.exit_code == NOT_JUDGED
    assert "high limit HL-4711: ITS TEST IS OVERDUE" in text
    assert "With so few tests its drift is too doubtful to go by." in text
    assert "operating limit OL-1: NEVER TESTED HERE" in text
    assert "operating limit" not in as_one_line(
        evenfire("history", "No. 1", "--control", "high_limit", "--store", place).output
    )
    assert json.loads(evenfire("history", "No. 1", "--store", place, "--json").stdout)["format"] == "evenfire.history/1"


def test_history_draws_the_same_bytes_twice(place: str, tmp_path: Path) -> None:
    file = tmp_path / "history.svg"
    done = evenfire("history", "No. 1", "--store", place, "--plot", str(file), "--control", "high_limit")
    assert done.exit_code == NOT_JUDGED
    first = file.read_bytes()
    assert re.search(rb"high limit HL-4711: its test is overdue", first)
    evenfire("history", "No. 1", "--store", place, "--plot", str(file), "--control", "high_limit")
    assert file.read_bytes() == first
    nothing = tmp_path / "nothing.svg"
    said = evenfire("history", "No. 1", "--store", place, "--plot", str(nothing), "--control", "operating_limit")
    assert "no trip point is known" in as_one_line(said.output)
    assert not nothing.exists()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--control", "hold"), "none of high_limit, operating_limit"),
        (("--plot", "history.txt"), "is no kind of drawing"),
    ],
)
def test_history_refuses_in_one_sentence(place: str, arguments: tuple[str, ...], words: str) -> None:
    done = evenfire("history", "No. 1", "--store", place, *arguments)
    assert isinstance(done.exception, BadInput), "which the command line ends with 2"
    assert words in str(done.exception)

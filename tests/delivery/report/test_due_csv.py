"""The due list in a spreadsheet: RFC 4180 lines, and no cell that a spreadsheet would run as a formula.

What starts a formula: equals, plus, minus and at signs, tabs and carriage returns, by the common advice on formula
injection (practice, no single source); a spreadsheet that cuts lines at semicolons sees the rest of a cell as a cell.
"""

import csv
import io
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.records.registers import KeptSite
from evenfire.delivery.report.due_answer import Ask
from evenfire.delivery.report.due_csv import COLUMNS, due_csv, harmless
from evenfire.judgement.trip_test.due import Interval
from tests.delivery.report.due_rows import ALL, BOILER, FAILED, GAUGE, NEVER, OVERDUE, TO_COME, due_of

DANGER = "=+-@\uff1d\uff0b\uff0d\uff20"
SKIPPED = " \"'\u00a0"
"""What a spreadsheet, or a person who cleans a table, may take away in front."""

INJECTIONS = {
    "=1+1": "'=1+1",
    "+1": "'+1",
    "-2": "'-2",
    "@SUM(A1)": "'@SUM(A1)",
    '=HYPERLINK("http://x","y")': '\'=HYPERLINK("http://x","y")',
    "\t=1": "'=1",
    "\r=1": "'=1",
    "\n=1": "'=1",
    " =1": "'=1",
    '"=1"': '\'"=1"',
    "'=1": "''=1",
    '" =1': "'\" =1",
    "\u00a0=1": "'=1",
    "\uff1d1": "'\uff1d1",
    "\u221210": "'\u221210",
    "a;=1": "a;'=1",
    "a,@x": "a,'@x",
    'a;"=1': "a;'\"=1",
    "a|-x": "a|'-x",
}
HARMLESS = (
    "No. 1",
    "a-b",
    "2027-11-20",
    "1e5",
    "",
    "CSD-1 (from memory)",
    "a = b",
    "x@y",
    "9-inch",
    "high limit, HL-1",
)


def parsed(content: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))


def starts_no_formula(cell: str) -> bool:
    return cell.lstrip(SKIPPED)[:1] not in tuple(DANGER) or cell.startswith("'")


@pytest.mark.parametrize(("text", "expected"), INJECTIONS.items())
def test_what_would_start_a_formula_gets_an_apostrophe(text: str, expected: str) -> None:
    assert harmless(text) == expected


@pytest.mark.parametrize("text", HARMLESS)
def test_what_starts_none_stays_as_it_is(text: str) -> None:
    assert harmless(text) == text


@given(st.text(alphabet=st.sampled_from("=+-@;,|\t\r\n\"' a1\u00a0\uff1d\uff20"), max_size=12))
def test_no_cell_starts_a_formula_wherever_the_line_is_cut(text: str) -> None:
    cell = harmless(text)
    assert not set(cell) & set("\t\r\n")
    for mark in ";,|":
        for piece in cell.split(mark):
            assert starts_no_formula(piece), (text, cell)


def test_every_name_that_somebody_chose_is_made_harmless() -> None:
    evil = "=cmd|'/c calc'!A1"
    boiler = replace(BOILER, name=evil, site=KeptSite(id="s", name=evil, address=""))
    assert FAILED.failed is not None
    assert FAILED.last is not None
    row = replace(
        FAILED,
        boiler=boiler,
        item=evil,
        part=evil,
        last=replace(FAILED.last, result=evil),
        failed=replace(FAILED.failed, result=evil),
        asks=(Ask(whose=evil, every=Interval(days=1)), Ask(whose=evil, every=Interval(days=2))),
    )
    (cells,) = parsed(due_csv(due_of(row)))[1:]
    assert sum(evil in cell for cell in cells) == 8
    assert all(starts_no_formula(cell) for cell in cells)


def test_it_is_utf_8_with_a_mark_and_lines_as_the_standard_has_them() -> None:
    boiler = replace(BOILER, site=KeptSite(id="s", name="Brûlerie du Quai", address=""))
    content = due_csv(due_of(replace(TO_COME, boiler=boiler)))
    assert content.startswith(b"\xef\xbb\xbf"), "without it a spreadsheet reads accents wrong"
    assert content.endswith(b"\r\n")
    assert content.count(b"\n") == content.count(b"\r\n") == 2
    assert "Brûlerie du Quai" in content.decode("utf-8-sig")
    assert content == due_csv(due_of(replace(TO_COME, boiler=boiler)))


def test_each_row_has_its_cells_in_order() -> None:
    head, *rows = parsed(due_csv(due_of(*ALL)))
    assert head == list(COLUMNS)
    assert [len(row) for row in rows] == [len(COLUMNS)] * len(ALL)
    told = [dict(zip(head, row, strict=True)) for row in parsed(due_csv(due_of(OVERDUE, NEVER, FAILED, GAUGE)))[1:]]
    overdue, never, failed, gauge = told
    # From 20 to 25 November: five days.
    assert (overdue["state"], overdue["came due"], overdue["days late"]) == ("overdue", "2027-11-20", "5")
    assert (never["came due"], never["last done"], never["do on"]) == ("", "", "2027-11-25")
    assert (failed["failed on"], failed["failed with"]) == ("2027-11-19", "trips high")
    assert (gauge["site"], gauge["boiler"], gauge["which"]) == ("", "", "G-17")
    assert (overdue["every"], overdue["whose rule"]) == ("6 months", "the insurer")
    assert overdue["others ask"] == "CSD-1 (from memory) every year"

"""The due list on paper, read back by pypdf: every row of it, nothing off the page, the same bytes twice."""

from dataclasses import replace

import pytest

from evenfire.delivery.papers.content import PaperSize
from evenfire.delivery.papers.due_content import due_content
from evenfire.delivery.papers.printing import printed
from evenfire.delivery.records.registers import KeptSite
from evenfire.delivery.report.due_answer import NotCounted, OutOfService
from tests.delivery.papers.pages import outside, text_of
from tests.delivery.report.due_rows import ALL, BOILER, FAILED, GAUGE, NEVER, OVERDUE, TO_COME, TODAY, due_of


def test_each_row_stands_on_it_as_the_screen_has_it() -> None:
    text = text_of(printed(due_content(due_of(*ALL)), PaperSize.LETTER))
    for words in (
        "Gull Quay Laundry",
        "As of 2027-11-25",
        "FAILED 2027-11-19, trips high (record 99999999).",
        "2027-11-20 OVERDUE",
        "Never recorded here.",
        "2028-02-29",
        "reference gauge recalibrated, G-17",
        "confirm it in the adopted edition",
        "Bypass no limit, ever.",
    ):
        assert words in text


def test_what_presses_is_marked_and_what_comes_is_not() -> None:
    lines = due_content(due_of(FAILED, OVERDUE, NEVER, TO_COME, GAUGE)).lines
    assert [each.due for each in lines] == ["At once", "2027-11-20", "At once", "2028-02-29", "2027-12-31"]
    assert [each.overdue for each in lines] == [False, True, False, False, False]


def test_what_is_known_of_whole_boilers_stands_at_the_head() -> None:
    due = replace(
        due_of(TO_COME),
        out_of_service=(OutOfService(boiler=BOILER, since=TODAY),),
        not_counted=(NotCounted(boiler=BOILER, visits=2),),
    )
    notices = " ".join(due_content(due).head.notices)
    assert "Gull Quay Laundry/No. 1 was left out of service on 2027-11-25" in notices
    assert "2 visits signed by a key that is not known here" in notices


def test_an_empty_list_says_so() -> None:
    assert "Nothing is due." in text_of(printed(due_content(due_of()), PaperSize.A4))


@pytest.mark.parametrize("size", PaperSize)
def test_the_longest_names_stay_on_the_page(size: PaperSize) -> None:
    long = replace(BOILER, name="B" * 200, site=KeptSite(id="s", name="#strong[W] " * 18, address=""))
    rows = tuple(replace(each, boiler=each.boiler and long, item="m" * 100, part="W" * 100) for each in ALL)
    content = printed(due_content(due_of(*rows)), size)
    assert outside(content) == []
    assert "#strong[W]" in text_of(content), "a name is no markup"


def test_the_same_data_give_the_same_bytes() -> None:
    assert printed(due_content(due_of(*ALL)), PaperSize.A4) == printed(due_content(due_of(*ALL)), PaperSize.A4)

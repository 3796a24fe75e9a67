"""The table of agreement that the documents show, and the frame that it is made from."""

import dataclasses
import importlib
import re
from pathlib import Path

import pytest

from evenfire.sources import IAPWS_R7
from tests.published.printed import Printed
from tools.agreement import agreement_table, disagreement_table

_MODULES = [path.stem for path in sorted(Path(__file__).parent.glob("test_*.py"))]


def _value(printed: str, ours: float) -> Printed:
    return Printed(
        source=IAPWS_R7, place="here", quantity="thing", at="a state", printed=printed, unit="K", ours=lambda: ours
    )


@pytest.mark.parametrize(
    ("printed", "allowed"), [("1.20", 0.005), ("4750", 0.5), ("-4480", 0.5), ("2.391428e3", 0.0005), ("2e-4", 0.5e-4)]
)
def test_half_the_last_printed_digit_is_allowed(printed: str, allowed: float) -> None:
    assert _value(printed, 0.0).allowed == pytest.approx(allowed, rel=1e-12)


@pytest.mark.parametrize(("ours", "agrees"), [(1.25, True), (1.15, True), (1.2501, False), (1.1499, False)])
def test_a_value_agrees_up_to_half_its_last_digit(ours: float, agrees: bool) -> None:
    assert _value("1.2", ours).agrees is agrees


def test_nan_never_agrees() -> None:
    assert not _value("1.2", float("nan")).agrees


def test_a_stated_tolerance_takes_the_place_of_the_last_digit() -> None:
    assert dataclasses.replace(_value("200", 203.0), relative=0.02).agrees
    assert not dataclasses.replace(_value("200", 203.0), absolute=2.9).agrees
    with pytest.raises(ValueError, match="one tolerance"):
        dataclasses.replace(_value("200", 203.0), absolute=1.0, relative=0.1)


def test_the_table_counts_every_printed_value_once() -> None:
    printed = sum(len(getattr(importlib.import_module(f"tests.published.{name}"), "PRINTED", ())) for name in _MODULES)
    rows = [row.split("|") for row in agreement_table().splitlines()[2:]]
    assert sum(int(row[3]) for row in rows) == printed
    assert printed > 100


def test_the_table_is_the_same_every_time_and_ordered_by_source() -> None:
    table = agreement_table()
    assert agreement_table() == table
    keys = [row.split("|")[1].strip() for row in table.splitlines()[2:]]
    assert keys == sorted(keys)


def test_no_row_shows_more_digits_than_machines_share() -> None:
    for row in agreement_table().splitlines()[2:]:
        deviation = row.split("|")[4].strip()
        number = re.match(r"(?:< )?([0-9.]+)", deviation)
        assert number is not None, row
        assert len(number.group(1).replace(".", "").strip("0")) <= 2, row


def test_what_disagrees_is_shown_with_its_reason() -> None:
    rows = disagreement_table().splitlines()[2:]
    assert any("1.2233" in row and "misprint" in row for row in rows)
    assert all(row.count("|") == 6 and row.split("|")[5].strip() for row in rows)

"""What comes due when: the calendar row by row, from the rule book's table."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.errors import ImpossibleValue
from evenfire.judgement.outcome import Basis
from evenfire.judgement.trip_test.due import Interval, due_on
from evenfire.judgement.trip_test.intervals import CALENDAR, NEWER, OLDER, Item, Wanted, Whose, chosen_for, due
from evenfire.sources import CSD_1
from tests.judgement.trip_test.trips_at_140 import gauge_psi

LOW, HIGH, HIGHER = 15.0, 150.0, 600.0
DAY, WEEK, MONTH = Interval(days=1), Interval(days=7), Interval(months=1)
QUARTER, HALF_YEAR, YEAR = Interval(months=3), Interval(months=6), Interval(months=12)

# CSD-1, from memory; UFC, published.
ROWS = [
    (Item.SETTINGS_COMPARED, LOW, DAY),
    (Item.PRESSURE_AND_LEVEL_LOGGED, HIGH, DAY),
    (Item.LOW_WATER_CUTOFF, HIGH, DAY),
    (Item.LOW_WATER_CUTOFF, LOW, WEEK),
    (Item.FLAME_FAILURE, HIGH, WEEK),
    (Item.IGNITER, HIGH, WEEK),
    (Item.FIRING_RATE_LOOKED_AT, HIGH, WEEK),
    (Item.AIR_INTERLOCK, HIGH, MONTH),
    (Item.FUEL_PRESSURE_INTERLOCKS, HIGH, MONTH),
    (Item.LOW_FIRE_START, HIGH, MONTH),
    (Item.FUEL_VALVE_LEAKAGE, HIGH, MONTH),
    (Item.LOW_WATER_CUTOFF_SLOW_DRAIN, LOW, HALF_YEAR),
    (Item.GAUGES_RECALIBRATED, HIGH, HALF_YEAR),
    (Item.FIRING_RATE_BY_TECHNICIAN, HIGH, HALF_YEAR),
    (Item.HIGH_LIMIT, HIGH, YEAR),
    (Item.OPERATING_LIMIT, LOW, YEAR),
    (Item.COMBUSTION, HIGH, YEAR),
    (Item.CONTROLS, HIGH, YEAR),
    (Item.SAFETY_VALVE_BY_HAND, LOW, WEEK),
    (Item.SAFETY_VALVE_BY_HAND, HIGH, MONTH),
    (Item.SAFETY_VALVE_BY_PRESSURE, HIGHER, YEAR),
]


@pytest.mark.parametrize(("item", "mawp", "every"), ROWS)
def test_the_code_asks_for_it_so_often(item: Item, mawp: float, every: Interval) -> None:
    chosen = chosen_for(item, mawp=gauge_psi(mawp))
    assert chosen is not None
    assert (chosen.wanted.every, chosen.wanted.whose) == (every, Whose.CODE)


def test_every_item_is_in_the_calendar_and_every_row_has_its_source() -> None:
    assert {row.item for row in CALENDAR} == set(Item)
    for row in CALENDAR:
        assert row.citation is not None
        assert row.basis in {Basis.PUBLISHED, Basis.FROM_MEMORY}


def test_nobody_asks_for_a_lift_by_hand_above_400_psi() -> None:
    # UFC has it up to 400 psi.
    assert chosen_for(Item.SAFETY_VALVE_BY_HAND, mawp=gauge_psi(400.0)) is not None
    assert chosen_for(Item.SAFETY_VALVE_BY_HAND, mawp=gauge_psi(401.0)) is None


def test_where_two_sources_disagree_the_reader_may_choose() -> None:
    for mawp, older, newer in ((LOW, WEEK, QUARTER), (HIGH, MONTH, HALF_YEAR)):
        for edition, every in ((OLDER, older), (NEWER, newer)):
            chosen = chosen_for(Item.SAFETY_VALVE_BY_HAND, mawp=gauge_psi(mawp), editions=frozenset({edition}))
            assert chosen is not None
            assert chosen.wanted.every == every
        both = chosen_for(Item.SAFETY_VALVE_BY_HAND, mawp=gauge_psi(mawp))
        assert both is not None
        assert both.wanted.every == older
        assert [each.every for each in both.others] == [newer]


def test_the_strictest_of_all_who_ask_counts_and_the_others_are_told() -> None:
    insurer = Wanted(item=Item.HIGH_LIMIT, every=HALF_YEAR, whose=Whose.INSURER)
    owner = Wanted(item=Item.HIGH_LIMIT, every=Interval(months=24), whose=Whose.OWNER)
    other = Wanted(item=Item.COMBUSTION, every=DAY, whose=Whose.OWNER)
    chosen = chosen_for(Item.HIGH_LIMIT, mawp=gauge_psi(HIGH), more=(owner, insurer, other))
    assert chosen is not None
    assert chosen.wanted is insurer
    assert [each.whose for each in chosen.others] == [Whose.CODE, Whose.OWNER]


DAYS = [
    (date(2026, 1, 31), MONTH, date(2026, 2, 28)),
    (date(2028, 1, 31), MONTH, date(2028, 2, 29)),
    (date(2026, 11, 30), QUARTER, date(2027, 2, 28)),
    (date(2026, 12, 15), MONTH, date(2027, 1, 15)),
    (date(2028, 2, 29), YEAR, date(2029, 2, 28)),
    (date(2026, 11, 25), WEEK, date(2026, 12, 2)),
]


@pytest.mark.parametrize(("last", "every", "on"), DAYS)
def test_it_comes_due_on_that_day_or_on_the_last_of_a_short_month(last: date, every: Interval, on: date) -> None:
    assert due_on(last, every) == on


def test_what_nobody_knows_to_have_been_done_has_no_day_and_is_due() -> None:
    chosen = chosen_for(Item.HIGH_LIMIT, mawp=gauge_psi(HIGH))
    assert chosen is not None
    assert due(None, chosen).on is None
    assert due(date(2026, 11, 25), chosen).on == date(2027, 11, 25)


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)), st.integers(1, 240))
def test_a_later_last_day_never_comes_due_sooner(last: date, months: int) -> None:
    every = Interval(months=months)
    assert due_on(last, every) > last
    assert due_on(date.fromordinal(last.toordinal() + 1), every) >= due_on(last, every)


@pytest.mark.parametrize(("days", "months"), [(None, None), (1, 1), (0, None), (None, -3)])
def test_an_interval_is_days_or_months_and_some(days: int | None, months: int | None) -> None:
    with pytest.raises(ImpossibleValue):
        Interval(days=days, months=months)


# What UFC says was read; what CSD-1 says is from memory. A row says so of itself.
BASES = [
    (Item.HIGH_LIMIT, {Basis.FROM_MEMORY}),
    (Item.LOW_WATER_CUTOFF, {Basis.FROM_MEMORY}),
    (Item.GAUGES_RECALIBRATED, {Basis.FROM_MEMORY, Basis.PUBLISHED}),
]


@pytest.mark.parametrize(("item", "bases"), BASES)
def test_a_row_tells_whether_its_source_was_read(item: Item, bases: set[Basis]) -> None:
    rows = [row for row in CALENDAR if row.item is item]
    assert {row.basis for row in rows} == bases
    for row in rows:
        assert row.citation is not None
        assert (row.citation.source is CSD_1) is (row.basis is Basis.FROM_MEMORY)


def test_both_sources_have_a_safety_valve_tested_by_pressure_every_year() -> None:
    for edition in (OLDER, NEWER):
        chosen = chosen_for(Item.SAFETY_VALVE_BY_PRESSURE, mawp=gauge_psi(HIGH), editions=frozenset({edition}))
        assert chosen is not None
        assert (chosen.wanted.every, chosen.others) == (YEAR, ())


@pytest.mark.parametrize(("days", "whose"), [(30, Whose.OWNER), (31, Whose.CODE), (7, Whose.OWNER), (90, Whose.CODE)])
def test_a_month_is_longer_than_30_days_and_shorter_than_31(days: int, whose: Whose) -> None:
    # A year of 365.25 days has twelve: 30.4 days, on average.
    owner = Wanted(item=Item.AIR_INTERLOCK, every=Interval(days=days), whose=Whose.OWNER)
    chosen = chosen_for(Item.AIR_INTERLOCK, mawp=gauge_psi(HIGH), more=(owner,))
    assert chosen is not None
    assert chosen.wanted.whose is whose

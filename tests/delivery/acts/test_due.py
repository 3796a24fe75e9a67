"""What comes due at the boilers of a store. Days are counted here by hand on a calendar.

Intervals are those of the calendar (checked against their sources in tests/judgement/trip_test/test_intervals.py):
limits yearly, slow drain half-yearly, low-water cutoff daily above 15 psi and weekly below, safety valve by hand
monthly by the older source and half-yearly by the newer one, the gauge of the boiler half-yearly by one and yearly by
another.
"""

import json
import sqlite3
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from evenfire.delivery.acts.due import due_list
from evenfire.delivery.acts.due_asks import end_item, hand_items, interval_of, set_item
from evenfire.delivery.acts.handing_on import export, take_in
from evenfire.delivery.acts.history import history
from evenfire.delivery.acts.people import enter_key, give_key
from evenfire.delivery.acts.visiting import open_visit
from evenfire.delivery.answers import Ending
from evenfire.delivery.records import surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.due_items import Every, set_due_item
from evenfire.delivery.records.instruments import retire_gauge
from evenfire.delivery.records.registers import add_boiler, add_site, find_person
from evenfire.delivery.report.due_answer import DueList, DueRow, Told, Urgency
from evenfire.delivery.report.due_ical import due_ical
from evenfire.delivery.report.due_json import DUE_SCHEMA, due_json
from evenfire.delivery.report.due_text import due_text, item_text
from evenfire.delivery.report.history_json import HISTORY_SCHEMA, history_json
from evenfire.delivery.report.history_text import history_text
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadRequest
from evenfire.judgement.trip_test.due import Interval
from evenfire.judgement.trip_test.intervals import Item, Whose
from evenfire.plant.controls import Role
from tests.delivery.acts.on_visit import EXAMPLES, QUILL, Call
from tests.delivery.acts.signed_elsewhere import signed_by_another_version
from tests.delivery.acts.years import BEN, BOILER, GAUGE, SERIAL, Trip, Years, laundry, new_years

PASSES = (139.5, 139.75, 139.5)
FIRST = date(2023, 3, 7)


@pytest.fixture
def years(tmp_path: Path) -> Iterator[Years]:
    made = new_years(tmp_path)
    made.survey(laundry())
    for year in range(2022, 2027):
        made.calibrated(date(year, 3, 1))
    yield made
    made.store.close()


def row(found: DueList, item: Item | str, part: str | None = None) -> DueRow:
    name = item.value if isinstance(item, Item) else item
    (only,) = [each for each in found.rows if each.item == name and part in {None, each.part}]
    return only


def as_one_line(text: str) -> str:
    return " ".join(text.split())


def test_a_limit_that_passed_comes_due_after_the_year_of_the_code(years: Years) -> None:
    record = years.visit(FIRST, Trip(PASSES))
    years.today(date(2023, 12, 1))
    found = row(due_list(years.store), Item.HIGH_LIMIT)
    assert (found.urgency, found.on, found.due) == (Urgency.COMES_DUE, date(2024, 3, 7), date(2024, 3, 7))
    assert found.part == SERIAL
    assert found.last is not None
    assert (found.last.on, found.last.told, found.last.record) == (FIRST, Told.SIGNED_VISIT, record)
    years.today(date(2024, 3, 7))
    assert row(due_list(years.store), Item.HIGH_LIMIT).urgency is Urgency.COMES_DUE, "due today is not late"
    years.today(date(2024, 3, 8))
    late = row(due_list(years.store), Item.HIGH_LIMIT)
    assert (late.urgency, late.on, late.due) == (Urgency.OVERDUE, date(2024, 3, 8), date(2024, 3, 7))
    assert f"2024-03-07 high limit, {SERIAL}, {BOILER} (1 day ago)." in as_one_line(due_text(due_list(years.store), 80))


@pytest.mark.parametrize(
    ("last", "every", "due"),
    [
        (date(2024, 2, 29), "1 year", date(2025, 2, 28)),
        (date(2023, 2, 28), "12 months", date(2024, 2, 28)),
        (date(2023, 8, 31), "6 months", date(2024, 2, 29)),
        (date(2022, 8, 31), "6 months", date(2023, 2, 28)),
        (date(2023, 10, 31), "1 month", date(2023, 11, 30)),
        (date(2023, 12, 31), "2 months", date(2024, 2, 29)),
        (date(2023, 12, 25), "1 week", date(2024, 1, 1)),
        (date(2024, 2, 28), "2 days", date(2024, 3, 1)),
    ],
)
def test_months_end_where_a_calendar_ends_them(years: Years, last: date, every: str, due: date) -> None:
    years.today(date(2025, 6, 1))
    set_item(years.store, BOILER, "inspection certificate", every=every, whose=Whose.JURISDICTION, last=last)
    assert row(due_list(years.store), "inspection certificate").due == due


def test_a_failed_test_is_due_before_all_else_until_one_passes(years: Years) -> None:
    years.visit(FIRST, Trip(PASSES))
    years.visit(date(2023, 9, 5), Trip((147.0, 147.0, 147.0)))
    years.today(date(2023, 10, 1))
    found = due_list(years.store)
    assert found.rows[0].item == Item.HIGH_LIMIT.value
    assert found.rows[0].urgency is Urgency.FAILED
    assert found.rows[0].last is not None
    assert found.rows[0].last.on == FIRST
    text = as_one_line(due_text(found, 80))
    assert "FAILED high limit" in text
    assert "trips high" in text
    assert "Keep the boiler out of service until it is set or replaced and passes a test." in text
    years.visit(date(2023, 11, 7), Trip((139.75, 139.75, 139.75)))  # its linkage was freed
    passed = row(due_list(years.store), Item.HIGH_LIMIT)
    assert (passed.failed, passed.urgency) == (None, Urgency.COMES_DUE)
    assert passed.last is not None
    assert passed.last.on == date(2023, 11, 7)


def test_a_pass_against_another_pressure_than_its_own_is_none(years: Years) -> None:
    years.visit(FIRST, Trip(PASSES, set_at=142.0))
    assert row(due_list(years.store), Item.HIGH_LIMIT).urgency is Urgency.NEVER_RECORDED
    years.visit(date(2023, 4, 4), Trip((131.0, 131.0, 131.25), set_at=130.0))
    assert row(due_list(years.store), Item.HIGH_LIMIT).urgency is Urgency.NEVER_RECORDED


def test_a_test_that_shows_the_function_alone_is_no_pass_and_no_fail(years: Years) -> None:
    years.visit(FIRST, Trip(PASSES))
    years.visit(date(2024, 3, 5), Trip((), method="setting turned down", dial=90.0))
    assert row(due_list(years.store), Item.HIGH_LIMIT).due == date(2024, 3, 7)


def test_a_limit_whose_dial_was_moved_since_it_passed_says_so(years: Years) -> None:
    years.visit(FIRST, Trip(PASSES), more={"as_left.high_limit": "140 psi"})
    assert not row(due_list(years.store), Item.HIGH_LIMIT).is_moved
    years.visit(date(2023, 5, 2), more={"as_found.high_limit": "140 psi", "as_left.high_limit": "132 psi"})
    found = due_list(years.store)
    assert row(found, Item.HIGH_LIMIT).is_moved
    assert "Its dial was moved since: where it acts now is not known." in as_one_line(due_text(found, 80))


def test_what_nobody_recorded_is_due_at_once_and_says_so(years: Years) -> None:
    years.today(FIRST)
    found = due_list(years.store)
    never = row(found, Item.HIGH_LIMIT)
    assert (never.urgency, never.on, never.due, never.last) == (Urgency.NEVER_RECORDED, FIRST, None, None)
    assert "Never recorded here: due at once" in due_text(found, 80)
    assert {each.item for each in found.rows if each.boiler is not None} == {item.value for item in Item}


def test_a_pass_of_the_control_before_says_nothing_of_this_one(years: Years) -> None:
    years.visit(FIRST, Trip(PASSES))
    years.survey(laundry(high_limit="HL-5000"))
    found = row(due_list(years.store), Item.HIGH_LIMIT)
    assert (found.part, found.urgency) == ("HL-5000", Urgency.NEVER_RECORDED)


def test_a_control_that_drifts_comes_due_by_its_drift(years: Years) -> None:
    for day, at in ((date(2022, 3, 8), 139.0), (date(2022, 9, 6), 140.5), (FIRST, 142.0)):
        years.visit(day, Trip((at, at, at)))
    years.today(date(2023, 4, 1))
    found = row(due_list(years.store), Item.HIGH_LIMIT)
    assert found.asks[0].whose == Whose.DRIFT.value
    assert [each.source for each in found.asks[1:]] == ["CSD-1"]
    assert found.due is not None
    # 3 psi a year and 2 psi of its band left: 8 months at the most.
    assert found.due <= FIRST + timedelta(days=244)
    assert "the drift of the control" in due_text(due_list(years.store), 200)


def test_the_strictest_of_all_who_ask_counts_and_each_may_ask(years: Years) -> None:
    years.visit(FIRST, Trip(PASSES))
    for every, whose in (("9 months", Whose.MAKER), ("6 months", Whose.INSURER), ("2 years", Whose.OWNER)):
        set_item(years.store, BOILER, "High  Limit", every=every, whose=whose, last=None)
    years.today(date(2023, 4, 1))
    found = row(due_list(years.store), Item.HIGH_LIMIT)
    assert [each.whose for each in found.asks] == ["insurer", "maker", "code", "owner"]
    assert found.due == date(2023, 9, 7)
    assert not found.codes_differ, "one code alone does not contradict itself"
    end_item(years.store, BOILER, "high limit", whose=Whose.INSURER)
    assert row(due_list(years.store), Item.HIGH_LIMIT).due == date(2023, 12, 7)


def test_sources_that_conflict_are_both_told_and_the_strictest_counts(years: Years) -> None:
    years.visit(
        FIRST,
        devices=[{"kind": "safety valve by hand", "valve": "front", "works": "yes", "at": "130 psi"}],
    )
    years.today(date(2023, 4, 1))
    found = due_list(years.store)
    front, rear = row(found, Item.SAFETY_VALVE_BY_HAND, "front"), row(found, Item.SAFETY_VALVE_BY_HAND, "rear")
    assert front.codes_differ
    assert front.due == date(2023, 4, 7), "a month by the older source, half a year by the newer"
    assert rear.urgency is Urgency.NEVER_RECORDED, "one valve lifted says nothing of the other"
    assert "sources conflict: others every 6 months" in as_one_line(due_text(found, 80))


def test_a_device_that_failed_is_told_until_it_passes(years: Years) -> None:
    years.visit(FIRST, devices=[{"kind": "low-water cutoff", "works": "yes"}])
    years.visit(date(2023, 4, 4), devices=[{"kind": "low-water cutoff", "works": "no"}])
    found = row(due_list(years.store), Item.LOW_WATER_CUTOFF, "low-water cutoff")
    assert found.urgency is Urgency.FAILED
    assert found.failed is not None
    assert found.failed.on == date(2023, 4, 4)
    years.visit(date(2023, 4, 5), devices=[{"kind": "low-water cutoff", "works": "yes"}])
    passed = row(due_list(years.store), Item.LOW_WATER_CUTOFF, "low-water cutoff")
    assert (passed.failed, passed.due) == (None, date(2023, 4, 6))
    second = row(due_list(years.store), Item.LOW_WATER_CUTOFF, "second low-water cutoff")
    assert second.urgency is Urgency.NEVER_RECORDED


def test_low_pressure_has_its_own_calendar_and_what_an_on_off_burner_lacks_is_left_out(years: Years) -> None:
    years.survey((EXAMPLES / "school.toml").read_text(encoding="utf-8"))
    found = due_list(years.store, "Sandfold School/Heating boiler")
    cutoff = row(found, Item.LOW_WATER_CUTOFF, "low-water cutoff")
    assert cutoff.asks[0].every == Interval(days=7), "weekly up to 15 psi, daily above"
    items = {each.item for each in found.rows}
    assert Item.FLAME_FAILURE.value in items
    assert Item.FIRING_RATE_BY_TECHNICIAN.value not in items
    assert Item.LOW_FIRE_START.value not in items
    assert all(each.boiler is not None for each in found.rows), "the gauges belong to no boiler"


def test_the_gauge_of_the_boiler_is_known_by_its_survey(years: Years) -> None:
    # The laundry's gauge was calibrated on 2026-07-02: half a year by one source, a year by the other.
    years.today(date(2026, 11, 25))
    found = row(due_list(years.store), Item.GAUGES_RECALIBRATED)
    assert found.last is not None
    assert (found.last.on, found.last.told) == (date(2026, 7, 2), Told.SURVEY)
    assert (found.due, found.codes_differ) == (date(2027, 1, 2), True)


def test_reference_gauges_are_in_the_list_by_certificate_and_code(years: Years) -> None:
    item = "reference gauge recalibrated"
    years.today(date(2026, 5, 1))
    found = row(due_list(years.store), item)
    assert (found.part, found.due) == (GAUGE, date(2026, 9, 1)), "half a year after the certificate of 1 March"
    years.calibrated(date(2026, 4, 15), due=date(2026, 7, 31))
    by_certificate = row(due_list(years.store), item)
    assert (by_certificate.due, by_certificate.asks[0].whose) == (date(2026, 7, 31), "certificate")
    years.today(date(2026, 8, 1))
    assert row(due_list(years.store), item).urgency is Urgency.OVERDUE
    assert [each.item for each in due_list(years.store, BOILER).rows if each.item == item] == []
    retire_gauge(years.store, GAUGE)
    assert [each.item for each in due_list(years.store).rows if each.item == item] == []


def test_what_was_set_by_hand_counts_unless_a_later_visit_tells_otherwise(years: Years) -> None:
    years.visit(FIRST, Trip((147.0, 147.0, 147.0)))
    years.today(date(2023, 12, 1))
    set_item(years.store, BOILER, "high limit", every="1 year", whose=Whose.OWNER, last=date(2023, 2, 1))
    assert row(due_list(years.store), Item.HIGH_LIMIT).urgency is Urgency.FAILED, "an older word mends nothing"
    set_item(years.store, BOILER, "high limit", every=None, whose=None, last=date(2023, 9, 1))
    found = row(due_list(years.store), Item.HIGH_LIMIT)
    assert found.last is not None
    assert (found.last.told, found.due) == (Told.BY_HAND, date(2024, 9, 1))
    assert "set by hand, not signed" in as_one_line(due_text(due_list(years.store), 80))


def test_worst_first_then_by_day_and_until_a_day(years: Years) -> None:
    years.visit(FIRST, Trip(PASSES))
    years.today(date(2023, 6, 1))
    for name, last in (("late", date(2022, 1, 1)), ("later", date(2022, 3, 1)), ("to come", date(2023, 1, 1))):
        set_item(years.store, BOILER, name, every="1 year", whose=Whose.OWNER, last=last)
    found = due_list(years.store)
    order = [list(Urgency).index(each.urgency) for each in found.rows]
    assert order == sorted(order)
    assert [each.item for each in found.rows if each.item in {"late", "later", "to come"}] == [
        "late",
        "later",
        "to come",
    ]
    coming = [each.due for each in found.of(Urgency.COMES_DUE) if each.due is not None]
    assert coming == sorted(coming)
    assert len(coming) >= 2
    until = due_list(years.store, until=date(2023, 12, 31))
    # The gauge came back on 2023-03-01: half a year later it is due again, before that day.
    assert [each.due for each in until.of(Urgency.COMES_DUE)] == [date(2023, 9, 1)]
    assert until.later == len(coming) - 1
    assert until.later == 2
    assert "Until 2023-12-31; 2 more come due later." in as_one_line(due_text(until, 80))


def test_rounds_may_be_left_out_but_not_what_failed(years: Years) -> None:
    years.visit(FIRST, devices=[{"kind": "flame failure", "works": "no"}])
    found = due_list(years.store, rounds=False)
    assert [each.item for each in found.rows if each.is_round] == [Item.FLAME_FAILURE.value]
    assert {each.item for each in due_list(years.store).rows if each.is_round} > {Item.FLAME_FAILURE.value}


def test_two_people_sign_and_both_count(years: Years) -> None:
    years.visit(FIRST, Trip(PASSES))
    years.visit(date(2024, 3, 5), Trip(PASSES), by=BEN)
    assert row(due_list(years.store), Item.HIGH_LIMIT).due == date(2025, 3, 5)


def test_what_came_from_elsewhere_counts_once_its_signer_is_known(years: Years, tmp_path: Path) -> None:
    years.visit(FIRST, Trip(PASSES), by=BEN)
    file, key = tmp_path / "records.json", tmp_path / "ben.pem"
    export(years.store, BOILER, file)
    fingerprint = give_key(years.store, BEN, key).known.key.fingerprint
    (tmp_path / "other").mkdir()
    with new_years(tmp_path / "other", date(2023, 4, 1)).store as store:
        assert take_in(store, file).is_taken
        found = due_list(store)
        assert row(found, Item.HIGH_LIMIT).urgency is Urgency.NEVER_RECORDED
        assert [each.visits for each in found.not_counted] == [1]
        text = as_one_line(due_text(found, 80))
        assert "1 visit signed by a key that is not known here" in text
        enter_key(store, key, BEN, fingerprint)
        assert row(due_list(store), Item.HIGH_LIMIT).due == date(2024, 3, 7)


def test_without_a_survey_what_hangs_on_the_pressure_is_named_as_not_listed(years: Years) -> None:
    site = add_site(years.store, "Mole End Dye Works")
    add_boiler(years.store, site.id, "B1")
    found = due_list(years.store, "Mole End Dye Works/B1")
    (told,) = found.not_listed
    assert set(told.items) == {Item.LOW_WATER_CUTOFF, Item.SAFETY_VALVE_BY_HAND}
    assert {each.item for each in found.rows} == {each.value for each in set(Item) - set(told.items)}
    text = as_one_line(due_text(found, 80))
    assert "NOT LISTED: low-water cutoff, safety valve by hand." in text


def test_a_visit_that_is_not_signed_counts_for_nothing_and_is_told(years: Years) -> None:
    years.today(FIRST)
    opened = open_visit(years.store, find_person(years.store, QUILL), plant=None, boiler=BOILER).at.draft.id
    found = due_list(years.store)
    assert row(found, Item.HIGH_LIMIT).urgency is Urgency.NEVER_RECORDED
    assert f"visit {opened[:8]} is open since 2023-03-07 and not signed" in as_one_line(due_text(found, 80))
    Draft202012Validator(DUE_SCHEMA).validate(json.loads(due_json(found)))


def test_a_record_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    # The frozen store of the first layout holds a visit whose trip test has no day.
    frozen = Path(__file__).parents[2] / "records" / "v1" / "no-1.records.json"
    with new_years(tmp_path).store as store:
        assert take_in(store, frozen).is_taken
        found = due_list(store)
        (unread,) = found.unread
        assert f"record {unread.record[:8]} holds a trip test that cannot be read" in as_one_line(due_text(found, 80))
        Draft202012Validator(DUE_SCHEMA).validate(json.loads(due_json(found)))
        assert history(store, BOILER).unread == (unread.record,)


def test_a_boiler_left_out_of_service_is_told(years: Years) -> None:
    years.visit(FIRST, Trip(PASSES))
    assert f"{BOILER} was left out of service on 2023-03-07" in as_one_line(due_text(due_list(years.store), 80))


def test_a_list_is_made_on_a_file_and_on_a_server(store: Store) -> None:
    surveys.take(store, laundry().encode(), "laundry.toml")
    set_item(store, BOILER, "combustion", every="6 months", whose=Whose.INSURER, last=date(2020, 2, 29))
    found = due_list(store)
    assert row(found, Item.COMBUSTION).due == date(2020, 8, 29)
    assert found.changed_at.tzinfo is not None
    assert due_ical(found).count(b"BEGIN:VEVENT") == len(found.rows) > 20


def test_an_empty_store_says_what_to_do(tmp_path: Path) -> None:
    with new_years(tmp_path).store as store:
        retire_gauge(store, GAUGE)
        found = due_list(store)
    assert found.rows == ()
    assert "The store knows no boiler and no gauge yet: evenfire store take PLANT." in due_text(found, 80)


def test_the_json_holds_to_its_schema(years: Years) -> None:
    years.visit(FIRST, Trip(PASSES), devices=[{"kind": "low-water cutoff", "works": "no"}])
    set_item(years.store, BOILER, "inspection", every="1 year", whose=Whose.JURISDICTION, last=None)
    add_boiler(years.store, add_site(years.store, "Mole End Dye Works").id, "B1")
    document = json.loads(due_json(due_list(years.store, until=date(2023, 3, 8))))
    Draft202012Validator(DUE_SCHEMA).validate(document)
    keys = [each["key"] for each in document["rows"]]
    assert len(keys) == len(set(keys))


def test_names_of_its_own_stay_apart_from_the_calendar_and_near_ones_are_told(years: Years) -> None:
    done = set_item(years.store, BOILER, "hihg limit", every="1 year", whose=Whose.OWNER, last=None)
    assert done.item.calendar is None
    assert "Nearly the same in the calendar: high limit" in as_one_line(item_text(done, 80))
    assert set_item(years.store, BOILER, "HIGH LIMIT", every="1 year", whose=Whose.OWNER, last=None).near == ()
    assert {each.name for each in hand_items(years.store, years.boiler.id)} == {"hihg limit", "high limit"}


@pytest.mark.parametrize(
    ("text", "interval"),
    [
        ("6 months", Interval(months=6)),
        ("1 year", Interval(months=12)),
        ("2 Years", Interval(months=24)),
        ("30 days", Interval(days=30)),
        ("2  weeks", Interval(days=14)),
        ("1day", Interval(days=1)),
    ],
)
def test_intervals_are_read_as_people_write_them(text: str, interval: Interval) -> None:
    assert interval_of(text) == interval


@pytest.mark.parametrize(
    "text", ["", "6", "months", "0 days", "-1 day", "1.5 years", "6 mo", "99999 years", "six months"]
)
def test_what_is_no_interval_is_refused(text: str) -> None:
    with pytest.raises(BadRequest):
        interval_of(text)


@pytest.mark.parametrize(
    ("item", "every", "whose", "last", "words"),
    [
        ("high limit", None, Whose.OWNER, date(2022, 1, 1), "say how often with --every"),
        ("high limit", "1 year", None, None, "who wants it with --whose"),
        ("high limit", "1 year", Whose.OWNER, date(2999, 1, 1), "lies in the future"),
        ("  ", "1 year", Whose.OWNER, None, "1 to 100 characters"),
        ("x" * 101, "1 year", Whose.OWNER, None, "1 to 100 characters"),
        ("a\u202eb", "1 year", Whose.OWNER, None, "can be printed"),
    ],
)
def test_an_item_that_cannot_be_set_is_refused(
    years: Years, item: str, every: str | None, whose: Whose | None, last: date | None, words: str
) -> None:
    with pytest.raises(BadRequest, match=words):
        set_item(years.store, BOILER, item, every=every, whose=whose, last=last)
    assert hand_items(years.store, years.boiler.id) == ()


def test_who_is_meant_has_to_be_said_where_several_ask(years: Years) -> None:
    for whose in (Whose.INSURER, Whose.OWNER):
        set_item(years.store, BOILER, "combustion", every="6 months", whose=whose, last=None)
    with pytest.raises(BadRequest, match="wanted by insurer and by owner: say whose with --whose"):
        end_item(years.store, BOILER, "combustion", whose=None)
    end_item(years.store, BOILER, "combustion", whose=Whose.OWNER)
    end_item(years.store, BOILER, "combustion", whose=None)
    with pytest.raises(BadRequest, match=r"was not set by hand at No\. 1; set there: nothing"):
        end_item(years.store, BOILER, "combustion", whose=None)


def test_an_item_kept_by_another_way_in_its_own_words_is_taken_as_it_is(years: Years) -> None:
    set_due_item(
        years.store,
        boiler=years.boiler.id,
        item="high limit",
        every=Every(days=90),
        whose_rule="the company's handbook",
        last_done_on=date(2022, 1, 1),
    )
    found = row(due_list(years.store), Item.HIGH_LIMIT)
    assert (found.asks[0].whose, found.due) == ("the company's handbook", date(2022, 4, 1))


def changed(years: Years, said: str, says: str) -> None:
    """Somebody writes into the database beside the program."""
    with sqlite3.connect(years.store.place) as database:
        done = database.execute("update records set content = replace(content, ?, ?)", (said, says))
        assert done.rowcount


def test_records_that_do_not_verify_count_for_nothing_and_everything_is_due_at_once(years: Years) -> None:
    years.visit(FIRST, Trip(PASSES))
    years.today(date(2023, 12, 1))
    set_item(years.store, BOILER, "igniter", every="1 year", whose=Whose.OWNER, last=date(2023, 11, 30))
    assert row(due_list(years.store), Item.HIGH_LIMIT).urgency is Urgency.COMES_DUE
    changed(years, "139.75 psi", "140.75 psi")
    found = due_list(years.store)
    assert {each.urgency for each in found.rows if each.boiler is not None} == {Urgency.NEVER_RECORDED}
    assert found.not_counted == (), "the signer is known: that is not what is wrong"
    text = as_one_line(due_text(found, 80))
    assert f"CHANGED {BOILER}: THE RECORDS OF THIS BOILER DO NOT VERIFY." in text
    assert "was changed, or its id was" in text
    Draft202012Validator(DUE_SCHEMA).validate(json.loads(due_json(found)))


def test_a_history_of_records_that_do_not_verify_says_so_first_and_ends_so(years: Years) -> None:
    years.visit(FIRST, Trip(PASSES))
    assert history(years.store, BOILER).ending is not Ending.DOES_NOT_VERIFY
    changed(years, "139.75 psi", "140.75 psi")
    found = history(years.store, BOILER)
    assert found.ending is Ending.DOES_NOT_VERIFY
    assert found.ending.value == 5
    assert all(not control.measured for control in found.controls)
    text = as_one_line(history_text(found, UnitSystem.US, 80))
    assert text.index("DOES NOT VERIFY") < text.index("As of")
    document = json.loads(history_json(found))
    Draft202012Validator(HISTORY_SCHEMA).validate(document)
    assert "was changed" in document["does_not_verify"]


def test_what_failed_still_counts_where_the_records_were_changed(years: Years) -> None:
    years.visit(FIRST, devices=[{"kind": "flame failure", "works": "no", "took": "3 s"}])
    changed(years, "S. Marlow", "S. Harlow")
    assert row(due_list(years.store), Item.FLAME_FAILURE).urgency is Urgency.FAILED


def test_a_record_that_is_no_record_any_more_hides_no_other_boiler(years: Years) -> None:
    years.visit(FIRST, Trip(PASSES))
    changed(years, "evenfire.record/1", "evenfire.record/9")
    found = due_list(years.store)
    assert row(found, Item.HIGH_LIMIT).urgency is Urgency.NEVER_RECORDED
    assert len(found.not_verified) == 1
    assert history(years.store, BOILER).ending is Ending.DOES_NOT_VERIFY


def test_a_visit_dated_after_its_signature_puts_off_no_test(ready: Call) -> None:
    # Signed on 2026-11-25; a year mistyped by 1 would put off the yearly test of the high limit by as much.
    def mistyped(body: dict[str, Any]) -> None:
        body["call"]["arrived"] = "2027-11-25 10:42"
        for trip in body["trip_tests"]:
            trip["on"] = "2027-11-25"

    signed_by_another_version(ready, mistyped)
    assert row(due_list(ready.store), Item.HIGH_LIMIT).due == date(2027, 11, 25)
    (control,) = [each for each in history(ready.store, BOILER).controls if each.role is Role.HIGH_LIMIT]
    assert [each.on for each in control.points] == [date(2026, 11, 25)]

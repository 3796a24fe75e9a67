"""The due list as a calendar, read back with the icalendar library: what RFC 5545 asks of an all-day event."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import icalendar
import pytest

from evenfire.delivery.records.registers import KeptSite
from evenfire.delivery.report.due_answer import DueRow
from evenfire.delivery.report.due_ical import due_ical, event_name
from tests.delivery.report.due_rows import (
    ALL,
    BOILER,
    CHANGED,
    FAILED,
    GAUGE,
    NEVER,
    OVERDUE,
    ROUND,
    TO_COME,
    TODAY,
    due_of,
)


def events(content: bytes) -> list[icalendar.Event]:
    calendar = icalendar.Calendar.from_ical(content)
    assert isinstance(calendar, icalendar.Calendar)
    assert calendar["version"] == "2.0"
    assert str(calendar["prodid"]).startswith("-//evenfire//")
    return [each for each in calendar.walk("VEVENT") if isinstance(each, icalendar.Event)]


def day(found: icalendar.Event, name: str) -> date:
    value = found.decoded(name)
    assert isinstance(value, date)
    return value


def event(content: bytes) -> icalendar.Event:
    (only,) = events(content)
    return only


def alarm(content: bytes) -> icalendar.Alarm:
    (only,) = event(content).walk("VALARM")
    assert isinstance(only, icalendar.Alarm)
    return only


def test_there_is_one_all_day_event_for_each_thing() -> None:
    found = events(due_ical(due_of(*ALL)))
    assert [day(each, "dtstart") for each in found] == [each.on for each in ALL]
    for each in found:
        start = day(each, "dtstart")
        assert type(start) is date, "a day and no time of day"
        assert day(each, "dtend") - start == timedelta(days=1), "the end of RFC 5545 is the day after"
        assert each["dtstart"].params["VALUE"] == "DATE"
    names = [str(each["uid"]) for each in found]
    assert len(set(names)) == len(ALL)


def test_a_leap_day_is_a_day() -> None:
    found = event(due_ical(due_of(TO_COME)))
    assert (day(found, "dtstart"), day(found, "dtend")) == (date(2028, 2, 29), date(2028, 3, 1))


def test_the_same_data_give_the_same_bytes() -> None:
    assert due_ical(due_of(*ALL)) == due_ical(due_of(*ALL))


def test_a_thing_keeps_its_name_when_its_day_moves_and_another_store_has_another() -> None:
    name = str(event(due_ical(due_of(TO_COME)))["uid"])
    later = replace(TO_COME, on=date(2029, 2, 28), due=date(2029, 2, 28), part="HL-5000")
    assert str(event(due_ical(due_of(later)))["uid"]) == name
    assert event_name("a-store", TO_COME.key) == name
    assert event_name("another-store", TO_COME.key) != name


def test_the_stamp_is_of_the_data_and_of_the_day_for_what_moves_with_it() -> None:
    # RFC 5545 knows no fraction of a second.
    changed = datetime(2027, 11, 20, 8, 15, 30, tzinfo=UTC)
    assert event(due_ical(due_of(TO_COME))).decoded("dtstamp") == changed
    for row in (OVERDUE, NEVER, FAILED):
        assert event(due_ical(due_of(row))).decoded("dtstamp") == datetime(2027, 11, 25, tzinfo=UTC)
    same_day = replace(due_of(NEVER), changed_at=datetime(2027, 11, 25, 9, 0, tzinfo=UTC))
    assert event(due_ical(same_day)).decoded("dtstamp") == datetime(2027, 11, 25, 9, 0, tzinfo=UTC)
    assert CHANGED.microsecond != 0


def test_what_presses_stands_on_the_day_of_the_list_and_says_since_when() -> None:
    found = event(due_ical(due_of(OVERDUE)))
    assert day(found, "dtstart") == TODAY
    assert str(found["summary"]) == "OVERDUE since 2027-11-20: combustion: Gull Quay Laundry/No. 1"
    failed = event(due_ical(due_of(FAILED)))
    assert str(failed["summary"]).startswith("FAILED, test again: operating limit, OL-1")
    assert "Keep the boiler out of service until it is set or replaced" in str(failed["description"])
    assert str(event(due_ical(due_of(NEVER)))["summary"]).startswith("Never recorded: controls")


@pytest.mark.parametrize(
    ("row", "rings"),
    [
        (TO_COME, datetime(2028, 2, 22, 9, 0)),  # noqa: DTZ001  a wall clock: nine in the morning, a week before
        (GAUGE, datetime(2027, 12, 24, 9, 0)),  # noqa: DTZ001
        (ROUND, datetime(2027, 11, 26, 9, 0)),  # noqa: DTZ001  the same day, for what comes every week
        (OVERDUE, datetime(2027, 11, 25, 9, 0)),  # noqa: DTZ001
        (NEVER, datetime(2027, 11, 25, 9, 0)),  # noqa: DTZ001
    ],
)
def test_it_reminds_a_week_before_or_on_the_day(row: DueRow, rings: datetime) -> None:
    content = due_ical(due_of(row))
    midnight = datetime.combine(day(event(content), "dtstart"), datetime.min.time())
    assert midnight + alarm(content).decoded("trigger") == rings
    assert alarm(content)["action"] == "DISPLAY"
    assert str(alarm(content)["description"]) == str(event(content)["summary"])


def test_a_gauge_has_no_place_and_a_boiler_has() -> None:
    assert "location" not in event(due_ical(due_of(GAUGE)))
    assert str(event(due_ical(due_of(TO_COME)))["location"]) == "Gull Quay Laundry/No. 1"


def test_names_cannot_break_out_of_their_line() -> None:
    evil = "No. 1\r\nEND:VEVENT\r\nBEGIN:VEVENT, \\n; x\u2028y"
    boiler = replace(BOILER, name=evil, site=KeptSite(id="s", name=evil * 5, address=""))
    content = due_ical(due_of(replace(TO_COME, boiler=boiler), OVERDUE))
    assert len(events(content)) == 2
    assert content.count(b"\r\nBEGIN:VEVENT\r\n") == 2
    assert all(len(line) <= 75 for line in content.split(b"\r\n")), "RFC 5545 folds at 75 octets"
    assert "END:VEVENT" in str(events(content)[0]["summary"])


def test_who_asks_and_what_is_only_remembered_is_told() -> None:
    told = str(event(due_ical(due_of(TO_COME)))["description"])
    assert "Last: 2027-08-31, passed (record 1a2b3c4d)." in told
    assert "Every 6 months: the insurer; CSD-1 (from memory) every year." in told
    assert "confirm it in the adopted edition" in told

"""What comes due as a calendar (RFC 5545): one all-day event for each, with a reminder; same data, same bytes.

What failed, is overdue or was never recorded stands on the day of the list: on the day when it came due nobody looks.
"""

import re
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from uuid import UUID, uuid5

from icalendar import Alarm, Calendar, Event

from evenfire import __version__
from evenfire.delivery.report import due_phrases as phrases
from evenfire.delivery.report.due_answer import DueList, DueRow, Urgency
from evenfire.delivery.words import due as words

NAMES: Final = UUID("5b0a8f4e-9c0d-4b0e-8a35-0f5f4e0d7c11")
"""From which the names of events are made: a store and a thing that comes due give one name, for good."""
AHEAD: Final = timedelta(days=-6, hours=-15)
"""Nine in the morning, a week before [from midnight]."""
SAME_DAY: Final = timedelta(hours=9)
_CONTROLS: Final = re.compile(r"[\x00-\x1f\x7f\x85\u2028\u2029]+")


def due_ical(due: DueList) -> bytes:
    """The whole file."""
    calendar = Calendar()
    calendar.add("prodid", f"-//evenfire//evenfire {__version__}//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    for row in due.rows:
        calendar.add_component(_event(row, due))
    content: bytes = calendar.to_ical()
    return content


def event_name(store: str, key: str) -> str:
    """The UID of an event: of this thing in this store, whenever it comes due."""
    return str(uuid5(NAMES, f"{store}/{key}"))


def _event(row: DueRow, due: DueList) -> Event:
    event = Event()
    event.add("uid", event_name(due.store, row.key))
    event.add("dtstamp", _stamp(row, due))
    event.add("dtstart", row.on)
    event.add("dtend", row.on + timedelta(days=1))
    event.add("summary", _plain(_summary(row)))
    event.add("description", "\n".join(_plain(each) for each in _told(row)))
    if row.boiler is not None:
        event.add("location", _plain(phrases.where(row)))
    event.add("transp", "TRANSPARENT")
    event.add("class", "PRIVATE")
    event.add_component(_alarm(row))
    return event


def _stamp(row: DueRow, due: DueList) -> datetime:
    """When this was last told otherwise: with the store, or with the day for what moves with it."""
    changed = due.changed_at.astimezone(UTC).replace(microsecond=0)
    if row.urgency is Urgency.COMES_DUE:
        return changed
    return max(changed, _midnight(due.today))


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time(0, 0), UTC)


def _alarm(row: DueRow) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", _plain(_summary(row)))
    is_long = row.urgency is Urgency.COMES_DUE and not row.is_round
    alarm.add("trigger", AHEAD if is_long else SAME_DAY)
    return alarm


def _summary(row: DueRow) -> str:
    place = phrases.where(row)
    behind = f": {place}" if place else ""
    match row.urgency:
        case Urgency.FAILED:
            return f"FAILED, test again: {phrases.what(row)}{behind}"
        case Urgency.OVERDUE:
            return f"OVERDUE since {row.due}: {phrases.what(row)}{behind}"
        case Urgency.NEVER_RECORDED:
            return f"Never recorded: {phrases.what(row)}{behind}"
        case Urgency.COMES_DUE:
            return f"{phrases.what(row)}{behind}"


def _told(row: DueRow) -> list[str]:
    failed = [] if row.failed is None else [f"Failed {phrases.done(row.failed)}. {phrases.to_do(row)}"]
    marked = [words.CONFIRM] if any(each.is_from_memory for each in row.asks) else []
    note = [phrases.note(row)] if row.is_moved else []
    return [*failed, f"Last: {phrases.last_time(row)}.", *note, phrases.how_often(row), *marked]


def _plain(text: str) -> str:
    return _CONTROLS.sub(" ", text).strip()

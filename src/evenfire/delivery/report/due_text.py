"""What comes due as text: failed first, then overdue, never recorded, and what comes; the rounds at the end."""

from collections.abc import Iterator
from itertools import groupby

from evenfire.delivery.report import due_phrases as phrases
from evenfire.delivery.report.boiler_text import cautions
from evenfire.delivery.report.due_answer import DueList, DueRow, ItemSet, Urgency
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import due as words


def due_text(due: DueList, width: int) -> str:
    """The whole list."""
    page = Page(width, UnitSystem.US)
    singly = [each for each in due.rows if not each.is_round or each.urgency is Urgency.FAILED]
    rounds = [each for each in due.rows if each.is_round and each.urgency is not Urgency.FAILED]
    return joined(
        [
            page.title(f"What comes due, as of {due.today}"),
            page.paragraph(_counted(due, singly)),
            *(page.labelled("CHANGED", line) for line in phrases.not_verified(due)),
            _headed("Failed", [_failed(each, page) for each in singly if each.urgency is Urgency.FAILED], page),
            _headed(
                "Overdue",
                [_dated(each, due, page) for each in singly if each.urgency is Urgency.OVERDUE],
                page,
            ),
            _headed(
                "Never recorded here: due at once",
                list(_never([each for each in singly if each.urgency is Urgency.NEVER_RECORDED], page)),
                page,
            ),
            _headed(
                "Comes due",
                [_dated(each, due, page) for each in singly if each.urgency is Urgency.COMES_DUE],
                page,
            ),
            _rounds(rounds, page),
            _headed("To be known", [page.item(each) for each in phrases.to_be_known(due)], page),
            page.paragraph(_next(due, singly)),
            page.paragraph(words.CONFIRM) if any(ask.is_from_memory for row in due.rows for ask in row.asks) else "",
            cautions(page),
        ]
    )


def item_text(done: ItemSet, width: int) -> str:
    """An item that was set by hand."""
    page = Page(width, UnitSystem.US)
    item, boiler = done.item, done.boiler
    by = words.whose(item.whose, "", is_from_memory=False)
    last = f"last done {item.last} ({words.BY_HAND})" if item.last is not None else "never done, so due at once"
    lines = [f"{boiler.site.name}/{boiler.name}: {item.name} comes due {words.every(item.every)}: {by}; {last}."]
    if item.calendar is None:
        near = f" Nearly the same in the calendar: {', '.join(done.near)}." if done.near else ""
        lines.append(f"The calendar of the codes has no such item: it is one of its own.{near}")
    lines.append("Next: evenfire due")
    return "\n".join(page.paragraph(each) for each in lines)


def ended_text(done: ItemSet, width: int) -> str:
    """An item that was ended."""
    page = Page(width, UnitSystem.US)
    by = words.whose(done.item.whose, "", is_from_memory=False)
    stays = " What the codes want of it stays." if done.item.calendar is not None else ""
    return page.paragraph(
        f"{done.boiler.site.name}/{done.boiler.name}: {done.item.name} is no longer wanted by {by}.{stays}"
    )


def _counted(due: DueList, rows: list[DueRow]) -> str:
    if not due.boilers and not due.rows:
        return "The store knows no boiler and no gauge yet: evenfire store take PLANT."
    of = words.counted(due.boilers, "boiler")
    counts = []
    for urgency, said in (
        (Urgency.FAILED, "failed"),
        (Urgency.OVERDUE, "overdue"),
        (Urgency.NEVER_RECORDED, words.NEVER),
        (Urgency.COMES_DUE, "to come"),
    ):
        count = sum(each.urgency is urgency for each in rows)
        if count:
            counts.append(f"{count} {said}")
    told = f"{of}: {', '.join(counts) or 'nothing'}."
    if due.until is None:
        return told
    return f"{told} Until {due.until}; {due.later} more {'comes' if due.later == 1 else 'come'} due later."


def _failed(row: DueRow, page: Page) -> str:
    assert row.failed is not None
    head = f"{_named(row)}: {phrases.done(row.failed)}."
    passed = f"Last passed: {phrases.last_time(row)}." if row.last is not None else ""
    return page.labelled("FAILED", " ".join(each for each in (head, phrases.to_do(row), passed) if each))


def _dated(row: DueRow, due: DueList, page: Page) -> str:
    late = phrases.days_late(row, due.today.toordinal())
    note = f" {phrases.note(row)}" if phrases.note(row) else ""
    since = f" ({words.counted(late, 'day')} ago)" if late else " (TODAY)" if row.due == due.today else ""
    return page.labelled(
        f"{row.due} ", f"{_named(row)}{since}. Last: {phrases.last_time(row)}.{note} {phrases.how_often(row)}"
    )


def _never(rows: list[DueRow], page: Page) -> Iterator[str]:
    """By boiler: what was never recorded has no day to be sorted by."""
    for place, found in groupby(rows, key=phrases.where):
        yield page.paragraph(f"{place}:" if place else "In the bag:")
        for row in found:
            yield page.item(f"{phrases.what(row)}. {phrases.how_often(row)}")


def _rounds(rows: list[DueRow], page: Page) -> str:
    if not rows:
        return ""
    by_boiler: dict[str, list[DueRow]] = {}
    for row in rows:
        by_boiler.setdefault(phrases.where(row) or "In the bag", []).append(row)
    lines = [page.heading("Rounds: every month or more often"), page.paragraph(words.ASK_FOR_THE_LOG)]
    for place, of_boiler in sorted(by_boiler.items()):
        lines.append(page.paragraph(f"{place}:"))
        lines += [page.item(each) for each in _of_each_length(of_boiler)]
    return "\n".join(lines)


def _of_each_length(rows: list[DueRow]) -> Iterator[str]:
    """``Every week: flame failure (last 2026-11-20), igniter``."""
    by_length: dict[tuple[int, str], list[DueRow]] = {}
    for row in rows:
        every = row.asks[0].every
        days = every.days if every.days is not None else 30 * (every.months or 0)
        by_length.setdefault((days, words.every(every)), []).append(row)
    for (_, said), found in sorted(by_length.items()):
        yield f"{said[0].upper()}{said[1:]}: {'; '.join(_in_a_round(row) for row in found)}."


def _in_a_round(row: DueRow) -> str:
    marks = []
    if row.last is not None:
        marks.append(f"last recorded {row.last.on}")
    if row.codes_differ:
        differing = sorted({words.every(each.every) for each in row.asks[1:] if each.source} - _used(row))
        marks.append(f"sources conflict: others {', '.join(differing)}")
    if not row.asks[0].source:
        marks.append(f"wanted by {words.whose(row.asks[0].whose, '', is_from_memory=False)}")
    said = phrases.what(row)
    return f"{said} ({'; '.join(marks)})" if marks else said


def _used(row: DueRow) -> set[str]:
    return {words.every(row.asks[0].every)}


def _next(due: DueList, rows: list[DueRow]) -> str:
    pressing = [each for each in rows if each.urgency is not Urgency.COMES_DUE and each.boiler is not None]
    if pressing:
        name = phrases.where(pressing[0])
        command = f"evenfire visit new --boiler {name!r}"
        return (
            f"Next: {command}. What others did, without a signed visit here: evenfire store due-item BOILER ITEM "
            "--every '1 year' --whose owner --last DAY."
        )
    gauges = [each for each in rows if each.urgency is not Urgency.COMES_DUE]
    if gauges:
        return f"Next: have it recalibrated, then: evenfire store calibration {gauges[0].part}"
    if not due.rows:
        return ""
    return "Nothing presses. As a calendar: evenfire due --ical FILE.ics"


def _named(row: DueRow) -> str:
    place = phrases.where(row)
    return f"{phrases.what(row)}, {place}" if place else phrases.what(row)


def _headed(text: str, lines: list[str], page: Page) -> str:
    return "\n".join([page.heading(text), *lines]) if lines else ""

"""Phrases about one thing that comes due, the same on the screen, in a spreadsheet and in a calendar."""

from collections.abc import Iterator

from evenfire.delivery.report.due_answer import Ask, Done, DueList, DueRow, Told, Urgency
from evenfire.delivery.words import due as words
from evenfire.judgement.trip_test.intervals import Item

SHORT = 8
"""Of an id that a person types [characters]."""


def what(row: DueRow) -> str:
    """``high limit HL-4711``."""
    if not row.part:
        return row.item
    if row.calendar is Item.FUEL_PRESSURE_INTERLOCKS:
        return f"{row.part} interlock"
    return row.part if row.part.endswith(row.item) else f"{row.item}, {row.part}"


def where(row: DueRow) -> str:
    """``Gull Quay Laundry/No. 1``; empty for a gauge."""
    return "" if row.boiler is None else f"{row.boiler.site.name}/{row.boiler.name}"


def how_often(row: DueRow) -> str:
    """The interval that counts, whose it is, and what others ask for."""
    used, *others = row.asks
    first = f"{words.every(used.every)}: {_by(used)}"
    told = f"{first[0].upper()}{first[1:]}"
    differing = [each for each in others if each.every != used.every]
    if differing:
        told += f"; {', '.join(f'{_by(each)} {words.every(each.every)}' for each in differing)}"
    return f"{told}. Sources conflict, and the strictest counts." if row.codes_differ else f"{told}."


def last_time(row: DueRow) -> str:
    """When it was done last, and what is known of it."""
    return words.NEVER if row.last is None else done(row.last)


def done(last: Done) -> str:
    """``2026-11-20, passed (record 1a2b3c4d)``."""
    match last.told:
        case Told.SIGNED_VISIT:
            return f"{last.on}, {last.result} (record {last.record[:SHORT]})"
        case Told.CERTIFICATE:
            return f"{last.on}, certificate {last.result}"
        case Told.SURVEY:
            return f"{last.on}, by the survey"
        case Told.BY_HAND:
            return f"{last.on} ({words.BY_HAND})"


def to_do(row: DueRow) -> str:
    """What a failed test asks for; empty for what did not fail."""
    return "" if row.failed is None else words.DO_AFTER.get(row.failed.result, "")


def note(row: DueRow) -> str:
    """What is to be known beside the last time; empty where nothing is."""
    return words.MOVED if row.is_moved else ""


def not_verified(due: DueList) -> Iterator[str]:
    """Boilers whose records are not what was signed, a sentence each."""
    for changed in due.not_verified:
        yield words.NOT_VERIFIED.format(boiler=f"{changed.boiler.site.name}/{changed.boiler.name}", why=changed.why)


def to_be_known(due: DueList) -> Iterator[str]:
    """What is to be known of whole boilers, a sentence each."""
    for left in due.out_of_service:
        yield (
            f"{left.boiler.site.name}/{left.boiler.name} was left out of service on {left.since}: what is due is due "
            "before it goes back."
        )
    for unsigned in due.open_visits:
        yield (
            f"{unsigned.boiler.site.name}/{unsigned.boiler.name}: visit {unsigned.visit[:SHORT]} is open since "
            f"{unsigned.since} and not signed; what was done on it counts once it is: evenfire visit sign."
        )
    for unread in due.unread:
        yield (
            f"{unread.boiler.site.name}/{unread.boiler.name}: record {unread.record[:SHORT]} holds a trip test that "
            "cannot be read; it is not counted."
        )
    for unknown in due.not_listed:
        items = ", ".join(each.value for each in unknown.items)
        yield (
            f"{unknown.boiler.site.name}/{unknown.boiler.name}: {unknown.why}, so its pressure is not known and these "
            f"are NOT LISTED: {items}. Take its plant file: evenfire store take PLANT."
        )
    for strange in due.not_counted:
        visits = words.counted(strange.visits, "visit")
        yield (
            f"{strange.boiler.site.name}/{strange.boiler.name}: {visits} signed by a key that is not known here or is "
            "withdrawn; what passed there is not counted: evenfire store enter-key."
        )


def days_late(row: DueRow, today: int) -> int:
    """Days since it came due, by the ordinal of today; nought for what is not overdue by a day that is known."""
    return today - row.due.toordinal() if row.due is not None and row.urgency is Urgency.OVERDUE else 0


def _by(ask: Ask) -> str:
    return words.whose(ask.whose, ask.source, is_from_memory=ask.is_from_memory)

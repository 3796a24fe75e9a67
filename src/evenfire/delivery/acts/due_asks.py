"""Who wants what done how often at a boiler: the calendar of the codes, and what somebody set by hand."""

import difflib
import re
from datetime import date
from typing import Final

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.due_items import DueItem, Every, due_items_of, end_due_item, set_due_item
from evenfire.delivery.records.registers import KeptBoiler, find_boiler
from evenfire.delivery.report.due_answer import Ask, HandItem, ItemSet
from evenfire.errors import BadRequest, ImpossibleValue
from evenfire.judgement.trip_test.due import Interval, due_on
from evenfire.judgement.trip_test.intervals import CALENDAR, Item, Wanted, Whose, chosen_for
from evenfire.si import LOW_PRESSURE_LIMIT_PA, GaugePa
from evenfire.sources import Reading

BY_HAND: Final = (Whose.JURISDICTION, Whose.INSURER, Whose.MAKER, Whose.OWNER)
"""Who may be named for an interval that is set by hand."""
LONGEST_NAME: Final = 100
"""Of an item that is not in the calendar [characters]."""
_EVERY: Final = re.compile(r"(?P<count>[1-9][0-9]{0,4})\s*(?P<unit>day|week|month|year)s?")
_DAYS: Final = {"day": 1, "week": 7}
_MONTHS: Final = {"month": 1, "year": 12}


def interval_of(text: str) -> Interval:
    """``6 months``, ``30 days``, ``1 year``, ``2 weeks``.

    Raises
    ------
    BadRequest
        It is none.
    """
    found = _EVERY.fullmatch(" ".join(text.lower().split()))
    if found is None:
        raise BadRequest(f"{text!r} is no interval; write a whole number of days, weeks, months or years: '6 months'.")
    count, unit = int(found["count"]), found["unit"]
    try:
        if unit in _DAYS:
            return Interval(days=count * _DAYS[unit])
        return Interval(months=count * _MONTHS[unit])
    except ImpossibleValue:
        raise BadRequest(f"{text!r} is longer than anything is tested by; write a shorter interval.") from None


def hand_items(store: Store, boiler: str) -> tuple[HandItem, ...]:
    """Everything that was set by hand for a boiler (by its id)."""
    return tuple(_hand_item(each) for each in due_items_of(store, boiler))


def set_item(
    store: Store, boiler: str, item: str, *, every: str | None, whose: Whose | None, last: date | None
) -> ItemSet:
    """Set something to come due at a boiler, or say when it was done last.

    Without ``every`` the interval that was set before stays, without ``last`` the day.

    Raises
    ------
    BadRequest
        There is no such boiler, nothing was set before, or the day lies in the future.
    """
    kept = find_boiler(store, boiler)
    name, calendar = _named(item)
    before = _before(store, kept, name, None if whose is None else whose.value)
    if last is not None and last > today(store):
        raise BadRequest(f"{last} lies in the future; say when it was done.")
    if before is None and (every is None or whose is None):
        raise BadRequest(
            f"{name!r} is not set by hand at {kept.name} yet: say how often with --every and who wants it with --whose "
            f"({', '.join(each.value for each in BY_HAND)})."
        )
    by = whose.value if whose is not None else before.whose if before is not None else ""
    interval = interval_of(every) if every is not None else before.every if before is not None else None
    assert interval is not None
    done = last if last is not None or before is None else before.last
    row = set_due_item(
        store,
        boiler=kept.id,
        item=f"{name} ({by})",
        every=Every(days=interval.days, months=interval.months),
        whose_rule=by,
        last_done_on=done,
    )
    near = () if calendar is not None else _near(name)
    return ItemSet(boiler=kept, item=_hand_item(row), near=near)


def end_item(store: Store, boiler: str, item: str, *, whose: Whose | None) -> ItemSet:
    """What was set by hand is no longer wanted; what the codes want stays.

    Raises
    ------
    BadRequest
        There is no such boiler, or nothing of that name was set there.
    """
    kept = find_boiler(store, boiler)
    name, _ = _named(item)
    found = _before(store, kept, name, None if whose is None else whose.value)
    if found is None:
        known = ", ".join(repr(each.name) for each in hand_items(store, kept.id)) or "nothing"
        raise BadRequest(
            f"{name!r} was not set by hand at {kept.name}; set there: {known}. What a code wants cannot be ended."
        )
    end_due_item(store, found.id)
    return ItemSet(boiler=kept, item=found, near=())


def depends_on_mawp(item: Item) -> bool:
    """Whether the codes want it otherwise for low and for high pressure."""
    return any(each.item is item and (each.above is not None or each.up_to is not None) for each in CALENDAR)


def asks_for(
    item: Item, mawp: GaugePa | None, by_hand: tuple[HandItem, ...], drift: Interval | None = None
) -> tuple[Ask, ...]:
    """Everybody who wants an item of the calendar done, strictest first.

    Without a MAWP [Pa gauge], only items that do not depend on it may be asked for.
    """
    texts: dict[Wanted, str] = {}
    for each in by_hand:
        if each.calendar is item:
            wanted = Wanted(item=item, every=each.every, whose=_whose(each.whose))
            texts[wanted] = each.whose
    if drift is not None:
        texts[Wanted(item=item, every=drift, whose=Whose.DRIFT)] = Whose.DRIFT.value
    chosen = chosen_for(item, mawp=GaugePa(LOW_PRESSURE_LIMIT_PA) if mawp is None else mawp, more=tuple(texts))
    if chosen is None:
        return ()
    return tuple(_ask(each, texts.get(each, each.whose.value)) for each in (chosen.wanted, *chosen.others))


def in_order(asks: tuple[Ask, ...], since: date) -> tuple[Ask, ...]:
    """The strictest first, by the day that each leads to."""
    return tuple(sorted(asks, key=lambda each: (due_on(since, each.every), each.whose)))


def today(store: Store) -> date:
    """The day, by the clock of the store, where this machine stands."""
    return store.clock().astimezone().date()


def _ask(wanted: Wanted, whose: str) -> Ask:
    source = None if wanted.citation is None else wanted.citation.source
    return Ask(
        whose=whose,
        every=wanted.every,
        source="" if source is None else source.key,
        is_from_memory=source is not None and source.reading is Reading.MEMORY,
    )


def _whose(text: str) -> Whose:
    """For ranking alone: what somebody wrote in his own words ranks with the owner's."""
    return next((each for each in Whose if each.value == text), Whose.OWNER)


def _named(text: str) -> tuple[str, Item | None]:
    """An item of the calendar however it is spelled, or a name of somebody's own."""
    name = " ".join(text.split())
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise BadRequest(f"The name of what comes due has 1 to {LONGEST_NAME} characters that can be printed.")
    found = _in_calendar(name)
    return (name, None) if found is None else (found.value, found)


def _in_calendar(name: str) -> Item | None:
    return next((each for each in Item if each.value == name.lower()), None)


def _near(name: str) -> tuple[str, ...]:
    return tuple(difflib.get_close_matches(name.lower(), [each.value for each in Item], n=3, cutoff=0.6))


def _before(store: Store, boiler: KeptBoiler, name: str, whose: str | None) -> HandItem | None:
    """What was set of that name, for that person where one is named.

    Raises
    ------
    BadRequest
        Several people want it, and none is named.
    """
    found = [each for each in hand_items(store, boiler.id) if each.name == name and whose in {None, each.whose}]
    if len(found) > 1:
        raise BadRequest(
            f"{name!r} is wanted by {' and by '.join(each.whose for each in found)}: say whose with --whose."
        )
    return found[0] if found else None


def _hand_item(row: DueItem) -> HandItem:
    # A store has one row of a name for each boiler; who wants it is part of the name, so that several may.
    name = " ".join(row.item.removesuffix(f" ({row.whose_rule})").split())
    return HandItem(
        id=row.id,
        name=name,
        calendar=_in_calendar(name),
        every=Interval(days=row.every.days, months=row.every.months),
        whose=row.whose_rule,
        last=row.last_done_on,
    )

"""What is to be done again and again at a boiler, and whose rule says so."""

import uuid
from dataclasses import dataclass
from datetime import date
from typing import Final

from sqlalchemy import insert, select, update

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import boiler_by_id
from evenfire.delivery.records.tables import due_items
from evenfire.errors import BadRequest


@dataclass(frozen=True, slots=True, kw_only=True)
class Every:
    """An interval: days or calendar months, one of the two."""

    days: int | None = None
    months: int | None = None

    def __post_init__(self) -> None:
        given = [each for each in (self.days, self.months) if each is not None]
        if len(given) != 1 or given[0] < 1:
            raise BadRequest("An interval is a number of days or a number of months, at least one.")


@dataclass(frozen=True, slots=True, kw_only=True)
class DueItem:
    """One thing that comes due at a boiler."""

    id: str
    boiler: str
    item: str
    every: Every
    whose_rule: str
    """A code, an insurer, the maker's instructions, the company"""
    last_done_on: date | None


def set_due_item(
    store: Store, *, boiler: str, item: str, every: Every, whose_rule: str, last_done_on: date | None
) -> DueItem:
    """Keep an item; there is one of a name for each boiler, and the newest counts.

    Raises
    ------
    BadRequest
        There is no such boiler, or the item or whose rule it is has no name.
    """
    named, rule = item.strip(), whose_rule.strip()
    if not named or not rule:
        raise BadRequest("What comes due has a name, and somebody's rule says so; write both.")
    row = {
        "every_days": every.days,
        "every_months": every.months,
        "whose_rule": rule,
        "last_done_on": last_done_on,
        "ended_at": None,
    }
    here = (due_items.c.boiler == boiler) & (due_items.c.item == named)
    with store.write() as connection:
        boiler_by_id(connection, boiler)
        known = connection.execute(select(due_items.c.id).where(here)).scalar_one_or_none()
        if known is None:
            known = str(uuid.uuid4())
            connection.execute(insert(due_items).values({"id": known, "boiler": boiler, "item": named, **row}))
        else:
            connection.execute(update(due_items).where(here).values(row))
    return DueItem(id=known, boiler=boiler, item=named, every=every, whose_rule=rule, last_done_on=last_done_on)


def end_due_item(store: Store, item: str) -> None:
    """An item is no longer wanted (by its id).

    Raises
    ------
    BadRequest
        There is no such item.
    """
    with store.write() as connection:
        ended = update(due_items).where(due_items.c.id == item).values(ended_at=store.clock())
        if connection.execute(ended).rowcount != 1:
            raise BadRequest(f"There is nothing that comes due of the id {item} in this store.")


def due_items_of(store: Store, boiler: str | None = None) -> tuple[DueItem, ...]:
    """All items that are wanted, or those of one boiler."""
    asked = _WANTED if boiler is None else _WANTED.where(due_items.c.boiler == boiler)
    with store.read() as connection:
        rows = connection.execute(asked.order_by(due_items.c.boiler, due_items.c.item)).all()
    return tuple(
        DueItem(
            id=id_,
            boiler=at,
            item=item,
            every=Every(days=days, months=months),
            whose_rule=rule,
            last_done_on=done,
        )
        for id_, at, item, days, months, rule, done in rows
    )


_WANTED: Final = select(
    due_items.c.id,
    due_items.c.boiler,
    due_items.c.item,
    due_items.c.every_days,
    due_items.c.every_months,
    due_items.c.whose_rule,
    due_items.c.last_done_on,
).where(due_items.c.ended_at.is_(None))

"""What is to be done again and again at a boiler, and whose rule says so."""

from dataclasses import dataclass
from datetime import date

from evenfire.delivery.records.database import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Every:
    """An interval: days or calendar months, one of the two."""

    days: int | None = None
    months: int | None = None


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
    """Keep an item; one item of a name for each boiler, the newest counts."""
    raise NotImplementedError


def end_due_item(store: Store, item: str) -> None:
    """An item is no longer wanted (by its id)."""
    raise NotImplementedError


def due_items_of(store: Store, boiler: str | None = None) -> tuple[DueItem, ...]:
    """All items that are wanted, or those of one boiler."""
    raise NotImplementedError

"""Reading the body of a visit, open or signed: texts and decimal numbers, shown in the reader's units.

A signed body may come from anywhere and hold anything: what cannot be read is empty and never raises.
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from math import isfinite
from typing import Final

from evenfire.delivery.records.canonical import Plain, canonical_bytes, parsed
from evenfire.delivery.records.searchable import text_of
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import Rounding
from evenfire.delivery.visit_answers import JudgedVisit
from evenfire.si import Dimension, Quantity

Body = Mapping[str, Plain]

LARGEST: Final = 1e15
"""Of a number that a paper shows, in SI: what is larger is no quantity of a boiler [Pa, s, K]."""
LENGTH_OF_A_DAY: Final = 10
"""Of a moment as written: its day [characters]."""


def body_as_it_stands(judged: JudgedVisit, page: Page) -> Body:
    """What a signature would seal now."""
    # To write a body loads what judges in motion; to read one takes none of that.
    from evenfire.delivery.report.visit_record import body_of

    read = parsed(canonical_bytes(body_of(judged, page.system)))
    assert isinstance(read, dict)
    return read


def table_of(row: Body, key: str) -> Body:
    """An object of a body; empty where there is none."""
    found = row.get(key)
    return found if isinstance(found, dict) else {}


def texts_of(row: Body, key: str) -> tuple[str, ...]:
    """The texts in a list of a body."""
    found = row.get(key)
    return tuple(each for each in found if isinstance(each, str)) if isinstance(found, list) else ()


def number_of(row: Body, key: str) -> float | None:
    """A decimal number; nothing where there is none that anybody could show."""
    try:
        value = float(Decimal(text_of(row, key)))
    except (ArithmeticError, ValueError):
        return None
    return value if isfinite(value) and abs(value) < LARGEST else None


def shown(row: Body, key: str, page: Page, dimension: Dimension, rounding: Rounding = Rounding.NEAREST) -> str:
    """A number with its unit; empty where there is none."""
    return shown_value(number_of(row, key), page, dimension, rounding)


def shown_value(value: float | None, page: Page, dimension: Dimension, rounding: Rounding = Rounding.NEAREST) -> str:
    """A value with its unit; empty where there is none."""
    return "" if value is None else page.show(Quantity(value, dimension), rounding=rounding)


def day_of_body(body: Body) -> date | None:
    """The day of the visit: by the clock on the wall where somebody wrote it down, else when it was opened."""
    for table, key in (("call", "arrived"), ("visit", "opened_at")):
        try:
            return date.fromisoformat(text_of(table_of(body, table), key)[:LENGTH_OF_A_DAY])
        except ValueError:
            continue
    return None

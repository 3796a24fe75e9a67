"""From what stands in a column to SI: numbers of either decimal mark, words for on and off, stand-ins left out."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final

import polars as pl

from evenfire.delivery.intake.logs.cells import NEGATIVE_STAND_INS, is_nothing, number_of, switch_of
from evenfire.delivery.intake.logs.log import Place, Reason
from evenfire.delivery.intake.logs.roles import Taken
from evenfire.delivery.intake.logs.tallying import Tallies
from evenfire.delivery.intake.logs.wishes import Decimals, Role
from evenfire.si import Dimension

POSSIBLE: Final = {
    Dimension.GAUGE_PRESSURE: (-1.1e5, 3e7),
    Dimension.ABSOLUTE_PRESSURE: (0.0, 3e7),
    Dimension.TEMPERATURE: (200.0, 1100.0),
    Dimension.MASS_FLOW: (-100.0, 1000.0),
    Dimension.VOLUME_FLOW: (-100.0, 1000.0),
    Dimension.POWER: (-1e8, 1e9),
    Dimension.LENGTH: (-10.0, 30.0),
    Dimension.FRACTION: (-0.6, 1.6),
    Dimension.TIME: (0.0, 1e10),
}
"""Beyond these a number is no reading of a boiler, whatever is wrong with it [SI]."""
_SWITCHED: Final = frozenset({Role.FLAME, Role.FEED_PUMP, Role.FIRING})
_BEHIND: Final = re.compile(r"[^\d\s]\S*(?: \S+)?$")
_MOST_PARSED: Final = 50_000
"""Different texts of one block that are looked at one by one; more are no readings but something else."""

Where = Callable[[pl.Series], Callable[[int], Iterable[Place]]]
"""From a mask of rows to their first places."""


@dataclass(frozen=True, slots=True)
class Rows:
    """Some rows of a file that have a time: ``time`` [us] as its clock shows it, and a column for each role [SI]."""

    table: pl.DataFrame
    where: Where


@dataclass(frozen=True, slots=True)
class Read:
    """A column as it stands there, and the plain numbers in it."""

    cells: pl.Series
    numbers: pl.Series


def si_values(
    read: Read, taken: Taken, decimals: Decimals, stand_ins: frozenset[float], tallies: Tallies, where: Where
) -> pl.Series:
    """The readings of a column [SI of its unit]; cells without one are empty, and counted by reason."""
    column, values = read.cells, read.numbers
    role = taken.role
    missing = column.is_null()
    unread = values.is_null() & ~missing
    if unread.any():
        found, nothing = _looked_at(column.filter(unread).cast(pl.String), taken, decimals)
        values = values.scatter(unread.arg_true(), found)
        empty = unread.scatter(unread.arg_true(), nothing)
        missing = missing | empty
        no_number = values.is_null() & ~missing
        tallies.add(Reason.NO_NUMBER, int(no_number.sum()), role, where(no_number))
    no_value = values.is_nan() | values.is_infinite()
    if no_value.any():
        missing = missing | no_value.fill_null(value=False)
        values = _emptied(values, no_value)
    tallies.add(Reason.MISSING, int(missing.sum()), role, where(missing))
    lowest_read = values.min()
    if isinstance(lowest_read, float) and lowest_read <= max(NEGATIVE_STAND_INS):
        stand_ins = stand_ins | NEGATIVE_STAND_INS
    if stand_ins:
        stands_in = values.is_in(list(stand_ins))
        tallies.add(Reason.STAND_IN, int(stands_in.sum()), role, where(stands_in))
        values = _emptied(values, stands_in)
    values = values * taken.unit.factor + taken.unit.zero
    lowest, highest = POSSIBLE[taken.unit.dimension]
    impossible = (values < lowest) | (values > highest)
    if impossible.any():
        tallies.add(Reason.IMPOSSIBLE, int(impossible.sum()), role, where(impossible))
        values = _emptied(values, impossible)
    return values


def _emptied(values: pl.Series, mask: pl.Series) -> pl.Series:
    return values.set(mask.fill_null(value=False), None)


def plain_numbers(cells: pl.Expr, decimals: Decimals) -> pl.Expr:
    """The numbers in a column of texts that are written plainly."""
    if decimals is Decimals.COMMA:
        # With decimal commas a point marks thousands, and is looked at with the rest.
        cells = cells.str.replace(".", "\u00b7", literal=True).str.replace(",", ".", literal=True)
    return cells.cast(pl.Float64, strict=False)


def _looked_at(texts: pl.Series, taken: Taken, decimals: Decimals) -> tuple[pl.Series, pl.Series]:
    """Numbers of texts that are no plain ones, and which of the texts stand for nothing."""
    different = texts.unique()
    known = {text: _number(text, taken, decimals) for text in different.head(_MOST_PARSED).to_list()}
    empty = [text for text in known if is_nothing(text)]
    numbers = pl.Series([known.get(text) for text in texts.to_list()], dtype=pl.Float64)
    return numbers, texts.is_in(empty)


def _number(text: str, taken: Taken, decimals: Decimals) -> float | None:
    value = number_of(text, decimals)
    if value is not None:
        return value
    if taken.role in _SWITCHED:
        switch = switch_of(text)
        if switch is not None:
            # A word says all or nothing, in whatever unit the numbers beside it are.
            return switch / taken.unit.factor
    behind = _BEHIND.search(text.strip())
    if behind is not None and behind[0].casefold() == taken.unit.text.casefold():
        return number_of(text.strip()[: behind.start()], decimals)
    return None

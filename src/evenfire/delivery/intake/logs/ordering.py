"""Rows of all files in the order of time, each time once: sorted and joined in parts that fit the memory."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
import polars as pl

from evenfire.delivery.intake.logs.log import TIME, Place, Reason
from evenfire.delivery.intake.logs.tallying import Tallies, place
from evenfire.delivery.intake.logs.zones import moment

if TYPE_CHECKING:
    from evenfire.delivery.intake.logs.sequence import Times

ROWS: Final = 1_000_000
"""About so many are sorted at a time."""
SAMPLES: Final = 500
"""Times of each part that tell how the rows are spread."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Some rows of the log in a file of their own."""

    path: Path
    rows: int
    first: int
    """Earliest [us]"""
    last: int
    """Latest [us]"""
    is_rising: bool
    """Whether every row is later than the one before it"""
    samples: tuple[int, ...]
    """Some of its times, sorted [us]"""
    values: tuple[tuple[str, int], ...]
    """Rows that have a value in each column"""


def written_part(table: pl.DataFrame, path: Path) -> Part:
    """Write rows into a part."""
    times: Times = table.get_column(TIME).to_numpy()
    # Read once more and then taken away: room on the disk is cheaper here than the time to compress it.
    table.write_parquet(path, compression="uncompressed", statistics=False)
    ranked = np.sort(times[:: max(1, len(times) // SAMPLES)])
    return Part(
        path=path,
        rows=len(times),
        first=int(times.min()),
        last=int(times.max()),
        is_rising=bool((np.diff(times) > 0).all()),
        samples=tuple(ranked.tolist()),
        values=tuple((name, table.height - table.get_column(name).null_count()) for name in table.columns),
    )


def in_order(parts: list[Part], folder: Path, tallies: Tallies, files: str) -> list[Part]:
    """Parts whose rows rise from the first to the last."""
    ranked = sorted(parts, key=lambda part: part.first)
    follow = all(one.last < other.first for one, other in pairwise(ranked))
    if follow and all(part.is_rising for part in ranked):
        return ranked
    return [
        written_part(table, folder / f"ordered-{number}.parquet")
        for number, table in enumerate(_sorted(ranked, tallies, files))
        if table.height
    ]


def _sorted(parts: list[Part], tallies: Tallies, files: str) -> Iterator[pl.DataFrame]:
    """Rows sorted by time, a stretch of time after the other."""
    edges = _edges(parts)
    for low, high in pairwise(edges):
        here = [part.path for part in parts if part.first < high and part.last >= low]
        if not here:
            continue
        rows = pl.concat([pl.scan_parquet(path, glob=False) for path in here])
        table = rows.filter(pl.col(TIME).is_between(low, high, closed="left")).collect()
        yield _each_time_once(table.sort(TIME, maintain_order=True), tallies, files)


def _edges(parts: list[Part]) -> list[int]:
    """Times that cut the log into stretches of about as many rows as are sorted at a time."""
    stretches = max(1, round(sum(part.rows for part in parts) / ROWS))
    times = np.sort(np.concatenate([np.array(part.samples, dtype=np.int64) for part in parts]))
    inner = np.unique(times[[len(times) * at // stretches for at in range(1, stretches)]]).tolist()
    last = max(part.last for part in parts) + 1
    first = min(part.first for part in parts)
    return [first, *(edge for edge in inner if first < edge < last), last]


def _each_time_once(table: pl.DataFrame, tallies: Tallies, files: str) -> pl.DataFrame:
    """Rows of one time made one: what one lacks the other gives; what contradicts the first is left out."""
    again = table.get_column(TIME).is_duplicated()
    if not again.any():
        return table
    several = table.filter(again)
    roles = [name for name in table.columns if name != TIME]
    firsts = several.group_by(TIME, maintain_order=True).agg(pl.col(role).drop_nulls().first() for role in roles)
    beside = several.select(TIME).join(firsts, on=TIME, how="left", maintain_order="left")
    differs = pl.Series([False] * several.height)
    lacks = pl.Series([False] * several.height)
    for role in roles:
        own, kept = several.get_column(role), beside.get_column(role)
        differs = differs | (own != kept).fill_null(value=False)
        lacks = lacks | (own.is_null() & kept.is_not_null())
    is_first = several.get_column(TIME).is_first_distinct()
    # A row that lacks what another of its time has adds its own cells to it, unless one of them contradicts it.
    joined = ~differs & lacks & ~is_first
    repeated = ~differs & ~lacks & ~is_first
    stamps = several.get_column(TIME)
    for reason, mask in ((Reason.SAME_TIME, differs), (Reason.JOINED, joined), (Reason.REPEATED_ROW, repeated)):
        first = [str(moment(time))[:19] for time in stamps.filter(mask).head(1).to_list()]
        tallies.add(reason, int(mask.sum()), None, partial(_places, files, first))
    single = table.filter(~again)
    return pl.concat([single, firsts.select(table.columns)]).sort(TIME)


def _places(files: str, texts: list[str], most: int) -> list[Place]:
    return [place(files, None, text) for text in texts[:most]]

"""Logs that come as Parquet: the same rows, from typed columns."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Final

import polars as pl

from evenfire.delivery.intake.logs.layout import MOST_COLUMNS
from evenfire.delivery.intake.logs.log import TIME, Place, Reason
from evenfire.delivery.intake.logs.refusing import refuse
from evenfire.delivery.intake.logs.roles import Taken
from evenfire.delivery.intake.logs.tallying import Tallies, place
from evenfire.delivery.intake.logs.text_rows import sentinels_of
from evenfire.delivery.intake.logs.times import Counting, Sampled, TimeReader, TimeRule, sane
from evenfire.delivery.intake.logs.values import Read, Rows, plain_numbers, si_values
from evenfire.delivery.intake.logs.wishes import Decimals, LogWishes

MAGIC: Final = b"PAR1"
ROWS: Final = 500_000
_PLACES: Final = 8
_SAMPLED: Final = 500
_MOST_SAMPLED: Final = 400_000
"""Cells."""


def is_parquet(path: Path) -> bool:
    """Whether a file begins as Parquet does."""
    with path.open("rb") as file:
        return file.read(len(MAGIC)) == MAGIC


def sampled_parquet(path: Path, name: str, wishes: LogWishes) -> Sampled:
    """Headers, and rows from all over the file as text."""
    rows = pl.scan_parquet(path, glob=False)
    schema = rows.collect_schema()
    height = int(rows.select(pl.len()).collect().item())
    if height == 0:
        refuse(name, "it has columns and no rows", "Export the log again.")
    if len(schema) > MOST_COLUMNS:
        refuse(name, f"it has {len(schema):,} columns, and at most {MOST_COLUMNS:,} are read", "Export fewer columns.")
    kept = [header for header, kind in schema.items() if _is_flat(kind)]
    if not kept:
        refuse(name, "none of its columns holds numbers, texts or times", "Export the log as a flat table.")
    length = min(_SAMPLED, max(10, _MOST_SAMPLED // (_PLACES * len(kept))))
    places = []
    for at in range(_PLACES if height > length else 1):
        part = rows.select(kept).slice(at * max(1, height - length) // max(1, _PLACES - 1), length).collect()
        texts = part.select(pl.all().cast(pl.String, strict=False).fill_null(""))
        places.append(tuple(texts.iter_rows()))
    return Sampled(
        name=name,
        headers=tuple(kept),
        units=(),
        places=tuple(places),
        decimals=wishes.decimals or Decimals.POINT,
        rows=float(height),
    )


def _is_flat(kind: pl.DataType) -> bool:
    return kind.is_numeric() or kind.is_temporal() or kind in {pl.String, pl.Boolean, pl.Categorical, pl.Enum, pl.Null}


def native_times(path: Path, sampled: Sampled, wishes: LogWishes) -> TimeRule | None:
    """How to read times that Parquet itself knows as such."""
    schema = pl.scan_parquet(path, glob=False).collect_schema()
    stamped = [at for at, header in enumerate(sampled.headers) if isinstance(schema[header], pl.Datetime)]
    if wishes.time is not None:
        stamped = [at for at in stamped if sampled.headers[at] == wishes.time]
    if not stamped or wishes.date is not None:
        return None
    kind = schema[sampled.headers[stamped[0]]]
    zone = kind.time_zone if isinstance(kind, pl.Datetime) else None
    why = f"as Parquet has them, {'in UTC' if zone else 'without a zone'}"
    return TimeRule(columns=(stamped[0],), counting=Counting.NATIVE, has_zone=zone is not None, why=why)


def parquet_rows(
    path: Path, sampled: Sampled, rule: TimeRule, taken: tuple[Taken, ...], tallies: Tallies
) -> Iterator[Rows]:
    """The rows of a Parquet file, batch by batch."""
    wanted = [sampled.headers[at] for at in sorted({*rule.columns, *(each.place for each in taken)})]
    sentinels = {each.role: sentinels_of(sampled, each) for each in taken}
    reader = TimeReader(rule, sampled.decimals)
    for batch in pl.scan_parquet(path, glob=False).select(wanted).collect_batches(chunk_size=ROWS, maintain_order=True):
        table = batch
        times, others = _times(table, sampled, rule, reader)
        has_time = times.is_not_null()
        tallies.add(Reason.NO_TIME, int((~has_time).sum()), None, _where(sampled.name, table)(~has_time))
        tallies.add(Reason.OTHER_FORMAT, others)
        table, times = table.filter(has_time), times.filter(has_time)
        where = _where(sampled.name, table)
        values = []
        for each in taken:
            column = table.get_column(sampled.headers[each.place])
            read = Read(column, _numbers(column, sampled.decimals))
            series = si_values(read, each, sampled.decimals, sentinels[each.role], tallies, where)
            values.append(series.alias(each.role.value))
        yield Rows(pl.DataFrame([times.alias(TIME), *values]), where)


def _numbers(column: pl.Series, decimals: Decimals) -> pl.Series:
    if column.dtype.is_numeric() or column.dtype == pl.Boolean:
        return column.cast(pl.Float64)
    texts = column.cast(pl.String, strict=False).to_frame("c")
    return texts.select(plain_numbers(pl.col("c"), decimals)).to_series()


def _times(table: pl.DataFrame, sampled: Sampled, rule: TimeRule, reader: TimeReader) -> tuple[pl.Series, int]:
    if rule.counting is Counting.NATIVE:
        stamps = table.get_column(sampled.headers[rule.columns[0]])
        stamps = stamps.cast(pl.Datetime("us", getattr(stamps.dtype, "time_zone", None)))
        return stamps.to_frame("t").select(sane(pl.col("t").dt.epoch("us"))).to_series(), 0
    texts = table.get_column(sampled.headers[rule.columns[0]]).cast(pl.String, strict=False)
    for also in rule.columns[1:]:
        texts = texts + " " + table.get_column(sampled.headers[also]).cast(pl.String, strict=False)
    return reader.read(texts)


def _where(name: str, table: pl.DataFrame) -> Callable[[pl.Series], Callable[[int], Iterable[Place]]]:
    def first(mask: pl.Series) -> Callable[[int], Iterable[Place]]:
        def places(most: int) -> Iterator[Place]:
            for row in mask.arg_true().head(most).to_list():
                # Polars writes times that no calendar of Python reaches.
                texts = table.slice(row, 1).select(pl.all().cast(pl.String, strict=False)).row(0)
                yield place(name, None, ", ".join(str(text) for text in texts))

        return places

    return first

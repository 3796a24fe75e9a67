"""Writing a log down: text in several dialects, and Parquet."""

from pathlib import Path

import numpy as np
import polars as pl

from evenfire.delivery.intake.logs.wishes import Role
from tests.blind.layouts import Dialect, Layout, Written
from tests.blind.sensing import Seen, Sensors

SWITCHES = (Role.FLAME, Role.FEED_PUMP)


def write_log(rng: np.random.Generator, folder: Path, name: str, layout: Layout, seen: Seen, sensors: Sensors) -> Path:
    """The log as one file in a folder."""
    frame = pl.DataFrame({"at": seen.seconds, **{each.header: seen.values[each.role] for each in layout.columns}})
    frame = _disordered(rng, frame, sensors)
    dialect = layout.dialect
    if dialect.is_parquet:
        file = folder / f"{name}.parquet"
        parquet_frame(frame, layout).write_parquet(file, row_group_size=50_000)
        return file
    file = folder / f"{name}.csv"
    file.write_bytes(_text(frame, layout).encode(dialect.encoding))
    return file


def parquet_frame(frame: pl.DataFrame, layout: Layout) -> pl.DataFrame:
    """Rows as a logger's database would export them: a time without a zone, and numbers."""
    stamps = _stamps(frame.get_column("at"), layout).alias(layout.dialect.time)
    columns = [frame.get_column(each.header).fill_nan(None) for each in layout.columns]
    return pl.DataFrame([stamps, *columns])


def _disordered(rng: np.random.Generator, frame: pl.DataFrame, sensors: Sensors) -> pl.DataFrame:
    """Some rows twice, some behind the one that follows them."""
    order = np.arange(len(frame))
    if sensors.swaps:
        # Two apart, so that no swap undoes or moves another.
        places = np.unique(rng.integers(0, (len(frame) - 2) // 3, sensors.swaps)) * 3
        order[places], order[places + 1] = order[places + 1], order[places].copy()
    if sensors.repeats:
        places = np.sort(rng.integers(1, len(frame), sensors.repeats))
        order = np.insert(order, places, order[places - 1])
    return frame[order] if sensors.swaps or sensors.repeats else frame


def _stamps(seconds: pl.Series, layout: Layout) -> pl.Series:
    """What the logger's clock showed: times without a zone."""
    utc = (seconds.cast(pl.Int64) + layout.begin) * 1_000_000
    stamps = utc.cast(pl.Datetime("us"))
    zone = layout.dialect.zone
    if zone is None:
        return stamps
    return (
        stamps.dt.replace_time_zone("UTC").dt.convert_time_zone(zone).dt.replace_time_zone(None, ambiguous="earliest")
    )


def _text(frame: pl.DataFrame, layout: Layout) -> str:
    dialect = layout.dialect
    times = _time_columns(frame.get_column("at"), layout)
    cells = [_cells(frame.get_column(each.header), each, dialect) for each in layout.columns]
    table = pl.DataFrame([*times, *cells])
    body = table.write_csv(
        separator=dialect.mark, include_header=False, quote_style="never", line_terminator=dialect.line_end
    )
    heads = [series.name for series in times] + [_header(each, dialect) for each in layout.columns]
    lines = [*dialect.preamble, dialect.mark.join(heads)]
    if dialect.unit_row:
        lines.append(dialect.mark.join([""] * len(times) + [each.unit.text for each in layout.columns]))
    return dialect.line_end.join(lines) + dialect.line_end + body


def _header(column: Written, dialect: Dialect) -> str:
    """The name, with its unit in brackets unless that stands below it or is said elsewhere."""
    if dialect.unit_row or dialect.says_columns or not column.unit.text:
        return column.header
    return f"{column.header} [{column.unit.text}]"


def _time_columns(seconds: pl.Series, layout: Layout) -> list[pl.Series]:
    dialect = layout.dialect
    if dialect.format == "epoch s":
        return [(seconds + layout.begin).cast(pl.String).alias(dialect.time)]
    if dialect.format == "seconds":
        return [seconds.cast(pl.String).alias(dialect.time)]
    stamps = _stamps(seconds, layout)
    if dialect.date is None:
        return [stamps.dt.strftime(dialect.format).alias(dialect.time)]
    day, clock = dialect.format.split(" ")
    return [stamps.dt.strftime(day).alias(dialect.date), stamps.dt.strftime(clock).alias(dialect.time)]


def _cells(values: pl.Series, column: Written, dialect: Dialect) -> pl.Series:
    name = column.header
    if column.role in SWITCHES and column.unit.quantum == 1.0 and not column.unit.text:
        low, high = dialect.switch
        marks = pl.DataFrame({"v": values}).select(
            pl.when(pl.col("v").is_nan()).then(None).when(pl.col("v") > 0.5).then(pl.lit(high)).otherwise(pl.lit(low))
        )
        return marks.to_series().fill_null(dialect.blank).alias(name)
    places = max(0, int(np.ceil(-np.log10(column.unit.quantum) - 1e-9)))
    texts = values.fill_nan(None).round(places)
    shown = texts.cast(pl.Int64).cast(pl.String) if places == 0 else texts.cast(pl.String)
    if dialect.decimals != ".":
        shown = shown.str.replace(".", dialect.decimals, literal=True)
    return shown.fill_null(dialect.blank).alias(name)

"""How a log writes its times: learnt from samples all over it, or as the plant file says."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from statistics import median
from typing import Final

import polars as pl

from evenfire.delivery.intake.logs.cells import number_of
from evenfire.delivery.intake.logs.refusing import quoted, refuse
from evenfire.delivery.intake.logs.time_columns import time_columns
from evenfire.delivery.intake.logs.time_shapes import ZONE_OFFSETS, Order, Shape, shape_of
from evenfire.delivery.intake.logs.wishes import Decimals, LogWishes

MICROSECONDS: Final = 1_000_000
DAY: Final = 86_400
EXCEL_ZERO: Final = 25_569
"""1970-01-01 as a spreadsheet counts days."""
FORMAT_HELP: Final = (
    'Write under [log] of the plant file time_format = "day first", "month first", "year first", "excel", "epoch s", '
    '"epoch ms", "seconds", "minutes", "hours", or directives such as "%d.%m.%Y %H:%M:%S".'
)
_SHARE: Final = 0.5
_SURELY: Final = 5.0
"""One reading has to fit the steps of the log so many times better than the other."""
_FEW: Final = 0.02
_MOST_OF_A_PLACE: Final = 150
_MOST_OF_A_SMALL_FILE: Final = 3000


class Counting(Enum):
    """What a time is written as."""

    TEXT = "text"
    NUMBER = "number since 1970"
    ELAPSED = "number since the beginning of the log"
    NATIVE = "time of a Parquet file"


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeRule:
    """How to read the times of one file."""

    columns: tuple[int, ...]
    """Places of the column, or of the day and the time of day"""
    counting: Counting
    directives: tuple[str, ...] = ()
    """Of texts, the commonest first"""
    scale: float = 1.0
    """Of numbers [us each]"""
    zero: float = 0.0
    """Of numbers, what stands for 1970 [as they are]"""
    has_zone: bool = False
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampled:
    """What is known of a file before it is read: headers, units, and rows from all over it."""

    name: str
    headers: tuple[str, ...]
    units: tuple[str, ...]
    places: tuple[tuple[tuple[str, ...], ...], ...]
    decimals: Decimals
    rows: float
    """About how many it has"""
    has_header: bool = True

    def texts(self, column: int) -> list[str]:
        """What stands in a column, from all places."""
        return [row[column] for place in self.places for row in place]


def learn_times(sampled: Sampled, wishes: LogWishes) -> TimeRule:
    """How the times of a file are written.

    Raises
    ------
    BadLog
        No column holds times, or they can be read in two ways.
    """
    columns = time_columns(sampled, wishes)
    most = _MOST_OF_A_PLACE if len(sampled.places) > 1 else _MOST_OF_A_SMALL_FILE
    places = [[joined(row, columns) for row in place[:most]] for place in sampled.places]
    texts = [text for place in places for text in place if text.strip()]
    if wishes.time_format is not None and "%" in wishes.time_format:
        directive = wishes.time_format
        return TimeRule(
            columns=columns,
            counting=Counting.TEXT,
            directives=(directive,),
            has_zone="%z" in directive,
            why=f"by {directive}, as the plant file says",
        )
    shapes = Counter(shape for text in texts if (shape := shape_of(text)) is not None)
    if (len(columns) == 1 and shapes.total() < _SHARE * len(texts)) or _is_compact_number(shapes, wishes):
        return _numbers(sampled, columns, texts, wishes)
    return _texts(sampled, columns, places, shapes, wishes)


def joined(row: Sequence[str], columns: tuple[int, ...]) -> str:
    """The time in a row, of one column or of two."""
    return " ".join(row[column].strip() for column in columns)


def _is_compact_number(shapes: Counter[Shape], wishes: LogWishes) -> bool:
    return wishes.time_format in {"excel", "epoch s", "epoch ms", "seconds", "minutes", "hours"} or not shapes


def _numbers(sampled: Sampled, columns: tuple[int, ...], texts: Sequence[str], wishes: LogWishes) -> TimeRule:
    values = [value for text in texts if (value := number_of(text, sampled.decimals)) is not None]
    header = sampled.headers[columns[0]]
    if len(columns) > 1 or len(values) < _SHARE * len(texts) or not values:
        example = next((text for text in texts if text.strip()), "")
        refuse(sampled.name, f"the times in {quoted(header)} cannot be read, such as {quoted(example)}", FORMAT_HELP)
    middle = median(values)
    stated = {
        "epoch s": (1e6, 0.0),
        "epoch ms": (1e3, 0.0),
        "excel": (DAY * 1e6, float(EXCEL_ZERO)),
    }
    if wishes.time_format in stated:
        scale, zero = stated[wishes.time_format]
        return _number_rule(columns, scale, zero, f"as {wishes.time_format}, as the plant file says")
    if wishes.time_format in {"seconds", "minutes", "hours"}:
        return _elapsed(
            columns, {"seconds": 1.0, "minutes": 60.0, "hours": 3600.0}[wishes.time_format], "the plant file"
        )
    for lowest, highest, scale, zero, why in (
        (4e8, 4.2e9, 1e6, 0.0, "seconds since 1970, by their size"),
        (4e11, 4.2e12, 1e3, 0.0, "milliseconds since 1970, by their size"),
        (4e14, 4.2e15, 1.0, 0.0, "microseconds since 1970, by their size"),
        (4e17, 4.2e18, 1e-3, 0.0, "nanoseconds since 1970, by their size"),
    ):
        if lowest <= middle < highest:
            return _number_rule(columns, scale, zero, why)
    unit = _unit_of_elapsed(header, sampled.units[columns[0]] if sampled.units else "")
    if unit is not None:
        return _elapsed(columns, unit, "its header")
    if 25_000 <= middle < 80_000 and any(value % 1 for value in values):
        return _number_rule(columns, DAY * 1e6, float(EXCEL_ZERO), "days as a spreadsheet counts them, by their size")
    return refuse(
        sampled.name,
        f"nobody can tell what the numbers in {quoted(header)} count, such as {quoted(texts[0])}",
        FORMAT_HELP,
    )


def _number_rule(columns: tuple[int, ...], scale: float, zero: float, why: str) -> TimeRule:
    return TimeRule(columns=columns, counting=Counting.NUMBER, scale=scale, zero=zero, has_zone=zero == 0.0, why=why)


def _elapsed(columns: tuple[int, ...], seconds: float, by: str) -> TimeRule:
    name = {1.0: "seconds", 60.0: "minutes", 3600.0: "hours", 1e-3: "milliseconds"}[seconds]
    why = f"{name} from a beginning that is not said, by {by}"
    return TimeRule(columns=columns, counting=Counting.ELAPSED, scale=seconds * 1e6, why=why)


def _unit_of_elapsed(header: str, below: str) -> float | None:
    """Seconds of one unit of a time that is counted, by its header or by the row of units."""
    words = re.split(r"[^a-z]+", f"{header} {below}".casefold())
    for seconds, names in (
        (1e-3, {"ms", "msec", "milliseconds"}),
        (1.0, {"s", "sec", "secs", "seconds", "sekunden", "secondes", "segundos", "sek"}),
        (60.0, {"min", "mins", "minutes", "minuten", "minutos"}),
        (3600.0, {"h", "hr", "hrs", "hours", "stunden", "heures", "horas"}),
    ):
        if names & set(words):
            return seconds
    return None


def _texts(
    sampled: Sampled,
    columns: tuple[int, ...],
    places: Sequence[Sequence[str]],
    shapes: Counter[Shape],
    wishes: LogWishes,
) -> TimeRule:
    order, why = _order(sampled, places, shapes, wishes)
    ranked = [shape for shape, _ in shapes.most_common()]
    directives = [_of_order(shape, order) for shape in ranked]
    extended = dict.fromkeys([*directives, *(also for directive in directives for also in _variants(directive))])
    zones = {shape.has_zone for shape in ranked}
    if len(zones) > 1:
        refuse(
            sampled.name,
            f"some times in {quoted(sampled.headers[columns[0]])} have a zone and some have none",
            "Export it with one clock, or part it into two files.",
        )
    return TimeRule(
        columns=columns, counting=Counting.TEXT, directives=tuple(extended), has_zone=zones == {True}, why=why
    )


def _of_order(shape: Shape, order: Order) -> str:
    return dict(shape.directives).get(order, shape.directives[0][1])


def _variants(directive: str) -> Iterator[str]:
    """A logger leaves nought seconds or nought fractions out; a spreadsheet leaves midnight out."""
    if "%S%.f" in directive:
        yield directive.replace("%S%.f", "%S")
    elif "%S" in directive and "%H:" in directive:
        yield directive.replace("%S", "%S%.f")
    if ":%S" in directive:
        yield directive.replace(":%S%.f", "").replace(":%S", "")
    date = re.split(r"[T ]%[HI]|, %[HI]", directive)[0]
    if date != directive and "%z" not in directive:
        yield date


def _order(
    sampled: Sampled,
    places: Sequence[Sequence[str]],
    shapes: Counter[Shape],
    wishes: LogWishes,
) -> tuple[Order, str]:
    """In which order dates are read, and why."""
    example = next(text for place in places for text in place if shape_of(text) is not None)
    unsure = {shape: None for shape in shapes if not shape.is_sure}
    if wishes.time_format in {"day first", "month first", "year first"}:
        order = Order(wishes.time_format)
        return order, f"{order.value}, as the plant file says"
    if not unsure:
        (order, directive) = shapes.most_common(1)[0][0].directives[0]
        return order, f"{_plain(directive)}, which can be read in one way only"
    orders = list(dict.fromkeys(order for shape in unsure for order, _ in shape.directives))
    series = [
        pl.Series([text.strip() for text in place if shape_of(text) in unsure], dtype=pl.String) for place in places
    ]
    readings = {
        order: [_read(each, [_of_order(shape, order) for shape in unsure]) for each in series] for order in orders
    }
    failures = {order: sum(times.null_count() for times in found) for order, found in readings.items()}
    total = sum(len(each) for each in series)
    possible = [order for order in orders if failures[order] <= _FEW * total]
    if not possible:
        refuse(
            sampled.name,
            "its dates follow no single order: neither day first nor month first reads all of them, such as "
            f"{quoted(example)}",
            "Part it into files that are each written in one way.",
        )
    if len(possible) == 1:
        return possible[0], f"{possible[0].value}: no other order reads all of its dates"
    distances = {order: _misfit(readings[order], sampled.rows) for order in possible}
    ranked = sorted(possible, key=lambda order: distances[order])
    best, second = distances[ranked[0]], distances[ranked[1]]
    if _are_alike(readings[ranked[0]], readings[ranked[1]]) or second >= best * _SURELY:
        return ranked[0], f"{ranked[0].value}: so its days follow each other as its rows do"
    return refuse(
        sampled.name,
        f"{quoted(example)} may be read {' or '.join(order.value for order in possible)}, and nothing in the log tells "
        "which",
        'Write under [log] of the plant file time_format = "day first" or "month first".',
    )


_PLAIN: Final = {
    "%Y": "YYYY", "%y": "YY", "%m": "MM", "%d": "DD", "%b": "month", "%H": "hh", "%I": "hh", "%M": "mm", "%S": "ss",
    "%.f": ".f", "%p": "AM/PM", "%z": "zone",
}  # fmt: skip


def _plain(directive: str) -> str:
    for code, word in _PLAIN.items():
        directive = directive.replace(code, word)
    return directive


def _are_alike(first: Sequence[pl.Series], second: Sequence[pl.Series]) -> bool:
    return all(one.equals(other) for one, other in zip(first, second, strict=True))


def _misfit(places: Sequence[pl.Series], rows: float) -> float:
    """How many times longer or shorter the log would last than its rows at their usual interval do."""
    steps = [step for times in places for step in times.drop_nulls().diff().drop_nulls().to_list() if step > 0]
    times = [time for place in places for time in place.drop_nulls().to_list()]
    if not steps or len(times) < 2:
        return 1.0
    usual = median(steps)
    local = max((step for step in steps if step < 20 * DAY * MICROSECONDS), default=usual)
    lasting = max(1.0, max(times) - min(times))
    expected = max(usual * max(rows, 2.0), local)
    far = sum(1 for step in steps if step > 20 * DAY * MICROSECONDS)
    return float(max(lasting / expected, expected / lasting) * (1 + far))


@dataclass(frozen=True, slots=True)
class TimeReader:
    """Turns texts into microseconds: by one expression, and what that cannot read by a second look."""

    rule: TimeRule
    decimals: Decimals

    def expression(self, texts: pl.Expr) -> pl.Expr:
        """What reads nearly all."""
        if self.rule.counting is Counting.TEXT:
            return _by(texts, self.rule.directives[0])
        plain = texts.cast(pl.String).str.strip_chars()
        if self.decimals is Decimals.COMMA:
            plain = plain.str.replace(",", ".", literal=True)
        values = (plain.cast(pl.Float64, strict=False) - self.rule.zero) * self.rule.scale
        # Days of a spreadsheet are cut to some decimals: a hundredth of a second is as fine as they go.
        finest = 1.0 if self.rule.zero == 0.0 else 10_000.0
        times = ((values / finest).round(0) * finest).cast(pl.Int64, strict=False)
        return sane(times)

    def finished(self, texts: pl.Series, first: pl.Series) -> tuple[pl.Series, int]:
        """All that can be read, and how many of them by another directive than the first."""
        if self.rule.counting is not Counting.TEXT:
            return first, 0
        return _second_look(texts, first, self.rule.directives)

    def read(self, texts: pl.Series) -> tuple[pl.Series, int]:
        """Both."""
        return self.finished(texts, texts.to_frame("t").select(self.expression(pl.col("t"))).to_series())


def _read(texts: pl.Series, directives: Sequence[str]) -> pl.Series:
    return _second_look(texts, _applied(texts, directives[0]), directives)[0]


def _second_look(texts: pl.Series, first: pl.Series, directives: Sequence[str]) -> tuple[pl.Series, int]:
    """Microseconds by the first directive that reads each text; ``first`` is what the very first one gave."""
    missing = first.is_null() & texts.is_not_null()
    if not missing.any():
        return first, 0
    count = 0
    # What the first directive could not read is little, and is looked at again with blanks and marks made alike.
    left = _tidied(texts.filter(missing))
    found = _applied(left, directives[0])
    for directive in directives[1:]:
        if not found.is_null().any():
            break
        also = _applied(left, directive)
        count += int((found.is_null() & also.is_not_null()).sum())
        found = found.fill_null(also)
    return first.scatter(missing.arg_true(), found), count


def _tidied(texts: pl.Series) -> pl.Series:
    plain = texts.str.strip_chars(" \t\"'").str.replace_all(r"\s+", " ").str.replace(r"(?i)\b([ap])\. ?m\.", "${1}m")
    return plain.str.replace(r"(:\d\d),(\d+)", "$1.$2")


def _applied(texts: pl.Series, directive: str) -> pl.Series:
    return texts.to_frame("t").select(_by(pl.col("t"), directive)).to_series()


def _by(texts: pl.Expr, directive: str) -> pl.Expr:
    if "%z" in directive:
        for name, offset in ZONE_OFFSETS.items():
            texts = texts.str.replace(f"{name}$", offset)
        texts = texts.str.replace(r"([+-]\d\d):(\d\d)$", "$1$2")
    if not re.search(r"%[HI]", directive):
        return sane(texts.str.to_date(directive, strict=False).cast(pl.Datetime("us")).dt.epoch("us"))
    return sane(texts.str.to_datetime(directive, strict=False, time_unit="us").dt.epoch("us"))


_EARLIEST: Final = 0
_LATEST: Final = 4_102_444_800 * MICROSECONDS


def sane(times: pl.Expr) -> pl.Expr:
    """A year 17 is a year that was cut off, and no log of a boiler is older than 1970 or younger than 2100."""
    return pl.when(times.is_between(_EARLIEST, _LATEST, closed="left")).then(times)

"""Which column of a log holds its times, or which two hold the day and the time of day."""

import re
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Final

from evenfire.delivery.intake.logs.cells import folded, number_of
from evenfire.delivery.intake.logs.refusing import quoted, refuse
from evenfire.delivery.intake.logs.time_shapes import is_clock, shape_of
from evenfire.delivery.intake.logs.wishes import LogWishes

if TYPE_CHECKING:
    from evenfire.delivery.intake.logs.times import Sampled

NAME: Final = re.compile(
    r"\b(time ?stamp|time|date|datum|uhrzeit|zeit|zeitstempel|heure|horodatage|temps|fecha|hora|tiempo|epoch|unix|clock"
    r"|elapsed|t|ts|dt)\b|datetime|zeit|datum"
)
_MOST: Final = 300
_MOST_CELLS: Final = 200_000
_SHARE: Final = 0.5


def time_columns(sampled: "Sampled", wishes: LogWishes) -> tuple[int, ...]:
    """Place of the column of times, or places of those of the day and of the time of day.

    Raises
    ------
    BadLog
        There is none, or the plant file names one that is not there.
    """
    if wishes.time is not None:
        named = [header for header in (wishes.date, wishes.time) if header is not None]
        return tuple(place_of(sampled, header, "time") for header in named)
    rows = [row for place in sampled.places for row in place]
    rows = rows[:: max(1, len(rows) // min(_MOST, max(20, _MOST_CELLS // max(1, len(sampled.headers)))))]
    full = [at for at in range(len(sampled.headers)) if _share(rows, at, _has_clock) > _SHARE]
    if full:
        return (max(full, key=lambda at: (_is_named(sampled.headers[at]), -at)),)
    days = [
        at for at in range(len(sampled.headers)) if _share(rows, at, lambda text: shape_of(text) is not None) > _SHARE
    ]
    clocks = [at for at in range(len(sampled.headers)) if _share(rows, at, is_clock) > _SHARE]
    if days and clocks:
        return days[0], min(clocks, key=lambda at: (abs(at - days[0]), at))
    numbers = [
        at
        for at, header in enumerate(sampled.headers)
        if _is_named(header) and _share(rows, at, lambda text: number_of(text, sampled.decimals) is not None) > _SHARE
    ]
    if numbers:
        return (numbers[0],)
    if days:
        return (days[0],)
    if clocks:
        refuse(
            sampled.name,
            f"{quoted(sampled.headers[clocks[0]])} has times of day and no column has the day",
            "Export the log with its dates.",
            line=1,
        )
    return refuse(
        sampled.name,
        f"no column with times is seen among {_listed(sampled.headers)}",
        'Write under [log] of the plant file which it is, for example time = "Time", and how it is written.',
        line=1,
    )


def place_of(sampled: "Sampled", header: str, what: str) -> int:
    """The place of a column that the plant file names; case and blanks do not count."""
    wanted = folded(header)
    found = [place for place, each in enumerate(sampled.headers) if folded(each) == wanted]
    exact = [place for place, each in enumerate(sampled.headers) if each == header]
    if len(exact) == 1 or len(found) == 1:
        return (exact or found)[0]
    if found:
        refuse(
            sampled.name,
            f"{len(found)} columns are headed {quoted(header)}, which the plant file names as {what}",
            "Give each column a header of its own in the export.",
            line=1,
        )
    return refuse(
        sampled.name,
        f"no column is headed {quoted(header)}, which the plant file names as {what}",
        f"Name one of {_listed(sampled.headers)}.",
        line=1,
    )


def _listed(headers: Sequence[str]) -> str:
    shown = ", ".join(quoted(header) for header in headers[:12])
    return shown if len(headers) <= 12 else f"{shown} and {len(headers) - 12} more"


def _is_named(header: str) -> bool:
    return NAME.search(re.sub(r"[_\W]+", " ", folded(header))) is not None


def _has_clock(text: str) -> bool:
    shape = shape_of(text)
    return shape is not None and shape.has_clock


def _share(rows: Sequence[Sequence[str]], column: int, holds: Callable[[str], bool]) -> float:
    """Share of the filled cells of a column for which something holds."""
    filled = [row[column] for row in rows if row[column].strip()]
    if not filled:
        return 0.0
    return sum(1 for text in filled if holds(text)) / len(filled)

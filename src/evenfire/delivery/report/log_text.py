"""A log as it was read, in words: its columns and why they are what they are, its times, and what was left out."""

from typing import Final

from evenfire.delivery.intake.logs.log import DROPPED, EMPTIED, REPAIRED, Basis, Column, Log, Place, Reason, Tally
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words.clock import lasting
from evenfire.si import Dimension

NOT_YET: Final = (
    "This is what was read of the log, and no more: events, cycles and a diagnosis are not built yet. That nothing is "
    "said of the boiler here does not mean that nothing is wrong with it."
)
_MOST_SHOWN: Final = 5
_INTERVALS: Final = 3


def log_text(log: Log, width: int) -> str:
    """What was read of a log; a log has the units of its originals, so that no others are asked for."""
    page = Page(width=width, system=UnitSystem.US)
    name = log.files[0] if len(log.files) == 1 else f"{log.files[0]} and {len(log.files) - 1} more"
    return joined(
        [
            page.title(f"Log {name}"),
            page.paragraph(NOT_YET),
            _to_fix(page, log),
            joined([page.heading("Columns"), "\n".join(page.item(_column(column)) for column in log.columns)]),
            _unused(page, log),
            joined([page.heading("Times"), "\n".join(page.paragraph(line) for line in _times(log))]),
            _counted(page, "Rows left out", log, DROPPED),
            _counted(page, "Cells without a value", log, EMPTIED),
            _counted(page, "Rows mended", log, REPAIRED),
            page.paragraph(f"{log.layout} Kept as {log.parquet}; the original was not touched."),
        ]
    )


def _to_fix(page: Page, log: Log) -> str:
    told = list(log.open_roles)
    told += [
        f'"{column.header}" has no value in any row, so nothing can be said of the {_named(column)}.'
        for column in log.columns
        if column.values == 0
    ]
    told += [
        f'The unit "{column.unit}" of "{column.header}" does not say whether it counts from the air or from nothing: '
        f'it counts as gauge. Under [log]: pressure = {{ column = "{column.header}", unit = "{column.unit} abs" }} '
        "if it is absolute."
        for column in log.columns
        if column.dimension is Dimension.GAUGE_PRESSURE and not column.says_datum and column.values
    ]
    if not told:
        return ""
    return joined([page.heading("To say in the plant file"), "\n".join(page.item(each) for each in told)])


def _named(column: Column) -> str:
    return column.role.value.replace("_", " ")


def _column(column: Column) -> str:
    basis = "" if column.basis is Basis.STATED else "guessed "
    return f'{_named(column)}: "{column.header}", {column.values:,} values; {basis}{column.why}.'


def _unused(page: Page, log: Log) -> str:
    if not log.unused:
        return ""
    shown = ", ".join(f'"{unused.header}"' for unused in log.unused[:12])
    more = f" and {len(log.unused) - 12} more" if len(log.unused) > 12 else ""
    return page.paragraph(f"Not taken in: {shown}{more}.")


def _times(log: Log) -> list[str]:
    span = lasting((log.end - log.begin).total_seconds())
    intervals = ", ".join(f"{_interval(step)} ({count:,})" for step, count in log.sampling.commonest[:_INTERVALS])
    mixed = ", mixed" if log.sampling.is_mixed else ""
    lines = [
        f"{log.rows:,} rows from {log.begin:%Y-%m-%d %H:%M:%S} to {log.end:%Y-%m-%d %H:%M:%S}, {span}.",
        f"Read {log.time_format}.",
        log.zone,
        f"A row every {_interval(log.sampling.median)}{mixed}; commonest: {intervals}.",
    ]
    if log.gap_count:
        longest = sorted(log.gaps, key=lambda gap: -gap.lasting)[:_INTERVALS]
        told = ", ".join(f"{lasting(gap.lasting)} from {gap.begin:%Y-%m-%d %H:%M:%S}" for gap in longest)
        lines.append(f"{log.gap_count:,} gaps; the longest: {told}.")
    return lines


def _interval(seconds: float) -> str:
    return f"{seconds:g} s" if seconds < 120 else lasting(seconds)


def _counted(page: Page, heading: str, log: Log, reasons: tuple[Reason, ...]) -> str:
    tallies = [tally for tally in log.tallies if tally.reason in reasons]
    if not tallies:
        return ""
    items = [page.item(_tally(tally)) for tally in tallies]
    return joined([page.heading(heading), "\n".join(items)])


def _tally(tally: Tally) -> str:
    role = "" if tally.role is None else f"{tally.role.value.replace('_', ' ')}: "
    places = "; ".join(text for place in tally.places[:_MOST_SHOWN] if (text := _place(place)))
    return f"{role}{tally.count:,} with {tally.reason.value}{f' ({places})' if places else ''}."


def _place(place: Place) -> str:
    line = f"line {place.line}" if place.line is not None else ""
    text = f'"{place.text}"' if place.text else ""
    return " ".join(part for part in (line, text) if part)

"""The whole reading of a log, from its files to one Parquet file with all that is known of it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import polars as pl
from pydantic import TypeAdapter

from evenfire.delivery.intake.logs.fixed_zones import fixed_offset
from evenfire.delivery.intake.logs.layout import Layout, layout_of
from evenfire.delivery.intake.logs.log import METADATA_KEY, TIME, Clock, Column, Log, Reason, Unused
from evenfire.delivery.intake.logs.ordering import Part, in_order, written_part
from evenfire.delivery.intake.logs.pace import pace_of
from evenfire.delivery.intake.logs.parquet_rows import is_parquet, native_times, parquet_rows, sampled_parquet
from evenfire.delivery.intake.logs.refusing import quoted, refuse
from evenfire.delivery.intake.logs.roles import Roles, Taken, named, roles_of
from evenfire.delivery.intake.logs.sequence import Sequence as Order
from evenfire.delivery.intake.logs.sequence import Times, clock_changes, shifted
from evenfire.delivery.intake.logs.tallying import Tallies
from evenfire.delivery.intake.logs.text_rows import text_rows
from evenfire.delivery.intake.logs.times import Counting, Sampled, TimeRule, learn_times
from evenfire.delivery.intake.logs.values import Rows
from evenfire.delivery.intake.logs.wishes import LogWishes, Role
from evenfire.delivery.intake.logs.zones import ZonedClock, moment

LOG: Final = TypeAdapter(Log)
ROW_GROUP: Final = 250_000
_MOST_UNUSED: Final = 200
_HALF: Final = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class _Source:
    """One file with all that was learnt of it before its rows are read."""

    path: Path
    sampled: Sampled
    layout: Layout | None
    """Nothing for Parquet"""
    rule: TimeRule
    roles: Roles

    def rows(self, tallies: Tallies) -> Iterator[Rows]:
        """All its rows that have a time."""
        if self.layout is not None:
            return text_rows(self.layout, self.rule, self.roles.taken, tallies)
        return parquet_rows(self.path, self.sampled, self.rule, self.roles.taken, tallies)


def import_log(files: Sequence[tuple[Path, str]], wishes: LogWishes, folder: Path) -> Log:
    """Read files, each with the name that messages give it, into one Parquet file in a working folder.

    Raises
    ------
    BadLog
        They cannot be read as one log.
    """
    tallies = Tallies()
    sources = [_source(path, name, wishes) for path, name in files]
    columns = _columns(sources)
    clock = _clock(sources, wishes)
    parts = [
        part
        for number, source in enumerate(sources)
        for part in _parts(source, number, columns, wishes, tallies, folder)
    ]
    name = files[0][1]
    _require_rows(parts, tallies, name)
    parts = in_order(parts, folder, tallies, name if len(files) == 1 else "the files")
    _require_different_times(parts, tallies, name)
    sampling, gaps, gap_count = pace_of(_times(part) for part in parts)
    values = {role: sum(dict(part.values)[role.value] for part in parts) for role in columns}
    log = Log(
        files=tuple(name for _, name in files),
        parquet=folder / "log.parquet",
        rows=sum(part.rows for part in parts),
        begin=moment(parts[0].first),
        end=moment(parts[-1].last),
        columns=tuple(_column(taken, values[role]) for role, taken in columns.items()),
        unused=_unused(sources, columns),
        open_roles=tuple(dict.fromkeys(told for source in sources for told in source.roles.open_roles)),
        sampling=sampling,
        gaps=gaps,
        gap_count=gap_count,
        clock=clock,
        zone=_zone(clock, sources, wishes),
        time_format=sources[0].rule.why,
        layout=_layout(sources),
        tallies=tallies.told(),
    )
    _write(parts, columns, log)
    return log


def _source(path: Path, name: str, wishes: LogWishes) -> _Source:
    if is_parquet(path):
        layout = None
        sampled = sampled_parquet(path, name, wishes)
        rule = native_times(path, sampled, wishes) or learn_times(sampled, wishes)
    else:
        layout = layout_of(path, name, wishes.decimals)
        lengths = [len(",".join(row)) + 1 for place in layout.samples for row in place]
        sampled = Sampled(
            name=name,
            headers=layout.headers,
            units=layout.units,
            places=layout.samples,
            decimals=layout.decimals,
            rows=path.stat().st_size / max(1.0, sum(lengths) / max(1, len(lengths)) * layout.encoding.width),
            has_header=layout.has_header,
        )
        if not lengths:
            refuse(name, "no row has as many cells as its header", "Export the log again.", line=layout.data_line)
        rule = learn_times(sampled, wishes)
    roles = roles_of(sampled, rule.columns, wishes)
    if not roles.taken:
        _refuse_without_roles(sampled, roles)
    return _Source(path=path, sampled=sampled, layout=layout, rule=rule, roles=roles)


def _refuse_without_roles(sampled: Sampled, roles: Roles) -> None:
    if roles.open_roles:
        found, _, do = roles.open_roles[0].partition(". ")
        refuse(sampled.name, f"none of its columns can be used yet: {found}", do, line=1)
    headers = ", ".join(quoted(unused.header) for unused in roles.unused[:12])
    refuse(
        sampled.name,
        f"no column is known by its name: {headers or 'there is none beside the time'}",
        'Write under [log] of the plant file which is what, for example pressure = { column = "...", unit = "psi" }.',
        line=1,
    )


def _columns(sources: Sequence[_Source]) -> dict[Role, Taken]:
    """The columns of all files together; one role is measured in one way in all of them."""
    found: dict[Role, Taken] = {}
    for source in sources:
        for taken in source.roles.taken:
            first = found.setdefault(taken.role, taken)
            if first.unit.dimension is not taken.unit.dimension:
                refuse(
                    source.sampled.name,
                    f"the {named(taken.role)} is a {taken.unit.dimension.value} here and a "
                    f"{first.unit.dimension.value} in another file",
                    "Read them as two logs, or write the unit under [log] of the plant file.",
                )
    return {role: found[role] for role in Role if role in found}


def _clock(sources: Sequence[_Source], wishes: LogWishes) -> Clock:
    clocks = {_clock_of(source.rule, wishes) for source in sources}
    if len(clocks) > 1:
        refuse(
            sources[0].sampled.name,
            "its times and those of another file count differently: "
            + " and ".join(sorted(each.value for each in clocks)),
            'Write zone = "..." under [log] of the plant file, or read them as two logs.',
        )
    return clocks.pop()


def _clock_of(rule: TimeRule, wishes: LogWishes) -> Clock:
    if rule.counting is Counting.ELAPSED:
        return Clock.ELAPSED
    return Clock.UTC if rule.has_zone or wishes.zone is not None else Clock.LOCAL


def _parts(
    source: _Source, number: int, columns: dict[Role, Taken], wishes: LogWishes, tallies: Tallies, folder: Path
) -> list[Part]:
    """The rows of one file in UTC as far as its clock is known, each part in a file."""
    order = Order()
    parts: list[Part] = []
    lacking = [role.value for role in columns if role not in {taken.role for taken in source.roles.taken}]
    names = [TIME, *(role.value for role in columns)]
    for rows in source.rows(tallies):
        if not rows.table.height:
            continue
        table = rows.table.with_columns(pl.lit(None, dtype=pl.Float64).alias(name) for name in lacking).select(names)
        backward = pl.Series(order.add(table.get_column(TIME).to_numpy()))
        tallies.add(Reason.OUT_OF_ORDER, int(backward.sum()), None, rows.where(backward))
        parts.append(written_part(table, folder / f"part-{number}-{len(parts)}.parquet"))
    return _on_one_clock(parts, source, order, wishes, tallies)


def _on_one_clock(parts: list[Part], source: _Source, order: Order, wishes: LogWishes, tallies: Tallies) -> list[Part]:
    """The parts with their times in UTC, or counted on through changes of a clock whose zone nobody said."""
    if source.rule.has_zone or source.rule.counting is Counting.ELAPSED:
        return parts
    changes = clock_changes(order) if wishes.zone is None else ()
    offset = None if wishes.zone is None else fixed_offset(wishes.zone)
    if (wishes.zone is None and not changes) or offset == 0:
        return parts
    named_zone = None
    if wishes.zone is not None and offset is None:
        named_zone = ZonedClock(wishes.zone, source.sampled.name, order.has_order, tallies)
    moved: list[Part] = []
    first = 0
    for part in parts:
        table = pl.read_parquet(part.path, glob=False)
        times: Times = table.get_column(TIME).to_numpy()
        if named_zone is not None:
            times, keeps = named_zone.utc(times)
            table = table.with_columns(pl.Series(TIME, times)).filter(pl.Series(keeps))
        elif offset is not None:
            table = table.with_columns(pl.Series(TIME, times - offset))
        else:
            times, touched = shifted(times, first, changes)
            tallies.add(Reason.CLOCK_CHANGED, touched)
            table = table.with_columns(pl.Series(TIME, times))
        first += part.rows
        part.path.unlink()
        if table.height:
            moved.append(written_part(table, part.path))
    return moved


def _require_rows(parts: Sequence[Part], tallies: Tallies, name: str) -> None:
    """A log of which more is left out than is read has been misunderstood."""
    rows = sum(part.rows for part in parts)
    told = [
        tally for tally in tallies.told() if tally.reason in {Reason.WRONG_COUNT, Reason.NO_TIME, Reason.UNCLOSED_QUOTE}
    ]
    lost = sum(tally.count for tally in told)
    if rows >= 2 and lost <= _HALF * (rows + lost):
        return
    worst = max(told, key=lambda tally: tally.count, default=None)
    line = worst.places[0].line if worst is not None and worst.places else None
    if worst is None or not lost:
        refuse(name, "it has fewer than two rows with a time", "Name a log with a row for each time.", line=line)
    example = f", such as {quoted(worst.places[0].text)}" if worst.places else ""
    refuse(
        name,
        f"{lost:,} of its {rows + lost:,} rows cannot be read: {worst.reason.value}{example}",
        "Export the log again, or say under [log] of the plant file how it is written.",
        line=line,
    )


def _require_different_times(parts: Sequence[Part], tallies: Tallies, name: str) -> None:
    rows = sum(part.rows for part in parts)
    same = sum(tally.count for tally in tallies.told() if tally.reason is Reason.SAME_TIME)
    if rows < 2:
        refuse(name, "all its rows have the same time", "Export the log with its times written in full.")
    if same > rows:
        refuse(
            name,
            f"{same:,} of its rows have the time of a row before them and other values, so its times are written "
            "coarser than its rows follow",
            "Export the log with its seconds.",
        )


def _times(part: Part) -> Times:
    times: Times = pl.read_parquet(part.path, columns=[TIME], glob=False).get_column(TIME).to_numpy()
    return times


def _column(taken: Taken, values: int) -> Column:
    return Column(
        role=taken.role,
        header=taken.header,
        unit=taken.unit.text,
        dimension=taken.unit.dimension,
        says_datum=taken.unit.says_datum,
        basis=taken.basis,
        why=taken.why,
        values=values,
    )


def _unused(sources: Sequence[_Source], columns: dict[Role, Taken]) -> tuple[Unused, ...]:
    headers = {taken.header for taken in columns.values()}
    found = {
        unused.header: unused for source in sources for unused in source.roles.unused if unused.header not in headers
    }
    return tuple(list(found.values())[:_MOST_UNUSED])


def _zone(clock: Clock, sources: Sequence[_Source], wishes: LogWishes) -> str:
    match clock:
        case Clock.ELAPSED:
            return "Times count from a beginning that the log does not say; days and hours of the day are not known."
        case Clock.LOCAL:
            return (
                'No zone is said: times are those of the log\'s own clock. Write zone = "..." under [log] of the plant '
                "file to have them in UTC."
            )
        case Clock.UTC:
            said = (
                "the log says its zone"
                if sources[0].rule.has_zone
                else f"the clock of {wishes.zone}, as the plant file says"
            )
            return f"Times are in UTC: {said}."


def _layout(sources: Sequence[_Source]) -> str:
    first = sources[0].layout
    told = "Parquet." if first is None else first.described
    return told if len(sources) == 1 else f"{len(sources)} files; the first: {told}"


def _write(parts: Sequence[Part], columns: dict[Role, Taken], log: Log) -> None:
    rows = pl.scan_parquet([part.path for part in parts], glob=False).select(
        pl.col(TIME).cast(pl.Datetime("us", "UTC")), *(pl.col(role.value) for role in columns)
    )
    told = LOG.dump_json(replace(log, parquet=Path())).decode()
    rows.sink_parquet(
        log.parquet, compression="zstd", compression_level=1, row_group_size=ROW_GROUP, metadata={METADATA_KEY: told}
    )

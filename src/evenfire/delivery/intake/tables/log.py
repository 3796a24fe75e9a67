"""The table [log]: how the log of a boiler is laid out, where that cannot be told from the log itself."""

from typing import Annotated, Any, Final

from pydantic import AfterValidator, Field

from evenfire.delivery.intake.logs.wishes import DIMENSIONS, ColumnWish, Decimals, LogWishes, Role
from evenfire.delivery.intake.tables.quantities import described
from evenfire.delivery.intake.tables.refusal import refusal
from evenfire.delivery.intake.tables.table import Table, optional, required
from evenfire.delivery.intake.tables.texts import Name
from evenfire.delivery.units import accepted
from evenfire.delivery.units.finding import find_unit

LONGEST_HEADER: Final = 300
FORMATS: Final = (
    "day first",
    "month first",
    "year first",
    "excel",
    "epoch s",
    "epoch ms",
    "seconds",
    "minutes",
    "hours",
)
_PLAIN: Final = ("1", "fraction")


def _header(text: str) -> str:
    if not text.strip():
        raise refusal(f"{described(text)} is empty", "Write the header of a column, or take the key away.")
    return text


def _time_format(text: str) -> str:
    plain = " ".join(text.split())
    if plain not in FORMATS and "%" not in plain:
        listed = ", ".join(f'"{each}"' for each in FORMATS)
        raise refusal(
            f"{described(text)} is no format of times", f'Write {listed}, or directives such as "%d.%m.%Y %H:%M:%S".'
        )
    return plain


def _zone(text: str) -> str:
    from evenfire.delivery.intake.logs.fixed_zones import FIXED

    plain = text.strip()
    if FIXED.fullmatch(plain) is None and not _is_known(plain):
        raise refusal(
            f"{described(text)} is no zone that is known here",
            'Write a name such as "Europe/Berlin", or "UTC+01:00" for a clock that is never changed.',
        )
    return plain


def _is_known(name: str) -> bool:
    from zoneinfo import ZoneInfo

    try:
        ZoneInfo(name)
    except (OSError, ValueError, LookupError):
        return False
    return True


Header = Annotated[str, Field(max_length=LONGEST_HEADER), AfterValidator(_header)]
TimeFormat = Annotated[str, Field(max_length=60), AfterValidator(_time_format)]
Zone = Annotated[str, Field(max_length=60), AfterValidator(_zone)]


class LogColumnTable(Table):
    """A column of the log."""

    column: Header = required("Header of the column, as it stands in the log.", "Steam pressure")
    unit: Name | None = optional(
        "Its unit, where the header does not say it or says it wrongly. Of a pressure, psig or bar g counts from the "
        "air, psia or bar abs from nothing; without a mark it counts as gauge.",
        "psi",
        "bar abs",
    )


def _column(what: str, header: str, unit: str | None = None) -> Any:
    example = {"column": header} if unit is None else {"column": header, "unit": unit}
    return optional(f"The column with {what}.", example)


class LogTable(Table):
    """How the log of this boiler is laid out. What is left out is guessed from the log, and shown as a guess."""

    time: Header | None = optional("Header of the column with the time, or with the day and the time.", "Time")
    date: Header | None = optional("Header of the column with the day, where the time of day stands apart.", "Date")
    time_format: TimeFormat | None = optional(
        "How times are written: day first, month first, year first, excel, epoch s, epoch ms, seconds, minutes or "
        "hours since an unknown beginning, or directives such as %d.%m.%Y %H:%M:%S.",
        "day first",
        "%d.%m.%Y %H:%M:%S",
    )
    zone: Zone | None = optional(
        "Zone of the log's clock: a name such as Europe/Berlin, or UTC+01:00 for a clock that is never changed.",
        "America/Chicago",
        "UTC+01:00",
    )
    decimals: Annotated[Decimals, Field(strict=False)] | None = optional(
        "What marks decimals in the log: point or comma.", "point", "comma"
    )
    pressure: LogColumnTable | None = _column("the pressure of the boiler", "Steam pressure", "psi")
    firing: LogColumnTable | None = _column("the firing rate", "Firing rate", "%")
    flame: LogColumnTable | None = _column("the flame, on or off", "Flame")
    steam_flow: LogColumnTable | None = _column("the steam flow", "Steam flow", "lb/h")
    feed_flow: LogColumnTable | None = _column("the flow of feedwater", "Feed flow", "lb/h")
    feed_pump: LogColumnTable | None = _column("the feed pump, on or off or its speed", "Feed pump")
    fuel: LogColumnTable | None = _column("the flow of fuel, or its heat", "Gas flow", "ft3/h")
    level: LogColumnTable | None = _column("the water level", "Water level", "%")
    steam_temperature: LogColumnTable | None = _column("the temperature of the steam", "Steam temperature", "F")
    run_time: LogColumnTable | None = _column("the counter of the burner's hours", "Burner hours", "h")

    def wishes(self) -> LogWishes:
        """What the table says, for the reading of a log."""
        columns = tuple(self._wish(role) for role in Role if getattr(self, role.value) is not None)
        return LogWishes(
            columns=columns,
            time=self.time,
            date=self.date,
            time_format=self.time_format,
            zone=self.zone,
            decimals=self.decimals,
        )

    def value(self) -> LogWishes:
        """The same, with what cannot be refused."""
        if self.date is not None and self.time is None:
            raise refusal("date is given without time", "Name the column with the time of day too.", key="date")
        for role in Role:
            table = getattr(self, role.value)
            if table is not None and table.unit is not None and not _fits(table.unit, role):
                raise refusal(
                    f"{described(table.unit)} is no unit of {' or '.join(each.value for each in DIMENSIONS[role])}",
                    " ".join(accepted(each) for each in DIMENSIONS[role]),
                    key=f"{role.value}.unit",
                )
        headers = [getattr(self, role.value).column for role in Role if getattr(self, role.value) is not None]
        twice = next((header for header in headers if headers.count(header) > 1), None)
        if twice is not None:
            raise refusal(f"{described(twice)} is named for two things", "Name each column once.", key="")
        return self.wishes()

    def _wish(self, role: Role) -> ColumnWish:
        table: LogColumnTable = getattr(self, role.value)
        return ColumnWish(role=role, header=table.column, unit=table.unit)


def _fits(unit: str, role: Role) -> bool:
    return unit in _PLAIN or any(find_unit(unit, dimension) is not None for dimension in DIMENSIONS[role])

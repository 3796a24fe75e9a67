"""How a log is written: which columns, in which units and words, by which clock."""

from dataclasses import dataclass
from typing import Final

from evenfire.delivery.intake.logs.wishes import Role


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit as a header says it."""

    text: str
    factor: float
    """[SI of one]"""
    zero: float = 0.0
    """[SI at nought]"""
    quantum: float = 0.0
    """Step of what is written, in the unit"""
    is_absolute: bool = False


PSI: Final = 6894.757
POUND_H: Final = 0.45359237 / 3600.0
PRESSURES: Final = {
    "us": (
        Unit(text="psi", factor=PSI, quantum=0.1),
        Unit(text="psig", factor=PSI, quantum=0.5),
        Unit(text="psig", factor=PSI, quantum=0.01),
        Unit(text="psia", factor=PSI, quantum=0.1, is_absolute=True),
        Unit(text="psi", factor=PSI, quantum=1.0),
    ),
    "si": (
        Unit(text="bar", factor=1e5, quantum=0.01),
        Unit(text="kPa", factor=1e3, quantum=1.0),
        Unit(text="bar g", factor=1e5, quantum=0.05),
        Unit(text="bar abs", factor=1e5, quantum=0.01, is_absolute=True),
        Unit(text="kPa", factor=1e3, quantum=0.1),
    ),
}
"""The quantum is that of a display or a converter, common practice, no source."""
SHARE: Final = Unit(text="%", factor=0.01, quantum=0.1)
FLOWS: Final = {
    "us": Unit(text="lb/h", factor=POUND_H, quantum=1.0),
    "si": Unit(text="kg/h", factor=1.0 / 3600.0, quantum=1.0),
}
HEATS: Final = {
    "us": Unit(text="MMBtu/h", factor=293_071.07, quantum=0.001),
    "si": Unit(text="kW", factor=1e3, quantum=1.0),
}
TEMPERATURES: Final = {
    "us": Unit(text="F", factor=5.0 / 9.0, zero=255.372222, quantum=0.1),
    "si": Unit(text="C", factor=1.0, zero=273.15, quantum=0.1),
}
HOURS: Final = Unit(text="h", factor=3600.0, quantum=0.01)
SWITCH: Final = Unit(text="", factor=1.0, quantum=1.0)

ENGLISH: Final = {
    Role.PRESSURE: "Steam pressure",
    Role.FIRING: "Firing rate",
    Role.FLAME: "Flame",
    Role.STEAM_FLOW: "Steam flow",
    Role.FEED_FLOW: "Feedwater flow",
    Role.FEED_PUMP: "Feed pump",
    Role.FUEL: "Fuel input",
    Role.LEVEL: "Water level",
    Role.STEAM_TEMPERATURE: "Steam temperature",
    Role.RUN_TIME: "Burner hours",
}
GERMAN: Final = {
    Role.PRESSURE: "Kesseldruck",
    Role.FIRING: "Brennerleistung",
    Role.FLAME: "Flamme",
    Role.STEAM_FLOW: "Dampfmenge",
    Role.FEED_FLOW: "Speisewassermenge",
    Role.FEED_PUMP: "Speisepumpe",
    Role.FUEL: "Brennstoffmenge",
    Role.LEVEL: "Wasserstand",
    Role.STEAM_TEMPERATURE: "Dampftemperatur",
    Role.RUN_TIME: "Betriebsstunden",
}
FRENCH: Final = {
    Role.PRESSURE: "Pression vapeur",
    Role.FIRING: "Allure brûleur",
    Role.FLAME: "Flamme",
    Role.STEAM_FLOW: "Débit vapeur",
    Role.FEED_FLOW: "Débit eau alimentaire",
    Role.FEED_PUMP: "Pompe alimentaire",
    Role.FUEL: "Débit gaz",
    Role.LEVEL: "Niveau d'eau",
    Role.STEAM_TEMPERATURE: "Température vapeur",
    Role.RUN_TIME: "Heures brûleur",
}
TAGS: Final = {
    Role.PRESSURE: "PT-101",
    Role.FIRING: "ZT-110",
    Role.FLAME: "BS-111",
    Role.STEAM_FLOW: "FT-120",
    Role.FEED_FLOW: "FT-130",
    Role.FEED_PUMP: "P-131",
    Role.FUEL: "FT-140",
    Role.LEVEL: "LT-150",
    Role.STEAM_TEMPERATURE: "TT-102",
    Role.RUN_TIME: "KQ-112",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialect:
    """A way in which some logger writes."""

    name: str
    system: str
    """us or si"""
    words: dict[Role, str]
    time: str
    """Header of the column with the time"""
    format: str
    """Directives, or epoch s, epoch ms, seconds"""
    zone: str | None
    """Of its clock; nothing for UTC and for clocks that count from a beginning"""
    says_zone: bool = False
    """Whether the plant file says the zone"""
    says_columns: bool = False
    """Whether the plant file says which column is what"""
    mark: str = ","
    decimals: str = "."
    encoding: str = "utf-8"
    unit_row: bool = False
    preamble: tuple[str, ...] = ()
    switch: tuple[str, str] = ("0", "1")
    blank: str = ""
    """What stands for a missing value"""
    date: str | None = None
    """Header of a day that stands apart"""
    is_parquet: bool = False
    line_end: str = "\n"


BERLIN, CHICAGO = "Europe/Berlin", "America/Chicago"
DIALECTS: Final = (
    Dialect(name="plain", system="us", words=ENGLISH, time="Time", format="%Y-%m-%d %H:%M:%S", zone=CHICAGO),
    Dialect(
        name="plain, zone said",
        system="si",
        words=ENGLISH,
        time="Timestamp",
        format="%Y-%m-%d %H:%M:%S",
        zone=BERLIN,
        says_zone=True,
        switch=("OFF", "ON"),
        blank="NaN",
    ),
    Dialect(
        name="German",
        system="si",
        words=GERMAN,
        time="Zeit",
        format="%d.%m.%Y %H:%M:%S",
        zone=BERLIN,
        mark=";",
        decimals=",",
        encoding="cp1252",
        switch=("AUS", "EIN"),
        blank="---",
        line_end="\r\n",
    ),
    Dialect(
        name="French with a row of units",
        system="si",
        words=FRENCH,
        time="Date",
        format="%d/%m/%Y %H:%M:%S",
        zone="Europe/Paris",
        says_zone=True,
        mark=";",
        decimals=",",
        encoding="utf-8-sig",
        unit_row=True,
        switch=("0", "1"),
    ),
    Dialect(
        name="American with tags",
        system="us",
        words=TAGS,
        time="Date/Time",
        format="%m/%d/%Y %I:%M:%S %p",
        zone=CHICAGO,
        says_columns=True,
        mark="\t",
        blank="Bad",
        preamble=("Trend export", "Group 4"),
    ),
    Dialect(name="epoch", system="us", words=ENGLISH, time="time", format="epoch s", zone=None, blank="-9999"),
    Dialect(
        name="elapsed",
        system="us",
        words=ENGLISH,
        time="Elapsed [s]",
        format="seconds",
        zone=None,
        switch=("off", "on"),
    ),
    Dialect(
        name="day apart",
        system="us",
        words=ENGLISH,
        time="Clock",
        date="Day",
        format="%Y-%m-%d %H:%M:%S",
        zone=CHICAGO,
        says_columns=True,
    ),
    Dialect(
        name="Parquet", system="si", words=ENGLISH, time="time", format="%Y-%m-%d %H:%M:%S", zone=None, is_parquet=True
    ),
    Dialect(
        name="Parquet of a local clock",
        system="us",
        words=ENGLISH,
        time="Time",
        format="%Y-%m-%d %H:%M:%S",
        zone=CHICAGO,
        says_zone=True,
        is_parquet=True,
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A column as it is written."""

    role: Role
    header: str
    """With its unit, where the header says it"""
    unit: Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """How one log is written, and how its times hang together with the seconds of the run."""

    dialect: Dialect
    columns: tuple[Written, ...]
    intervals: tuple[int, ...]
    """Times between rows [s]; several for a log of mixed sampling"""
    begin: int
    """UTC of the first second of the run [s since 1970]"""
    shift: float
    """What a kept time shows above UTC [s]"""
    is_absolute: bool
    """Whether the pressure is written from nothing"""
    says_datum: bool
    """Whether its unit says so"""
    firing_shows: str
    """What the firing rate counts: "rate", a share of full fire, or "stroke", of the drive above low fire"""
    clock_changes: bool
    """Whether summer time begins or ends within the log"""
    log_table: str
    """The table [log] of the plant file; empty where all can be guessed"""

    def has(self, *roles: Role) -> bool:
        """Whether any of these has a column."""
        return any(column.role in roles for column in self.columns)

    def kept_time(self, second: float) -> float:
        """What a kept log shows for a second of the run [s since 1970]."""
        return self.begin + second + self.shift

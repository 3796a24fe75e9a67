"""What a plant file says of its log: which column is what, in which unit, how its times are written."""

from dataclasses import dataclass
from enum import Enum
from typing import Final

from evenfire.si import Dimension


class Role(Enum):
    """What a column of a log tells."""

    PRESSURE = "pressure"
    FIRING = "firing"
    FLAME = "flame"
    STEAM_FLOW = "steam_flow"
    FEED_FLOW = "feed_flow"
    FEED_PUMP = "feed_pump"
    FUEL = "fuel"
    LEVEL = "level"
    STEAM_TEMPERATURE = "steam_temperature"
    RUN_TIME = "run_time"


DIMENSIONS: Final = {
    Role.PRESSURE: (Dimension.GAUGE_PRESSURE,),
    Role.FIRING: (Dimension.FRACTION,),
    Role.FLAME: (Dimension.FRACTION,),
    Role.STEAM_FLOW: (Dimension.MASS_FLOW,),
    Role.FEED_FLOW: (Dimension.MASS_FLOW, Dimension.VOLUME_FLOW),
    Role.FEED_PUMP: (Dimension.FRACTION,),
    Role.FUEL: (Dimension.MASS_FLOW, Dimension.VOLUME_FLOW, Dimension.POWER),
    Role.LEVEL: (Dimension.FRACTION, Dimension.LENGTH),
    Role.STEAM_TEMPERATURE: (Dimension.TEMPERATURE,),
    Role.RUN_TIME: (Dimension.TIME,),
}
"""In what each role may be measured; a gauge pressure may also be given as an absolute one, and is then kept so."""


class Decimals(Enum):
    """What marks the decimals."""

    POINT = "point"
    COMMA = "comma"


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnWish:
    """The column that has a role, as the plant file names it."""

    role: Role
    header: str
    unit: str | None = None
    """Nothing when the header says it"""


@dataclass(frozen=True, slots=True, kw_only=True)
class LogWishes:
    """All that a plant file says of its log; what it leaves out is guessed, and shown as a guess."""

    columns: tuple[ColumnWish, ...] = ()
    time: str | None = None
    """Header of the column with the time, or with the day and the time"""
    date: str | None = None
    """Header of the column with the day, where the time stands apart"""
    time_format: str | None = None
    """"day first", "month first", "year first", "excel", "epoch s", "epoch ms", or directives such as %d.%m.%Y %H:%M"""
    zone: str | None = None
    """Such as "Europe/Berlin", or "UTC+01:00" for a clock that is never changed"""
    decimals: Decimals | None = None

    def of(self, role: Role) -> ColumnWish | None:
        """What is said of a role."""
        return next((wish for wish in self.columns if wish.role is role), None)

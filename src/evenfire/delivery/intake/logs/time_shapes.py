"""The shapes in which a time is written, and the directives that read each of them."""

import re
from dataclasses import dataclass
from enum import Enum
from typing import Final


class Order(Enum):
    """In which order a date has its parts."""

    SURE = "year, month, day, or the month by its name"
    DAY = "day first"
    MONTH = "month first"
    YEAR = "year first"


@dataclass(frozen=True, slots=True)
class Shape:
    """How a text is written: directives for each order in which its date may be read."""

    directives: tuple[tuple[Order, str], ...]
    has_clock: bool
    has_zone: bool

    @property
    def is_sure(self) -> bool:
        """Whether it can be read in one way only."""
        return len(self.directives) == 1


_DATE: Final = re.compile(
    r"(?P<iso>\d{4}([-/.])\d{1,2}\2\d{1,2})|(?P<late>\d{1,2}([-/.])\d{1,2}\4(?:\d{4}|\d{2})(?!\d))|(?P<compact>\d{8})"
    r"|(?P<named>\d{1,2}([- ])[A-Za-z]{3}\7(?:\d{4}|\d{2})(?!\d))|(?P<american>[A-Za-z]{3} \d{1,2}, \d{4})"
)
_CLOCK: Final = re.compile(r"\d{1,2}:\d{1,2}(?P<s>:\d{1,2}(?P<f>[.,]\d{1,9})?)?(?P<half>(?P<gap> ?)[AaPp][Mm])?")
_COMPACT_CLOCK: Final = re.compile(r"\d{6}")
_ZONE: Final = re.compile(r"(?P<gap> ?)(?:(?P<z>Z|UTC|GMT)|(?P<offset>[+-]\d{2}:?\d{2})|(?P<short>CET|CEST|MEZ|MESZ))")
_GAP: Final = re.compile(r"[T ]|, ")
MONTHS: Final = {"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}
ZONE_OFFSETS: Final = {
    "Z": "+0000", "UTC": "+0000", "GMT": "+0000", "CET": "+0100", "MEZ": "+0100", "CEST": "+0200", "MESZ": "+0200",
}  # fmt: skip
LONGEST: Final = 48


def tidy(text: str) -> str:
    """A time as the shapes know it: single blanks, am and pm without full stops."""
    plain = " ".join(text.split())
    return re.sub(r"\b([AaPp])\. ?[Mm]\.", r"\1m", plain)


def is_time(text: str) -> bool:
    """Whether a text is a time of some shape, with a day or a clock; a plain number is none."""
    return len(text) <= LONGEST and (shape_of(text) is not None or is_clock(text)) and not text.isdigit()


def is_clock(text: str) -> bool:
    """Whether a text is a time of day alone."""
    return _CLOCK.fullmatch(tidy(text)) is not None


def shape_of(text: str) -> Shape | None:
    """The shape of a text that holds a day, with a time of day or without."""
    if len(text) > LONGEST:
        return None
    plain = tidy(text)
    date = _DATE.match(plain)
    if date is None:
        return None
    dates = _date_directives(date)
    rest = plain[date.end() :]
    if not dates:
        return None
    if not rest:
        return Shape(dates, has_clock=False, has_zone=False)
    gap = _GAP.match(rest)
    clock, after = _clock_directives(rest[gap.end() :]) if gap else (None, "")
    if clock is None or gap is None:
        return None
    zone = _ZONE.fullmatch(after) if after else None
    if after and zone is None:
        return None
    tail = "" if zone is None else f"{zone['gap']}%z"
    return Shape(
        tuple((order, directive + gap[0] + clock + tail) for order, directive in dates),
        has_clock=True,
        has_zone=zone is not None,
    )


def _date_directives(date: re.Match[str]) -> tuple[tuple[Order, str], ...]:
    text = date[0]
    if date["iso"]:
        mark = date[2]
        return ((Order.SURE, f"%Y{mark}%m{mark}%d"),)
    if date["late"]:
        mark = date[4]
        return _late(mark, len(text.rpartition(mark)[2]) == 4)
    if date["compact"]:
        return ((Order.SURE, "%Y%m%d"),) if "1970" <= text[:4] <= "2100" and "01" <= text[4:6] <= "12" else ()
    if date["named"]:
        mark = date[7]
        if text.split(mark)[1].casefold() not in MONTHS:
            return ()
        return ((Order.SURE, f"%d{mark}%b{mark}" + ("%Y" if len(text.rpartition(mark)[2]) == 4 else "%y")),)
    return ((Order.SURE, "%b %d, %Y"),) if text[:3].casefold() in MONTHS else ()


def _late(mark: str, has_century: bool) -> tuple[tuple[Order, str], ...]:
    year = "%Y" if has_century else "%y"
    day = (Order.DAY, f"%d{mark}%m{mark}{year}")
    if mark == ".":
        # Where dates are written with full stops the day stands first.
        return (day,)
    month = (Order.MONTH, f"%m{mark}%d{mark}{year}")
    return (day, month) if has_century or mark == "/" else (day, month, (Order.YEAR, f"%y{mark}%m{mark}%d"))


def _clock_directives(rest: str) -> tuple[str | None, str]:
    """Directives of the time of day, and what stands behind it."""
    clock = _CLOCK.match(rest)
    if clock is None:
        compact = _COMPACT_CLOCK.match(rest)
        return ("%H%M%S", rest[compact.end() :]) if compact else (None, "")
    seconds = "" if not clock["s"] else ":%S%.f" if clock["f"] else ":%S"
    if clock["half"]:
        return f"%I:%M{seconds}{clock['gap']}%p", rest[clock.end() :]
    return f"%H:%M{seconds}", rest[clock.end() :]

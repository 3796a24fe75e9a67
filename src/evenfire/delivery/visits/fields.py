"""The fields of a visit: which there are, what each holds, and how what was typed into one is read."""

import difflib
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from typing import Final

from evenfire.delivery.units import read
from evenfire.errors import BadEntry, UnreadableQuantity
from evenfire.judgement.trip_test.devices import Device
from evenfire.judgement.trip_test.trip import TESTED, Method
from evenfire.plant.controls import Filling, Position, Role
from evenfire.plant.settings import Switch
from evenfire.si import AbsPa, Dimension


class Holds(Enum):
    """What a field holds when it holds no quantity."""

    TEXT = "text"
    YES_NO = "yes or no"
    COUNT = "a whole number"
    MOMENT = "a day and time such as 2026-11-25 10:42"
    DAY = "a day such as 2026-11-25"
    HASH = "the hash of an attachment"
    LINES = "one thing a line, or none"
    ROLES = "controls, one a line, or none"


@dataclass(frozen=True, slots=True)
class Choice:
    """A field that holds one of a few words."""

    words: tuple[str, ...]


Kind = Dimension | Holds | Choice


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """What a text means in its field."""

    unit: str | None = None
    """As typed"""
    si: str | None = None
    """Decimal text"""
    why_not: str | None = None
    """Why it could not be read"""


class Service(Enum):
    """How the boiler is left."""

    IN_SERVICE = "in service"
    OUT_OF_SERVICE = "out of service"


_GAUGE, _DIFFERENCE = Dimension.GAUGE_PRESSURE, Dimension.PRESSURE_DIFFERENCE

DIALS: Final[dict[str, Kind]] = {
    "operating_limit": _GAUGE,
    "operating_limit_differential": _DIFFERENCE,
    "high_limit": _GAUGE,
    "firing_rate": _GAUGE,
    "firing_rate_differential": _DIFFERENCE,
    "low_fire_hold": _GAUGE,
}
"""The dials, under the keys of a plant file."""

ONCE: Final[dict[str, dict[str, Kind]]] = {
    "call": {
        "reason": Holds.TEXT,
        "consent": Holds.TEXT,
        "arrived": Holds.MOMENT,
        "given_up": Holds.TEXT,
    },
    "as_found": {
        **DIALS,
        "switch": Choice(tuple(each.value for each in Switch)),
        "manual_cap": Dimension.FRACTION,
        "jumpers": Holds.LINES,
        "unexplained_resets": Holds.COUNT,
    },
    "proposed": {
        **DIALS,
        "proved": Holds.ROLES,
        "plant_revision": Holds.TEXT,
        "engine_version": Holds.TEXT,
    },
    "as_left": {
        **DIALS,
        "switch": Choice(tuple(each.value for each in Switch)),
        "jumpers": Holds.LINES,
        "cycles_seen": Holds.COUNT,
        "service": Choice(tuple(each.value for each in Service)),
        "locked_out_by": Holds.TEXT,
    },
}
"""Tables that a visit has once."""

MANY: Final[dict[str, dict[str, Kind]]] = {
    "temporary": {
        "what": Holds.TEXT,
        "reason": Holds.TEXT,
        "opened_by": Holds.TEXT,
        "opened_at": Holds.MOMENT,
        "closed_by": Holds.TEXT,
        "closed_at": Holds.MOMENT,
        "verified_by": Holds.TEXT,
    },
    "trip": {
        "control": Choice(tuple(role.value for role in TESTED)),
        "method": Choice(tuple(method.value for method in Method)),
        "set": _GAUGE,
        "within": _DIFFERENCE,
        "dial": _GAUGE,
        "gauge": Holds.TEXT,
        "gauge_leg": Dimension.LENGTH,
        "gauge_hangs": Choice(tuple(position.value for position in Position)),
        "gauge_leg_is": Choice(tuple(filling.value for filling in Filling)),
        "rise": _DIFFERENCE,
        "at_low_fire": Holds.YES_NO,
        "at_the_stop": Holds.TEXT,
        "opened": Holds.YES_NO,
        "stopped_by_hand": _GAUGE,
        "early_reset_took": Holds.YES_NO,
        "held_until_reset": Holds.YES_NO,
        "restarted_at": _GAUGE,
        "note": Holds.TEXT,
    },
    "device": {
        "kind": Choice(tuple(each.value for each in Device)),
        "valve": Holds.TEXT,
        "works": Holds.YES_NO,
        "took": Dimension.TIME,
        "at": _GAUGE,
        "note": Holds.TEXT,
    },
    "move": {"words": Holds.TEXT, "done_at": Holds.MOMENT, "done_by": Holds.TEXT},
    "photo": {"hash": Holds.HASH, "shows": Holds.TEXT},
    "note": {"text": Holds.TEXT},
}
"""Tables that a visit has any number of, counted from 1."""

REPEATED: Final[dict[str, dict[str, Kind]]] = {"trip": {"reading": _GAUGE, "burner_off": Dimension.TIME}}
"""Fields of a numbered table that are numbered themselves: one for each repeat of a test."""

MOST_ROWS: Final = 99

_NEVER_BELOW_NOTHING: Final = frozenset({_DIFFERENCE, Dimension.TIME, Dimension.LENGTH})
_ROLES: Final = frozenset(role.value for role in Role)
_NUMBER: Final = re.compile(r"[1-9][0-9]?")
_UNIT: Final = re.compile(r"\s*[-+−]?[0-9.,]+(?:[eE][-+]?[0-9]+)?\s*(?P<unit>.*?)\s*")
_HASH: Final = re.compile(r"[0-9a-f]{64}")
_MOMENT: Final = "%Y-%m-%d %H:%M"
_YES, _NO = "yes", "no"
NONE_SEEN: Final = "none"


def kind_of(path: str) -> Kind:
    """What the field of a visit holds.

    Raises
    ------
    BadEntry
        A visit has no such field.
    """
    match path.split("."):
        case [table, key] if key in ONCE.get(table, {}):
            return ONCE[table][key]
        case [table, row, key] if key in MANY.get(table, {}) and _is_row(table, row):
            return MANY[table][key]
        case [table, row, key, repeat] if key in REPEATED.get(table, {}):
            if _NUMBER.fullmatch(row) and _NUMBER.fullmatch(repeat):
                return REPEATED[table][key]
    near = difflib.get_close_matches(path, _every_path(), n=1)
    hint = f"a field of a visit, such as {near[0]}" if near else "a field of a visit"
    raise BadEntry(what="path", found=path, must_be=hint)


def _is_row(table: str, row: str) -> bool:
    """Rows count from 1, and moves from 0 where the burner is locked out before the first."""
    return _NUMBER.fullmatch(row) is not None or (table, row) == ("move", "0")


def typed(path: str, text: str, *, ambient: AbsPa | None = None) -> Typed:
    """What a text means in the field of a visit; an empty one takes back what stood there and means nothing.

    Raises
    ------
    BadEntry
        A visit has no such field.
    """
    kind, plain = kind_of(path), text.strip()
    if not plain:
        return Typed()
    if isinstance(kind, Dimension):
        return _quantity(plain, kind, ambient)
    if isinstance(kind, Choice):
        words = ", ".join(kind.words)
        return Typed() if plain in kind.words else Typed(why_not=f"it is none of: {words}")
    return Typed() if _is(plain, kind) else Typed(why_not=f"it is not {kind.value}")


def number(si: str) -> float:
    """The value of an entry's decimal text [SI]."""
    return float(Decimal(si))


def moment(text: str) -> datetime:
    """Day and time as typed; of the place, without a zone."""
    return datetime.strptime(text.strip(), _MOMENT)  # noqa: DTZ007  the clock on the wall of the boiler room


def lines(text: str) -> tuple[str, ...]:
    """One thing a line; none when the text says that none were seen."""
    found = tuple(line.strip() for line in text.splitlines() if line.strip())
    return () if found == (NONE_SEEN,) else found


def is_yes(text: str) -> bool:
    """Whether a yes was typed."""
    return text.strip() == _YES


def _quantity(text: str, dimension: Dimension, ambient: AbsPa | None) -> Typed:
    try:
        value = read(text, dimension, ambient=ambient).value
    except UnreadableQuantity as error:
        return Typed(why_not=f"it {error.why}. {error.accepted}")
    if dimension in _NEVER_BELOW_NOTHING and value < 0.0:
        return Typed(why_not="it is below nothing")
    if dimension is Dimension.FRACTION and not 0.0 <= value <= 1.0:
        return Typed(why_not="it is no share between nothing and all")
    found = _UNIT.fullmatch(text)
    # The shortest decimal that gives the same number back: what is signed carries no binary fraction.
    return Typed(unit=found["unit"] if found and found["unit"] else None, si=format(Decimal(repr(value)), "f"))


def _is(text: str, kind: Holds) -> bool:
    match kind:
        case Holds.TEXT | Holds.LINES:
            return True
        case Holds.YES_NO:
            return text in {_YES, _NO}
        case Holds.ROLES:
            return set(lines(text)) <= _ROLES
        case Holds.COUNT:
            return text.isascii() and text.isdigit() and len(text) <= 4
        case Holds.HASH:
            return _HASH.fullmatch(text) is not None
        case Holds.MOMENT:
            return _reads(text, moment)
        case Holds.DAY:
            return _reads(text, date.fromisoformat)


def _reads(text: str, reader: Callable[[str], object]) -> bool:
    try:
        reader(text)
    except ValueError:
        return False
    return True


def _every_path() -> list[str]:
    once = [f"{table}.{key}" for table, keys in ONCE.items() for key in keys]
    many = [f"{table}.1.{key}" for table, keys in MANY.items() for key in keys]
    repeated = [f"{table}.1.{key}.1" for table, keys in REPEATED.items() for key in keys]
    return [*once, *many, *repeated]

"""What a text box of a survey may hold, told from the plant file's own tables, and how a text in it is read."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import Enum
from typing import Annotated, Any, Final, Literal, assert_never, get_args, get_origin

from annotated_types import Ge, Gt, Le, Lt, MaxLen, MinLen
from pydantic.fields import FieldInfo

from evenfire.delivery.intake.tables.quantities import As, AsOrShare, ShareOrWord
from evenfire.delivery.units import read
from evenfire.delivery.visits.fields import NONE_SEEN
from evenfire.delivery.words import survey as words
from evenfire.errors import UnreadableQuantity
from evenfire.si import AbsPa, Dimension, Quantity

Value = str | int | bool | Decimal | date | list[str]
"""What a field says, as the plant file holds it."""


@dataclass(frozen=True, slots=True)
class OrShare:
    """A quantity, or a share of something that the field names."""

    dimension: Dimension


@dataclass(frozen=True, slots=True)
class ShareOr:
    """A share, or one of a few words that stand for one."""

    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OneOf:
    """One of a few words."""

    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class YesNo:
    """Yes or no."""


@dataclass(frozen=True, slots=True)
class Day:
    """A day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainNumber:
    """A number without a unit."""

    is_whole: bool
    least: float
    """[1]"""
    is_above: bool
    """Whether it lies above the least, and not on it"""
    most: float
    """[1]"""


@dataclass(frozen=True, slots=True)
class Text:
    """A text on one line."""

    longest: int
    """[characters]"""


@dataclass(frozen=True, slots=True)
class Listed:
    """Several, one a line; none where there are none."""

    each: Dimension | Text | OneOf
    least: int
    """[1]"""
    most: int
    """[1]"""


Holds = Dimension | OrShare | ShareOr | OneOf | YesNo | Day | PlainNumber | Text | Listed


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a text means in its field; either a value or why there is none."""

    value: Value | None = None
    quantity: Quantity | None = None
    """Where it is one"""
    why_not: str | None = None


class _Refused(Exception):
    """Why a text cannot be read."""


_YES: Final = frozenset({"yes", "true"})
_NO: Final = frozenset({"no", "false"})
_WHOLE: Final = re.compile(r"-?(0|[1-9][0-9]{0,14})")
_DECIMAL: Final = re.compile(r"-?(0|[1-9][0-9]{0,14})\.[0-9]{1,30}")
_PLAIN: Final = frozenset({Dimension.NUMBER, Dimension.FRACTION})
_LONGEST_TEXT: Final = 500


def holds(field: FieldInfo) -> Holds:
    """What a key of the plant file holds."""
    if get_origin(field.annotation) is Literal:
        return OneOf(get_args(field.annotation))
    marks = list(_marks(field.annotation, field.metadata))
    types = [each for each in marks if isinstance(each, type)]
    if tuple in marks:
        return _listed(marks, types)
    for mark in marks:
        match mark:
            case As(dimension=dimension):
                return dimension
            case AsOrShare(dimension=dimension):
                return OrShare(dimension)
            case ShareOrWord(words=known):
                return ShareOr(known)
            case _:
                continue
    return _simple(marks, types)


def read_text(held: Holds, text: str, *, ambient: AbsPa | None = None) -> Reading:
    """What a text means that is not empty; ``ambient`` turns an absolute pressure into gauge [Pa]."""
    plain = text.strip()
    try:
        return _read(held, plain, ambient)
    except UnreadableQuantity as error:
        return Reading(why_not=f"it {error.why}. {error.accepted}")
    except _Refused as error:
        return Reading(why_not=str(error))


def _read(held: Holds, text: str, ambient: AbsPa | None) -> Reading:
    match held:
        case Dimension():
            return _quantity(text, held, ambient)
        case OrShare(dimension=dimension):
            return _or_share(text, dimension)
        case ShareOr(words=known):
            word = _word(text, known)
            return Reading(value=word) if word is not None else _quantity(text, Dimension.FRACTION, None)
        case OneOf(words=known):
            word = _word(text, known)
            if word is None:
                raise _Refused(words.NOT_A_WORD.format(words=", ".join(known)))
            return Reading(value=word)
        case YesNo():
            return Reading(value=_yes(text))
        case Day():
            return Reading(value=_day(text))
        case PlainNumber():
            return Reading(value=_number(text, held))
        case Text(longest=longest):
            return Reading(value=_printable(text, longest))
        case Listed():
            return Reading(value=_list(text, held))
        case _:
            assert_never(held)


def _quantity(text: str, dimension: Dimension, ambient: AbsPa | None) -> Reading:
    quantity = read(text, dimension, ambient=ambient)
    # As the file would hold it: a bare number where no unit is wanted.
    bare = _bare(text) if dimension in _PLAIN else None
    return Reading(value=text if bare is None else bare, quantity=quantity)


def _or_share(text: str, dimension: Dimension) -> Reading:
    try:
        return _quantity(text, Dimension.FRACTION, None)
    except UnreadableQuantity:
        return _quantity(text, dimension, None)


def _bare(text: str) -> int | Decimal | None:
    if _WHOLE.fullmatch(text):
        return int(text)
    return Decimal(text) if _DECIMAL.fullmatch(text) else None


def _word(text: str, known: tuple[str, ...]) -> str | None:
    folded = " ".join(text.casefold().split())
    return next((word for word in known if word.casefold() == folded), None)


def _yes(text: str) -> bool:
    said = text.casefold()
    if said not in _YES | _NO:
        raise _Refused(words.NOT_YES_NO)
    return said in _YES


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise _Refused(words.NOT_A_DAY) from None


def _number(text: str, held: PlainNumber) -> int | Decimal:
    number = _bare(text)
    if number is None or (held.is_whole and not isinstance(number, int)):
        raise _Refused(words.NOT_A_COUNT if held.is_whole else words.NOT_A_NUMBER.format(example="11.50"))
    if number < held.least or (held.is_above and number == held.least):
        raise _Refused(words.NOT_POSSIBLE.format(limit=f"{'above' if held.is_above else 'at least'} {held.least:g}"))
    if number > held.most:
        raise _Refused(words.NOT_POSSIBLE.format(limit=f"at most {held.most:,.10g}"))
    return number


def _printable(text: str, longest: int) -> str:
    if len(text) > longest:
        raise _Refused(words.TOO_LONG.format(most=longest))
    if not text.isprintable():
        raise _Refused(words.NOT_ON_ONE_LINE)
    return text


def _list(text: str, held: Listed) -> list[str]:
    found = [line.strip() for line in text.splitlines() if line.strip()]
    if found == [NONE_SEEN] and held.least == 0:
        return []
    if len(found) < held.least:
        raise _Refused(words.NOT_HOW_MANY.format(found=len(found), wanted=held.least))
    if len(found) > held.most:
        raise _Refused(words.TOO_MANY.format(most=held.most))
    said = []
    for number, line in enumerate(found, 1):
        reading = read_text(held.each, line)
        if reading.why_not is not None:
            raise _Refused(words.IN_LINE.format(line=number, why=reading.why_not))
        said.append(str(reading.value))
    return said


def _marks(annotation: Any, metadata: list[Any]) -> Iterator[Any]:
    """Every mark and every type of an annotation, from the outside in."""
    yield from metadata
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *marks = get_args(annotation)
        for mark in marks:
            yield from mark.metadata if isinstance(mark, FieldInfo) else (mark,)
        yield from _marks(inner, [])
    elif origin is None:
        yield annotation
    else:
        yield origin
        for each in get_args(annotation):
            yield from _marks(each, [])


def _limit(marks: list[Any], kind: type[Any], name: str) -> Any:
    return next((getattr(each, name) for each in marks if isinstance(each, kind)), None)


def _listed(marks: list[Any], types: list[type]) -> Listed:
    least = int(_limit(marks, MinLen, "min_length") or 0)
    most = int(_limit(marks, MaxLen, "max_length"))
    dimension = next((each.dimension for each in marks if isinstance(each, As)), None)
    if dimension is not None:
        return Listed(dimension, least, most)
    roles = _words_of(types)
    if roles:
        return Listed(OneOf(roles), least, most)
    longest = [each.max_length for each in marks if isinstance(each, MaxLen)]
    return Listed(Text(longest[-1]), least, most)


def _simple(marks: list[Any], types: list[type]) -> Holds:
    choices = _words_of(types)
    if choices:
        return OneOf(choices)
    known: dict[type, Callable[[], Holds]] = {
        bool: YesNo,
        date: Day,
        int: lambda: _numbers(marks, is_whole=True),
        float: lambda: _numbers(marks, is_whole=False),
        str: lambda: Text(int(_limit(marks, MaxLen, "max_length") or _LONGEST_TEXT)),
    }
    for kind, make in known.items():
        if kind in types:
            return make()
    raise TypeError(f"no text box can hold {types}")


def _numbers(marks: list[Any], *, is_whole: bool) -> PlainNumber:
    above, least = _limit(marks, Gt, "gt"), _limit(marks, Ge, "ge")
    most = _limit(marks, Le, "le")
    return PlainNumber(
        is_whole=is_whole,
        least=float(above if above is not None else least or 0),
        is_above=above is not None,
        most=float(most if most is not None else _limit(marks, Lt, "lt")),
    )


def _words_of(types: list[type]) -> tuple[str, ...]:
    return next((tuple(str(each.value) for each in kind) for kind in types if issubclass(kind, Enum)), ())

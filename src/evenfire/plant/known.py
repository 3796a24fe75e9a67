"""Known, assumed or missing: three states of a datum that are never mixed."""

from dataclasses import dataclass
from enum import Enum
from typing import TypeVar, overload

A = TypeVar("A")
B = TypeVar("B")
C = TypeVar("C")
D = TypeVar("D")
E = TypeVar("E")
F = TypeVar("F")


class Origin(Enum):
    """Where a value comes from; measured beats computed beats assumed."""

    SURVEYED = "surveyed"
    MEASURED = "measured"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True)
class Datum:
    """A number that may have been assumed, and carries the mark when it was."""

    value: float
    """[SI unit of the field that holds it]"""
    origin: Origin = Origin.SURVEYED
    assumption: str = ""
    """Name of the ``ASSUMED_`` constant, empty when nothing was assumed."""


@dataclass(frozen=True, slots=True)
class Missing:
    """A value nobody gave: the plant-file keys that would supply it."""

    keys: tuple[str, ...]


class NotKnownError(Exception):
    """Raised by :func:`known`, caught where a judgement is run; it never reaches a caller of the judgement."""

    def __init__(self, keys: tuple[str, ...]) -> None:
        super().__init__(keys)
        self.keys = keys


@overload
def known(a: A | Missing, /) -> tuple[A]: ...
@overload
def known(a: A | Missing, b: B | Missing, /) -> tuple[A, B]: ...
@overload
def known(a: A | Missing, b: B | Missing, c: C | Missing, /) -> tuple[A, B, C]: ...
@overload
def known(a: A | Missing, b: B | Missing, c: C | Missing, d: D | Missing, /) -> tuple[A, B, C, D]: ...
@overload
def known(
    a: A | Missing, b: B | Missing, c: C | Missing, d: D | Missing, e: E | Missing, /
) -> tuple[A, B, C, D, E]: ...
@overload
def known(
    a: A | Missing, b: B | Missing, c: C | Missing, d: D | Missing, e: E | Missing, f: F | Missing, /
) -> tuple[A, B, C, D, E, F]: ...
def known(*values: object) -> tuple[object, ...]:
    """All the values when each is known; otherwise :class:`NotKnownError` with every missing key at once."""
    missing = {key: None for value in values if isinstance(value, Missing) for key in value.keys}
    if missing:
        raise NotKnownError(tuple(missing))
    return values


def given(value: A | None, *keys: str) -> A | Missing:
    """The value, or the keys that would supply it."""
    return Missing(keys) if value is None else value

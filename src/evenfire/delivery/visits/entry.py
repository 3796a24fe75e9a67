"""An entry: one thing that one person typed into one field, kept for ever."""

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from evenfire.errors import BadEntry

LONGEST_TEXT: Final = 4000
"""Of what is typed into one field."""
LONGEST_PATH: Final = 120
MOMENT: Final = "%Y-%m-%dT%H:%M:%S.%fZ"
"""How a record writes when something was typed."""
MOST_REPLACED: Final = 50
"""Entries that one entry may replace."""

_ID: Final = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
_PATH: Final = re.compile(r"[a-z][a-z0-9_]*(\.[a-z0-9][a-z0-9_]*)*")


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What one person typed into one field of a draft, at one moment, on one device.

    Nothing is ever changed: a correction is another entry, based on the one it corrects. The id is made where it was
    typed, so that sending it twice is harmless.
    """

    id: str
    """A UUID, in small letters with hyphens"""
    draft: str
    """The visit or the survey draft that it belongs to, a UUID"""
    path: str
    """The field: ``as_found.high_limit``, ``trip.2.reading.1``"""
    text: str
    """As typed; empty takes back what stood there"""
    unit: str | None = None
    """As understood; nothing where the field holds no quantity"""
    si: str | None = None
    """Decimal text of the value in SI; nothing where there is none or it could not be read"""
    why_not: str | None = None
    """Why the text could not be read"""
    author: str
    """Person, by the id that the store gave"""
    device: str
    """Where it was typed, in words that tell a phone from a laptop"""
    at: datetime
    """UTC, by the clock of that device"""
    based_on: tuple[str, ...] = ()
    """The entries that it replaces; several when it settles a conflict"""

    def __post_init__(self) -> None:
        for name, text in (("id", self.id), ("draft", self.draft), *(("based_on", each) for each in self.based_on)):
            if _ID.fullmatch(text) is None:
                raise BadEntry(what=name, found=text, must_be="a UUID in small letters with hyphens")
        if _PATH.fullmatch(self.path) is None or len(self.path) > LONGEST_PATH:
            raise BadEntry(what="path", found=self.path, must_be="small letters, digits and dots, such as trip.1.gauge")
        if len(self.text) > LONGEST_TEXT:
            raise BadEntry(
                what=self.path, found=f"{len(self.text)} characters", must_be=f"at most {LONGEST_TEXT} characters"
            )
        if any((ord(sign) < ord(" ") and sign not in "\n\t") or "\ud800" <= sign <= "\udfff" for sign in self.text):
            raise BadEntry(what=self.path, found="a sign that is no text", must_be="plain text")
        if self.at.tzinfo is not UTC:
            raise BadEntry(what="at", found=self.at.isoformat(), must_be="a time in UTC")
        if self.si is not None and self.why_not is not None:
            raise BadEntry(what=self.path, found="a value and why it could not be read", must_be="one of the two")
        if len(self.based_on) > MOST_REPLACED or self.id in self.based_on:
            raise BadEntry(what="based_on", found=f"{len(self.based_on)} entries", must_be="other, earlier entries")

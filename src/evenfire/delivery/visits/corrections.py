"""What was changed on a visit after it was first entered: nothing that was overwritten is gone without a word."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from evenfire.delivery.visits.entry import Entry

TOLD_TABLES: Final = frozenset({"as_found", "temporary", "trip", "device"})
"""Of which every change is told on the signed record."""
JUMPERS: Final = frozenset({"as_found.jumpers", "as_left.jumpers"})
TESTS: Final = frozenset({"trip", "device"})
DECIDE_NOTHING: Final = frozenset({"note", "at_the_stop"})
"""Fields of a test; every other one may turn a failed test into one that passed, or into none at all."""
BETWEEN: Final = " / "
"""Between two values that one entry replaced."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Corrected:
    """One change of what stood in a field."""

    path: str
    was: str
    """As typed; several values between slashes where one entry settled a conflict, empty where it was taken back"""
    now: str
    """As typed; empty where it was taken back"""
    by: str
    """Person, by the id that the store gave"""
    at: datetime
    """UTC"""

    @property
    def is_taken_back(self) -> bool:
        """Whether nothing stands there any more."""
        return not self.now

    @property
    def is_of_jumpers(self) -> bool:
        """Whether it is what somebody saw of a bypass."""
        return self.path in JUMPERS

    @property
    def is_told(self) -> bool:
        """Whether the signed record tells it among its corrections."""
        return self.is_of_jumpers or self.path.split(".")[0] in TOLD_TABLES

    @property
    def is_decisive(self) -> bool:
        """Whether it may have turned a failed test into a pass, or taken away a bypass."""
        table, *rest = self.path.split(".")
        return self.is_of_jumpers or (table in TESTS and rest[1] not in DECIDE_NOTHING)


def corrected_by(entries: Iterable[Entry], earlier: Iterable[Entry]) -> tuple[Corrected, ...]:
    """What these entries changed of earlier ones, in the order of their times; a first entry changes nothing."""
    entries = tuple(entries)
    texts = {entry.id: entry.text.strip() for entry in (*earlier, *entries)}
    found = []
    for entry in sorted(entries, key=lambda each: (each.at, each.path, each.id)):
        now = entry.text.strip()
        were = tuple(dict.fromkeys(texts[each] for each in entry.based_on if each in texts))
        if any(were) and were != (now,):
            was = BETWEEN.join(each for each in were if each)
            found.append(Corrected(path=entry.path, was=was, now=now, by=entry.author, at=entry.at))
    return tuple(found)


def corrections_of(entries: Iterable[Entry]) -> tuple[Corrected, ...]:
    """Every change of a test, a device, a temporary change, a jumper or a reading as found."""
    entries = tuple(entries)
    return tuple(each for each in corrected_by(entries, ()) if each.is_told)

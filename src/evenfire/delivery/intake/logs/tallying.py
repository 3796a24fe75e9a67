"""Counting what was left out, emptied and mended, with the first places of each."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from evenfire.delivery.intake.logs.log import MOST_PLACES, Place, Reason, Tally
from evenfire.delivery.intake.logs.refusing import printable
from evenfire.delivery.intake.logs.wishes import Role

LONGEST_EXAMPLE = 80
"""[characters]"""


@dataclass(slots=True)
class _Counted:
    count: int = 0
    places: list[Place] = field(default_factory=list)


@dataclass(slots=True)
class Tallies:
    """What has been counted so far; it grows while a log is read."""

    counted: dict[tuple[Reason, Role | None], _Counted] = field(default_factory=dict)

    def add(
        self,
        reason: Reason,
        count: int,
        role: Role | None = None,
        places: Callable[[int], Iterable[Place]] | None = None,
    ) -> None:
        """Count something; ``places`` gives that many first places, and is asked only while they are wanted."""
        if count == 0:
            return
        entry = self.counted.setdefault((reason, role), _Counted())
        entry.count += count
        wanted = MOST_PLACES - len(entry.places)
        if places is not None and wanted > 0:
            entry.places.extend(list(places(wanted))[:wanted])

    def told(self) -> tuple[Tally, ...]:
        """Everything, in the order of the reasons and of the roles."""
        roles = [None, *Role]
        reasons = list(Reason)
        ranked = sorted(self.counted.items(), key=lambda each: (reasons.index(each[0][0]), roles.index(each[0][1])))
        return tuple(
            Tally(reason=reason, role=role, count=entry.count, places=tuple(entry.places))
            for (reason, role), entry in ranked
        )


def place(file: str, line: int | None, text: str) -> Place:
    """A place, with as much of the text as can be shown."""
    return Place(file=file, line=line, text=printable(text, LONGEST_EXAMPLE))

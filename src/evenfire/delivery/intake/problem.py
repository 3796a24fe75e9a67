"""One thing that is wrong with a plant file, and the one message that comes of several."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.intake.locate import Lines
from evenfire.errors import BadPlantFile

LONGEST_WORD: Final = 60
"""No key of the format is longer; of a longer one the beginning is enough [characters]."""

KeyPath = tuple[str | int, ...]
"""Where something stands in the document: keys, and places in lists counted from 0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """What was found at a key, and what to do about it."""

    path: KeyPath
    found: str
    do: str


def spoken(path: KeyPath) -> str:
    """A place in the document as a person says it: ``boiler 1 . safety_valve 2 . set``."""
    words: list[str] = []
    for part in path:
        if isinstance(part, int) and words:
            words[-1] += f" {part + 1}"
        else:
            words.append(_word(str(part)))
    return " . ".join(words)


_NOWHERE: Final = 10**9
"""Line of what stands nowhere, such as a missing table: a slip that can be pointed at may explain it, so it leads."""


def _word(key: str) -> str:
    """A key as it can be printed in a line; an empty or a strange one between quotes."""
    short = key if len(key) <= LONGEST_WORD else f"{key[:LONGEST_WORD]}..."
    return short if short and short.isprintable() else repr(short)


def bad_plant_file(name: str, text: str, problems: Sequence[Problem]) -> BadPlantFile:
    """The error about the problem that comes first in the file; it says how many more were found."""
    lines = Lines(text)
    first = min(problems, key=lambda problem: lines.of(problem.path) or _NOWHERE)
    return BadPlantFile(
        file=name,
        line=lines.of(first.path) or 1,
        key=spoken(first.path),
        found=first.found,
        do=first.do + _and_more(len(problems) - 1),
    )


def _and_more(count: int) -> str:
    if count == 0:
        return ""
    return " One more problem was found after it." if count == 1 else f" {count} more problems were found after it."

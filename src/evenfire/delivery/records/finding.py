"""Finding one thing by what a person types: a name, an id, or the beginning of an id."""

from collections.abc import Callable, Sequence
from typing import Final, TypeVar

from evenfire.errors import BadRequest

Kept = TypeVar("Kept")

SHORTEST_BEGINNING: Final = 4
"""Of an id that stands for the whole [characters]."""
_MOST_NAMED: Final = 8


def one_of(kept: Sequence[Kept], wanted: str, *, what: str, names: Callable[[Kept], tuple[str, ...]]) -> Kept:
    """The one of which the text is a name, or the beginning of its id, which stands first among its names.

    Raises
    ------
    BadRequest
        There is none, or several.
    """
    text = wanted.strip()
    found = [each for each in kept if text in names(each)]
    if not found and len(text) >= SHORTEST_BEGINNING:
        found = [each for each in kept if names(each)[0].startswith(text.lower())]
    if len(found) == 1:
        return found[0]
    if found:
        raise BadRequest(f"{wanted!r} is more than one {what}: {_listed(found, names)}. Name one by its id.")
    known = f"known here: {_listed(kept, names)}" if kept else f"this store has no {what} yet"
    raise BadRequest(f"There is no {what} {wanted!r}; {known}.")


def _listed(kept: Sequence[Kept], names: Callable[[Kept], tuple[str, ...]]) -> str:
    told = []
    for each in kept[:_MOST_NAMED]:
        id_, *others = names(each)
        told.append(f"{others[0]} ({id_[:8]})" if others else id_[:8])
    more = f" and {len(kept) - _MOST_NAMED} more" if len(kept) > _MOST_NAMED else ""
    return ", ".join(told) + more

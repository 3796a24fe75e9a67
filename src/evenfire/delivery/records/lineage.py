"""Which records come before which: a graph of parents, walked once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Lineage:
    """Who comes before whom among some records."""

    places: Mapping[str, int]
    before: Mapping[str, int]
    """Of each record that stands on no cycle: its ancestors, one bit for each place"""
    on_cycle: tuple[str, ...]
    """Records that would come before themselves"""

    def is_before(self, earlier: str, later: str) -> bool:
        """Whether one record is an ancestor of another; ``False`` for what is not among them."""
        place = self.places.get(earlier)
        return place is not None and bool(self.before.get(later, 0) >> place & 1)


def lineage(parents: Mapping[str, Sequence[str]]) -> Lineage:
    """Walk the parents of each record; parents that are not among them are left aside."""
    places = {name: place for place, name in enumerate(parents)}
    within = {name: [parent for parent in named if parent in places] for name, named in parents.items()}
    children: dict[str, list[str]] = {name: [] for name in places}
    for name, named in within.items():
        for parent in named:
            children[parent].append(name)
    waiting = {name: len(named) for name, named in within.items()}
    free = [name for name, count in waiting.items() if not count]
    before: dict[str, int] = {}
    while free:
        name = free.pop()
        ancestors = 0
        for parent in within[name]:
            ancestors |= before[parent] | 1 << places[parent]
        before[name] = ancestors
        for child in children[name]:
            waiting[child] -= 1
            if not waiting[child]:
                free.append(child)
    return Lineage(places=places, before=before, on_cycle=_still_bound(set(places) - before.keys(), within))


def _still_bound(left: set[str], parents: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """Of the records that never became free, those with a descendant among them; the others merely follow a cycle."""
    within = {name: [parent for parent in parents[name] if parent in left] for name in left}
    heirs = dict.fromkeys(left, 0)
    for named in within.values():
        for parent in named:
            heirs[parent] += 1
    loose = [name for name, count in heirs.items() if not count]
    bound = set(left)
    while loose:
        name = loose.pop()
        bound.discard(name)
        for parent in within[name]:
            heirs[parent] -= 1
            if not heirs[parent]:
                loose.append(parent)
    return tuple(sorted(bound))

"""The cheapest order of a few things, exactly: dynamic programming over every subset of them."""

from collections.abc import Callable, Sequence

Cost = tuple[int, ...]
"""Compared from the left: a smaller first number beats everything behind it."""


def cheapest_order(count: int, cost_of_state: Callable[[int], Cost]) -> tuple[int, ...]:
    """The order of ``count`` things whose states cost least together.

    A state is a bit mask of what has been done; ``cost_of_state`` is asked once of each but the empty one. Among equal
    costs the order with the fewest pairs against their numbering wins, then the one that is first in the dictionary.
    Exact, because what remains to be done after a state does not depend on the order that led to it.
    """
    best: dict[int, tuple[Cost, int, tuple[int, ...]]] = {0: ((), 0, ())}
    for mask in range(1, 1 << count):
        here = cost_of_state(mask)
        best[mask] = min(_arrivals(mask, here, best, range(count)))
    return best[(1 << count) - 1][2]


def _arrivals(
    mask: int, here: Cost, best: dict[int, tuple[Cost, int, tuple[int, ...]]], things: Sequence[int]
) -> list[tuple[Cost, int, tuple[int, ...]]]:
    """Every way into a state, by what was done last."""
    ways = []
    for last in things:
        bit = 1 << last
        if mask & bit:
            cost, inversions, order = best[mask ^ bit]
            total = tuple(a + b for a, b in zip(cost, here, strict=True)) if cost else here
            ways.append((total, inversions + ((mask ^ bit) >> last).bit_count(), (*order, last)))
    return ways

"""Labels that would overlap are moved apart, in order, as little as can be."""

from collections.abc import Sequence
from itertools import accumulate

from evenfire.errors import EvenfireError


class NoRoomForLabelsError(EvenfireError):
    """The labels together are taller than the frame: the drawing must give them more height."""


def spread_labels(wanted: Sequence[float], heights: Sequence[float], first: float, last: float) -> tuple[float, ...]:
    """Centres of labels, none overlapping, all in the frame, in the order given.

    Parameters
    ----------
    wanted
        Centres where the labels would stand by themselves, in any unit of length, in the order to keep.
    heights
        Heights of the labels, same unit and number.
    first, last
        Ends of the frame, ``first`` below ``last``.

    Raises
    ------
    NoRoomForLabelsError
        The labels together are taller than the frame.

    Notes
    -----
    The sum of squared moves is the least there is. Less the heights of the labels before it, the centres only have to
    rise: that is isotonic regression, solved by pooling neighbours that are out of order; the frame then clips it.
    """
    if sum(heights) > last - first + 1e-9:
        raise NoRoomForLabelsError(f"labels {sum(heights):g} high do not fit into {last - first:g}")
    before = [total - height / 2 for total, height in zip(accumulate(heights), heights, strict=True)]
    slack = last - sum(heights)
    pools: list[tuple[float, int]] = []
    for centre, offset in zip(wanted, before, strict=True):
        pools.append((centre - offset, 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (mean, count), (other, others) = pools.pop(), pools.pop()
            pools.append(((mean * count + other * others) / (count + others), count + others))
    starts = [min(max(mean, first), max(slack, first)) for mean, count in pools for _ in range(count)]
    return tuple(start + offset for start, offset in zip(starts, before, strict=True))

"""Exact bounds of a probability of which some cases were seen."""

from typing import Final

from evenfire.judgement.incomplete_beta import beta_quantile

CONFIDENCE: Final = 0.95
"""With which the bounds hold, both together [1]."""


def bounds_of(seen: int, draws: int, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """Lowest and highest probability [1] under which so few or so many would still not be surprising.

    Parameters
    ----------
    seen
        Draws in which it happened [1].
    draws
        All draws [1], at least one.
    confidence
        Of both bounds together [1].

    Notes
    -----
    The exact bounds: each end leaves half of what is missing to certainty to the tail of the binomial distribution.
    They never cover less often than they say. None seen gives the upper bound 1 - (half)^(1/n), at 95 % about 3.7 / n.

    References
    ----------
    C. J. Clopper and E. S. Pearson, Biometrika 26 (1934), 404, from memory.

    Examples
    --------
    >>> [round(bound, 4) for bound in bounds_of(0, 100)]
    [0.0, 0.0362]
    """
    tail = 0.5 * (1.0 - confidence)
    lowest = 0.0 if seen == 0 else beta_quantile(tail, seen, draws - seen + 1)
    highest = 1.0 if seen == draws else beta_quantile(1.0 - tail, seen + 1, draws - seen)
    return lowest, highest

"""Exact bounds of a probability of which some cases were seen."""

from math import exp, isclose, lgamma, log, log1p
from typing import Final

CONFIDENCE: Final = 0.95
"""With which the bounds hold, both together [1]."""
_TINY: Final = 1e-300
_ENOUGH: Final = 1e-14
_MOST_TERMS: Final = 20_000
_MOST_TRIES: Final = 200


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
    lowest = 0.0 if seen == 0 else _quantile(tail, seen, draws - seen + 1)
    highest = 1.0 if seen == draws else _quantile(1.0 - tail, seen + 1, draws - seen)
    return lowest, highest


def _quantile(probability: float, a: float, b: float) -> float:
    """Where the incomplete beta function reaches a probability: false position kept honest by halving."""
    low, high = 0.0, 1.0
    guess = a / (a + b)
    for _ in range(_MOST_TRIES):
        value = _incomplete_beta(guess, a, b)
        if value < probability:
            low = guess
        else:
            high = guess
        if isclose(low, high, rel_tol=1e-12):
            break
        density = exp(_log_front(guess, a, b)) / (guess * (1.0 - guess))
        newton = guess - (value - probability) / density if density > _TINY else low
        if isclose(newton, guess, rel_tol=1e-12):
            return newton
        guess = newton if low < newton < high else 0.5 * (low + high)
    return guess


def _log_front(x: float, a: float, b: float) -> float:
    return lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x)


def _incomplete_beta(x: float, a: float, b: float) -> float:
    """Regularised incomplete beta function [1], by its continued fraction on the side where that is quick."""
    if x <= 0.0 or x >= 1.0:
        return 0.0 if x <= 0.0 else 1.0
    front = exp(_log_front(x, a, b))
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _fraction(x, a, b) / a
    return 1.0 - front * _fraction(1.0 - x, b, a) / b


def _fraction(x: float, a: float, b: float) -> float:
    """The continued fraction (NIST DLMF 8.17.22), evaluated from its begin."""
    c, d = 1.0, _inverse(1.0 - (a + b) * x / (a + 1.0))
    value = d
    for term in range(1, _MOST_TERMS):
        even = term * (b - term) * x / ((a + 2 * term - 1) * (a + 2 * term))
        d, c = _inverse(1.0 + even * d), _away(1.0 + even / c)
        value *= d * c
        odd = -(a + term) * (a + b + term) * x / ((a + 2 * term) * (a + 2 * term + 1))
        d, c = _inverse(1.0 + odd * d), _away(1.0 + odd / c)
        value *= d * c
        if abs(d * c - 1.0) < _ENOUGH:
            break
    return value


def _away(value: float) -> float:
    return value if abs(value) > _TINY else _TINY


def _inverse(value: float) -> float:
    return 1.0 / _away(value)

"""The incomplete beta function, out of which the bounds of counts, Student's t and F are made."""

from math import exp, isclose, lgamma, log, log1p
from typing import Final

_TINY: Final = 1e-300
_ENOUGH: Final = 1e-14
_MOST_TERMS: Final = 20_000
_MOST_TRIES: Final = 200


def beta_quantile(probability: float, a: float, b: float) -> float:
    """Where the incomplete beta function reaches a probability: false position kept honest by halving."""
    low, high = 0.0, 1.0
    guess = a / (a + b)
    for _ in range(_MOST_TRIES):
        value = incomplete_beta(guess, a, b)
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


def incomplete_beta(x: float, a: float, b: float) -> float:
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

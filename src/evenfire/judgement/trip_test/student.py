"""Quantiles of Student's t and of F: how far a small number of readings may mislead."""

from math import inf, isinf, sqrt
from statistics import NormalDist
from typing import Final

from evenfire.judgement.incomplete_beta import beta_quantile, incomplete_beta
from evenfire.plant.possible import require_inside
from evenfire.si import Dimension

_NORMAL: Final = NormalDist()
_AS_GOOD_AS_NORMAL: Final = 1e7
"""Degrees of freedom beyond which t and the normal distribution agree to seven digits [1]."""


def t_quantile(probability: float, degrees_of_freedom: float) -> float:
    """Where Student's t reaches a probability [1].

    Parameters
    ----------
    probability
        One-sided, between 0 and 1 [1]: 0.975 for an interval that covers 95 % on both sides.
    degrees_of_freedom
        Above nought, need not be whole [1]; infinite for the normal distribution.

    Raises
    ------
    ImpossibleValue
        A probability that is not truly between 0 and 1, or no degrees of freedom.

    References
    ----------
    NIST Digital Library of Mathematical Functions 8.17, from memory: t squared over t squared and degrees of freedom
    is spread as beta of a half and half the degrees of freedom.

    Examples
    --------
    >>> round(t_quantile(0.975, 4), 3)
    2.776
    """
    require_inside("probability", probability, 0.0, 1.0, Dimension.NUMBER)
    require_inside("degrees_of_freedom", min(degrees_of_freedom, _AS_GOOD_AS_NORMAL), 0.0, inf, Dimension.NUMBER)
    if degrees_of_freedom > _AS_GOOD_AS_NORMAL:
        return _NORMAL.inv_cdf(probability)
    if probability < 0.5:
        return -t_quantile(1.0 - probability, degrees_of_freedom)
    if probability == 0.5:
        return 0.0
    half, outside = 0.5 * degrees_of_freedom, 2.0 * (1.0 - probability)
    if outside < 0.5:
        # Near certainty what is left outside is the small number, and small numbers keep their digits.
        share = beta_quantile(outside, half, 0.5)
        return sqrt(degrees_of_freedom * (1.0 - share) / share) if share > 0.0 else inf
    share = beta_quantile(1.0 - outside, 0.5, half)
    return sqrt(degrees_of_freedom * share / (1.0 - share))


def t_cdf(value: float, degrees_of_freedom: float) -> float:
    """Probability [1] that Student's t of so many degrees of freedom [1] stays at or below a value [1]."""
    if degrees_of_freedom > _AS_GOOD_AS_NORMAL:
        return _NORMAL.cdf(value)
    if isinf(value):
        return 1.0 if value > 0.0 else 0.0
    outside = incomplete_beta(degrees_of_freedom / (degrees_of_freedom + value * value), 0.5 * degrees_of_freedom, 0.5)
    return 1.0 - 0.5 * outside if value >= 0.0 else 0.5 * outside


def f_quantile(probability: float, above: float, below: float) -> float:
    """Where F of so many degrees of freedom above and below the line reaches a probability [1]."""
    share = beta_quantile(probability, 0.5 * above, 0.5 * below)
    return below * share / (above * (1.0 - share)) if share < 1.0 else inf

"""Chances as text: percent to two digits that mean something, from either end, and one in so many.

An upper bound is rounded up and a lower one down, so that what is read is never narrower than what is known.
"""

from math import ceil, floor, isclose, log10
from typing import Final

from evenfire.delivery.units.showing import Rounding

SELDOM: Final = 0.05
"""Below this a chance is also told as one in so many [1]."""
_MOST_DECIMALS: Final = 9


def show_chance(chance: float, rounding: Rounding = Rounding.NEAREST) -> str:
    """A chance between 0 and 1, such as ``21.5 %``, ``0.024 %`` or ``99.9996 %``.

    Examples
    --------
    >>> show_chance(0.000236)
    '0.024 %'
    """
    percent = 100.0 * min(1.0, max(0.0, chance))
    smaller = min(percent, 100.0 - percent)
    decimals = _MOST_DECIMALS if smaller <= 0.0 else min(_MOST_DECIMALS, max(1, 1 - floor(log10(smaller))))
    text = f"{_rounded(percent * 10.0**decimals, rounding) / 10.0**decimals:.{decimals}f}"
    return f"{text.rstrip('0').rstrip('.')} %"


def one_in(chance: float, rounding: Rounding = Rounding.NEAREST) -> str:
    """A seldom chance as ``1 in 54,000``; empty for one that is not seldom, or nought.

    ``Rounding.UP`` is for an upper bound of the chance: the number of which it is one comes out smaller.
    """
    if not 0.0 < chance < SELDOM:
        return ""
    so_many = 1.0 / chance
    step = 10.0 ** max(0, floor(log10(so_many)) - 1)
    opposite = {Rounding.UP: Rounding.DOWN, Rounding.DOWN: Rounding.UP}.get(rounding, rounding)
    return f"1 in {_rounded(so_many / step, opposite) * step:,.0f}"


def _rounded(value: float, rounding: Rounding) -> float:
    if isclose(value, round(value), rel_tol=1e-9) or rounding is Rounding.NEAREST:
        return float(round(value))
    return float(ceil(value) if rounding is Rounding.UP else floor(value))

"""Guards of the plant values: the impossible refuses to exist."""

import math

from evenfire.errors import ImpossibleValue
from evenfire.si import Dimension, Quantity


def require_positive(field: str, value: float | None, dimension: Dimension) -> None:
    """Raise :class:`ImpossibleValue` unless ``value`` is unknown or finite and above zero."""
    if value is not None and not (math.isfinite(value) and value > 0):
        raise ImpossibleValue(
            field=field, found=Quantity(value, dimension), must_be="above", limit=Quantity(0.0, dimension)
        )


def require_not_negative(field: str, value: float | None, dimension: Dimension) -> None:
    """Raise :class:`ImpossibleValue` unless ``value`` is unknown or finite and not below zero."""
    if value is not None and not (math.isfinite(value) and value >= 0):
        raise ImpossibleValue(
            field=field, found=Quantity(value, dimension), must_be="at least", limit=Quantity(0.0, dimension)
        )


def require_inside(field: str, value: float | None, lowest: float, highest: float, dimension: Dimension) -> None:
    """Raise :class:`ImpossibleValue` unless ``value`` is unknown or between ``lowest`` and ``highest``, neither met."""
    if value is None:
        return
    if not (math.isfinite(value) and value > lowest):
        raise ImpossibleValue(
            field=field, found=Quantity(value, dimension), must_be="above", limit=Quantity(lowest, dimension)
        )
    if value >= highest:
        raise ImpossibleValue(
            field=field, found=Quantity(value, dimension), must_be="below", limit=Quantity(highest, dimension)
        )


def require_between(field: str, value: float | None, lowest: float, highest: float, dimension: Dimension) -> None:
    """Raise :class:`ImpossibleValue` unless ``value`` is unknown or lies from ``lowest`` to ``highest``."""
    if value is None:
        return
    if not (math.isfinite(value) and value >= lowest):
        raise ImpossibleValue(
            field=field, found=Quantity(value, dimension), must_be="at least", limit=Quantity(lowest, dimension)
        )
    if value > highest:
        raise ImpossibleValue(
            field=field, found=Quantity(value, dimension), must_be="at most", limit=Quantity(highest, dimension)
        )

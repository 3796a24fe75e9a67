"""The clock, handed in so that tests and imports can say what time it is."""

from collections.abc import Callable
from datetime import UTC, datetime

Clock = Callable[[], datetime]
"""Gives the present moment in UTC."""


def utc_now() -> datetime:
    """The clock of this machine."""
    return datetime.now(UTC)

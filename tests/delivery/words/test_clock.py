"""Times as a person says them."""

import pytest

from evenfire.delivery.words.clock import clock, lasting


@pytest.mark.parametrize(
    ("time", "days", "text"),
    [(0, False, "00:00"), (50_540, False, "14:02"), (86_400, False, "24:00"), (97_800, True, "day 2 03:10")],
)
def test_a_time_stands_on_a_clock_that_starts_at_nought(time: float, days: bool, text: str) -> None:
    assert clock(time, days=days) == text


def test_seconds_are_never_rounded_into_the_future() -> None:
    assert clock(59.9, days=False, seconds=True) == "00:00:59"


@pytest.mark.parametrize(
    ("time", "text"),
    [
        (0, "0 s"),
        (0.25, "0.2 s"),
        (12, "12 s"),
        (250, "4 min 10 s"),
        (3600, "1 h"),
        (35_880, "9 h 58 min"),
        (86_400, "24 h"),
        (273_600, "3 days 4 h"),
        (3599.7, "1 h"),
    ],
)
def test_a_span_has_two_parts_at_most(time: float, text: str) -> None:
    assert lasting(time) == text

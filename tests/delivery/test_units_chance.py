"""Chances as text: enough digits to mean something, bounds rounded away from what is sure."""

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.units import Rounding
from evenfire.delivery.units.chance import one_in, show_chance


@pytest.mark.parametrize(
    ("chance", "text"),
    [
        (0.0, "0 %"),
        (1.0, "100 %"),
        (0.5, "50 %"),
        (0.2147, "21.5 %"),
        (0.0113, "1.1 %"),
        (0.000236, "0.024 %"),
        (3.7e-6, "0.00037 %"),
        (0.999996, "99.9996 %"),
    ],
)
def test_a_chance_keeps_two_digits_that_mean_something(chance: float, text: str) -> None:
    assert show_chance(chance) == text


@pytest.mark.parametrize(
    ("chance", "up", "down"),
    [
        (3.6889e-6, "0.00037 %", "0.00036 %"),
        (0.2147, "21.5 %", "21.4 %"),
        (0.9999963, "99.99963 %", "99.99963 %"),
        (0.00024, "0.024 %", "0.024 %"),
    ],
)
def test_bounds_are_rounded_away_from_what_is_sure(chance: float, up: str, down: str) -> None:
    assert (show_chance(chance, Rounding.UP), show_chance(chance, Rounding.DOWN)) == (up, down)


@pytest.mark.parametrize(
    ("chance", "rounding", "text"),
    [
        (3.6889e-6, Rounding.UP, "1 in 270,000"),
        (3.6889e-6, Rounding.DOWN, "1 in 280,000"),
        (0.0113, Rounding.NEAREST, "1 in 88"),
        (0.04, Rounding.NEAREST, "1 in 25"),
        (0.05, Rounding.NEAREST, ""),
        (0.9, Rounding.NEAREST, ""),
        (0.0, Rounding.UP, ""),
    ],
)
def test_a_seldom_chance_is_also_one_in_so_many(chance: float, rounding: Rounding, text: str) -> None:
    assert one_in(chance, rounding) == text


def value_of(text: str) -> float:
    return float(text.removesuffix(" %")) / 100.0


@given(st.floats(min_value=0.0, max_value=1.0))
def test_no_bound_is_shown_narrower_than_it_is(chance: float) -> None:
    assert value_of(show_chance(chance, Rounding.UP)) >= chance * (1 - 1e-9)
    assert value_of(show_chance(chance, Rounding.DOWN)) <= chance * (1 + 1e-9)


@given(st.floats(min_value=1e-9, max_value=0.0499))
def test_one_in_so_many_is_rounded_with_its_bound(chance: float) -> None:
    def so_many(rounding: Rounding) -> float:
        return float(one_in(chance, rounding).removeprefix("1 in ").replace(",", "")) or inf

    assert 1.0 / so_many(Rounding.UP) >= chance * (1 - 1e-9)
    assert 1.0 / so_many(Rounding.DOWN) <= chance * (1 + 1e-9)

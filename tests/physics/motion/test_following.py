"""What lags, against an independent solver of differential equations and by what must hold of any lag."""

from collections.abc import Sequence
from math import comb

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from evenfire.physics.compiled import plain
from evenfire.physics.motion.following import follow, polynomial

_follow = plain(follow)
_numbers = st.floats(-10.0, 10.0)
_coefficients = st.lists(_numbers, min_size=5, max_size=5)
_lags = st.floats(1e-3, 1e3)


def _after(start: float, lags: float, share: float, followed: Sequence[float]) -> float:
    c0, c1, c2, c3, c4 = followed
    return _follow(start, lags, share, c0, c1, c2, c3, c4)


@pytest.mark.parametrize("lags", [0.003, 0.05, 0.3, 0.7, 0.99, 1.0, 1.01, 3.0, 50.0, 2e3])
@pytest.mark.parametrize(
    "followed", [(1.0, 0.0, 0.0, 0.0, 0.0), (2.0, -3.0, 5.0, -7.0, 4.0), (0.0, 0.0, 0.0, 0.0, 9.0)]
)
def test_a_lag_follows_a_polynomial_as_an_independent_solver_says(lags: float, followed: tuple[float, ...]) -> None:
    u = np.polynomial.Polynomial(followed)
    shares = [0.05, 0.3, 0.65, 1.0]
    solved = solve_ivp(lambda x, y: (u(x) - y) / lags, (0.0, 1.0), [3.0], "Radau", shares, rtol=1e-11, atol=1e-12)
    for share, expected in zip(shares, solved.y[0], strict=True):
        assert _after(3.0, lags, share, followed) == pytest.approx(expected, rel=1e-8, abs=1e-8)


@given(start=_numbers, lags=_lags, followed=_coefficients, first=st.floats(0.01, 0.5), second=st.floats(0.01, 0.5))
def test_following_for_a_while_and_then_on_is_following_in_one_go(
    start: float, lags: float, followed: list[float], first: float, second: float
) -> None:
    # The polynomial as it is seen from the end of the first while.
    seen = [sum(comb(n, k) * followed[n] * first ** (n - k) for n in range(k, 5)) for k in range(5)]
    half_way = _after(start, lags, first, followed)
    assert _after(half_way, lags, second, seen) == pytest.approx(
        _after(start, lags, first + second, followed), rel=1e-9, abs=1e-9
    )


@given(start=_numbers, lags=_lags, target=_numbers, share=st.floats(1e-6, 1.0))
def test_what_follows_a_constant_never_overshoots_it(start: float, lags: float, target: float, share: float) -> None:
    reached = _after(start, lags, share, (target, 0.0, 0.0, 0.0, 0.0))
    slack = 1e-12 * (1.0 + abs(start) + abs(target))
    assert min(start, target) - slack <= reached <= max(start, target) + slack


@given(lags=_lags, rate=_numbers, share=st.floats(1e-6, 1.0))
def test_what_has_settled_behind_a_ramp_stays_one_lag_behind(lags: float, rate: float, share: float) -> None:
    # y = r (x - T) solves T y' = r x - y.
    assert _after(-rate * lags, lags, share, (0.0, rate, 0.0, 0.0, 0.0)) == pytest.approx(
        rate * (share - lags), rel=1e-9, abs=1e-9 * (1.0 + abs(rate) * lags)
    )


@given(followed=_coefficients, share=st.floats(0.01, 1.0))
def test_the_shorter_the_lag_the_nearer_it_follows(followed: list[float], share: float) -> None:
    exact = float(np.polynomial.Polynomial(followed)(share))
    # To first order it stands a lag times the slope behind; all coefficients up to 10, the slope is up to 100.
    assert _after(0.0, 1e-6, share, followed) == pytest.approx(exact, abs=2e-4)


@given(followed=_coefficients, share=st.floats(0.0, 1.0))
def test_a_polynomial_is_evaluated_as_numpy_does(followed: list[float], share: float) -> None:
    c0, c1, c2, c3, c4 = followed
    expected = float(np.polynomial.Polynomial(followed)(share))
    assert plain(polynomial)(share, c0, c1, c2, c3, c4) == pytest.approx(expected, rel=1e-12, abs=1e-12)

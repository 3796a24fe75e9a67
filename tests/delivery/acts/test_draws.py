"""Rows from a seed: the same ones every time, and of the kind that they are said to be."""

import numpy as np
from scipy import stats

from evenfire.delivery.acts.draws import BLOCK, SeededDraws
from evenfire.judgement.tolerance.rows import DRIFTS, FIRST_VALVE


def draws(count: int, seed: int = 3) -> SeededDraws:
    return SeededDraws(seed=seed, draws=count, columns=FIRST_VALVE + 2)


def test_blocks_hold_as_many_rows_as_were_asked_for() -> None:
    asked = draws(2 * BLOCK + 17)
    assert [len(asked.block(number)) for number in range(asked.blocks)] == [BLOCK, BLOCK, 17]


def test_a_seed_gives_the_same_rows_in_any_order() -> None:
    first = draws(3 * BLOCK)
    later = first.block(2)
    assert np.array_equal(first.block(2), later)
    assert np.array_equal(draws(3 * BLOCK).block(0), first.block(0))
    assert not np.array_equal(draws(BLOCK, seed=4).block(0), first.block(0))
    assert not np.array_equal(first.block(0), first.block(1))


def test_more_draws_begin_with_the_rows_of_fewer() -> None:
    assert np.array_equal(draws(1_000).block(0), draws(BLOCK).block(0)[:1_000])


def test_set_errors_and_valves_are_even_and_drifts_are_normal() -> None:
    rows = draws(BLOCK).block(0)
    for column in range(rows.shape[1]):
        is_drift = DRIFTS.start <= column < DRIFTS.stop
        law = stats.norm() if is_drift else stats.uniform(-1.0, 2.0)
        assert stats.kstest(rows[:, column], law.cdf).pvalue > 1e-4, column
    correlations = np.corrcoef(rows.T) - np.eye(rows.shape[1])
    assert np.abs(correlations).max() < 0.03

"""Rows of random numbers for tests, made apart from the product's."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenfire.judgement.tolerance.rows import DRIFTS


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocks:
    """Blocks of rows that are all there."""

    rows: tuple[NDArray[np.float64], ...]

    @property
    def blocks(self) -> int:
        return len(self.rows)

    def block(self, number: int) -> NDArray[np.float64]:
        return self.rows[number]


def random_blocks(seed: int, *, blocks: int, rows: int, columns: int = 12) -> Blocks:
    """Even from -1 to 1, drifts standard normal; more columns than anybody asks for do no harm."""
    stream = np.random.default_rng(seed)
    made = []
    for _ in range(blocks):
        block = stream.uniform(-1.0, 1.0, (rows, columns))
        block[:, DRIFTS] = stream.standard_normal((rows, DRIFTS.stop - DRIFTS.start))
        made.append(block)
    return Blocks(rows=tuple(made))

"""Random numbers for the core, which makes none: the same seed gives the same rows, block by block."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenfire.judgement.tolerance.rows import DRIFTS

BLOCK: Final = 65_536
"""Rows made and counted at once: large enough for arithmetic by arrays, small enough for the cache and for stopping."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeededDraws:
    """So many rows from a seed.

    Every block has a stream of its own, taken from the seed by its number: whichever thread makes it, and whether it is
    made at all, the others stay what they are. More draws from one seed begin with the same rows.
    """

    seed: int
    draws: int
    columns: int

    @property
    def blocks(self) -> int:
        """How many blocks there are."""
        return -(-self.draws // BLOCK)

    def block(self, number: int) -> NDArray[np.float64]:
        """Rows of one block [1]: set errors and valves even from -1 to 1, drifts standard normal."""
        stream = np.random.Generator(np.random.PCG64(np.random.SeedSequence(self.seed, spawn_key=(number,))))
        # A full block always, so that a short last one begins with the rows that a longer count has there.
        rows = stream.random((BLOCK, self.columns))
        rows *= 2.0
        rows -= 1.0
        rows[:, DRIFTS] = stream.standard_normal((BLOCK, DRIFTS.stop - DRIFTS.start))
        return rows[: min(BLOCK, self.draws - number * BLOCK)]

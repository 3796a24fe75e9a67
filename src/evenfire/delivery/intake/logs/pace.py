"""How often a log was written, and where it has gaps; in one pass over the times, in bounded memory."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from evenfire.delivery.intake.logs.log import Gap, Sampling
from evenfire.delivery.intake.logs.sequence import Times
from evenfire.delivery.intake.logs.zones import moment

ASSUMED_GAP: Final = 5.0
"""A step of more than so many usual ones is called a gap: a logger that misses a beat now and then is no gap [1]."""
MOST_GAPS: Final = 20
MOST_INTERVALS: Final = 8
_MIXED: Final = 0.9
_MILLISECOND: Final = 1000
_MOST_DIFFERENT: Final = 20_000
_LONGEST_STEPS: Final = 2_000


@dataclass(slots=True)
class _Steps:
    counts: Counter[int] = field(default_factory=Counter)
    """Of steps [ms]"""
    longest: list[tuple[int, int]] = field(default_factory=list)
    """(length, begin) [us]"""
    last: int | None = None

    def add(self, times: Times) -> None:
        """Take in the next times, which rise."""
        steps = np.diff(times) if self.last is None else np.diff(times, prepend=self.last)
        begins = times[:-1] if self.last is None else np.concatenate(([self.last], times[:-1]))
        lengths, counts = np.unique(np.round(steps / _MILLISECOND).astype(np.int64), return_counts=True)
        self.counts.update(dict(zip(lengths.tolist(), counts.tolist(), strict=True)))
        if len(self.counts) > _MOST_DIFFERENT:
            # An irregular log: to a tenth of each step is near enough to tell its usual one.
            coarse: Counter[int] = Counter()
            for length, count in self.counts.items():
                coarse[int(f"{length:.1e}".split("e")[0].replace(".", "")) * 10 ** max(0, len(str(length)) - 2)] += (
                    count
                )
            self.counts = coarse
        if len(steps):
            far = np.argsort(steps)[-_LONGEST_STEPS:]
            self.longest += [(int(steps[at]), int(begins[at])) for at in far]
            self.longest = sorted(self.longest, reverse=True)[:_LONGEST_STEPS]
        self.last = int(times[-1]) if len(times) else self.last


def pace_of(parts: Iterable[Times]) -> tuple[Sampling, tuple[Gap, ...], int]:
    """The sampling, the longest gaps in the order of time, and how many gaps there are; ``parts`` rise throughout."""
    steps = _Steps()
    for times in parts:
        steps.add(times)
    total = steps.counts.total()
    usual = _median(steps.counts, total)
    commonest = tuple((length / 1e3, count) for length, count in steps.counts.most_common(MOST_INTERVALS))
    at_commonest = sum(
        count for length, count in steps.counts.items() if abs(length / 1e3 - commonest[0][0]) <= 0.1 * usual
    )
    sampling = Sampling(median=usual, is_mixed=at_commonest < _MIXED * total, commonest=commonest)
    limit = ASSUMED_GAP * usual
    count = sum(count for length, count in steps.counts.items() if length / 1e3 > limit)
    gaps = [Gap(begin=moment(begin), lasting=length / 1e6) for length, begin in steps.longest if length / 1e6 > limit]
    return sampling, tuple(sorted(gaps[:MOST_GAPS], key=lambda gap: gap.begin)), count


def _median(counts: Counter[int], total: int) -> float:
    """The middle step [s]."""
    seen = 0
    for length in sorted(counts):
        seen += counts[length]
        if 2 * seen >= total:
            return max(length, 1) / 1e3
    return 0.0

"""What is told of a year."""

from dataclasses import dataclass
from math import ceil, floor, sqrt

from evenfire.judgement.outcome import Route
from evenfire.judgement.tolerance.bounds import CONFIDENCE, bounds_of
from evenfire.judgement.tolerance.counting import Counted, Rerun
from evenfire.judgement.tolerance.questions import Question
from evenfire.judgement.tolerance.spread import Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Likelihood:
    """How likely one thing happens within a year of setting.

    Only controls and valves are drawn. The motion of the boiler is taken as it was simulated: how far the survey behind
    it may be off is for :mod:`~evenfire.judgement.tolerance.sensitivity` to say.
    """

    question: Question
    probability: float
    """[1]"""
    lowest: float
    """Of the interval that covers the truth with ``CONFIDENCE`` [1]"""
    highest: float
    """[1]; where none was seen it is all that can be said: less than this"""
    standard_error: float
    """Of the probability: from the draws, and from the near draws that were not run [1]"""
    draws: int
    sure: int
    """Draws in which it happens by arithmetic beyond doubt"""
    near: int
    """Draws too near a limit for arithmetic"""
    rerun: int
    """Near draws that the loop ran"""
    seen: int
    """Of those, the ones in which it happened"""
    corrected: int
    """Draws that were run in which loop and arithmetic differ over whether it happens"""
    failed: int
    """Near draws that the loop could not run; they count as happened"""
    furthest_apart: float
    """Largest difference between loop and arithmetic among the draws that were run [Pa]"""
    outgrown: int
    """Draws in which that was wider than the band; more than nought says that the band was too narrow"""

    @property
    def none_seen(self) -> bool:
        """Whether it happened in no draw, so that only its upper bound means anything."""
        return self.probability == 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class NotCounted:
    """A question that could not be asked, and the plant-file keys that would change that."""

    question: Question
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Likelihoods:
    """All that was counted so far."""

    boiler: str
    answers: tuple[Likelihood, ...]
    not_counted: tuple[NotCounted, ...]
    draws: int
    rows: str
    """Identity of the rows that were used: hash of every block, in order"""
    identity: str
    """Of plant, settings, engine and everything else the answer follows from, but for the rows"""
    is_complete: bool
    """Otherwise it was stopped: what is there is right for the draws that it names"""
    route: Route
    """Simulated, or computed where the boiler cannot be simulated"""
    missing: tuple[str, ...]
    """Plant-file keys that would let it be simulated"""
    spread: Spread | None
    """What was drawn; nothing where no question could be asked"""
    assumptions: tuple[str, ...]
    confidence: float = CONFIDENCE
    """[1]"""


def likelihood(question: Question, draws: int, counted: Counted, reruns: tuple[Rerun, ...]) -> Likelihood:
    """The answer to one question from both stages.

    Notes
    -----
    A draw is sure, near or neither. Of N near ones, r happen by arithmetic, and m were run; draws are alike, so these
    are a fair sample. In a of them the loop saw it where arithmetic did not, in b the other way round. The probability
    is (sure + r + N (a - b) / m) / n, and its variance is that of two stages,
    p (1 - p) / n + (N / n)^2 s^2 / m (1 - m / N) with s^2 the variance of the corrections. The interval is exact (see
    :func:`~evenfire.judgement.tolerance.bounds.bounds_of`) where every near draw was run; else half of what is missing
    to certainty goes to the corrections, a quarter to either kind, and half to the draws: by Bonferroni it covers at
    least as often as it says. Where none was run, every near draw may or may not happen, and the interval says so.

    References
    ----------
    W. G. Cochran, Sampling Techniques, chapter on double sampling, from memory.
    """
    near, ran = counted.near, len(reruns)
    more = sum(each.happens and not each.reckoned for each in reruns)
    fewer = sum(each.reckoned and not each.happens for each in reruns)
    change = near * (more - fewer) / ran if ran else 0.0
    probability = min(1.0, max(0.0, (counted.sure + counted.near_reckoned + change) / draws))
    lowest, highest = _bounds(draws, counted, reruns, more, fewer)
    return Likelihood(
        question=question,
        probability=probability,
        lowest=min(lowest, probability),
        highest=max(highest, probability),
        standard_error=_standard_error(probability, draws, near, ran, more, fewer),
        draws=draws,
        sure=counted.sure,
        near=near,
        rerun=ran,
        seen=sum(each.happens for each in reruns),
        corrected=more + fewer,
        failed=sum(each.failed for each in reruns),
        furthest_apart=max((each.apart for each in reruns), default=0.0),
        outgrown=sum(each.outgrew for each in reruns),
    )


def _bounds(draws: int, counted: Counted, reruns: tuple[Rerun, ...], more: int, fewer: int) -> tuple[float, float]:
    near, ran = counted.near, len(reruns)
    seen = sum(each.happens for each in reruns)
    if ran == near:
        return bounds_of(counted.sure + seen, draws)
    if ran == 0:
        return bounds_of(counted.sure, draws)[0], bounds_of(counted.sure + near, draws)[1]
    half, quarter = 0.5 * (1.0 + CONFIDENCE), 0.25 * (3.0 + CONFIDENCE)
    more_low, more_high = bounds_of(more, ran, quarter)
    fewer_low, fewer_high = bounds_of(fewer, ran, quarter)
    reckoned = counted.sure + counted.near_reckoned
    fewest = max(counted.sure + seen, floor(reckoned + near * (more_low - fewer_high)))
    most = min(counted.sure + near - (ran - seen), ceil(reckoned + near * (more_high - fewer_low)))
    return bounds_of(fewest, draws, half)[0], bounds_of(most, draws, half)[1]


def _standard_error(probability: float, draws: int, near: int, ran: int, more: int, fewer: int) -> float:
    variance = probability * (1.0 - probability) / draws
    if near > ran:
        # Of what was never run nothing is known: the variance of a coin is the largest there is.
        mean = (more - fewer) / ran if ran else 0.0
        unknown = ((more + fewer) / ran - mean**2) / ran * (1.0 - ran / near) if ran else 0.25
        variance += (near / draws) ** 2 * unknown
    return sqrt(variance)

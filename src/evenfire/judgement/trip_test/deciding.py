"""What a measured pressure and its doubt say of a limit (JCGM 106): probabilities, guard bands, acceptance limits."""

from math import inf

from evenfire.judgement.trip_test.budget import Budget
from evenfire.judgement.trip_test.student import t_cdf
from evenfire.judgement.trip_test.trip import Acceptance
from evenfire.si import DiffPa, GaugePa


def probability_below(limit: float, estimate: float, budget: Budget) -> float:
    """Probability [1] that what was measured lies at or below an upper limit.

    Parameters
    ----------
    limit, estimate
        [Pa gauge]
    budget
        Of the estimate.

    References
    ----------
    JCGM-106, 7.3 and 7.4, from memory; with few readings Student's t stands for the normal distribution.
    """
    return _below(limit - estimate, budget)


def probability_within(lower: float, upper: float, estimate: float, budget: Budget) -> float:
    """Probability [1] that what was measured lies between two limits [Pa gauge]."""
    return max(0.0, _below(upper - estimate, budget) - _below(lower - estimate, budget))


def acceptance_of(
    set_pressure: GaugePa, band: DiffPa, mean: Budget, next_action: Budget, ceiling: GaugePa | None = None
) -> Acceptance:
    """Between which measured trip points a control passes.

    Parameters
    ----------
    set_pressure
        Where it shall act [Pa gauge].
    band
        How far from there it may act, either way [Pa].
    mean
        Budget of the mean trip point: its expanded uncertainty guards the lower limit, where only a nuisance begins.
    next_action
        Budget of the next single action: it guards the upper limit on that one side, for it is a single action that a
        boiler is saved by.
    ceiling
        No upper limit lies above it [Pa gauge].

    References
    ----------
    JCGM-106, 8.3 (guarded acceptance), from memory.
    """
    lower, upper = GaugePa(set_pressure - band), upper_limit_of(set_pressure, band, ceiling)
    return Acceptance(
        lower_limit=lower,
        upper_limit=upper,
        lowest=GaugePa(lower + mean.expanded_uncertainty),
        highest=GaugePa(upper - next_action.one_sided),
    )


def upper_limit_of(set_pressure: GaugePa, band: DiffPa, ceiling: GaugePa | None) -> GaugePa:
    """Set and band [Pa gauge], no higher than the ceiling: no band makes MAWP or the lift of a valve any higher."""
    top = set_pressure + band
    return GaugePa(top if ceiling is None else min(top, ceiling))


def _below(room: float, budget: Budget) -> float:
    if budget.standard_uncertainty == 0.0:
        return 1.0 if room >= 0.0 else 0.0
    score = room / budget.standard_uncertainty
    return t_cdf(min(max(score, -1e9), 1e9), min(budget.whole_degrees_of_freedom, inf))

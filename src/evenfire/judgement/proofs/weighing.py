"""How much a proof weighs: what keeps people safe, and everything else; the worst is told first."""

from typing import Final

from evenfire.judgement.proofs.result import NotApplicable, NotProved, Proof, Proved, Scenario, Verdict, Watched

KEEPS_SAFE: Final = frozenset(
    {
        (Scenario.HIGH_LIMIT_ALONE, Watched.NO_LIFT),
        (Scenario.HIGH_LIMIT_ALONE, Watched.STAYS_OFF),
        (Scenario.VALVES_ALONE, Watched.ACCUMULATION),
    }
)
"""Two independent things have to stop the pressure: the high limit before the valves, and the valves after it."""


DEMANDED: Final = frozenset(
    {
        Watched.NEED,
        Watched.DIP,
        Watched.DIP_TIME,
        Watched.WISH,
        Watched.DOWNSTREAM,
        Watched.NO_TRIP,
        Watched.NO_LIFT,
        Watched.NO_STOP,
        Watched.LOW_FIRE_FIRST,
        Watched.HOLD_LETS_GO,
        Watched.STAYS_ABOVE_HOLD,
        Watched.RESTARTS,
        Watched.RUNS_THROUGH,
    }
)
"""What settings are chosen for: where one of these fails in motion, they do not fit, whatever the closed forms say."""


def is_unsafe(proved: Proved) -> bool:
    """Whether a proof of what keeps people safe failed."""
    return isinstance(proved, Proof) and any(
        (proved.scenario, check.watched) in KEEPS_SAFE and not check.holds for check in proved.checks
    )


def settings_are_unsafe(proofs: tuple[Proved, ...]) -> bool:
    """Whether the high limit alone fails: that is a matter of dials, and no setting mends valves that are too small."""
    return any(proved.scenario is Scenario.HIGH_LIMIT_ALONE and is_unsafe(proved) for proved in proofs)


def valves_are_too_small(proofs: tuple[Proved, ...]) -> bool:
    """Whether the safety valves alone fail to hold what the burner makes."""
    return any(proved.scenario is Scenario.VALVES_ALONE and is_unsafe(proved) for proved in proofs)


def falls_short(proofs: tuple[Proved, ...]) -> tuple[Proof, ...]:
    """The proofs that fail in something that settings are chosen for, worst first."""
    return tuple(
        proved
        for proved in worst_first(proofs)
        if isinstance(proved, Proof)
        and any(check.watched in DEMANDED and not check.holds for check in proved.checks)
        and not (proved.scenario is Scenario.VALVES_ALONE and is_unsafe(proved))
    )


def worst_first(proofs: tuple[Proved, ...]) -> tuple[Proved, ...]:
    """Unsafe, failed, not proved, warning, holding, told, not applicable; equals in the order given."""
    return tuple(sorted(proofs, key=_place))


def _place(proved: Proved) -> int:
    match proved:
        case Proof(verdict=Verdict.FAILS):
            return 0 if is_unsafe(proved) else 1
        case NotProved():
            return 2
        case Proof(verdict=Verdict.WARNS):
            return 3
        case Proof(verdict=Verdict.HOLDS):
            return 4
        case Proof():
            return 5
        case NotApplicable():
            return 6

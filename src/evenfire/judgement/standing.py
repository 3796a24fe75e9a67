"""Where a boiler stands with one set of settings: the few numbers that no dial shows."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from evenfire.errors import OutOfRange
from evenfire.judgement.behaviour import Cycling, Estimate
from evenfire.judgement.case import BEYOND_STEAM, Case, firing_at_cut_out
from evenfire.judgement.margins import highest_normal, lowest_after_restart
from evenfire.plant.known import Missing, NotKnownError, known
from evenfire.si import GaugePa

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What follows from one set of settings, each known or missing."""

    storage: Estimate | Missing
    """Heat per pressure rise at cut-out [J/Pa]"""
    highest: float | Missing
    """Highest pressure of normal work at the worst corner [Pa gauge]"""
    lowest: float | Missing
    """Lowest pressure of a restart at the worst corner [Pa gauge]"""
    share_at_cut_out: float | Missing
    """Firing when the operating limit stops the burner, all dials true [1]"""
    cycling: Cycling | Missing
    """Starts at the load that cycles most"""


def standing_of(case: Case) -> Standing:
    """The standing of one case; what cannot be told is missing, with its keys."""
    return Standing(
        storage=_or_missing(lambda: case.behaviour.storage(GaugePa(known(case.stack.cut_out)[0]))),
        highest=_or_missing(lambda: float(highest_normal(case.stack, case.facts))),
        lowest=_or_missing(lambda: float(lowest_after_restart(case.stack, case.facts))),
        share_at_cut_out=_or_missing(lambda: max(_shares(case))),
        cycling=cycling_of(case),
    )


def cycling_of(case: Case) -> Cycling | Missing:
    """Starts of one case at the load that cycles most."""

    def question() -> Cycling:
        cut_in, cut_out = known(case.stack.cut_in, case.stack.cut_out)
        low_fire = None if isinstance(case.stack.low_fire, Missing) else GaugePa(case.stack.low_fire)
        return case.behaviour.cycling(GaugePa(cut_in), GaugePa(cut_out), low_fire)

    return _or_missing(question)


def _shares(case: Case) -> tuple[float, ...]:
    if not case.boiler.burners:
        raise NotKnownError(("burner",))
    cut_out = known(case.stack.cut_out)[0]
    if all(case.behaviour.low_fire_share(burner) == 1.0 for burner in case.boiler.burners):
        return tuple(1.0 for _ in case.boiler.burners)
    high_fire, low_fire = known(case.stack.high_fire, case.stack.low_fire)
    return firing_at_cut_out(case.boiler, cut_out, high_fire, low_fire, 0.0)


def _or_missing(question: Callable[[], T]) -> T | Missing:
    try:
        return question()
    except NotKnownError as missing:
        return Missing(missing.keys)
    except OutOfRange:
        return Missing((BEYOND_STEAM,))

"""Where the run-on from full fire can be read without any limit acting, and what it comes to at the trip."""

from dataclasses import dataclass

from evenfire.judgement.case import Case
from evenfire.plant.known import Missing, NotKnownError, known
from evenfire.si import GaugePa


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingOfRunOn:
    """A pressure below every limit at which the burner stands at full fire."""

    at: GaugePa
    """[Pa gauge]"""
    factor: float
    """Rise at the trip over the rise read there [1], above 1: the higher, the less heat raises the pressure"""


def reading_of_run_on(case: Case) -> ReadingOfRunOn | Missing:
    """Where to read it: at cut-in, or where the burner begins to come down from full fire if that is lower."""
    stack, off = case.stack, case.facts.off
    try:
        cut_in, trip = known(stack.cut_in, stack.trip)
        at = cut_in
        if not isinstance(stack.high_fire, Missing):
            at = min(at, stack.high_fire - known(off.firing_rate)[0])
        at = min(at, trip)
        factor = case.behaviour.storage(GaugePa(at)).value / case.behaviour.storage(GaugePa(trip)).value
        return ReadingOfRunOn(at=GaugePa(at), factor=factor)
    except NotKnownError as lacking:
        return Missing(lacking.keys)

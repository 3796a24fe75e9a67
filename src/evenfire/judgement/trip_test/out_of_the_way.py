"""How far the operating limit may be set up, out of the way of a true rise of the high limit."""

from dataclasses import dataclass

from evenfire.errors import OutOfRange
from evenfire.judgement.behaviour import Estimate
from evenfire.judgement.case import BEYOND_STEAM, Case, off_by
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing, NotKnownError, known
from evenfire.si import DiffPa, GaugePa


@dataclass(frozen=True, slots=True, kw_only=True)
class OutOfTheWay:
    """The highest point of the operating limit at which it still stops the burner before a safety valve may lift."""

    highest: GaugePa
    """Where it may be set to act, at the boiler [Pa gauge]"""
    below: GaugePa
    """What must not be reached: the lower of the earliest lift and the MAWP [Pa gauge]"""
    off: DiffPa
    """How far above its point it may act: by its dial, for nobody proved it up there [Pa]"""
    run_on: Estimate
    """After a stop from low fire, where the test is made [Pa]"""


def out_of_the_way(case: Case) -> OutOfTheWay | Missing:
    """How high the operating limit may be set for a test: then it still stands between a bad high limit and a valve.

    Parameters
    ----------
    case
        The boiler, whatever its settings are.
    """
    try:
        return _out_of_the_way(case)
    except NotKnownError as unknown:
        return Missing(unknown.keys)
    except OutOfRange:
        return Missing((BEYOND_STEAM,))


def _out_of_the_way(case: Case) -> OutOfTheWay:
    lift, proved_or_dial, by_dial = known(
        case.facts.earliest_lift,
        case.facts.off.operating_limit,
        off_by(case.boiler, Role.OPERATING_LIMIT, frozenset()),
    )
    below = GaugePa(min(lift, case.facts.mawp))
    off = DiffPa(max(proved_or_dial, by_dial))
    run_on = case.behaviour.low_fire_run_on(GaugePa(below - off))
    return OutOfTheWay(highest=GaugePa(below - off - run_on.value), below=below, off=off, run_on=run_on)

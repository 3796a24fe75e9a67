"""Put one case through its scenarios."""

from collections.abc import Callable, Iterator
from types import MappingProxyType

from evenfire.errors import OutOfRange
from evenfire.judgement.case import BEYOND_STEAM, Case
from evenfire.judgement.proofs import changing, cold, interruptions, limits, shutdown, steady
from evenfire.judgement.proofs.result import NotProved, Proved, Scenario
from evenfire.plant.known import NotKnownError

SCENARIOS: MappingProxyType[Scenario, Callable[[Case], Proved]] = MappingProxyType(
    {
        Scenario.HIGH_LIMIT_ALONE: limits.high_limit_alone,
        Scenario.VALVES_ALONE: limits.valves_alone,
        Scenario.STEADY_LOADS: steady.steady_loads,
        Scenario.PICK_UP: changing.pick_up,
        Scenario.PICK_UP_AFTER_RESTART: changing.pick_up_after_restart,
        Scenario.DROP: changing.drop,
        Scenario.DAY: steady.day,
        Scenario.COLD_START: cold.cold_start,
        Scenario.HOLD_ABSENT: cold.hold_absent,
        Scenario.SHUTDOWN: shutdown.shutdown,
        Scenario.LOW_WATER: interruptions.low_water,
        Scenario.POWER_DIP: interruptions.power_dip,
    }
)
"""In the order in which an engineer would want to hear of them."""


def prove(case: Case, scenario: Scenario) -> Proved:
    """One scenario on one case."""
    try:
        return SCENARIOS[scenario](case)
    except NotKnownError as missing:
        return NotProved(scenario=scenario, missing=missing.keys)
    except OutOfRange:
        return NotProved(scenario=scenario, missing=(BEYOND_STEAM,))


def prove_all(case: Case) -> Iterator[Proved]:
    """Every scenario, one after the other."""
    for scenario in SCENARIOS:
        yield prove(case, scenario)

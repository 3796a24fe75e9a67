"""What held the pressure in a run: the first protection that was needed, or none."""

from dataclasses import dataclass
from enum import Enum

from evenfire.judgement.rules.valves import highest_accumulation
from evenfire.physics import control_logic
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.run import Extreme, Run
from evenfire.plant.boiler import Boiler
from evenfire.si import ROUNDING_PA, GaugePa


class Held(Enum):
    """The last in the row of protections that was needed."""

    FIRING_RATE = "firing rate"
    """Nothing had to stop the burner for pressure"""
    OPERATING_LIMIT = "operating limit"
    HIGH_LIMIT = "high limit"
    SAFETY_VALVES = "safety valves"
    NOTHING = "nothing"
    """Pressure rose beyond what safety valves may let it reach"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """What held the pressure, and how high it came."""

    held: Held
    highest: Extreme
    allowed: GaugePa
    """Highest pressure that safety valves may let the boiler reach [Pa gauge]"""
    margin: float
    """From the highest pressure to that [Pa]; negative when it was passed"""


def what_held(boiler: Boiler, run: Run) -> Holding:
    """Which protection held the pressure of a run."""
    allowed = highest_accumulation(boiler)
    kinds = {event.kind for event in run.events}
    stops = {event.subject for event in run.events if event.kind is Happening.BURNER_STOPPED}
    if run.highest.pressure > allowed + ROUNDING_PA:
        held = Held.NOTHING
    elif Happening.VALVE_LIFTED in kinds:
        held = Held.SAFETY_VALVES
    elif control_logic.HIGH_LIMIT in stops or Happening.HIGH_LIMIT_OPENED in kinds:
        held = Held.HIGH_LIMIT
    elif control_logic.OPERATING_LIMIT in stops:
        held = Held.OPERATING_LIMIT
    else:
        held = Held.FIRING_RATE
    return Holding(held=held, highest=run.highest, allowed=allowed, margin=allowed - run.highest.pressure)

"""What can be measured, and which values of the survey that would settle."""

from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType
from typing import Final

from evenfire.judgement.margins import Margin
from evenfire.judgement.outcome import TermName
from evenfire.plant.controls import Role

ASSUMED_LEFT: Final = 0.2
"""Share of its doubt that a value keeps once somebody has measured it [1].

A careful reading is about five times as good as a plate or a guess: a quarter of a lag becomes a twentieth.
"""
ASSUMED_LEFT_OF_READING: Final = 0.10
"""Doubt of a pressure rise or fall that was read off a gauge, as a share of it [1]; as for readings in the survey."""


class Measurement(Enum):
    """What a person with a watch, a gauge and a meter can find out."""

    RUN_ON = "run-on"
    """Pressure rise after a stop without load: settles all that the run-on follows from"""
    UNDERSHOOT = "undershoot"
    """Pressure fall after cut-in: settles all that the undershoot follows from"""
    CONTACT_TO_LOW_FIRE = "contact to low fire"
    STROKE = "stroke"
    """Of the firing-rate drive"""
    FUEL_AT_FULL_FIRE = "fuel at full fire"
    FUEL_AT_LOW_FIRE = "fuel at low fire"
    COMBUSTION = "combustion"
    """Flue gas: efficiency"""
    STANDING_LOSS = "standing loss"
    """Fall of pressure with everything shut"""
    FEEDWATER_TEMPERATURE = "feedwater temperature"
    WATER_VOLUME = "water volume"
    """Filled by a meter, or from the drawing"""
    STEAM_VOLUME = "steam volume"
    METAL_MASS = "metal mass"
    """From the drawing or the shipping papers"""
    SIZE_OF_DROP = "size of drop"
    """By the steam meter"""
    LINE_DROP = "line drop"
    """Both gauges read at full load"""
    TRIP_POINT = "trip point"
    """Of one control, several times, against a reference gauge"""
    WATER_LEG = "water leg"
    """Of one control, with a tape"""
    CONTROL_LAG = "control lag"
    """Of one control"""
    VALVE_LIFT = "valve lift"
    """On the bench"""


MOTION_KEYS: Final = frozenset(
    {
        "water_volume",
        "steam_volume",
        "metal_mass",
        "output",
        "standing_loss",
        "feedwater_temperature",
        "burner.heat_lag",
        "burner.stroke",
        "burner.turndown",
        "burner.efficiency",
        "burner.start",
        "measured.run_on",
        "measured.undershoot",
        "measured.contact_to_low_fire",
        *(f"controls.{role.value}.lag" for role in Role),
    }
)
"""Values that reach a margin only by way of motion."""

_SETTLES: Final = MappingProxyType(
    {
        "burner.start": Measurement.CONTACT_TO_LOW_FIRE,
        "measured.contact_to_low_fire": Measurement.CONTACT_TO_LOW_FIRE,
        "burner.stroke": Measurement.STROKE,
        "output": Measurement.FUEL_AT_FULL_FIRE,
        "burner.turndown": Measurement.FUEL_AT_LOW_FIRE,
        "burner.efficiency": Measurement.COMBUSTION,
        "standing_loss": Measurement.STANDING_LOSS,
        "feedwater_temperature": Measurement.FEEDWATER_TEMPERATURE,
        "water_volume": Measurement.WATER_VOLUME,
        "steam_volume": Measurement.STEAM_VOLUME,
        "metal_mass": Measurement.METAL_MASS,
        "load.drop": Measurement.SIZE_OF_DROP,
        "load.line_drop": Measurement.LINE_DROP,
        "safety_valve.lift": Measurement.VALVE_LIFT,
        "controls.tolerance": Measurement.TRIP_POINT,
        "controls.water_leg": Measurement.WATER_LEG,
        "controls.lag": Measurement.CONTROL_LAG,
    }
)
"""By kind of value; a heat lag and a reading of motion are settled by reading the motion itself."""

_READ: Final = MappingProxyType(
    {
        TermName.RUN_ON_AT_CUT_OUT: Measurement.RUN_ON,
        TermName.RUN_ON_AT_FULL_FIRE: Measurement.RUN_ON,
        TermName.UNDERSHOOT: Measurement.UNDERSHOOT,
    }
)
"""Motion that a gauge and a watch can read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Possible:
    """One measurement and what it would settle of one margin."""

    measurement: Measurement
    keys: tuple[str, ...]
    """Values that it settles"""
    term: TermName | None = None
    """Motion that it reads itself"""


def possible_for(margin: Margin, keys: tuple[str, ...], kind_of: MappingProxyType[str, str]) -> list[Possible]:
    """The measurements that bear on a margin which hangs on these values; each margin has one motion at most."""
    found = [Possible(measurement=_SETTLES[kind_of[key]], keys=(key,)) for key in keys if kind_of[key] in _SETTLES]
    for term in margin.terms:
        if term in _READ:
            moved = tuple(key for key in keys if key in MOTION_KEYS)
            found.append(Possible(measurement=_READ[term], keys=moved, term=term))
    return found

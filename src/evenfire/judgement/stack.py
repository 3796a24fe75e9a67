"""The pressure stack as the judgement sees it: every acting point at the boiler, every fact that bounds it.

One set of formulas serves a check (numbers) and a search (arrays): see :mod:`evenfire.judgement.margins`.
"""

from dataclasses import dataclass
from typing import Generic

from evenfire.plant.controls import Role
from evenfire.plant.known import Missing
from evenfire.si import Number


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack(Generic[Number]):
    """Acting points at the boiler [Pa gauge] and the motion that follows them [Pa]."""

    cut_out: Number | Missing
    """[Pa gauge]"""
    cut_in: Number | Missing
    """[Pa gauge]"""
    high_fire: Number | Missing
    """[Pa gauge]"""
    low_fire: Number | Missing
    """[Pa gauge]"""
    trip: Number | Missing
    """[Pa gauge]"""
    hold: Number | Missing
    """[Pa gauge]"""
    run_on: Number | Missing
    """After cut-out [Pa]"""
    full_fire_run_on: Number | Missing
    """After the high limit has stopped full fire with no load [Pa]"""
    undershoot: Number | Missing
    """After cut-in, at low-fire load [Pa]"""
    drop_overshoot: Number | Missing
    """Above the low-fire point when the load falls by the design drop [Pa]"""
    load_fall: Number | Missing
    """Below the high-fire point under load, while the burner drives up [Pa]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Off:
    """How far each control may act from its point, either way: tolerance and what is unsure of its water leg [Pa]."""

    operating_limit: float | Missing
    """[Pa]"""
    high_limit: float | Missing
    """[Pa]"""
    firing_rate: float | Missing
    """[Pa]"""
    low_fire_hold: float | Missing
    """[Pa]"""

    def of(self, role: Role) -> float | Missing:
        """How far the control that does this work may act from its point [Pa]."""
        match role:
            case Role.OPERATING_LIMIT:
                return self.operating_limit
            case Role.HIGH_LIMIT:
                return self.high_limit
            case Role.FIRING_RATE:
                return self.firing_rate
            case Role.LOW_FIRE_HOLD:
                return self.low_fire_hold


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What bounds the stack and no dial changes."""

    off: Off
    need: float | Missing
    """At the boiler, line drop included [Pa gauge]"""
    wish: float | Missing
    """[Pa gauge]"""
    rated_max: float | Missing
    """[Pa gauge]"""
    mawp: float
    """[Pa gauge]"""
    valve_set: float | Missing
    """Lowest of the safety valves [Pa gauge]"""
    earliest_lift: float | Missing
    """Lowest pressure at which any valve may lift [Pa gauge]"""
    reseat: float | Missing
    """Lowest pressure at which a lifted valve closes [Pa gauge]"""
    valve_gap: float | Missing
    """Wanted between the highest normal pressure and the lowest valve [Pa]"""

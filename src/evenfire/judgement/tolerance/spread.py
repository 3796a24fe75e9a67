"""How far a control may act from its point, and a safety valve from its stamp, as something to draw from."""

from dataclasses import dataclass
from typing import Final

from evenfire.judgement.case import Case, joined_with
from evenfire.judgement.valve_facts import lift_of
from evenfire.physics.relief import set_tolerance
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing, given
from evenfire.plant.safety_valve import SafetyValve
from evenfire.si import ROUNDING_PA, GaugePa

DRAWN: Final = (Role.OPERATING_LIMIT, Role.HIGH_LIMIT, Role.FIRING_RATE)
"""The controls whose errors are drawn; the low-fire hold plays no part in what is counted."""
ASSUMED_SET_ERROR_IS_EVEN: Final = True
"""Of a tolerance only its two ends are known. JCGM 100 (4.3.7) then takes every place between them as equally likely.

Drawing a bell curve would call the ends rare, which nobody has seen.
"""
ASSUMED_DRIFT_A_YEAR: Final = 0.005
"""Standard deviation of a pressure control's drift in a year, as a share of the span of its scale [1].

Springs, bellows and linkages creep; half a percent of span a year is a mild guess for a control that is exercised, and
either direction is as likely as the other. No published figure was found.
"""
ASSUMED_REPEAT_OF_TESTED_LIFT: Final = 0.01
"""How far a valve whose lift was tested may lift from that pressure the next time, to either side: share of it [1].

A valve does not lift twice at one pressure; a percent is less than any set tolerance, and its certificate is evidence.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlSpread:
    """How far one control may be off."""

    set_error: float
    """When it was set, to either side, every value equally likely [Pa]"""
    drift: float
    """After a year, one standard deviation of a bell curve around nothing [Pa]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveSpread:
    """Where one safety valve may lift."""

    lift: float
    """In the middle [Pa gauge]"""
    off: float
    """To either side, every value equally likely [Pa]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """All that is drawn for one boiler."""

    operating_limit: ControlSpread | Missing
    high_limit: ControlSpread | Missing
    firing_rate: ControlSpread | Missing
    valves: tuple[ValveSpread, ...]
    """Of every boiler that shares the pressure"""

    def of(self, role: Role) -> ControlSpread | Missing:
        """How far the control that does this work may be off."""
        match role:
            case Role.OPERATING_LIMIT:
                return self.operating_limit
            case Role.HIGH_LIMIT:
                return self.high_limit
            case Role.FIRING_RATE:
                return self.firing_rate
            case Role.LOW_FIRE_HOLD:
                return Missing(("controls.low_fire_hold",))


def spread_of(case: Case) -> Spread:
    """What is drawn for a case: set errors within its tolerances, a year's drift, and the lift of its valves."""
    valves = [_valve(valve) for boiler in joined_with(case.plant, case.boiler) for valve in boiler.safety_valves]
    stamped = [valve.set_pressure for each in joined_with(case.plant, case.boiler) for valve in each.safety_valves]
    if stamped and min(stamped) > case.facts.mawp + ROUNDING_PA:
        # Valves that are all set above the MAWP have to go; one that is set at the MAWP comes in their place.
        mawp = GaugePa(case.facts.mawp)
        valves.append(ValveSpread(lift=mawp, off=set_tolerance(mawp)))
    return Spread(
        operating_limit=_control(case, Role.OPERATING_LIMIT),
        high_limit=_control(case, Role.HIGH_LIMIT),
        firing_rate=_control(case, Role.FIRING_RATE),
        valves=tuple(valves),
    )


def _control(case: Case, role: Role) -> ControlSpread | Missing:
    off, control = case.facts.off.of(role), case.boiler.controls.of(role)
    scale = given(None if control is None else control.scale, f"controls.{role.value}.scale")
    if isinstance(off, Missing):
        return off
    if isinstance(scale, Missing):
        return scale
    return ControlSpread(set_error=off, drift=ASSUMED_DRIFT_A_YEAR * (scale.highest - scale.lowest))


def _valve(valve: SafetyValve) -> ValveSpread:
    if valve.tested_lift is not None:
        return ValveSpread(lift=valve.tested_lift, off=ASSUMED_REPEAT_OF_TESTED_LIFT * valve.tested_lift)
    return ValveSpread(lift=valve.set_pressure, off=valve.set_pressure - lift_of(valve))

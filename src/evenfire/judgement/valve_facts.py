"""What the safety valves of a boiler mean for its settings."""

from evenfire.physics.relief import set_tolerance
from evenfire.plant.boiler import Boiler
from evenfire.plant.safety_valve import SafetyValve
from evenfire.si import LOW_PRESSURE_LIMIT_PA, PA_PER_PSI, ROUNDING_PA, DiffPa, GaugePa


def lift_of(valve: SafetyValve) -> GaugePa:
    """Lowest pressure at which one valve may lift [Pa gauge]: its certificate, else set less set tolerance."""
    if valve.tested_lift is not None:
        return valve.tested_lift
    return GaugePa(valve.set_pressure - set_tolerance(valve.set_pressure))


def lowest_valve(boiler: Boiler) -> GaugePa | None:
    """Lowest set pressure of the valves [Pa gauge], never above the MAWP.

    Valves that are all set above the MAWP have to go; settings must fit those that come in their place.
    """
    lowest = min((valve.set_pressure for valve in boiler.safety_valves), default=None)
    return None if lowest is None else min(lowest, boiler.mawp)


def earliest_lift(boiler: Boiler) -> GaugePa | None:
    """Lowest pressure at which any valve of the boiler, or one set at its MAWP, may lift [Pa gauge]."""
    first = min((lift_of(valve) for valve in boiler.safety_valves), default=None)
    if first is None or min(valve.set_pressure for valve in boiler.safety_valves) <= boiler.mawp + ROUNDING_PA:
        return first
    return min(first, GaugePa(boiler.mawp - set_tolerance(boiler.mawp)))


def valve_tolerance(boiler: Boiler) -> DiffPa | None:
    """Set pressure less lift of the valve that may lift first [Pa]."""
    first = min(boiler.safety_valves, key=lift_of, default=None)
    return None if first is None else DiffPa(first.set_pressure - lift_of(first))


def reseat_of(valve: SafetyValve) -> GaugePa | None:
    """Lowest pressure at which one valve, once lifted, closes [Pa gauge]: its earliest lift less its blowdown."""
    return None if valve.blowdown is None else GaugePa(lift_of(valve) - valve.blowdown.value)


def reseat_pressure(boiler: Boiler) -> GaugePa | None:
    """Lowest pressure at which a valve of the boiler, once lifted, closes [Pa gauge]; unknown without its blowdown."""
    closing = [reseat for reseat in map(reseat_of, boiler.safety_valves) if reseat is not None]
    return min(closing) if len(closing) == len(boiler.safety_valves) and closing else None


def valve_gap(boiler: Boiler, lowest_set: GaugePa) -> DiffPa:
    """Gap wanted between the highest normal pressure and the lowest valve [Pa].

    Low pressure 5 psi; to 300 psi 10 % and at least 7; to 1000 psi 7 % and at least 30; above 5 % and at least 70.

    References: ASME BPVC section VII and NBIC, recommended table, from memory; the 5 psi of low pressure from a trade
    article.
    """
    if boiler.is_low_pressure or lowest_set <= LOW_PRESSURE_LIMIT_PA + ROUNDING_PA:
        return DiffPa(5 * PA_PER_PSI)
    for highest, share, least in ((300, 0.10, 7), (1000, 0.07, 30), (float("inf"), 0.05, 70)):
        if lowest_set <= highest * PA_PER_PSI + ROUNDING_PA:
            return DiffPa(max(share * lowest_set, least * PA_PER_PSI))
    raise AssertionError("the last row reaches every pressure")

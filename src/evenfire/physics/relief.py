"""Safety valves: where they may lift, and what they are certified to pass."""

from typing import Final

from evenfire.physics.orifice import choked_steam_flow
from evenfire.plant.possible import require_positive
from evenfire.si import LOW_PRESSURE_LIMIT_PA, PA_PER_PSI, ROUNDING_PA, AbsPa, DiffPa, Dimension, GaugePa

_LOW_PRESSURE_ACCUMULATION: Final = DiffPa(5 * PA_PER_PSI)


def set_tolerance(set_pressure: GaugePa) -> DiffPa:
    """How far a safety valve may lift from its set pressure, to either side [Pa].

    Parameters
    ----------
    set_pressure
        Stamped set pressure [Pa gauge].

    Raises
    ------
    ImpossibleValue
        A set pressure that is not above zero.

    Notes
    -----
    Up to 70 psi 2 psi; up to 300 psi 3 %; up to 1000 psi 10 psi; above that 1 %. Low pressure (up to 15 psi) has the
    same 2 psi by another code, which is from memory.

    References
    ----------
    VSH; BPVC-IV (low pressure, from memory).

    Examples
    --------
    >>> round(set_tolerance(GaugePa(150 * 6894.757)) / 6894.757, 2)
    4.5
    """
    require_positive("set pressure", set_pressure, Dimension.GAUGE_PRESSURE)
    if set_pressure <= 70 * PA_PER_PSI + ROUNDING_PA:
        return DiffPa(2 * PA_PER_PSI)
    if set_pressure <= 300 * PA_PER_PSI + ROUNDING_PA:
        return DiffPa(0.03 * set_pressure)
    if set_pressure <= 1000 * PA_PER_PSI + ROUNDING_PA:
        return DiffPa(10 * PA_PER_PSI)
    return DiffPa(0.01 * set_pressure)


def earliest_lift(set_pressure: GaugePa) -> GaugePa:
    """Lowest pressure at which a valve in order may lift [Pa gauge]."""
    return GaugePa(set_pressure - set_tolerance(set_pressure))


def overpressure_at_capacity(set_pressure: GaugePa) -> DiffPa:
    """How far above its set pressure a valve passes its certified capacity [Pa].

    Parameters
    ----------
    set_pressure
        Stamped set pressure [Pa gauge].

    Raises
    ------
    ImpossibleValue
        A set pressure that is not above zero.

    Notes
    -----
    High pressure: 3 %, at least 2 psi. Low pressure (up to 15 psi): 5 psi, from memory.

    References
    ----------
    NBCC; BPVC-IV (low pressure, from memory).
    """
    require_positive("set pressure", set_pressure, Dimension.GAUGE_PRESSURE)
    return _LOW_PRESSURE_ACCUMULATION if is_low_pressure(set_pressure) else _section_one_overpressure(set_pressure)


def is_low_pressure(set_pressure: GaugePa) -> bool:
    """Whether a valve of this set pressure protects a low-pressure boiler, up to 15 psi."""
    return set_pressure <= LOW_PRESSURE_LIMIT_PA + ROUNDING_PA


def certified_capacity(area: float, set_pressure: GaugePa, *, coefficient: float, ambient: AbsPa) -> float:
    """Saturated steam that a power-boiler safety valve is certified to pass [kg/s].

    Parameters
    ----------
    area
        Discharge area A [m2].
    set_pressure
        Stamped set pressure [Pa gauge].
    coefficient
        Certified coefficient K [1], which holds the code's derating.
    ambient
        Air pressure [Pa]; the code takes 14.7 psi.

    Raises
    ------
    ImpossibleValue
        An area, set pressure, coefficient or ambient pressure that is not above zero.

    Notes
    -----
    W = 51.5 A P K with P = set + overpressure + ambient. The overpressure is 3 %, at least 2 psi, whatever the set
    pressure: this is the power-boiler form, and for a valve of 15 psi it errs to the low side.

    References
    ----------
    NBCC.

    Examples
    --------
    A square inch at 150 psig with K = 1, 8714 lb/h:

    >>> flow = certified_capacity(0.0254**2, GaugePa(150 * 6894.757), coefficient=1.0, ambient=AbsPa(14.7 * 6894.757))
    >>> round(flow * 3600 / 0.45359237)
    8714
    """
    require_positive("set pressure", set_pressure, Dimension.GAUGE_PRESSURE)
    require_positive("coefficient", coefficient, Dimension.NUMBER)
    require_positive("ambient pressure", ambient, Dimension.ABSOLUTE_PRESSURE)
    pressure = AbsPa(set_pressure + _section_one_overpressure(set_pressure) + ambient)
    return coefficient * choked_steam_flow(area, pressure)


def _section_one_overpressure(set_pressure: GaugePa) -> DiffPa:
    return DiffPa(max(0.03 * set_pressure, 2 * PA_PER_PSI))

"""What each control does with pressure: where it acts, seen from the boiler.

A dial shows a pressure at the control. The boiler stands higher or lower by the water in the sensing line, so every
point here is a pressure in the boiler's steam space, with the band in which the control may really act.
"""

from dataclasses import dataclass

from evenfire.plant.controls import Control, Counts, Filling, Position
from evenfire.si import PA_PER_M_OF_WATER_LEG, DiffPa, Number


@dataclass(frozen=True, slots=True)
class Shift:
    """What a water leg does to the pressure at which a control acts."""

    offset: DiffPa
    """Boiler pressure at action less dial pressure, middle of what is possible [Pa]"""
    spread: DiffPa
    """Either way about the offset, because nobody knows how full the leg is [Pa]"""


def leg_shift(control: Control) -> Shift:
    """Shift of a control's action by its water leg [Pa].

    A full leg below the tap presses on the control, which therefore acts early; above the tap it hangs from it, and
    the control acts late. A leg that may be part empty lies anywhere between none and full. An unsurveyed leg shifts
    nothing here; the rule book says that it was not judged.

    References: HB1919, 0.433 psi per foot of water at 62 F.
    """
    leg = control.water_leg
    if leg is None:
        return Shift(DiffPa(0.0), DiffPa(0.0))
    sign = -1.0 if leg.position is Position.BELOW_TAP else 1.0
    head = sign * leg.height * PA_PER_M_OF_WATER_LEG
    if leg.filling is Filling.FULL:
        return Shift(DiffPa(head), DiffPa(0.0))
    return Shift(DiffPa(head / 2), DiffPa(abs(head) / 2))


def ends(shown: Number, differential: Number, counts: Counts) -> tuple[Number, Number]:
    """Lower and upper end [Pa] of a differential or range, from what the dial shows and how the differential counts."""
    match counts:
        case Counts.BELOW:
            return shown - differential, shown
        case Counts.ABOVE:
            return shown, shown + differential
        case Counts.AROUND:
            return shown - differential / 2, shown + differential / 2

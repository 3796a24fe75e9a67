"""The same plant asked to hold more pressure: need and wish move together, ratings and valves stay what they are."""

from dataclasses import replace

from evenfire.errors import BelowNeed
from evenfire.plant.boiler import Boiler
from evenfire.plant.load import Load
from evenfire.plant.plant import Plant
from evenfire.si import ROUNDING_PA, DiffPa, Dimension, GaugePa, Quantity


def retargeted(plant: Plant, target: GaugePa) -> Plant:
    """The plant with ``target`` [Pa gauge] as the pressure to be held, where the need is stated.

    Asking for more pressure also asks to see more, so a stated wish rises by as much. What hangs downstream and the
    valves do not move: they stand in the search as demands. The need of the plant does not either: it refuses a lower
    target.

    Raises
    ------
    BelowNeed
        The plant needs more than the target.
    """
    load = plant.load
    if load.need is not None and target < load.need - ROUNDING_PA:
        raise BelowNeed(Quantity(target, Dimension.GAUGE_PRESSURE), Quantity(load.need, Dimension.GAUGE_PRESSURE))
    return replace(plant, load=_raised(load, target))


def one_division(boiler: Boiler) -> DiffPa | None:
    """One division of the operating limit's main scale [Pa], ``None`` where it is not surveyed."""
    control = boiler.controls.operating_limit
    return None if control is None or control.scale is None else control.scale.division


def _raised(load: Load, target: GaugePa) -> Load:
    if load.need is None:
        return replace(load, need=target)
    wish = None if load.wish is None else GaugePa(load.wish + (target - load.need))
    return replace(load, need=target, wish=wish)

"""What would make settings fit: for each conflict, every single change that is known to cure it, and how little of it.

A cure is tried on the plant itself: the survey is changed, the search runs again, and the fewest steps that work are
found by halving. Where several conflicts stand side by side, a cure is sized so that it works together with every cure
already found for the others: one of each makes the plant settle.
"""

from collections.abc import Callable
from itertools import product

from evenfire.judgement.settle.result import Change, Cure
from evenfire.judgement.settle.ways import Way, ways
from evenfire.plant.boiler import Boiler
from evenfire.plant.plant import Plant
from evenfire.si import Quantity

Feasible = Callable[[Plant, Boiler], bool]
"""Whether the demands of one conflict can be met on a changed plant."""


def cures_of(
    plant: Plant, boiler: Boiler, alone: Feasible, beside: Feasible, others: tuple[tuple[Cure, ...], ...]
) -> tuple[Cure, ...]:
    """Every single change that cures a conflict.

    Parameters
    ----------
    alone
        Whether the demands can be met when those of every other conflict are dropped.
    beside
        Whether they can be met with the other conflicts cured as well.
    others
        The cures already found for the other conflicts; a cure has to work beside any one of each.
    """
    choices = [_all_of(choice) for choice in product(*(each for each in others if each))]
    found: list[Cure] = []
    for way in ways(plant, boiler):
        if any(way.kind is cure.kind and set(cure.roles) < set(way.roles) for cure in found):
            continue  # a smaller group of controls is enough
        works = _working(way, plant, boiler, alone, beside, choices)
        steps = _fewest(way, works)
        if steps is not None:
            found.append(_cure(way, steps))
    return tuple(found)


def _working(
    way: Way, plant: Plant, boiler: Boiler, alone: Feasible, beside: Feasible, choices: list[Change]
) -> Callable[[int], bool]:
    """Whether so many steps of a way are enough."""

    def works(steps: int) -> bool:
        value = way.value(steps)
        if not alone(*way.apply(plant, boiler, value)):
            return False
        return all(beside(*way.apply(*change(plant, boiler), value)) for change in choices)

    return works


def _fewest(way: Way, works: Callable[[int], bool]) -> int | None:
    """The fewest steps of a way that work; ``None`` when not even the last does."""
    if way.count < 1 or not works(way.count):
        return None
    too_few, enough = 0, way.count
    while enough - too_few > 1:
        middle = (too_few + enough) // 2
        too_few, enough = (too_few, middle) if works(middle) else (middle, enough)
    return enough


def _cure(way: Way, steps: int) -> Cure:
    value = way.value(steps)
    return Cure(
        kind=way.kind,
        roles=way.roles,
        before=None if way.start is None else Quantity(way.start, way.dimension),
        after=Quantity(value, way.dimension),
        change=lambda plant, boiler: way.apply(plant, boiler, value),
    )


def _all_of(cures: tuple[Cure, ...]) -> Change:
    def change(plant: Plant, boiler: Boiler) -> tuple[Plant, Boiler]:
        for cure in cures:
            plant, boiler = cure.change(plant, boiler)
        return plant, boiler

    return change

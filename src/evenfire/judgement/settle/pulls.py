"""Which value of the survey moves a margin most: where another look at the boiler is worth the walk."""

from collections.abc import Callable, Iterator
from dataclasses import replace

from evenfire.judgement.case import Case, prepare
from evenfire.judgement.margins import Margin, Tier, room
from evenfire.judgement.settle.result import Pull
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import HIGHEST_TURNDOWN, Burner
from evenfire.plant.controls import Role
from evenfire.plant.known import Datum, NotKnownError
from evenfire.plant.plant import Plant
from evenfire.si import DiffPa

SHIFT = 1.1
"""Each value in turn is taken to be a tenth more [1]."""

Variant = tuple[str, Plant, Boiler]
"""A plant-file key with the plant and boiler in which its value is another."""


def pulls_on(case: Case) -> tuple[Pull, ...]:
    """For each demand of a case, the surveyed value of which a tenth moves its room most."""
    variants = [
        (key, prepare(plant, boiler, case.which, case.settings))
        for key, plant, boiler in variants_of(case.plant, case.boiler, SHIFT)
    ]
    pulls = []
    for margin in case.demands:
        before = None if margin.tier is Tier.USUAL else _room(margin, case)
        if before is None:
            continue
        moved = [(key, after - before) for key, changed in variants if (after := _room(margin, changed)) is not None]
        key, change = max(moved, key=lambda each: abs(each[1]), default=("", 0.0))
        if change != 0.0:
            pulls.append(Pull(code=margin.code, key=key, change=DiffPa(change)))
    return tuple(pulls)


def _room(margin: Margin, case: Case) -> float | None:
    try:
        return float(room(margin, case.stack, case.facts))
    except NotKnownError:
        return None


def variants_of(plant: Plant, boiler: Boiler, factor: float) -> Iterator[Variant]:
    """The survey with one value after the other times a factor [1]; what has no such value is left out."""
    yield from ((key, plant, changed) for key, changed in _of_boiler(boiler, factor))
    drop = plant.load.design_drop
    if drop is not None:
        changed_drop = replace(drop, size=_times(drop.size, factor))
        yield "load.drop", replace(plant, load=replace(plant.load, design_drop=changed_drop)), boiler
    if plant.load.line_drop is not None:
        line_drop = _times(plant.load.line_drop, factor)
        yield "load.line_drop", replace(plant, load=replace(plant.load, line_drop=line_drop)), boiler


def _of_boiler(boiler: Boiler, factor: float) -> Iterator[tuple[str, Boiler]]:
    if boiler.water_volume is not None:
        yield "water_volume", replace(boiler, water_volume=factor * boiler.water_volume)
    if boiler.metal_mass is not None:
        yield "metal_mass", replace(boiler, metal_mass=_times(boiler.metal_mass, factor))
    if boiler.output is not None:
        yield "output", replace(boiler, output=factor * boiler.output)
    for role in Role:
        control = boiler.controls.of(role)
        if control is not None:
            tolerance = control.tolerance
            changed = replace(
                tolerance,
                dial=None if tolerance.dial is None else DiffPa(factor * tolerance.dial),
                proved=None if tolerance.proved is None else DiffPa(factor * tolerance.proved),
            )
            controls = boiler.controls.having(role, replace(control, tolerance=changed))
            yield f"controls.{role.value}.tolerance", replace(boiler, controls=controls)
    yield from _of_burners(boiler, factor)


def _of_burners(boiler: Boiler, factor: float) -> Iterator[tuple[str, Boiler]]:
    """Every burner changes alike: which of several fuels counts is not the question."""
    changes: tuple[tuple[str, Callable[[Burner], Burner]], ...] = (
        ("burner.heat_lag", lambda each: replace(each, heat_lag=_times_known(each.heat_lag, factor))),
        ("burner.stroke", lambda each: replace(each, stroke_time=_times_known(each.stroke_time, factor))),
        ("burner.turndown", lambda each: replace(each, turndown=_turned_down(each.turndown, factor))),
        ("burner.efficiency", lambda each: replace(each, efficiency=_capped(each.efficiency, factor))),
        ("burner.start", lambda each: _start_taking(each, factor)),
    )
    for key, change in changes:
        yield key, replace(boiler, burners=tuple(change(each) for each in boiler.burners))


def _start_taking(burner: Burner, factor: float) -> Burner:
    chain = burner.chain
    return replace(
        burner,
        chain=replace(
            chain,
            start_delay=_times_known(chain.start_delay, factor),
            drive_open=_times_known(chain.drive_open, factor),
            prepurge=_times_known(chain.prepurge, factor),
            drive_back=_times_known(chain.drive_back, factor),
            pilot_trial=_times_known(chain.pilot_trial, factor),
            main_trial=_times_known(chain.main_trial, factor),
            flame_to_low_fire=_times_known(chain.flame_to_low_fire, factor),
        ),
    )


def _times(datum: Datum, factor: float) -> Datum:
    return replace(datum, value=factor * datum.value)


def _times_known(datum: Datum | None, factor: float) -> Datum | None:
    return None if datum is None else _times(datum, factor)


def _turned_down(turndown: float | None, factor: float) -> float | None:
    return None if turndown is None else max(1.0, min(HIGHEST_TURNDOWN, factor * turndown))


def _capped(datum: Datum | None, factor: float) -> Datum | None:
    return None if datum is None else replace(datum, value=min(1.0, factor * datum.value))

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
"""A plant-file key with the plant and boiler in which its value is a tenth more."""


def pulls_on(case: Case) -> tuple[Pull, ...]:
    """For each demand of a case, the surveyed value of which a tenth moves its room most."""
    variants = [
        (key, prepare(plant, boiler, case.which, case.settings))
        for key, plant, boiler in _variants(case.plant, case.boiler)
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


def _variants(plant: Plant, boiler: Boiler) -> Iterator[Variant]:
    yield from ((key, plant, changed) for key, changed in _of_boiler(boiler))
    drop = plant.load.design_drop
    if drop is not None:
        more = replace(plant, load=replace(plant.load, design_drop=replace(drop, size=_more(drop.size))))
        yield "load.drop", more, boiler
    if plant.load.line_drop is not None:
        more = replace(plant, load=replace(plant.load, line_drop=_more(plant.load.line_drop)))
        yield "load.line_drop", more, boiler


def _of_boiler(boiler: Boiler) -> Iterator[tuple[str, Boiler]]:
    if boiler.water_volume is not None:
        yield "water_volume", replace(boiler, water_volume=SHIFT * boiler.water_volume)
    if boiler.metal_mass is not None:
        yield "metal_mass", replace(boiler, metal_mass=_more(boiler.metal_mass))
    if boiler.output is not None:
        yield "output", replace(boiler, output=SHIFT * boiler.output)
    for role in Role:
        control = boiler.controls.of(role)
        if control is not None:
            tolerance = control.tolerance
            wider = replace(
                tolerance,
                dial=None if tolerance.dial is None else DiffPa(SHIFT * tolerance.dial),
                proved=None if tolerance.proved is None else DiffPa(SHIFT * tolerance.proved),
            )
            controls = boiler.controls.having(role, replace(control, tolerance=wider))
            yield f"controls.{role.value}.tolerance", replace(boiler, controls=controls)
    yield from _of_burners(boiler)


def _of_burners(boiler: Boiler) -> Iterator[tuple[str, Boiler]]:
    """Every burner changes alike: which of several fuels counts is not the question."""
    changes: tuple[tuple[str, Callable[[Burner], Burner]], ...] = (
        ("burner.heat_lag", lambda each: replace(each, heat_lag=_more_or_none(each.heat_lag))),
        ("burner.stroke", lambda each: replace(each, stroke_time=_more_or_none(each.stroke_time))),
        (
            "burner.turndown",
            lambda each: replace(each, turndown=_turned_down(each.turndown)),
        ),
        ("burner.efficiency", lambda each: replace(each, efficiency=_capped(each.efficiency))),
        ("burner.start", _slower_start),
    )
    for key, change in changes:
        yield key, replace(boiler, burners=tuple(change(each) for each in boiler.burners))


def _slower_start(burner: Burner) -> Burner:
    chain = burner.chain
    return replace(
        burner,
        chain=replace(
            chain,
            start_delay=_more_or_none(chain.start_delay),
            drive_open=_more_or_none(chain.drive_open),
            prepurge=_more_or_none(chain.prepurge),
            drive_back=_more_or_none(chain.drive_back),
            pilot_trial=_more_or_none(chain.pilot_trial),
            main_trial=_more_or_none(chain.main_trial),
            flame_to_low_fire=_more_or_none(chain.flame_to_low_fire),
        ),
    )


def _more(datum: Datum) -> Datum:
    return replace(datum, value=SHIFT * datum.value)


def _more_or_none(datum: Datum | None) -> Datum | None:
    return None if datum is None else _more(datum)


def _turned_down(turndown: float | None) -> float | None:
    return None if turndown is None else min(HIGHEST_TURNDOWN, SHIFT * turndown)


def _capped(datum: Datum | None) -> Datum | None:
    return None if datum is None else replace(datum, value=min(1.0, SHIFT * datum.value))

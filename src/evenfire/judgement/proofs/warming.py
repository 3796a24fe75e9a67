"""How fast a cold boiler may warm, and how to fire it where low fire alone is too fast."""

from dataclasses import dataclass, replace
from typing import Final, assert_never

import numpy as np

from evenfire.judgement.outcome import Basis
from evenfire.judgement.proofs.result import Check, Shown, WallStrain, Watched
from evenfire.judgement.proofs.staging import Stage
from evenfire.judgement.rules.practice import FASTEST_WARM_UP
from evenfire.physics import metal, schedule
from evenfire.physics.motion.model import DELAY, FLAME, POSTPURGE
from evenfire.physics.motion.records import copied
from evenfire.physics.motion.wall import run_wall
from evenfire.physics.steam import saturation_temperature
from evenfire.plant.boiler import Boiler, Kind
from evenfire.si import AbsPa, Dimension, Quantity

RATE_OVER: Final = 600.0
"""Over which a rate is taken: a thermometer and a watch see no less [s]."""
_SAMPLES: Final = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class AllowedWarming:
    """What is known of how fast a kind of boiler may warm."""

    rate: float | None
    """[K/s]; nothing where nobody gives a number"""
    basis: Basis | None
    """Nothing where nothing is known, not even a practice"""


def allowed_warming(boiler: Boiler) -> AllowedWarming:
    """What is known for the kind: a number for drums only, and that one from memory.

    For fire tubes and cast iron there is a practice without a number, for coils not even that.
    """
    match boiler.kind:
        case Kind.WATERTUBE:
            return AllowedWarming(rate=FASTEST_WARM_UP, basis=Basis.FROM_MEMORY)
        case Kind.COIL:
            return AllowedWarming(rate=None, basis=None)
        case Kind.FIRETUBE | Kind.VERTICAL | Kind.CAST_IRON:
            return AllowedWarming(rate=None, basis=Basis.COMMON_PRACTICE)
    assert_never(boiler.kind)


def warms_slowly(boiler: Boiler, shown: Shown) -> Check | None:
    """Whether a warm-up keeps within what is known; nothing where no number is."""
    allowed, fastest = allowed_warming(boiler), fastest_warming(shown)
    if allowed.rate is None or allowed.basis is None:
        return None
    return Check(
        watched=Watched.WARMS_SLOWLY,
        observed=Quantity(fastest, Dimension.TEMPERATURE_RATE),
        limit=Quantity(allowed.rate, Dimension.TEMPERATURE_RATE),
        margin=Quantity(allowed.rate - fastest, Dimension.TEMPERATURE_RATE),
        holds=fastest <= allowed.rate,
        shown=shown.name,
        basis=allowed.basis,
    )


def fastest_warming(shown: Shown) -> float:
    """Fastest rise of the water's temperature over ten minutes [K/s]."""
    times, temperatures = shown.run.series.time, shown.run.series.temperature
    apart = round(RATE_OVER / float(times[1] - times[0]))
    if len(temperatures) <= apart:
        return 0.0
    return max(0.0, float((temperatures[apart:] - temperatures[:-apart]).max()) / RATE_OVER)


def kept_low(stage: Stage) -> Stage:
    """The same boiler with a hand on its firing rate, which keeps it at low fire to the end."""
    model = copied(stage.model)
    model.burner.cap = 0.0
    return replace(stage, model=model)


def firing_schedule(stage: Stage, shown: Shown) -> tuple[schedule.Firing, ...]:
    """Minutes on and off from cold to boiling, and from there to cut-in; nothing where no rate is known.

    ``shown`` is a warm-up at low fire all the way: what a burner does that has been let go tells nothing of low fire.
    """
    allowed = allowed_warming(stage.case.boiler).rate
    controls = stage.model.controls
    if allowed is None or not np.isfinite(controls.cut_in):
        return ()
    low_fire = _low_fire_rates(stage, shown, saturation_temperature(AbsPa(float(controls.cut_in))))
    if len(low_fire) < 2:
        return ()
    boiling = saturation_temperature(AbsPa(float(stage.model.vessel.ambient)))
    start, end = low_fire[0].temperature, low_fire[-1].temperature
    bounds = [start, *([boiling] if start < boiling < end else []), end]
    durations = stage.model.burner.durations
    clock = schedule.Clock(
        start_time=float(durations[DELAY : FLAME + 1].sum()),
        least_off=max(float(durations[POSTPURGE]), float(stage.model.burner.minimum_off)),
    )
    return schedule.firing_schedule(low_fire, bounds, allowed_rate=allowed, clock=clock)


def wall_strain(boiler: Boiler, shown: Shown) -> WallStrain | None:
    """How hard the run strains the thickest wall; nothing where nobody knows it."""
    if boiler.wall is None:
        return None
    shell = metal.Shell(inner_radius=boiler.wall.inner_diameter / 2, wall=boiler.wall.thickness)
    series = shown.run.series
    # The hottest steel errs to more stress.
    steel = metal.carbon_steel(float(series.temperature.max()))
    through = run_wall(shell, steel, series.time, series.temperature)
    settled = metal.wall_difference(shell, rate=fastest_warming(shown), diffusivity=steel.diffusivity)
    return WallStrain(
        name=shown.name,
        difference=through.warming.difference,
        stress=through.warming.stress,
        steady_stress=metal.thermal_stress(settled, steel),
        at=through.warming.time,
    )


def _low_fire_rates(stage: Stage, shown: Shown, end: float) -> list[schedule.LowFireRate]:
    """How fast low fire warms, over the temperatures of a start that nothing stopped, up to the end of it [K]."""
    series = shown.run.series
    at_low_fire = np.abs(series.firing - float(stage.model.burner.lowest)) < 1e-6
    chosen = at_low_fire & (series.temperature <= end)
    times, temperatures = series.time[chosen], series.temperature[chosen]
    rising = np.diff(np.maximum.accumulate(temperatures), prepend=-np.inf) > 0.0
    times, temperatures = times[rising], temperatures[rising]
    if len(times) < 3:
        return []
    places = np.unique(np.linspace(0, len(times) - 1, min(_SAMPLES, len(times))).astype(int))
    rates = np.gradient(temperatures[places], times[places])
    return [
        schedule.LowFireRate(temperature=float(temperature), rate=max(0.0, float(rate)))
        for temperature, rate in zip(temperatures[places], rates, strict=True)
    ]

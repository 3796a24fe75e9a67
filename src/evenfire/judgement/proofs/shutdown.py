"""A shutdown: burner switched off by hand, stop valve shut, and the boiler cools; air gets in, or a vacuum comes.

Nothing is demanded: no rule that we know of asks for a vacuum breaker. It is told what will be, and when.
"""

from dataclasses import replace
from math import inf

import numpy as np

from evenfire.judgement.behaviour import ROOM_TEMPERATURE
from evenfire.judgement.case import Case
from evenfire.judgement.motion.modelling import normal_volume, working_pressure
from evenfire.judgement.proofs.result import Fact, Found, Proof, Scenario, Shown, concluded
from evenfire.judgement.proofs.staging import TRUE, Stage, nothing, stages_of
from evenfire.physics.motion import starting
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.model import FEED_GIVEN
from evenfire.physics.motion.records import copied
from evenfire.physics.steam import saturation_pressure
from evenfire.plant.known import Origin, given, known
from evenfire.si import AbsPa, Dimension, Quantity

HOURS = 72.0
"""A long weekend: what a boiler does later, it does slowly."""
INTERVAL = 60.0
"""[s]"""
RESTART_HOURS = 12.0
AIR_GETS_IN = "air gets in"
TIGHT = "tight"
"""Names of the runs."""


def shutdown(case: Case) -> Proof:
    """Hot at cut-out, burner and feed off, nobody drawing, for three days; whether air gets in decides how it ends.

    Where the survey does not say whether it does, both are shown.
    """
    stages = stages_of(case, TRUE)
    breaks = known(given(case.boiler.breaks_vacuum, "vacuum_breaker"))[0]
    is_assumed = breaks.origin is Origin.ASSUMED
    ways = (True, False) if is_assumed else (breaks.value > 0,)
    # Whatever the fuel: the burner is off.
    runs = tuple(_cooled(stages[0], lets_air_in=way) for way in ways)
    facts = [*_common(case, stages, runs[0]), *(fact for run in runs for fact in _own(case, run))]
    return replace(concluded(Scenario.SHUTDOWN, [], tuple(facts), runs), not_told=_not_told(case))


def _cooled(stage: Stage, *, lets_air_in: bool) -> Shown:
    model = copied(stage.model)
    model.vessel.lets_air_in = lets_air_in
    cut_out = float(model.controls.cut_out)
    begins = cut_out if np.isfinite(cut_out) else working_pressure(stage.case) + stage.case.site.ambient.value
    first = starting.at_pressure(model, AbsPa(begins), normal_volume(stage.case))
    # A hand on the switch is no fault: nothing calls the burner, and no feed comes.
    model.controls.cut_out, model.controls.cut_in, model.feed.kind = -inf, -inf, FEED_GIVEN
    name = AIR_GETS_IN if lets_air_in else TIGHT
    return replace(stage, model=model).run(name, first, nothing(), hours=HOURS, interval=INTERVAL)


def _common(case: Case, stages: tuple[Stage, ...], shown: Shown) -> list[Fact]:
    """What is the same whether air gets in or not: until zero gauge nothing differs."""
    facts = []
    took = _first(shown, Happening.HOLD_TOOK)
    if took is not None:
        facts.append(Fact(Found.COOLS_INTO_HOLD, Quantity(took, Dimension.TIME)))
    zero = _zero_gauge(shown)
    if zero is not None:
        facts.append(Fact(Found.ZERO_GAUGE, Quantity(zero, Dimension.TIME)))
        back = [_back_at_work(stage) for stage in stages]
        times = [time for time in back if time is not None]
        if len(times) == len(back):
            facts.append(Fact(Found.BACK_AT_WORK, Quantity(max(times), Dimension.TIME)))
    else:
        facts.append(Fact(Found.LOWEST, Quantity(shown.run.lowest.pressure, Dimension.GAUGE_PRESSURE)))
    volume = shown.run.series.water_volume
    shrinks = 1.0 - float(volume[-1]) / normal_volume(case)
    facts.append(Fact(Found.WATER_SHRINKS, Quantity(max(0.0, shrinks), Dimension.FRACTION)))
    low = _first(shown, Happening.WATER_LOW)
    if low is not None:
        facts.append(Fact(Found.SHRINKS_TO_CUTOFF, Quantity(low, Dimension.TIME)))
    return facts


def _own(case: Case, shown: Shown) -> list[Fact]:
    """What one way of cooling does once the gauge has come down to zero."""
    zero = _zero_gauge(shown)
    if zero is None:
        return []
    lowest = Fact(Found.LOWEST, Quantity(shown.run.lowest.pressure, Dimension.GAUGE_PRESSURE), shown.name)
    if shown.name != TIGHT:
        return [lowest]
    ambient = case.site.ambient.value
    half = _falls_to(shown, -0.5 * ambient)
    deepest = float(saturation_pressure(ROOM_TEMPERATURE)) - ambient
    times = ((Found.HALF_VACUUM, half), (Found.BELOW_ZERO, shown.run.duration - zero))
    return [
        *(Fact(found, Quantity(time, Dimension.TIME), shown.name) for found, time in times if time is not None),
        lowest,
        Fact(Found.DEEPEST_VACUUM, Quantity(deepest, Dimension.GAUGE_PRESSURE), shown.name),
    ]


def _zero_gauge(shown: Shown) -> float | None:
    """When the gauge has come down to zero [s]; nothing where three days are not enough."""
    let_in = _first(shown, Happening.AIR_LET_IN)
    return _falls_to(shown, 0.0) if let_in is None else let_in


def _first(shown: Shown, kind: Happening) -> float | None:
    return next((event.time for event in shown.run.events if event.kind is kind), None)


def _falls_to(shown: Shown, pressure: float) -> float | None:
    """When a boiler that cools is down at a pressure [Pa gauge], on straight lines between the rows [s]."""
    series = shown.run.series
    below = np.flatnonzero(series.pressure <= pressure)
    if not len(below):
        return None
    place = int(below[0])
    if place == 0:
        return 0.0
    before, after = float(series.pressure[place - 1]), float(series.pressure[place])
    return float(series.time[place - 1]) + INTERVAL * (before - pressure) / (before - after)


def _back_at_work(stage: Stage) -> float | None:
    """From a start at zero gauge, still hot, to cut-in [s]; nothing where it does not get there in half a day."""
    if not np.isfinite(stage.model.controls.cut_in):
        return None
    first = starting.at_pressure(stage.model, AbsPa(stage.case.site.ambient.value), normal_volume(stage.case))
    series = stage.run("restart", first, nothing(), hours=RESTART_HOURS).run.series
    cut_in = float(stage.model.controls.cut_in - stage.model.vessel.ambient)
    there = np.flatnonzero(series.pressure >= cut_in)
    return float(series.time[there[0]]) if len(there) else None


def _not_told(case: Case) -> tuple[str, ...]:
    """What would tell more: it is all a matter of these two."""
    looked_at = (
        ("vacuum_breaker", case.boiler.breaks_vacuum),
        ("standing_loss", case.boiler.standing_loss),
    )
    return tuple(key for key, datum in looked_at if datum is not None and datum.origin is Origin.ASSUMED)

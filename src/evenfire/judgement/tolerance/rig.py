"""One boiler with any error of its controls, let run for nothing but the highest pressure that it comes to."""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np

from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.motion.loading import FaultAt, inputs_of
from evenfire.judgement.motion.modelling import Shifts, normal_volume
from evenfire.judgement.proofs.staging import ACCURACY, MOST_OF_FULL, TRUE, Stage, nothing, ramp, stages_of
from evenfire.physics.motion import starting
from evenfire.physics.motion.advance import LOG_FULL, REACHED, TRACE_COLUMNS, Trace, run_until
from evenfire.physics.motion.contents import closed_energy, closed_mass
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.happenings import COLUMNS
from evenfire.physics.motion.model import RATE_PROPORTIONAL, Controls, Inputs, Model
from evenfire.physics.motion.records import copied, new
from evenfire.physics.motion.state import State
from evenfire.physics.motion.work import Work
from evenfire.plant.known import Missing, given, known
from evenfire.plant.load import Ramp
from evenfire.si import AbsPa

IDLE: Final = 7200.0
"""Without load, from cut-in on: as long as a steady load is proved [s]"""
LET_GO: Final = 7200.0
"""[s]"""
DROP: Final = 2700.0
"""[s]"""
_BELOW_TRIP: Final = 1e4
"""Where a boiler is let go that stands above its high limit [Pa]."""
_LINES: Final = 2000
_MOST_LOGS: Final = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One thing that is done to the boiler, ready to be done with any error of its controls."""

    model: Model
    first: State
    inputs: Inputs
    work: Work
    volume: float
    """Of water [m3]"""
    seconds: float
    """[s]"""
    begins: Callable[[Controls], float]
    """Pressure that it begins at with these controls [Pa abs]"""

    def peak(self, shifts: Shifts) -> float:
        """Highest pressure [Pa gauge] by the loop alone: it keeps no records and lets other threads go on meanwhile.

        Infinite where the loop could not get to its end: what cannot be run is not taken for harmless.
        """
        model, state, work = shifted(self.model, shifts), copied(self.first), copied(self.work)
        _put_at(model, state, self.volume, self.begins(model.controls))
        trace, log = Trace(np.empty((1, TRACE_COLUMNS)), self.seconds), np.empty((_LINES, COLUMNS))
        ending, logs = LOG_FULL, 0
        while ending == LOG_FULL and logs < _MOST_LOGS:
            _, ending = run_until(model, self.inputs, state, work, self.seconds, ACCURACY, trace, log)
            logs += 1
        return float(state.extremes.highest - model.vessel.ambient) if ending == REACHED else inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Rig:
    """One burner of a case; no safety valve lifts, so that a peak shows how far pressure would go."""

    low_share: float
    """Low fire as a share of full fire [1]"""
    is_proportional: bool
    """Whether its fire follows a line"""
    idle: Way
    """Cycling without load, from cut-in on, both limits in place"""
    let_go: Way
    """Operating limit welded, drive stuck at full, load gone: only the high limit stops it"""
    drop: Way | Missing
    """The design drop down to low-fire load, nothing stopping the burner; for one that follows the load"""


def rigs_of(case: Case) -> tuple[Rig, ...]:
    """A rig for each burner.

    Raises
    ------
    NotKnownError
        What the survey lacks for a simulation.
    """
    return tuple(_rig(case, stage) for stage in stages_of(case, TRUE))


def shifted(model: Model, shifts: Shifts) -> Model:
    """A model whose controls act so much higher."""
    changed = copied(model)
    part = changed.controls
    part.cut_out += shifts.operating_limit
    part.cut_in += shifts.operating_limit
    part.trip += shifts.high_limit
    part.remakes += shifts.high_limit
    part.high_fire += shifts.firing_rate
    part.low_fire += shifts.firing_rate
    part.takes_hold += shifts.low_fire_hold
    part.lets_go += shifts.low_fire_hold
    return changed


def _put_at(model: Model, state: State, volume: float, pressure: float) -> None:
    """Put a state that starting made at another pressure, with the heat that is on its way."""
    inside, sensed = state.contents, state.sensed
    inside.mass = closed_mass(model, volume, pressure)
    inside.energy = closed_energy(model, float(inside.mass), pressure) + inside.on_the_way
    inside.pressure = pressure
    sensed.operating_limit, sensed.high_limit = pressure, pressure
    sensed.firing_rate, sensed.low_fire_hold = pressure, pressure
    state.acting = model.controls


def _rig(case: Case, stage: Stage) -> Rig:
    stage.model.valves.count = 0
    return Rig(
        low_share=float(stage.model.burner.lowest),
        is_proportional=_is_proportional(stage),
        idle=_way(case, stage.model, stage.at_cut_in(), inputs_of(nothing()), IDLE, _at_cut_in),
        let_go=_let_go(case, stage),
        drop=_drop(case, stage),
    )


def _way(
    case: Case, model: Model, first: State, inputs: Inputs, seconds: float, begins: Callable[[Controls], float]
) -> Way:
    return Way(
        model=model,
        first=first,
        inputs=inputs,
        work=new(Work),
        volume=normal_volume(case),
        seconds=seconds,
        begins=begins,
    )


def _at_cut_in(controls: Controls) -> float:
    return float(controls.cut_in)


def _is_proportional(stage: Stage) -> bool:
    return bool(stage.model.burner.rate_action == RATE_PROPORTIONAL)


def _let_go(case: Case, stage: Stage) -> Way:
    faults = (Fault.OPERATING_LIMIT_WELDED, Fault.DRIVE_STUCK_AT_FULL)
    inputs = inputs_of(nothing(), tuple(FaultAt(fault=each, begin=0.0) for each in faults))

    def begins(controls: Controls) -> float:
        return float(min(controls.cut_in, controls.trip - _BELOW_TRIP))

    at = AbsPa(begins(stage.model.controls))
    return _way(case, stage.model, starting.on_line(stage.model, at, normal_volume(case), 1.0), inputs, LET_GO, begins)


def _drop(case: Case, stage: Stage) -> Way | Missing:
    """From the highest load that the design drop begins at; the cut-out that was taken away still says where a
    two-position burner begins."""
    drop = given(case.load.design_drop if follows_the_load(case.boiler) else None, "load.drop")
    if isinstance(drop, Missing):
        return drop
    free, before, least = stage.freed(), *_flows(stage, drop)
    inputs = inputs_of(ramp(before, least, 60.0, drop.duration.value))
    if not _is_proportional(stage):
        cut_in = known(case.stack.cut_in)[0] + case.site.ambient.value
        first = starting.at_pressure(free.model, AbsPa(cut_in), normal_volume(case))
        return _way(case, free.model, first, inputs, DROP, lambda controls: cut_in)  # noqa: ARG005
    first = free.standing_at(before)
    share = float(first.flame.position)

    def begins(controls: Controls) -> float:
        return float(controls.low_fire - share * (controls.low_fire - controls.high_fire))

    return _way(case, free.model, first, inputs, DROP, begins)


def _flows(stage: Stage, drop: Ramp) -> tuple[float, float]:
    """Steam before and after the design drop [kg/s]."""
    least = 1.001 * stage.low
    return min(MOST_OF_FULL * stage.full, least + stage.flow_of(drop)), least

"""The load of a plant over time, as the loop takes it."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, inf
from typing import assert_never

import numpy as np

from evenfire.judgement.case import Case
from evenfire.judgement.motion.modelling import working_pressure
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.model import Inputs, Profile, steady
from evenfire.plant.known import NotKnownError, given, known
from evenfire.plant.load import Batches, Constant, Daily, Demand, Recorded, Steps
from evenfire.si import GaugePa

HOUR = 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultAt:
    """Something breaks, from a time on."""

    fault: Fault
    begin: float
    """[s] since the start of the run"""
    end: float = inf
    """[s]"""
    amount: float = 0.0
    """How much higher a drifted control acts [Pa]"""


def profile_of(demand: Demand) -> Profile:
    """Steam drawn over time [kg/s]; a load in a file must have been read before.

    Raises
    ------
    NotKnownError
        The load stands in a file that was not read.
    """
    match demand:
        case Constant(steam=steam):
            return steady(steam)
        case Steps(steps=steps):
            return _pieces([duration for duration, _ in steps], [steam for _, steam in steps])
        case Daily(hours=hours):
            return _pieces([HOUR] * len(hours), hours)
        case Batches():
            return _batches(demand)
        case Recorded():
            raise NotKnownError(("load.demand",))
    assert_never(demand)


def _pieces(durations: Iterable[float], flows: Iterable[float]) -> Profile:
    """Steps that begin again after the last."""
    lasts = np.array(list(durations))
    begins = np.concatenate(([0.0], np.cumsum(lasts)[:-1]))
    values = np.array(list(flows))
    return Profile(np.column_stack([begins, values, np.zeros_like(values)]), float(lasts.sum()))


def _batches(demand: Batches) -> Profile:
    """Batches at even distances, the first at once; where they are longer than their distance they overlap."""
    apart = 1.0 / demand.per_hour
    together = demand.duration / apart
    more, fewer = ceil(together), int(together)
    rest = demand.duration - fewer * apart
    if more == fewer:
        return steady(demand.base + fewer * demand.batch)
    return _pieces([rest, apart - rest], [demand.base + more * demand.batch, demand.base + fewer * demand.batch])


def worst_steady_load(case: Case) -> float:
    """Steam flow at which the burner starts most often [kg/s]: stands for a load that nobody stated.

    Raises
    ------
    NotKnownError
        What the survey lacks to tell it.
    """
    loss = given(case.boiler.standing_loss, "standing_loss")
    cut_in, cut_out, lost = known(case.stack.cut_in, case.stack.cut_out, loss)
    cycling = case.behaviour.cycling(GaugePa(cut_in), GaugePa(cut_out), None)
    return max(0.0, cycling.load - lost.value) / case.behaviour.steam_heat(1.0, working_pressure(case))


def inputs_of(draw: Profile, faults: tuple[FaultAt, ...] = (), resets: tuple[float, ...] = ()) -> Inputs:
    """What is done to a boiler: steam drawn [kg/s], what breaks, and when a hand presses reset [s]."""
    rows = [(float(each.fault), each.begin, each.end, each.amount) for each in faults]
    return Inputs(
        draw=draw,
        heat=steady(0.0),
        given_feed=steady(0.0),
        faults=np.array(rows, dtype=float).reshape(-1, 4),
        resets=np.array(sorted(set(resets)), dtype=float),
    )

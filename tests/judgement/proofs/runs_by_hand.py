"""Runs whose pressures, fires and events are written by hand."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np

from evenfire.judgement.motion.beginning import at
from evenfire.judgement.motion.loading import inputs_of
from evenfire.judgement.motion.modelling import boiler_model
from evenfire.judgement.proofs.result import Shown
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.model import steady
from evenfire.physics.motion.run import Event, Extreme, Run, run
from evenfire.si import GaugePa
from tests.surveys import case_of, survey

PSI = 6894.757293
APART = 10.0
"""Between two rows of a series [s]."""


@cache
def still() -> Run:
    """A second of a boiler in which nothing happens, to be written over."""
    case = case_of(survey())
    model = boiler_model(case)
    return run(model, inputs_of(steady(0.0)), at(case, model, GaugePa(90 * PSI)), duration=1.0, interval=1.0)


def event(kind: Happening, subject: int, time: float, *, firing: float = 0.5, pressure: float = 100.0) -> Event:
    """Something that acted, at a pressure [psi gauge]."""
    return Event(kind=kind, subject=subject, time=time, pressure=GaugePa(pressure * PSI), rising=True, firing=firing)


def shown(
    pressures: Sequence[float],
    *,
    events: Sequence[Event] = (),
    firing: float = 0.5,
    temperatures: Sequence[float] = (),
    broke_off: bool = False,
) -> Shown:
    """A run that stood at these pressures [psi gauge] ten seconds apart."""
    rows = np.array(pressures, dtype=np.float64) * PSI
    time = np.arange(len(rows), dtype=np.float64) * np.float64(APART)
    series = replace(
        still().series,
        time=time,
        pressure=rows,
        firing=np.full(len(rows), firing),
        temperature=np.array(temperatures or [450.0] * len(rows), dtype=np.float64),
    )
    highest, lowest = int(rows.argmax()), int(rows.argmin())
    done = replace(
        still(),
        duration=float(time[-1]),
        series=series,
        events=tuple(events),
        highest=Extreme(pressure=GaugePa(float(rows[highest])), time=float(time[highest])),
        lowest=Extreme(pressure=GaugePa(float(rows[lowest])), time=float(time[lowest])),
    )
    return Shown(name="by hand", run=done, ambient=101325.0, broke_off=broke_off)

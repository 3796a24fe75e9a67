"""One run of the small boiler, with what happened in it."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tests.blind import stepping
from tests.blind.boilers import Boiler
from tests.blind.stepping import Script
from tests.blind.waters import water_table

Floats = NDArray[np.float64]
MOST_EVENTS: Final = 200_000


@dataclass(slots=True, kw_only=True)
class Going:
    """A boiler in the middle of a run: what a further stretch goes on from."""

    state: Floats
    buffer: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Hidden:
    """What really happened, by the second; nothing of it reaches what is tested."""

    trace: Floats
    stops: Floats
    """Rows of second, kind, pressure [Pa], where the control stood [Pa], position of the fuel valve"""
    starts: Floats
    """Rows of second of the call, second of the flame, pressure [Pa]"""
    cut_ins: Floats
    """Rows of second, pressure [Pa], where the control stood [Pa]"""

    def column(self, column: int) -> Floats:
        """One column of the trace."""
        return self.trace[:, column]


def begin(boiler: Boiler, pressure: float, is_firing: bool = False) -> Going:
    """A boiler that stands at a gauge pressure [Pa]."""
    state = np.zeros(stepping.STATES)
    for cell in (stepping.PRESSURE, stepping.LOGGED, stepping.S_LIMIT_SEES, stepping.S_FIRE_SEES):
        state[cell] = pressure
    state[stepping.WATER] = boiler.works.water_normal
    state[stepping.S_FACTOR] = 1.0
    state[stepping.S_STATE_TWO] = 1.0
    state[stepping.PHASE] = stepping.RUN if is_firing else stepping.OFF
    return Going(state=state, buffer=np.zeros(stepping.BUFFER))


def go_on(boiler: Boiler, going: Going, script: Script) -> Hidden:
    """The next stretch; the counters of events begin anew with each, the seconds do not."""
    size = min(MOST_EVENTS, len(script.draw) // 5 + 10)
    tables = (np.empty((size, stepping.STOP_CELLS)), np.empty((size, 3)), np.empty((size, 3)))
    for cell in (stepping.S_STOPS, stepping.S_STARTS, stepping.S_CUT_INS):
        going.state[cell] = 0.0
    trace = stepping.run(going.state, going.buffer, water_table(), boiler.works, script, tables)
    counts = (int(going.state[cell]) for cell in (stepping.S_STOPS, stepping.S_STARTS, stepping.S_CUT_INS))
    stops, starts, cut_ins = (table[:count].copy() for table, count in zip(tables, counts, strict=True))
    return Hidden(trace=trace, stops=stops, starts=starts, cut_ins=cut_ins)

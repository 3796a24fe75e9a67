"""How long the first run waits for the compiler, with and without what an earlier one kept."""

import os
import statistics
import subprocess
import tempfile
from typing import Final

from benchmarks.interleaved import python
from benchmarks.row import Row

_ROUNDS: Final = 3
"""Half a minute of compiling is enough."""
_FIRST_RUN: Final = """
import time
import numba, numpy
from evenfire.physics import steam

begun = time.perf_counter()
import numpy as np
from tests.motion_models import laundry_like, load, standing
from evenfire.physics.motion.advance import TRACE_COLUMNS, Trace, run_until
from evenfire.physics.motion.happenings import COLUMNS
from evenfire.physics.motion.records import new
from evenfire.physics.motion.work import Work

model = laundry_like()
trace, log = Trace(np.zeros((2, TRACE_COLUMNS)), 60.0), np.zeros((1000, COLUMNS))
run_until(model, load(model, 0.1), standing(model, 115.0), new(Work), 60.0, 0.05, trace, log)
print(time.perf_counter() - begun)
"""
"""From the import of the simulation on, the compiler and the numbers of steam apart."""


def rows() -> list[Row]:
    """Compiling the loop anew and taking it from the cache, each in a process of its own."""
    times: dict[str, list[float]] = {"cold": [], "cached": []}
    for _ in range(_ROUNDS):
        with tempfile.TemporaryDirectory() as place:
            for name in times:
                times[name].append(_first_run(place))
    return [
        Row(work=work, reference="a second", ratio=seconds, reach=reach, seconds=seconds, reference_seconds=1.0)
        for work, seconds, reach in (
            ("first minute of a boiler, nothing compiled", statistics.median(times["cold"]), 3.0),
            ("first minute of a boiler, compiled before", statistics.median(times["cached"]), 0.5),
        )
    ]


def _first_run(cache: str) -> float:
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    done = subprocess.run(
        python(_FIRST_RUN),
        env=environment | {"XDG_CACHE_HOME": cache},
        capture_output=True,
        text=True,
        check=True,
    )
    return float(done.stdout)

"""The whole loop in plain Python comes to what the compiled loop comes to."""

import json
import os
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import TypedDict

import pytest

ROOT = Path(__file__).parents[3]
PROGRAM = """
import json
import numpy as np
from evenfire.physics.motion.advance import run_until
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.model import DRAW_EXCHANGER, FEED_MODULATING, RATE_TWO_POSITION
from tests.physics.motion.random_boilers import Burner, Case, Vessel

def leaves(name, value):
    if getattr(value, "dtype", None) is not None and value.dtype.names:
        for field in value.dtype.names:
            yield from leaves(f"{name}.{field}", value[field])
    elif isinstance(value, float):
        yield name, float(value).hex()
    else:
        yield name, repr(int(value))

# A third of an hour each: a cycle with its whole chain and slugs of feed; a cold boiler; quick cycles of two fires.
CASES = (
    Case(pieces=((0.0, 0.1, 1e-4),), starts_at=113.0, faults=((Fault.POWER_OFF, 700.0, 720.0, 0.0),), hours=1 / 3),
    Case(starts_at=None, vessel=Vessel(water=0.4, feed_kind=FEED_MODULATING), hours=1 / 3),
    Case(
        burner=Burner(rate_action=RATE_TWO_POSITION, lights_at_low_fire_only=False, stroke=0.0, chain=(1.0,) * 8),
        vessel=Vessel(water=0.5, lifts=(119.0,)), users=DRAW_EXCHANGER, pieces=((0.0, 0.2, 0.0),), hours=1 / 3,
    ),
)
told = []
for case in CASES:
    run = case.run()
    told.append({
        "is_compiled": hasattr(run_until, "py_func"),
        "state": dict(leaves("", run.last)),
        "events": [[event.kind.name, str(event.subject), float(event.time).hex(), float(event.pressure).hex(),
                    str(event.rising), float(event.firing).hex()] for event in run.events],
        "pressure": [float(value).hex() for value in run.series.pressure],
    })
print(json.dumps(told))
"""


class Told(TypedDict):
    """What one run said, every number by its bits."""

    is_compiled: bool
    state: dict[str, str]
    events: list[list[str]]
    pressure: list[str]


@cache
def told(no_compiler: str) -> list[Told]:
    environment = {**os.environ, "NUMBA_DISABLE_JIT": no_compiler}
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], cwd=ROOT, env=environment, capture_output=True, text=True, check=True
    )
    answer: list[Told] = json.loads(done.stdout)
    return answer


NUMBERS = range(3)


@pytest.mark.parametrize("number", NUMBERS)
def test_plain_python_runs_through_the_same_events_to_the_bit(number: int) -> None:
    plain, compiled = told("1")[number], told("0")[number]
    assert (plain["is_compiled"], compiled["is_compiled"]) == (False, True)
    assert len(compiled["events"]) > 10
    assert plain["events"] == compiled["events"]


@pytest.mark.parametrize("number", NUMBERS)
def test_plain_python_comes_to_the_same_state_and_series_to_the_bit(number: int) -> None:
    plain, compiled = told("1")[number], told("0")[number]
    assert plain["state"] == compiled["state"]
    assert plain["pressure"] == compiled["pressure"]

"""Time several commands turn by turn, so that whatever else the machine does falls on all of them alike."""

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence

ROUNDS = 7


def medians(commands: Mapping[str, Sequence[str]], rounds: int = ROUNDS) -> dict[str, float]:
    """Median wall time [s] of each command over ``rounds`` interleaved rounds, after one that warms the caches."""
    times: dict[str, list[float]] = {name: [] for name in commands}
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    for turn in range(rounds + 1):
        for name, command in commands.items():
            start = time.perf_counter()
            done = subprocess.run(command, capture_output=True, env=environment, check=False)
            elapsed = time.perf_counter() - start
            if done.returncode not in {0, 1, 3, 4}:
                raise RuntimeError(f"{name}: {done.stderr.decode()}")
            if turn > 0:
                times[name].append(elapsed)
    return {name: statistics.median(values) for name, values in times.items()}


def python(program: str, *arguments: str) -> list[str]:
    """Command line that runs a small program with this interpreter."""
    return [sys.executable, "-c", program, *arguments]

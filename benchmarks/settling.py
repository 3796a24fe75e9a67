"""How long `settle` with all its proofs takes, against its imports and the hours of boiler that it simulates."""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from benchmarks.interleaved import medians, python
from benchmarks.row import Row
from benchmarks.starting import IMPORT_ALL, modules_of
from evenfire.delivery.intake.plant_file import read_plant_file
from evenfire.judgement.proofs import staging
from evenfire.judgement.proofs.learning import learned
from evenfire.physics.motion import run as running

LAUNDRY: Final = Path(__file__).parents[1] / "examples" / "laundry.toml"
FLOOR: Final = (
    IMPORT_ALL
    + """
from pathlib import Path
from evenfire.delivery.intake.plant_file import read_plant_file
from evenfire.judgement.case import SettingsSet, prepare
from evenfire.judgement.proofs.staging import TRUE, stages_of
from evenfire.physics.motion.model import steady
plant = read_plant_file(Path(sys.argv[2])).plant
boiler = plant.boilers[0]
stage = stages_of(prepare(plant, boiler, SettingsSet.AS_FOUND, boiler.as_found.settings), TRUE)[0]
hours = float(sys.argv[3])
while hours > 0.0:
    stage.run("day", stage.at_cut_in(), steady(0.5 * stage.low), hours=min(24.0, hours))
    hours -= 24.0
"""
)
"""Imports everything that the command does, and runs as many hours of the same boiler, cycling at half of low fire."""


def rows() -> Iterator[Row]:
    """`settle` with all proofs on the laundry.

    The hours of the floor are of the busiest kind, many starts each, and those of the proofs are mostly not: the ratio
    may be below one. So its imports alone stand beside it.
    """
    hours, runs = _simulated()
    asked = ["settle", str(LAUNDRY)]
    modules = modules_of(*asked)
    times = medians(
        {
            "imports": python(IMPORT_ALL, modules),
            "floor": python(FLOOR, modules, str(LAUNDRY), f"{hours}"),
            "settle": [sys.executable, "-m", "evenfire", *asked],
        }
    )
    yield Row(
        work=f"`settle` with all proofs on the laundry, {hours:.0f} hours in {runs} runs; at most 2 s wanted",
        reference="its own imports and as many hours of the boiler run",
        ratio=times["settle"] / times["floor"],
        reach=2.0,
        seconds=times["settle"],
        reference_seconds=times["floor"],
    )
    yield Row(
        work="the same",
        reference="its own imports",
        ratio=times["settle"] / times["imports"],
        reach=None,
        seconds=times["settle"],
        reference_seconds=times["imports"],
    )


def _simulated() -> tuple[float, int]:
    """Hours that a settle of the laundry simulates, and in how many runs."""
    lasts: list[float] = []
    run = running.run

    def counting(*given: object, duration: float, interval: float, accuracy: float) -> running.Run:
        lasts.append(duration)
        return run(*given, duration=duration, interval=interval, accuracy=accuracy)  # type: ignore[arg-type]

    plant = read_plant_file(LAUNDRY).plant
    running.run = counting  # type: ignore[assignment]
    try:
        learned(plant, plant.boilers[0])
    finally:
        running.run = run
    if not lasts:
        raise RuntimeError(f"{staging.__name__} runs the boiler some other way: nothing was counted")
    return sum(lasts) / 3600.0, len(lasts)

"""Read a log of a boiler; for now as far as its columns, its times and what was left out of it."""

from collections.abc import Sequence
from pathlib import Path

from evenfire.delivery.intake.logs.log import Log
from evenfire.delivery.intake.logs.reading import read_log
from evenfire.delivery.intake.plant_file import read_plant_file


def read(logs: Sequence[Path], plant: Path | None) -> Log:
    """The log of one file, of several, or of a folder, as the plant file says that it is laid out.

    Raises
    ------
    BadInput
        The plant file or the log cannot be read.
    """
    return read_log(logs, read_plant_file(plant).log if plant is not None else None)

"""The plant files that the tests of the intake start from, and small changes to them."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from evenfire.delivery.intake.plant_file import PlantFile, read_plant_text

EXAMPLES = Path(__file__).parents[3] / "examples"
LAUNDRY = (EXAMPLES / "laundry.toml").read_text(encoding="utf-8")
SCHOOL = (EXAMPLES / "school.toml").read_text(encoding="utf-8")

# NIST SP 811, appendix B.8.
PSI = 6894.757
BTU_H = 0.2930711
GALLON = 3.785412e-3
POUND = 0.45359237

SMALLEST = """\
format = 1
[site]
name = "Small"
[[boiler]]
name = "A"
kind = "firetube"
mawp = "150 psi"
"""
"""Nothing but what must be there."""


def changed(old: str, new: str, text: str = LAUNDRY) -> str:
    """The text with the first place of ``old`` replaced, which must be there."""
    assert old in text
    return text.replace(old, new, 1)


def laundry_with(old: str, new: str) -> PlantFile:
    """The laundry with one place of its file changed."""
    return read_plant_text(changed(old, new), "laundry.toml")


def smallest_with(extra: str) -> PlantFile:
    """The smallest plant file with more lines at its end, inside its boiler."""
    return read_plant_text(SMALLEST + extra, "small.toml")


def line_with(piece: str, text: str) -> int:
    """The line, counted from 1, on which a piece of text first stands."""
    return next(number for number, line in enumerate(text.split("\n"), start=1) if piece in line)


@contextmanager
def unprivileged_folder() -> Iterator[Path]:
    """A folder of a user who is not root, and that user at work in it: root may read and write everything."""
    nobody = 65534
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if os.geteuid() != 0:
            yield folder
            return
        os.chown(folder, nobody, nobody)
        os.seteuid(nobody)
        try:
            yield folder
        finally:
            os.seteuid(0)

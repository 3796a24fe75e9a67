"""How long `check` and `settle` take, against the imports that each cannot do without."""

import sys
from pathlib import Path

from benchmarks.interleaved import medians, python
from benchmarks.row import Row

LAUNDRY = str(Path(__file__).parents[1] / "examples" / "laundry.toml")
LOADED = """
import sys, json
sys.argv = ["evenfire", *sys.argv[1:], "--json"]
from evenfire.delivery.cli.main import run
try:
    run()
except SystemExit:
    pass
print(" ".join(name for name in sys.modules if name.split(".")[0] not in {"__main__", "__mp_main__"}), file=sys.stderr)
"""
IMPORT_ALL = """
import importlib, sys
for name in sys.argv[1].split():
    try:
        importlib.import_module(name)
    except ImportError:
        pass
"""


def modules_of(*command: str) -> str:
    """Every module that a command ends up with, so that its imports can be timed alone."""
    import subprocess

    done = subprocess.run(python(LOADED, *command), capture_output=True, text=True, check=True)
    return done.stderr.splitlines()[-1]


def rows() -> list[Row]:
    """`check` and `settle` by closed forms on the laundry, each against its own imports."""
    found = []
    for command, options, reach in (("check", [], 2.5), ("settle", ["--without-motion"], 2.5)):
        asked = [command, LAUNDRY, *options]
        evenfire = [sys.executable, "-m", "evenfire", *asked]
        times = medians({"imports": python(IMPORT_ALL, modules_of(*asked)), command: evenfire})
        found.append(
            Row(
                work=f"`{' '.join([command, *options])}` on the laundry",
                reference="its own imports",
                ratio=times[command] / times["imports"],
                reach=reach,
                seconds=times[command],
                reference_seconds=times["imports"],
            )
        )
    return found

"""How long `check` and `settle` take, against the imports that each cannot do without."""

import sys
from pathlib import Path

from benchmarks.interleaved import medians, python
from benchmarks.row import Row

LAUNDRY = str(Path(__file__).parents[1] / "examples" / "laundry.toml")
LOADED = """
import sys, json
sys.argv = ["evenfire", sys.argv[1], sys.argv[2], "--json"]
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


def modules_of(command: str) -> str:
    """Every module that a command ends up with, so that its imports can be timed alone."""
    import subprocess

    done = subprocess.run(python(LOADED, command, LAUNDRY), capture_output=True, text=True, check=True)
    return done.stderr.splitlines()[-1]


def rows() -> list[Row]:
    """`check` and `settle` on the laundry, each against its own imports."""
    found = []
    for command, reach in (("check", 2.5), ("settle", 2.5)):
        evenfire = [sys.executable, "-m", "evenfire", command, LAUNDRY]
        times = medians({"imports": python(IMPORT_ALL, modules_of(command)), command: evenfire})
        found.append(
            Row(
                work=f"`{command}` on the laundry",
                reference="its own imports",
                ratio=times[command] / times["imports"],
                reach=reach,
                seconds=times[command],
                reference_seconds=times["imports"],
            )
        )
    return found

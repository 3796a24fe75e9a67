"""A check starts quickly because it loads only what it needs; untimed, so that it cannot flicker."""

import json
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
HEAVY = {"scipy", "numba", "matplotlib", "polars", "sqlalchemy", "fastapi", "numpy", "tomlkit", "tree_sitter", "rich"}


def test_check_loads_nothing_heavy() -> None:
    program = """
import json, sys
sys.argv = ["evenfire", "check", sys.argv[1]]
from evenfire.delivery.cli.main import run
try:
    run()
except SystemExit as end:
    code = end.code
print(json.dumps({"code": code, "modules": sorted(name.split(".")[0] for name in sys.modules)}))
"""
    plant = ROOT / "examples" / "laundry.toml"
    done = subprocess.run([sys.executable, "-c", program, str(plant)], capture_output=True, text=True, check=True)
    told = json.loads(done.stdout.splitlines()[-1])
    assert told["code"] in {0, 1, 4}
    assert "pydantic" in told["modules"], "the check did not run"
    assert HEAVY.isdisjoint(told["modules"])

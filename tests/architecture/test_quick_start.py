"""A check starts quickly because it loads only what it needs; untimed, so that it cannot flicker."""

import json
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
HEAVY = {"scipy", "numba", "matplotlib", "polars", "sqlalchemy", "fastapi", "numpy", "tomlkit", "tree_sitter", "rich"}


COMPILED = {"numba", "llvmlite", "matplotlib", "scipy"}


def test_check_loads_nothing_heavy() -> None:
    told = modules_after("check")
    assert "pydantic" in told, "the check did not run"
    assert HEAVY.isdisjoint(told)


def test_settle_without_motion_loads_no_compiler() -> None:
    told = modules_after("settle", "--without-motion")
    assert "numpy" in told, "the search did not run"
    assert COMPILED.isdisjoint(told)


def test_the_web_app_starts_without_arrays_compiler_drawings_or_paper() -> None:
    program = (
        "import json, sys; import evenfire.delivery.start, evenfire.delivery.web.serving; "
        "print(json.dumps(sorted({name.split('.')[0] for name in sys.modules})))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    told = set(json.loads(done.stdout))
    assert {"fastapi", "sqlalchemy"} <= told, "the web app was not loaded"
    assert (COMPILED | {"numpy", "polars", "typst", "PIL", "icalendar"}).isdisjoint(told)


def modules_after(command: str, *options: str) -> set[str]:
    """Packages that a command has loaded when it ends."""
    program = """
import json, sys
sys.argv = ["evenfire", *sys.argv[1:]]
from evenfire.delivery.cli.main import run
try:
    run()
except SystemExit as end:
    code = end.code
print(json.dumps({"code": code, "modules": sorted(name.split(".")[0] for name in sys.modules)}))
"""
    plant = ROOT / "examples" / "laundry.toml"
    asked = [sys.executable, "-c", program, command, str(plant), *options]
    done = subprocess.run(asked, capture_output=True, text=True, check=True)
    told = json.loads(done.stdout.splitlines()[-1])
    assert told["code"] in {0, 1, 4}
    return set(told["modules"])

"""A run works from an install that cannot be written, for a user whose home cannot be written.

Root is stopped by no mode, so root's test becomes another user (65534, nobody) and leaves only its own process so;
anybody else is stopped by the modes alone. The process warms the compiler up beforehand, because the interpreter
itself may lie where that user cannot read.
"""

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TypedDict

import pytest

import evenfire
from evenfire.physics.motion.contents import closed_mass
from evenfire.physics.motion.records import digits
from evenfire.physics.motion.run import run
from tests.motion_models import laundry_like, load, standing

ROOT = Path(__file__).parents[3]
PROGRAM = """
import json, os, sys, tempfile
sys.dont_write_bytecode = True
install, home, temporary, whole = sys.argv[1:]

def told():
    from evenfire.physics import compiled
    from evenfire.physics.motion.contents import closed_mass
    from evenfire.physics.motion.records import digits
    from evenfire.physics.motion.run import run
    from motion_models import laundry_like, load, standing
    model = laundry_like()
    if whole == "whole":
        first = standing(model, 113.0)
        answer = digits(run(model, load(model, 0.1), first, duration=3600.0, interval=5.0).last).hex()
    else:
        answer = closed_mass(model, 4.0, 9e5).hex()
    place = compiled.cache_place()
    return {
        "user": os.getuid(),
        "install": compiled.__file__,
        "can_write_install": os.access(install, os.W_OK),
        "can_write_home": os.access(home, os.W_OK),
        "place": None if place is None else str(place),
        "kept": 0 if place is None else len(list(place.rglob("*.nbc"))),
        "digits": answer,
    }

sys.path.insert(0, install)
os.environ.pop("XDG_CACHE_HOME", None)
os.environ["HOME"] = "/dev/null"
tempfile.tempdir = "/dev/null"
told()  # compiles everything, so that every part of the compiler is in memory
for name in [name for name in sys.modules if name.split(".")[0] in ("evenfire", "motion_models")]:
    del sys.modules[name]
if os.getuid() == 0:
    os.setgroups([]); os.setgid(65534); os.setuid(65534)
os.environ["HOME"] = home
tempfile.tempdir = temporary
print(json.dumps(told()))
"""


class Told(TypedDict):
    """What a run on the read-only install said."""

    user: int
    install: str
    can_write_install: bool
    can_write_home: bool
    place: str | None
    kept: int
    digits: str


@pytest.fixture(scope="module")
def machine() -> Iterator[Path]:
    """An install and a home that only can be read, and a folder for temporary files; readable by every user."""
    folder = Path(tempfile.mkdtemp(prefix="evenfire-read-only-"))
    install, home, temporary = folder / "install", folder / "home", folder / "temporary"
    package = Path(evenfire.__file__).parent
    shutil.copytree(package, install / "evenfire", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "tests" / "motion_models.py", install)
    home.mkdir()
    temporary.mkdir()
    for each in [install, home, *install.rglob("*")]:
        each.chmod(0o555 if each.is_dir() else 0o444)
    folder.chmod(0o755)
    temporary.chmod(0o1777)
    yield folder
    for each in [install, home, *install.rglob("*")]:
        each.chmod(0o755)
    shutil.rmtree(folder)


def told(machine: Path, temporary: Path, whole: str) -> Told:
    arguments = [str(each) for each in (machine / "install", machine / "home", temporary)] + [whole]
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, *arguments],
        cwd=machine,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    answer: Told = json.loads(done.stdout)
    return answer


WHOLE = pytest.mark.parametrize("whole", ["part", pytest.param("whole", marks=pytest.mark.soak)])
"""One compiled function, and in soak a run, which the compiler takes four times as long for as CI has."""


def expected_digits(whole: str) -> str:
    model = laundry_like()
    if whole == "part":
        return closed_mass(model, 4.0, 9e5).hex()
    return digits(run(model, load(model, 0.1), standing(model, 113.0), duration=3600.0, interval=5.0).last).hex()


def is_read_only_for_another_user(answer: Told, machine: Path) -> bool:
    return (
        answer["user"] != 0
        and answer["install"].startswith(str(machine / "install"))
        and not answer["can_write_install"]
        and not answer["can_write_home"]
    )


@WHOLE
def test_a_run_works_on_a_read_only_install_with_a_read_only_home_and_keeps_its_code_among_temporary_files(
    machine: Path, whole: str
) -> None:
    answer = told(machine, machine / "temporary", whole)
    assert is_read_only_for_another_user(answer, machine)
    assert answer["place"] is not None
    assert Path(answer["place"]).parent == machine / "temporary" / f"evenfire-{answer['user']}"
    assert answer["kept"] > 0
    assert answer["digits"] == expected_digits(whole)


@WHOLE
def test_a_run_works_where_nothing_at_all_can_be_written(machine: Path, whole: str) -> None:
    answer = told(machine, machine / "home", whole)
    assert is_read_only_for_another_user(answer, machine)
    assert (answer["place"], answer["kept"]) == (None, 0)
    assert answer["digits"] == expected_digits(whole)

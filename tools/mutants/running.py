"""Run the tests on one mutant, in a child of a process that has the heavy imports behind it.

The fault lives in memory only: an import hook serves the changed module in place of the file, and nothing of it is
kept. What the compiler of the simulation keeps is turned to a folder of the child's own. A fault that acts only when a
function is called has a faster way, see :mod:`tools.mutants.warm`.
"""

import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import json
import os
import resource
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from types import ModuleType

import hypothesis
import pytest

from tools.mutants.finding import ROOT, SOURCE, Mutant, source_of
from tools.mutants.reaching import FLAGS, dotted_name

OURS_UNTOUCHED = ("evenfire.si", "evenfire.sources", "evenfire.errors")
HEAVY = (
    "numpy",
    "numba",
    "scipy.optimize",
    "scipy.integrate",
    "pydantic",
    "tomlkit",
    "tree_sitter",
    "tree_sitter_toml",
    "typer",
    "typer.testing",
    "jsonschema",
    "seuif97",
    "CoolProp.CoolProp",
    "hypothesis.strategies",
    "_pytest.assertion.rewrite",
    "_pytest.fixtures",
    "_pytest.junitxml",
    "_pytest.pytester_assertions",
)
MOST_MEMORY_BYTES = 8 << 30
SLOWER_BY = 3.0
"""A test that takes so many times its own processor time, and the allowance on top of it, is taken for hung"""
ALLOWANCE_S = 10.0
COLLECTING_S = 60.0
"""Processor time in which the tests must be collected"""
CORES = os.cpu_count() or 1
"""A second child waits while so many processes want to run"""
OFTEN = 10
"""So many tests that noticed the most faults of other modules come before the rest"""
LONGEST_SECONDS = 1200.0
"""Time on the clock after which a child is ended whatever it does"""


class End(Enum):
    """How the tests ended on a mutant."""

    SURVIVED = "survived"
    KILLED = "killed by a test"
    NOT_IMPORTED = "killed while tests were collected"
    HUNG = "killed by time"
    BROKE = "killed by a crash"


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What the tests made of one mutant."""

    mutant: Mutant
    end: End
    by: str
    """The test that noticed it"""
    ran: int
    """How many tests ran"""
    chosen: int
    """How many tests could have noticed it"""
    seconds: float
    served: bool
    """Whether the changed module was imported at all"""


def preload(names: Sequence[str] = (*HEAVY, *OURS_UNTOUCHED)) -> None:
    """Import what every child would import; nothing of ours that a mutant may change or that imports one."""
    for name in names:
        importlib.import_module(name)


class _Served(importlib.abc.MetaPathFinder, importlib.abc.InspectLoader):
    """Finds one module and runs the changed tree in it."""

    def __init__(self, mutant: Mutant) -> None:
        self.name = dotted_name(mutant.module)
        self.path = SOURCE / mutant.module
        self.code = compile(source_of(mutant), str(self.path), "exec", dont_inherit=True)
        self.used = False

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        """The one module, and no other."""
        del path, target
        if fullname != self.name:
            return None
        return importlib.util.spec_from_file_location(fullname, self.path, loader=self)

    def exec_module(self, module: ModuleType) -> None:
        """Run the changed module; no compiled file is written."""
        self.used = True
        exec(self.code, module.__dict__)

    def get_source(self, fullname: str) -> str:
        """The source as it stands on disk, for tracebacks."""
        del fullname
        return self.path.read_text(encoding="utf-8")


class Chosen:
    """A pytest plugin: only these tests, in this order, each within its time."""

    def __init__(self, tests: Sequence[str], seconds: dict[str, float]) -> None:
        self.rank = {test: place for place, test in enumerate(tests)}
        self.seconds = seconds
        self.by = ""
        self.ran = 0

    def pytest_sessionstart(self) -> None:
        """Begin with the collecting."""
        find_only()
        limit(COLLECTING_S)

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Fastest first. With no choice given all stay; a test that only the fault has made comes last."""
        if self.rank:
            kept = [item for item in items if item.nodeid in self.rank or item.nodeid not in self.seconds]
            items[:] = sorted(kept, key=lambda item: self.rank.get(item.nodeid, len(self.rank)))

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        """Start the clock of this test."""
        limit(SLOWER_BY * self.seconds.get(item.nodeid, 1.0) + ALLOWANCE_S)
        self.ran += 1
        return (yield)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note which test noticed the fault."""
        if report.failed and not self.by:
            self.by = report.nodeid

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """A file that cannot be collected notices it too."""
        if report.failed and not self.by:
            self.by = report.nodeid

    def tell(self, told: Path, served: bool) -> None:
        """Write down what came of it."""
        limit(0.0)
        told.write_text(json.dumps({"by": self.by, "ran": self.ran, "served": served}), encoding="utf-8")


def find_only() -> None:
    """A first failing example is enough: it need not be made small."""
    phases = (hypothesis.Phase.explicit, hypothesis.Phase.generate)
    now = hypothesis.settings()
    hypothesis.settings.register_profile("mutants", now, phases=phases, report_multiple_bugs=False, database=None)
    hypothesis.settings.load_profile("mutants")


def limit(seconds: float) -> None:
    """End this process after so much processor time, whatever it is in the middle of."""
    signal.setitimer(signal.ITIMER_PROF, seconds)


def child(work: Callable[[], int], said: Path | None) -> int:
    """Fork, do the work in the child, and answer its process number."""
    sys.stdout.flush()
    sys.stderr.flush()
    number = os.fork()
    if number:
        return number
    status = 70
    try:
        os.setsid()
        if said is not None:
            where = os.open(said, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(where, 1)
            os.dup2(where, 2)
        status = work()
        sys.stdout.flush()
    except BaseException:
        traceback.print_exc()
        raise
    finally:
        os._exit(status)


def waited(number: int) -> int:
    """How a child ended."""
    return os.waitstatus_to_exitcode(os.waitpid(number, 0)[1])


def alone() -> None:
    """What a child sets up for itself: an end to its memory, and nothing of how the tests around it were started."""
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY_BYTES, MOST_MEMORY_BYTES))
    for name in [name for name in os.environ if name.startswith(("PYTEST", "EVENFIRE"))]:
        del os.environ[name]


def test_from_the_start(mutant: Mutant, tests: Sequence[str], seconds: dict[str, float], told: Path) -> int:
    """Import everything with the fault in it, collect the tests and run them."""
    alone()
    served = _Served(mutant)
    if served.name in sys.modules:
        raise RuntimeError(f"{served.name} is imported already, and the fault could not be put into it")
    sys.meta_path.insert(0, served)
    if mutant.module.startswith("physics/"):
        os.environ["XDG_CACHE_HOME"] = tempfile.mkdtemp(dir=told.parent)
    os.environ["PYTEST_DEBUG_TEMPROOT"] = tempfile.mkdtemp(dir=told.parent)
    files = list(dict.fromkeys(test.split("::")[0] for test in tests))
    plugin = Chosen([test for test in tests if "::" in test], seconds)
    status = int(pytest.main(["-x", "--tb=line", *FLAGS, *files], plugins=[plugin]))
    plugin.tell(told, served.used)
    return status


@dataclass(slots=True)
class _Running:
    mutant: Mutant
    chosen: int
    began: float
    told: Path


def results_of(
    work: Sequence[tuple[Mutant, Sequence[str]]],
    seconds: dict[str, float],
    processes: int,
    test: Callable[[Mutant, Sequence[str], dict[str, float], Path], int] = test_from_the_start,
) -> Iterator[Result]:
    """Run each mutant on its tests in a child of its own, so many at a time; results come as they end.

    A test without ``::`` is a whole file.
    """
    waiting = list(reversed(work))
    running: dict[int, _Running] = {}
    killers: dict[str, Counter[str]] = defaultdict(Counter)
    everywhere: Counter[str] = Counter()
    with tempfile.TemporaryDirectory(prefix="mutants-") as place:
        while waiting or running:
            while waiting and len(running) < processes and (not running or os.getloadavg()[0] < CORES):
                mutant, tests = waiting.pop()
                if not tests:
                    yield Result(mutant=mutant, end=End.SURVIVED, by="", ran=0, chosen=0, seconds=0.0, served=False)
                    continue
                # Who noticed faults before is asked first; whether anybody notices one in the end is the same.
                often = dict(everywhere.most_common(OFTEN))
                tests = sorted(tests, key=lambda each: (-killers[mutant.module][each], -often.get(each, 0)))
                told = Path(place) / f"{len(waiting)}.json"
                number = child(lambda a=mutant, b=tests, c=told: test(a, b, seconds, c), told.with_suffix(".log"))  # type: ignore[misc]
                running[number] = _Running(mutant, len(tests), time.monotonic(), told)
            for number in list(running):
                ended, status = os.waitpid(number, os.WNOHANG)
                if ended:
                    result = _result(running.pop(number), os.waitstatus_to_exitcode(status))
                    killers[result.mutant.module][result.by] += 1
                    everywhere[result.by] += 1
                    yield result
                elif time.monotonic() - running[number].began > LONGEST_SECONDS:
                    os.killpg(number, signal.SIGPROF)
            time.sleep(0.01)


def _result(run: _Running, status: int) -> Result:
    told = json.loads(run.told.read_text(encoding="utf-8")) if run.told.exists() else {}
    by, ran = str(told.get("by", "")), int(told.get("ran", 0))
    match status:
        case pytest.ExitCode.OK | pytest.ExitCode.NO_TESTS_COLLECTED:
            end = End.SURVIVED
        case pytest.ExitCode.TESTS_FAILED if ran:
            end = End.KILLED
        case pytest.ExitCode.TESTS_FAILED | pytest.ExitCode.INTERRUPTED | pytest.ExitCode.USAGE_ERROR:
            end = End.NOT_IMPORTED
        case _ if status == -signal.SIGPROF:
            end = End.HUNG
        case _ if status < 0:
            end = End.BROKE
        case _:
            said = run.told.with_suffix(".log").read_text(encoding="utf-8", errors="replace")
            raise RuntimeError(f"the tests of {run.mutant.name} could not be run ({status}):\n{said[-3000:]}")
    return Result(
        mutant=run.mutant,
        end=end,
        by=by,
        ran=ran,
        chosen=run.chosen,
        seconds=round(time.monotonic() - run.began, 2),
        served=bool(told.get("served", True)),
    )


def root_first() -> None:
    """Test this checkout, wherever the package is installed."""
    os.chdir(ROOT)
    for place in (str(ROOT / "src"), str(ROOT)):
        if place in sys.path:
            sys.path.remove(place)
        sys.path.insert(0, place)

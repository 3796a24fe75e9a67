"""Which tests reach which function: seen once with every test, and kept until a file changes."""

import ast
import functools
import gc
import hashlib
import json
import os
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Protocol

import pytest

from tools.mutants.finding import ROOT, SOURCE, Mutant, digest

CACHE = ROOT / ".pytest_cache" / "mutants"
FLAGS = (
    *("-p", "no:randomly", "-p", "no:cacheprovider", "-p", "no:xdist"),
    # The parent has imported what pytest would have liked to rewrite.
    *("-W", "ignore::pytest.PytestAssertRewriteWarning"),
)
REMEMBERS = type(functools.cache(repr))
WHOLE_PLANTS = (
    "tests/test_demo_plants.py",
    "tests/judgement/test_behaviour.py",
    "tests/judgement/test_settle_search.py",
)
AROUND = "tests/delivery/"
WHILE_IMPORTING = "while importing"


@dataclass(slots=True)
class Reach:
    """What one run of all tests saw."""

    seconds: dict[str, float] = field(default_factory=dict)
    """How long each test took that passed"""
    functions: dict[str, list[str]] = field(default_factory=dict)
    """Tests, and ``while importing``, by ``module:line`` of a function that they called"""
    failed: list[str] = field(default_factory=list)
    """Tests that fail without any fault; they are left out"""

    def tests_for(self, mutant: Mutant) -> list[str]:
        """Tests that can notice it: whole plants first, then fastest first, words and commands around them last.

        A fault outside of functions, or in one that runs while modules are imported, can be noticed by every test that
        calls anything of its module or of a module which imports that.
        """
        places = [
            place for place in self.functions if _lies_in(place, mutant) and mutant.function in (0, _line_of(place))
        ]
        reached = {test for place in places for test in self.functions[place]}
        if mutant.function == 0 or WHILE_IMPORTING in reached or not reached:
            around = {mutant.module, *importers_of(mutant.module)}
            reached |= {
                test for place, tests in self.functions.items() if place.rpartition(":")[0] in around for test in tests
            }
        return sorted(reached & set(self.seconds), key=self._turn)

    def _turn(self, test: str) -> tuple[int, float, str]:
        return int(test.startswith(AROUND)) - int(test.startswith(WHOLE_PLANTS)), self.seconds[test], test


def _lies_in(place: str, mutant: Mutant) -> bool:
    return place.rpartition(":")[0] == mutant.module


def _line_of(place: str) -> int:
    return int(place.rpartition(":")[2])


@functools.cache
def importers_of(module: str) -> tuple[str, ...]:
    """Modules of the package that name this one in an import."""
    dotted = dotted_name(module)
    wanted = (f"from {dotted} import", f"import {dotted}")
    found = []
    for path in sorted(SOURCE.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        if any(each in text for each in wanted):
            found.append(path.relative_to(SOURCE).as_posix())
    return tuple(found)


def dotted_name(module: str) -> str:
    """``evenfire.judgement.rule`` of ``judgement/rule.py``."""
    return ".".join(("evenfire", *Path(module).with_suffix("").parts)).removesuffix(".__init__")


class Watcher:
    """A pytest plugin that notes which functions of the package each test calls, itself or through its fixtures."""

    def __init__(self) -> None:
        self.reach = Reach()
        self.called: dict[str, set[str]] = defaultdict(set)
        self.by_fixture: dict[str, set[str]] = defaultdict(set)
        self.now: set[str] = self.called[WHILE_IMPORTING]
        self.places: dict[object, str | None] = {}
        self.source = f"{SOURCE}{os.sep}"
        self.file: Path | None = None
        self.caches: list[Cache] = []

    def trace(self, frame: FrameType, _event: str, _argument: object) -> None:
        """Note one call; lines are not followed."""
        code = frame.f_code
        place = self.places.get(code, "")
        if place == "":
            name = code.co_filename
            inside = name.startswith(self.source) and code.co_name != "<module>"
            place = f"{name.removeprefix(self.source)}:{code.co_firstlineno}" if inside else None
            self.places[code] = place
        if place is not None:
            self.now.add(place)

    def pytest_sessionstart(self) -> None:
        """Watch from the first import on."""
        sys.settrace(self.trace)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        """Watch one test, which may use nothing that another has already worked out."""
        self._forget(item)
        self.now = self.called[item.nodeid]
        began = time.process_time()
        sys.settrace(self.trace)
        try:
            return (yield)
        finally:
            sys.settrace(None)
            self.reach.seconds[item.nodeid] = round(time.process_time() - began, 4)
            for fixture in getattr(item, "fixturenames", ()):
                self.now |= self.by_fixture.get(fixture, set())

    def _forget(self, item: pytest.Item) -> None:
        """Empty every cache of a function of ours, so that the test calls what it rests on."""
        if item.path != self.file:
            self.file, self.caches = item.path, caches()
        for cache in self.caches:
            cache.cache_clear()

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: pytest.FixtureDef[object]) -> Iterator[None]:
        """A fixture for many tests runs in the first of them only."""
        before = self.now
        if fixturedef.scope != "function":
            self.now = self.by_fixture[fixturedef.argname]
        try:
            return (yield)
        finally:
            if self.now is not before:
                before |= self.now
                self.now = before

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """A test that fails without a fault says nothing about one."""
        if not report.passed:
            self.reach.failed.append(report.nodeid)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """The same of a file that cannot be collected."""
        if report.failed:
            self.reach.failed.append(report.nodeid)

    def seen(self) -> Reach:
        """All of it, by function."""
        reach = self.reach
        for test in reach.failed:
            reach.seconds.pop(test, None)
        functions: dict[str, list[str]] = defaultdict(list)
        for test, places in self.called.items():
            if test in reach.seconds or test == WHILE_IMPORTING:
                for place in places:
                    functions[outermost(place)].append(test)
        reach.functions = {place: sorted(set(tests)) for place, tests in sorted(functions.items())}
        return reach


@functools.cache
def outermost(place: str) -> str:
    """The function around a lambda, a comprehension or an inner function; the place itself for one of its own."""
    module, _, line = place.rpartition(":")
    spans = _spans(module)
    return next((f"{module}:{first}" for first, last in spans if first <= int(line) <= last), place)


@functools.cache
def _spans(module: str) -> tuple[tuple[int, int], ...]:

    pending: list[ast.AST] = [ast.parse((SOURCE / module).read_text(encoding="utf-8"))]
    spans = []
    while pending:
        node = pending.pop()
        if isinstance(node, ast.FunctionDef):
            first = min([node.lineno, *(each.lineno for each in node.decorator_list)])
            spans.append((first, node.end_lineno or first))
        else:
            pending.extend(ast.iter_child_nodes(node))
    return tuple(spans)


class Cache(Protocol):
    """A function that remembers its answers."""

    def cache_clear(self) -> None:
        """Forget them."""


def caches() -> list[Cache]:
    """Every function of ours that remembers its answers."""
    return [
        found
        for found in gc.get_objects()
        if isinstance(found, REMEMBERS)
        and (getattr(found, "__module__", None) or "").startswith(("tests.", "evenfire."))
    ]


def reach_of(tests: tuple[str, ...], run: Callable[[Callable[[], int]], int]) -> Reach:
    """What the tests reach, from the cache while no file has changed; ``run`` runs a function in a child process."""
    files = [*sorted(SOURCE.rglob("*.py")), *sorted((ROOT / "tests").rglob("*.py")), *sorted(ROOT.glob("examples/*"))]
    kept = CACHE / f"reach-{digest([path for path in files if path.is_file()])}-{_short(tests)}.json"
    if not kept.exists():
        CACHE.mkdir(parents=True, exist_ok=True)
        status = run(lambda: _watch(tests, kept))
        if not kept.exists():
            raise SystemExit(f"the tests could not be watched: pytest ended with {status}")
    return Reach(**json.loads(kept.read_text(encoding="utf-8")))


def _short(tests: tuple[str, ...]) -> str:

    return hashlib.sha256(" ".join(tests).encode()).hexdigest()[:8]


def _watch(tests: tuple[str, ...], kept: Path) -> int:
    watcher = Watcher()
    status = pytest.main([*FLAGS, *tests], plugins=[watcher])
    seen = watcher.seen()
    written = {"seconds": seen.seconds, "functions": seen.functions, "failed": seen.failed}
    partial = kept.with_suffix(f".{os.getpid()}")
    partial.write_text(json.dumps(written), encoding="utf-8")
    partial.replace(kept)
    return int(status)

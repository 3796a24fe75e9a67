"""Which tests reach which line: seen once with every test, and kept until a file changes."""

import functools
import gc
import hashlib
import json
import os
import sys
import threading
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from types import CodeType, FrameType
from typing import TYPE_CHECKING, Protocol

import pytest

from tools.mutants.finding import ROOT, SOURCE, Mutant, digest

if TYPE_CHECKING:
    from _typeshed import TraceFunction

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
Ran = dict[CodeType, set[int]]
"""Lines that ran, by function"""


@dataclass(slots=True)
class Reach:
    """What one run of all tests saw."""

    seconds: dict[str, float] = field(default_factory=dict)
    """How long each test took that passed"""
    names: list[str] = field(default_factory=list)
    """Of the tests, and ``while importing``"""
    lines: dict[str, dict[str, list[int]]] = field(default_factory=dict)
    """By module and line the places in ``names`` of the tests that ran the line"""
    failed: list[str] = field(default_factory=list)
    """Tests that fail without any fault; they are left out"""

    def tests_for(self, mutant: Mutant) -> list[str]:
        """Tests that can notice it: whole plants first, then fastest first, words and commands around them last.

        A fault outside of functions, or in a line that runs while modules are imported, can be noticed by every test
        that calls anything of its module or of a module which imports that.
        """
        reached = self._ran(mutant.module, mutant.lines)
        if mutant.function == 0 or WHILE_IMPORTING in reached:
            for module in (mutant.module, *importers_of(mutant.module)):
                reached |= self._ran(module, None)
        return sorted(reached & set(self.seconds), key=self._turn)

    def runs_while_importing(self, mutant: Mutant) -> bool:
        """Whether a fault acts before any test runs."""
        return mutant.function == 0 or WHILE_IMPORTING in self._ran(mutant.module, mutant.lines)

    def _ran(self, module: str, lines: Sequence[int] | None) -> set[str]:
        """Who ran any of these lines, or any line at all."""
        found = self.lines.get(module, {})
        chosen = found.values() if lines is None else [found.get(str(line), []) for line in lines]
        return {self.names[place] for places in chosen for place in places}

    def _turn(self, test: str) -> tuple[int, float, str]:
        return int(test.startswith(AROUND)) - int(test.startswith(WHOLE_PLANTS)), self.seconds[test], test


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
    """A pytest plugin that notes which lines of the package each test runs, itself or through its fixtures."""

    def __init__(self, number: int = 0, of: int = 1) -> None:
        self.number, self.of = number, of
        self.reach = Reach()
        self.called: dict[str, Ran] = defaultdict(_nothing_ran)
        self.by_fixture: dict[str, Ran] = defaultdict(_nothing_ran)
        self.now: Ran = self.called[WHILE_IMPORTING]
        self.sizes: dict[CodeType, int] = {}
        self.source = f"{SOURCE}{os.sep}"
        self.file: Path | None = None
        self.caches: list[Cache] = []

    def trace(self, frame: FrameType, _event: str, _argument: object) -> "TraceFunction | None":
        """Follow one call, unless nothing new of its function can come."""
        code = frame.f_code
        size = self.sizes.get(code)
        if size is None:
            inside = code.co_filename.startswith(self.source) and code.co_name != "<module>"
            size = self.sizes[code] = len(_lines_of(code)) if inside else 0
        if not size:
            return None
        seen = self.now[code]
        if len(seen) >= size:
            return None
        seen.add(frame.f_lineno)

        def line(inner: FrameType, _event: str, _argument: object) -> "TraceFunction | None":
            seen.add(inner.f_lineno)
            return line if len(seen) < size else None

        return line

    def begin(self) -> None:
        """Watch from the first import on, of which the first are those of a ``conftest``."""
        self._watch(True)

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Keep this watcher's share of the files."""
        places = {path: place for place, path in enumerate(sorted({item.path for item in items}))}
        items[:] = [item for item in items if places[item.path] % self.of == self.number]

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        """Watch one test, which may use nothing that another has already worked out."""
        self._forget(item)
        self.now = self.called[item.nodeid]
        began = time.process_time()
        self._watch(True)
        try:
            return (yield)
        finally:
            self._watch(False)
            self.reach.seconds[item.nodeid] = round(time.process_time() - began, 4)
            for fixture in getattr(item, "fixturenames", ()):
                _add(self.now, self.by_fixture.get(fixture, {}))

    def _watch(self, begins: bool) -> None:
        """Work may be shared out to threads, and each of them is watched by itself."""
        sys.settrace(self.trace if begins else None)
        threading.settrace(self.trace if begins else None)

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
                _add(before, self.now)
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
        lines: dict[str, dict[str, set[int]]] = defaultdict(lambda: defaultdict(set))
        for test, ran in self.called.items():
            if test in reach.seconds or test == WHILE_IMPORTING:
                reach.names.append(test)
                for code, seen in ran.items():
                    module = lines[code.co_filename.removeprefix(self.source)]
                    for line in seen:
                        module[str(line)].add(len(reach.names) - 1)
        reach.lines = {
            module: {line: sorted(places) for line, places in found.items()} for module, found in sorted(lines.items())
        }
        return reach


def _nothing_ran() -> Ran:
    return defaultdict(set)


def _add(ran: Ran, others: Mapping[CodeType, set[int]]) -> None:
    for code, lines in others.items():
        ran[code] |= lines


def _lines_of(code: CodeType) -> set[int]:
    """Lines of a function, those of its definition too, where a call begins."""
    return {line for _, _, line in code.co_lines() if line is not None} | {code.co_firstlineno}


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


Start = Callable[[Callable[[], int]], int]
"""Starts a function in a child process and answers its number."""


def reach_of(tests: tuple[str, ...], processes: int, start: Start, wait: Callable[[int], int]) -> Reach:
    """What the tests reach, from the cache while no file has changed; else each process watches a part of the files."""
    files = [*sorted(SOURCE.rglob("*.py")), *sorted((ROOT / "tests").rglob("*.py")), *sorted(ROOT.glob("examples/*"))]
    kept = CACHE / f"reach-{digest([path for path in files if path.is_file()])}-{_short(tests)}.json"
    if not kept.exists():
        CACHE.mkdir(parents=True, exist_ok=True)
        parts = [kept.with_suffix(f".{os.getpid()}-{number}") for number in range(processes)]
        children = [start(partial(_watch, tests, part, number, processes)) for number, part in enumerate(parts)]
        ends = [wait(number) for number in children]
        if not all(part.exists() for part in parts):
            raise SystemExit(f"the tests could not be watched: pytest ended with {ends}")
        together = _together([Reach(**json.loads(part.read_text(encoding="utf-8"))) for part in parts])
        _write(together, parts[0])
        parts[0].replace(kept)
        for part in parts[1:]:
            part.unlink()
    return Reach(**json.loads(kept.read_text(encoding="utf-8")))


def _short(tests: tuple[str, ...]) -> str:
    return hashlib.sha256(" ".join(tests).encode()).hexdigest()[:8]


def _watch(tests: tuple[str, ...], part: Path, number: int, of: int) -> int:
    watcher = Watcher(number, of)
    watcher.begin()
    status = pytest.main([*FLAGS, *tests], plugins=[watcher])
    _write(watcher.seen(), part)
    return int(status)


def _write(reach: Reach, to: Path) -> None:
    written = {"seconds": reach.seconds, "names": reach.names, "lines": reach.lines, "failed": reach.failed}
    to.write_text(json.dumps(written), encoding="utf-8")


def _together(parts: Sequence[Reach]) -> Reach:
    """What all parts saw; each has its own tests, and all of them have seen the importing."""
    whole = Reach()
    lines: dict[str, dict[str, set[int]]] = defaultdict(lambda: defaultdict(set))
    for part in parts:
        first = len(whole.names)
        whole.seconds |= part.seconds
        whole.names += part.names
        whole.failed += part.failed
        for module, found in part.lines.items():
            for line, places in found.items():
                lines[module][line].update(first + place for place in places)
    whole.failed = sorted(set(whole.failed))
    whole.lines = {module: {line: sorted(each) for line, each in found.items()} for module, found in lines.items()}
    return whole

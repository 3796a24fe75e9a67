"""Run the tests on mutants from a process that has collected them all, and put each fault into a child of it.

Collecting takes longer than most tests do. It is done once; a child then has a fault put into the function that is
imported already, and runs the tests that reach it. Only a fault that acts when a function is called can be put there:
what runs while modules are imported has run.
"""

import gc
import json
import os
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict
from pathlib import Path

import pytest
from _pytest.main import pytest_runtestloop as run_all

from tools.mutants.finding import NO_FAULT, Mutant
from tools.mutants.patching import CannotPatch, Patch, patch_of
from tools.mutants.reaching import FLAGS, caches
from tools.mutants.running import Chosen, End, Result, alone, child, find_only, results_of, waited

Work = Sequence[tuple[Mutant, Sequence[str]]]


def warm_results_of(
    work: Work, seconds: dict[str, float], processes: int, tests: Sequence[str]
) -> Iterator[Result | tuple[Mutant, Sequence[str]]]:
    """Results as they end, and whatever of the work has to be done from the start; ``tests`` are collected."""
    reading, writing = os.pipe()

    def collect() -> int:
        os.close(reading)
        with os.fdopen(writing, "w", encoding="utf-8") as said:
            plugin = _Parent(work, seconds, processes, lambda row: print(json.dumps(row), file=said, flush=True))
            # What tests print goes straight out: children must not share a file that is read again.
            return int(pytest.main(["-x", "-s", "--tb=line", *FLAGS, *tests], plugins=[plugin]))

    handle, name = tempfile.mkstemp(prefix="mutants-", suffix=".log")
    os.close(handle)
    number = child(collect, Path(name))
    os.close(writing)
    left = dict(enumerate(work))
    with os.fdopen(reading, encoding="utf-8") as heard:
        for line in heard:
            row = json.loads(line)
            mutant, chosen = left.pop(row.pop("place"))
            yield Result(mutant=mutant, **row | {"end": End[row["end"]]}) if row else (mutant, chosen)
    status = waited(number)
    if status or left:
        text = Path(name).read_text(encoding="utf-8", errors="replace")
        raise RuntimeError(f"the tests could not be collected ({status}), {len(left)} mutants left:\n{text[-3000:]}")
    Path(name).unlink()


class _Parent:
    """A pytest plugin that runs no test itself, but forks for every mutant."""

    def __init__(
        self, work: Work, seconds: dict[str, float], processes: int, say: Callable[[dict[str, object]], None]
    ) -> None:
        self.work, self.seconds, self.processes, self.say = work, seconds, processes, say

    def pytest_sessionstart(self) -> None:
        """Before any test is imported."""
        find_only()

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """In place of running what was collected."""
        places = {mutant: place for place, (mutant, _) in enumerate(self.work)}
        fits = []
        patches = {}
        for mutant, tests in self.work:
            try:
                patches[mutant] = Patch(()) if mutant.kind == NO_FAULT else patch_of(mutant)
                fits.append((mutant, tests))
            except CannotPatch:
                self.say({"place": places[mutant]})
        _warm()
        items = {item.nodeid: item for item in session.items}

        def test(mutant: Mutant, tests: Sequence[str], seconds: dict[str, float], told: Path) -> int:
            return _test(session, [items[each] for each in tests], patches[mutant], seconds, told)

        for result in results_of(fits, self.seconds, self.processes, test):
            row = asdict(result) | {"place": places[result.mutant], "end": result.end.name}
            del row["mutant"]
            self.say(row)
        session.items = []
        return True


def _warm() -> None:
    """Run the compiled loop once, so that no child has to load it; then forget every answer."""
    from evenfire.judgement.proofs.result import Scenario
    from tests.judgement.proofs.cases import as_found, proof_of

    proof_of(as_found("vertical"), Scenario.HIGH_LIMIT_ALONE)
    for cache in caches():
        cache.cache_clear()
    gc.collect()
    gc.freeze()


def _test(
    session: pytest.Session, chosen: list[pytest.Item], patch: Patch, seconds: dict[str, float], told: Path
) -> int:
    """In a child: put the fault in, and run these tests until one notices it."""
    alone()
    os.environ["PYTEST_DEBUG_TEMPROOT"] = tempfile.mkdtemp(dir=told.parent)
    patch.put()
    session.items = chosen
    session.testscollected = len(chosen)
    plugin = Chosen([item.nodeid for item in chosen], seconds)
    session.config.pluginmanager.register(plugin)
    try:
        run_all(session)
        status = pytest.ExitCode.TESTS_FAILED if session.testsfailed else pytest.ExitCode.OK
    except session.Failed:
        status = pytest.ExitCode.TESTS_FAILED
    except session.Interrupted:
        status = pytest.ExitCode.INTERRUPTED
    plugin.tell(told, True)
    return int(status)

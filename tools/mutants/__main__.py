"""Draw mutants by a seed, run the tests on each, and tell which survive: ``make mutants``."""

import argparse
import json
import math
import os
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import accumulate
from pathlib import Path
from random import Random

from tools.mutants.finding import NO_FAULT, SOURCE, Mutant, draw, mutants_of, unchanged
from tools.mutants.reaching import Reach, reach_of
from tools.mutants.running import End, Result, child, preload, results_of, root_first, waited
from tools.mutants.warm import warm_results_of

FAMILIES = ("judgement/", "physics/switching.py", "physics/control_logic.py")
TESTS = (
    "tests/judgement",
    "tests/physics/test_control_logic.py",
    "tests/physics/test_switching.py",
    "tests/test_demo_plants.py",
    "tests/delivery/acts",
    "tests/delivery/cli",
    "tests/delivery/report",
)
NOT_FOR_MUTANTS = (
    "--ignore=tests/judgement/test_mutants.py",
    "--ignore=tests/judgement/test_sampled_mutants.py",
)


ENOUGH_S = 60.0
"""Tests for so long have to keep silent without a fault in the slow way too"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and answer its exit code: 1 when too few mutants were killed."""
    asked = _parser().parse_args(arguments)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    root_first()
    preload()
    began = time.monotonic()
    pools = {module: mutants_of(module) for module in sampled_modules(asked.only)}
    drawn = draw(pools, asked.sample, asked.seed)
    # In a drawn order, so that a run that is stopped has seen a fair sample too.
    Random(asked.seed).shuffle(drawn)
    # The one without a fault has to live: were it killed, every other would be killed for nothing.
    drawn.insert(0, unchanged(max(pools, key=lambda module: len(pools[module]))))
    if asked.again:
        drawn = _survivors(drawn, asked.again)
    work, reach = _work(drawn, asked)
    say = _sayer(asked.log)
    say(f"{sum(map(len, pools.values()))} mutants in {len(pools)} modules, {len(drawn) - 1} drawn by seed {asked.seed}")
    if reach.failed:
        say(f"left out, for they fail without any fault: {', '.join(reach.failed)}")
    results = []
    for result in _results(work, reach, asked.processes, warm=not asked.tests):
        results.append(result)
        say(f"{len(results):4d} {result.seconds:7.2f} s  {_ended(result)}  {result.mutant.name}")
    for line in summary(results, time.monotonic() - began):
        say(line)
    if asked.json:
        asked.json.write_text(json.dumps([_row(result) for result in results], indent=1), encoding="utf-8")
    return 0 if share_killed(results) >= asked.at_least and not _false_alarm(results) else 1


def sampled_modules(only: Sequence[str]) -> list[str]:
    """Modules below the package that mutants are made of."""
    every = sorted(path.relative_to(SOURCE).as_posix() for path in SOURCE.rglob("*.py"))
    return [module for module in every if module.startswith(tuple(only) or FAMILIES)]


def share_killed(results: Sequence[Result]) -> float:
    """How many of the mutants with a fault were noticed, of one [1]."""
    faulty = [result for result in results if result.mutant.kind != NO_FAULT]
    return sum(result.end is not End.SURVIVED for result in faulty) / len(faulty) if faulty else 1.0


def summary(results: Sequence[Result], seconds: float) -> list[str]:
    """The lines at the end: shares by family and by kind of fault, and every survivor."""
    faulty = [result for result in results if result.mutant.kind != NO_FAULT]
    killed = [result for result in faulty if result.end is not End.SURVIVED]
    lines = ["", f"killed {len(killed)} of {len(faulty)} ({share_killed(results):.1%}) in {seconds / 60:.1f} min"]
    lines += [f"  {count:4d} {end.value}" for end, count in Counter(result.end for result in faulty).items()]
    lines += ["by module", *_shares(faulty, lambda result: _family(result.mutant.module))]
    lines += ["by kind", *_shares(faulty, lambda result: result.mutant.kind)]
    lines += ["survivors"]
    lines += [
        f"  {result.mutant.name}  ({'no test reaches it' if not result.chosen else f'{result.ran} tests'})"
        for result in sorted(faulty, key=lambda result: (result.mutant.module, result.mutant.line))
        if result.end is End.SURVIVED
    ]
    if _false_alarm(results):
        lines.append("THE TESTS FAIL WITHOUT ANY FAULT: nothing above means anything")
    return lines


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tools.mutants", description=__doc__)
    parser.add_argument("--sample", type=int, default=300, help="how many mutants are drawn")
    parser.add_argument("--seed", type=int, default=1919)
    parser.add_argument("--only", action="append", default=[], help="path of a module or package, as judgement/rules")
    parser.add_argument("--again", type=Path, help="of the drawn ones only those that survived in these results")
    parser.add_argument(
        "--tests", action="append", default=[], help="run these files whole, with no map of who reaches"
    )
    parser.add_argument(
        "--seconds", type=float, default=math.inf, help="leave out the slowest tests of a mutant beyond"
    )
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--at-least", type=float, default=0.85, help="share that has to be killed")
    parser.add_argument("--log", type=Path, help="also write progress here")
    parser.add_argument("--json", type=Path, help="write the results here")
    return parser


def _work(drawn: Sequence[Mutant], asked: argparse.Namespace) -> tuple[list[tuple[Mutant, list[str]]], Reach]:
    if asked.tests:
        return [(mutant, list(asked.tests)) for mutant in drawn], Reach()
    reach = reach_of((*TESTS, *NOT_FOR_MUTANTS), asked.processes, lambda function: child(function, None), waited)
    return [(mutant, _within(asked.seconds, reach.tests_for(mutant), reach.seconds)) for mutant in drawn], reach


def _results(work: list[tuple[Mutant, list[str]]], reach: Reach, processes: int, *, warm: bool) -> Iterator[Result]:
    """The fast way for every fault that it can be put to, and the slow one for the rest."""
    fast = [
        (mutant, tests)
        for mutant, tests in work
        if warm and tests and (mutant.kind == NO_FAULT or not (compiled(mutant) or reach.runs_while_importing(mutant)))
    ]
    quick = {mutant for mutant, _ in fast}
    # Tests that fail without any fault are known too: only a test that nobody knows has been made by the fault.
    seconds = reach.seconds | dict.fromkeys(reach.failed, 1.0)
    slow = [(mutant, tests) for mutant, tests in work if mutant not in quick]
    # Without a fault both ways have to keep silent.
    slow += [(mutant, _within(ENOUGH_S, tests, reach.seconds)) for mutant, tests in fast if mutant.kind == NO_FAULT]
    if fast:
        for result in warm_results_of(fast, seconds, processes, (*TESTS, *NOT_FOR_MUTANTS)):
            if isinstance(result, Result):
                yield result
            else:
                slow.append((result[0], list(result[1])))
    yield from results_of(slow, seconds, processes)


def compiled(mutant: Mutant) -> bool:
    """Whether machine code may have been made of the module before the fault comes into it."""
    return mutant.module.startswith("physics/")


def _survivors(drawn: Sequence[Mutant], results: Path) -> list[Mutant]:
    rows = json.loads(results.read_text(encoding="utf-8"))
    lived = {(row["module"], row["node"], row["variant"]) for row in rows if row["end"] == End.SURVIVED.name}
    return [mutant for mutant in drawn if (mutant.module, mutant.node, mutant.variant) in lived]


def _within(most: float, tests: Sequence[str], seconds: dict[str, float]) -> list[str]:
    """The fastest tests that take so long together."""
    fastest = sorted(tests, key=lambda test: seconds[test])
    kept = {
        test for test, end in zip(fastest, accumulate(map(seconds.__getitem__, fastest)), strict=True) if end <= most
    }
    return [test for test in tests if test in kept]


def _family(module: str) -> str:
    parts = module.split("/")
    return "/".join(parts[:2]) if parts[0] == "judgement" and len(parts) > 2 else module


def _shares(results: Sequence[Result], key: Callable[[Result], str]) -> list[str]:
    total, killed = Counter(map(key, results)), Counter(key(each) for each in results if each.end is not End.SURVIVED)
    return [f"  {name:32s} {killed[name]:3d} of {total[name]:3d}" for name in sorted(total)]


def _ended(result: Result) -> str:
    tests = f"{result.ran}/{result.chosen}"
    by = result.by.rpartition("/")[2]
    return f"{result.end.value} [{tests}] {by}".strip() + ("" if result.served else " (never imported)")


def _false_alarm(results: Sequence[Result]) -> bool:
    return any(each.mutant.kind == NO_FAULT and each.end is not End.SURVIVED for each in results)


def _row(result: Result) -> dict[str, object]:
    mutant = result.mutant
    return {
        "module": mutant.module,
        "node": mutant.node,
        "variant": mutant.variant,
        "line": mutant.line,
        "kind": mutant.kind,
        "before": mutant.before,
        "after": mutant.after,
        "end": result.end.name,
        "by": result.by,
        "ran": result.ran,
        "chosen": result.chosen,
        "seconds": result.seconds,
    }


def _sayer(log: Path | None) -> Callable[[str], None]:
    def say(line: str) -> None:
        print(line, flush=True)
        if log is not None:
            with log.open("a", encoding="utf-8") as written:
                written.write(f"{line}\n")

    return say


if __name__ == "__main__":
    sys.exit(main())

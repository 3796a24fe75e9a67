"""A drawn sample of faults, one in each copy of a module: the tests have to notice nearly all of them.

How much of a sample has to be noticed is a house rule, no published number. Two small modules are tried always with a
few draws; all of judgement, proofs and tolerance too, in a soak with three hundred that are drawn from the code as it
is.
"""

import ast
import importlib
import json
import os
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from tools.mutants.__main__ import sampled_modules
from tools.mutants.finding import NO_FAULT, SOURCE, Mutant, draw, mutants_of, source_of, unchanged
from tools.mutants.patching import CannotPatch, patch_of
from tools.mutants.reaching import dotted_name

ROOT = Path(__file__).parents[2]
SMALL = ("physics/control_logic.py", "physics/switching.py")
THEIR_TESTS = ("tests/physics/test_control_logic.py", "tests/physics/test_switching.py")


def sampled(place: Path, *flags: str, seconds: float) -> tuple[subprocess.CompletedProcess[str], list[dict[str, str]]]:
    """One run of the tool, and the row of each mutant."""
    rows = place / "rows.json"
    environment = {key: value for key, value in os.environ.items() if not key.startswith(("PYTEST", "EVENFIRE"))}
    done = subprocess.run(
        [sys.executable, "-m", "tools.mutants", "--json", str(rows), *flags],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        timeout=seconds,
    )
    assert rows.exists(), done.stdout[-2000:] + done.stderr[-2000:]
    return done, json.loads(rows.read_text(encoding="utf-8"))


def test_a_small_sample_is_noticed_and_a_module_without_a_fault_is_not(tmp_path: Path) -> None:
    modules = [flag for module in SMALL for flag in ("--only", module)]
    tests = [flag for test in THEIR_TESTS for flag in ("--tests", test)]
    done, rows = sampled(tmp_path, "--sample", "6", "--seed", "3", "--at-least", "0.6", *modules, *tests, seconds=120)
    faulty = [row for row in rows if row["kind"] != NO_FAULT]
    assert [row["end"] for row in rows if row["kind"] == NO_FAULT] == ["SURVIVED"], done.stdout
    assert len(faulty) == 6
    assert {row["module"] for row in faulty} == set(SMALL)
    # A fault that a test names, not only one with which nothing can be imported.
    assert sum(row["end"] == "KILLED" and "::" in row["by"] for row in faulty) >= 3, done.stdout
    assert done.returncode == 0, done.stdout


@pytest.mark.soak
def test_of_three_hundred_faults_the_tests_notice_eighty_five_in_a_hundred(tmp_path: Path) -> None:
    flags = ("--sample", "300", "--seed", "1919", "--at-least", "0.85", "--processes", "2", "--seconds", "60")
    done, rows = sampled(tmp_path, *flags, seconds=4 * 3600)
    print(done.stdout)  # noqa: T201 - the survivors have to be read
    faulty = [row for row in rows if row["kind"] != NO_FAULT]
    assert len(faulty) == 300
    assert [row["end"] for row in rows if row["kind"] == NO_FAULT] == ["SURVIVED"], done.stdout[-3000:]
    killed = sum(row["end"] != "SURVIVED" for row in faulty)
    assert killed >= 0.85 * len(faulty), done.stdout[-8000:]
    assert done.returncode == 0, done.stdout[-8000:]


def pools() -> dict[str, list[Mutant]]:
    return {module: mutants_of(module) for module in (*SMALL, "judgement/valve_facts.py")}


def test_a_seed_draws_the_same_sample_and_another_seed_another() -> None:
    assert draw(pools(), 40, 5) == draw(pools(), 40, 5)
    assert draw(pools(), 40, 5) != draw(pools(), 40, 6)


def test_every_module_has_its_share_of_the_sample_by_size() -> None:
    found = pools()
    drawn = draw(found, 40, 5)
    assert len(drawn) == len(set(drawn)) == 40
    total = sum(map(len, found.values()))
    for module, count in Counter(mutant.module for mutant in drawn).items():
        assert abs(count - 40 * len(found[module]) / total) < 1


@pytest.mark.parametrize("module", [*SMALL, "judgement/valve_facts.py"])
def test_every_mutant_differs_from_the_module_in_its_code(module: str) -> None:
    plain = ast.dump(source_of(unchanged(module)))
    for mutant in mutants_of(module):
        assert ast.dump(source_of(mutant)) != plain, mutant.name


def test_types_and_texts_are_left_alone() -> None:
    for mutant in mutants_of("judgement/outcome.py"):
        assert "Enum" not in mutant.before
        assert not mutant.before.startswith(('"', "'"))
    assert not [mutant for mutant in mutants_of("judgement/outcome.py") if mutant.before == "frozen=True"]


def test_proofs_and_tolerance_are_sampled_too() -> None:
    sampled = set(sampled_modules([]))
    assert {f"judgement/{each}.py" for each in ("proofs/watching", "tolerance/counting", "motion/modelling")} <= sampled
    assert set(SMALL) <= sampled


@pytest.mark.parametrize("module", ["judgement/stack.py", "judgement/valve_facts.py", "judgement/tolerance/rows.py"])
def test_a_fault_can_be_put_into_functions_that_are_imported_already_and_taken_out(module: str) -> None:
    importlib.import_module(dotted_name(module))
    inside = [mutant for mutant in mutants_of(module) if mutant.function]
    assert inside
    for mutant in inside:
        patch = patch_of(mutant)
        before = [function.__code__ for function, _ in patch.bodies]
        try:
            patch.put()
            for (function, _), was in zip(patch.bodies, before, strict=True):
                assert (function.__code__.co_code, function.__code__.co_consts, function.__code__.co_names) != (
                    (was.co_code, was.co_consts, was.co_names)
                ), mutant.name
        finally:
            for (function, _), was in zip(patch.bodies, before, strict=True):
                function.__code__ = was


def test_a_fault_outside_of_functions_cannot_be_put_in_later() -> None:
    outside = next(mutant for mutant in mutants_of("judgement/margins.py") if not mutant.function)
    with pytest.raises(CannotPatch):
        patch_of(outside)


@pytest.mark.parametrize("module", [*SMALL, "judgement/case.py", "judgement/proofs/watching.py"])
def test_a_fault_lies_on_the_lines_of_its_own_statement(module: str) -> None:
    text = (SOURCE / module).read_text(encoding="utf-8").splitlines()
    for mutant in mutants_of(module):
        assert mutant.line in mutant.lines, mutant.name
        # Of a branch only what decides it: not what it leads to.
        if text[mutant.lines[0] - 1].lstrip().startswith(("if ", "elif ", "while ")):
            last = text[mutant.lines[-1] - 1].strip()
            assert last.endswith(":") or last.startswith("#"), mutant.name

"""Changed copies of the rule book and of settle: the tests have to notice every one of them.

Each mutant is a copy of the package with one number or one comparison changed, tested in a process of its own. Three
of them run always, all of them in a soak.
"""

import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.conftest import SOAK

ROOT = Path(__file__).parents[2]
RULES = ("tests/judgement/test_rulebook.py", "tests/judgement/test_stack_rules.py")
SETTLE = ("tests/judgement/test_settle_second_opinion.py", "tests/judgement/test_settle_on_random_plants.py")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mutant:
    name: str
    module: str
    before: str
    after: str
    tests: tuple[str, ...]
    always: bool = False


MUTANTS = (
    Mutant(
        name="trip-late-forgets-its-tolerance",
        module="judgement/margins.py",
        before="    return trip + off\n",
        after="    return trip\n",
        tests=RULES,
        always=True,
    ),
    Mutant(
        name="run-on-is-left-out-of-the-highest-pressure",
        module="judgement/margins.py",
        before="return cut_out + off + rise",
        after="return cut_out + off",
        tests=RULES,
    ),
    Mutant(
        name="touching-is-not-enough-any-more",
        module="judgement/margins.py",
        before="ROUNDING_PA if margin.sense is Sense.BELOW else -ROUNDING_PA",
        after="-ROUNDING_PA if margin.sense is Sense.BELOW else -ROUNDING_PA",
        tests=(*RULES, *SETTLE),
    ),
    Mutant(
        name="undershoot-lifts-the-restart",
        module="judgement/margins.py",
        before="return cut_in - off - fall",
        after="return cut_in - off + fall",
        tests=RULES,
    ),
    Mutant(
        name="settle-may-relax-the-stop-before-the-valve",
        module="judgement/margins.py",
        before='    code="high-limit-stops-before-valve",\n    tier=Tier.NEVER_RELAXED,',
        after='    code="high-limit-stops-before-valve",\n    tier=Tier.WANTED,',
        tests=SETTLE[1:],
    ),
    Mutant(
        name="low-fire-is-reached-where-cut-out-stands",
        module="judgement/margins.py",
        before="return low_fire + off + rise",
        after="return low_fire + rise",
        tests=RULES,
    ),
    Mutant(
        name="valve-gap-of-a-twelfth",
        module="judgement/valve_facts.py",
        before="(300, 0.10, 7)",
        after="(300, 0.08, 7)",
        tests=RULES,
    ),
    Mutant(
        name="low-pressure-gap-of-four-psi",
        module="judgement/valve_facts.py",
        before="return DiffPa(5 * PA_PER_PSI)",
        after="return DiffPa(4 * PA_PER_PSI)",
        tests=RULES,
    ),
    Mutant(
        name="a-valve-lifts-late-instead-of-early",
        module="judgement/valve_facts.py",
        before="return GaugePa(valve.set_pressure - set_tolerance(valve.set_pressure))",
        after="return GaugePa(valve.set_pressure + set_tolerance(valve.set_pressure))",
        tests=RULES,
    ),
    Mutant(
        name="touching-counts-as-below",
        module="judgement/rule.py",
        before="holds=room >= -noise if touching_holds else room > noise,",
        after="holds=room >= -noise,",
        tests=RULES,
    ),
    Mutant(
        name="a-tenth-of-starts-becomes-a-half",
        module="judgement/settle/choosing.py",
        before="START_BAND_SHARE = 1.10",
        after="START_BAND_SHARE = 1.50",
        tests=SETTLE,
    ),
    Mutant(
        name="starts-alike-within-three-an-hour",
        module="judgement/settle/choosing.py",
        before="START_BAND = 0.3 / 3600",
        after="START_BAND = 3.0 / 3600",
        tests=SETTLE,
    ),
    Mutant(
        name="one-tolerance-is-plenty",
        module="judgement/settle/choosing.py",
        before="PLENTY = 5.0",
        after="PLENTY = 1.0",
        tests=SETTLE,
    ),
    Mutant(
        name="most-dials-turned",
        module="judgement/settle/choosing.py",
        before="moved == moved[met].min()",
        after="moved == moved[met].max()",
        tests=SETTLE,
    ),
    Mutant(
        name="practice-costs-starts",
        module="judgement/settle/choosing.py",
        before="        met = met & tables.usual\n",
        after="        pass\n",
        tests=SETTLE,
    ),
    Mutant(
        name="any-mask-of-the-high-limit-will-do",
        module="judgement/settle/choosing.py",
        before="met_by_high = tables.kept_by_high & (tables.broken_by_high == 0)",
        after="met_by_high = tables.kept_by_high | (tables.broken_by_high == 0)",
        tests=SETTLE,
        always=True,
    ),
    Mutant(
        name="a-conflict-is-not-made-smallest",
        module="judgement/settle/conflicts.py",
        before="            if without != core and not can_be_met(without, sets):",
        after="            if without != core and can_be_met(without, sets) and False:",
        tests=SETTLE[1:],
        always=True,
    ),
    Mutant(
        name="only-one-conflict-is-told",
        module="judgement/settle/conflicts.py",
        before="        if core == 0:\n            break",
        after="        break",
        tests=SETTLE[1:],
    ),
    Mutant(
        name="every-cut-out-is-taken-for-one-from-full-fire",
        module="judgement/settle/search.py",
        before="    return rise * _fire_on_the_line(ground, ground.rate)[:, :, None]",
        after="    return rise",
        tests=SETTLE[1:],
    ),
    Mutant(
        name="a-cure-one-step-too-small",
        module="judgement/settle/cures.py",
        before="    return enough\n",
        after="    return enough - 1\n",
        tests=SETTLE[1:],
    ),
    Mutant(
        name="a-pointer-is-set-in-quarters",
        module="judgement/settle/grid.py",
        before="STEPS_IN_A_DIVISION = 2",
        after="STEPS_IN_A_DIVISION = 4",
        tests=SETTLE,
    ),
    Mutant(
        name="the-floor-of-the-search-is-too-high",
        module="judgement/settle/ground.py",
        before="(operating.lower >= floor)",
        after="(operating.lower >= 1.3 * floor)",
        tests=SETTLE,
    ),
)


def run_on_copy(place: Path, mutant: Mutant | None, tests: tuple[str, ...]) -> subprocess.CompletedProcess[str]:
    """The tests on a copy of the package, which stands before the installed one on the path."""
    shutil.copytree(ROOT / "src" / "evenfire", place / "evenfire", ignore=shutil.ignore_patterns("__pycache__"))
    if mutant is not None:
        module = place / "evenfire" / mutant.module
        text = module.read_text(encoding="utf-8")
        assert text.count(mutant.before) == 1, f"{mutant.name}: what it changes is not in {mutant.module} once"
        module.write_text(text.replace(mutant.before, mutant.after), encoding="utf-8")
    environment = {key: value for key, value in os.environ.items() if not key.startswith(("PYTEST", "EVENFIRE"))}
    environment.update({"PYTHONPATH": str(place), "PYTHONDONTWRITEBYTECODE": "1"})
    flags = ["-x", "-p", "no:randomly", "-p", "no:cacheprovider", "-n", "0"]
    return subprocess.run(
        [sys.executable, "-m", "pytest", *flags, *tests],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        timeout=600,
    )


CHOSEN = [each for each in MUTANTS if SOAK or each.always]


@pytest.mark.parametrize("mutant", CHOSEN, ids=lambda mutant: mutant.name)
def test_a_changed_copy_is_noticed(mutant: Mutant, tmp_path: Path) -> None:
    done = run_on_copy(tmp_path, mutant, mutant.tests)
    assert done.returncode == 1, f"survived:\n{done.stdout[-2000:]}{done.stderr[-2000:]}"
    # One that cannot even be imported would prove nothing about the tests.
    told = [line.split(" ", 1)[0] for line in done.stdout.splitlines()]
    assert "FAILED" in told, done.stdout[-2000:]
    assert "ERROR" not in told, done.stdout[-2000:]


def test_the_tests_pass_on_an_unchanged_copy_and_look_at_the_copy(tmp_path: Path) -> None:
    tests = (*RULES, *SETTLE) if SOAK else RULES
    done = run_on_copy(tmp_path, None, tests)
    assert done.returncode == 0, done.stdout[-2000:]
    where = [sys.executable, "-c", "import evenfire; print(evenfire.__file__)"]
    environment = {**os.environ, "PYTHONPATH": str(tmp_path)}
    told = subprocess.run(where, cwd=ROOT, env=environment, capture_output=True, text=True, timeout=60)
    assert Path(told.stdout.strip()).is_relative_to(tmp_path)


def test_there_are_twenty_mutants_and_three_that_always_run() -> None:
    assert len(MUTANTS) >= 20
    assert len({mutant.name for mutant in MUTANTS}) == len(MUTANTS)
    assert sum(mutant.always for mutant in MUTANTS) == 3

"""What ``evenfire settle`` says and how it ends where motion does not bear out what the closed forms let pass."""

import json
import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
import tomlkit

from evenfire.delivery.report.motion_text import motion_text
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import UnitSystem
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.learning import MOST_ROUNDS, Learned, Progress, settle_in_motion
from evenfire.judgement.proofs.proving import SCENARIOS
from tests.delivery.cli.test_commands import LAUNDRY, as_one_line, evenfire
from tests.judgement.proofs.cases import settled
from tests.surveys import EXAMPLES, survey

PAGE = Page(100, UnitSystem.US)


def plant_with(tmp_path: Path, name: str, edit: list[tuple[str, object]]) -> Path:
    """A demo plant with keys of its first boiler, or of its load, replaced."""
    document = tomllib.loads((EXAMPLES / f"{name}.toml").read_text(encoding="utf-8"))
    for key, value in edit:
        *steps, last = key.split(".")
        table: object = document
        for step in steps:
            table = table[int(step) if step.isdigit() else step]  # type: ignore[index]
        table[last] = value  # type: ignore[index]
    path = tmp_path / f"{name}.toml"
    path.write_text(tomlkit.dumps(document), encoding="utf-8")
    return path


def told(pattern: str, text: str) -> float:
    found = re.search(pattern, text)
    assert found is not None, text
    return float(found[1])


@pytest.fixture
def overdrawn(tmp_path: Path) -> Path:
    """The laundry's 200 bhp make 6,900 lb/h from and at 212 F; nobody can hold a pressure under 9,000."""
    return plant_with(tmp_path, "laundry", [("load.demand", {"shape": "constant", "steam": "9000 lb/h"})])


def test_a_proof_that_keeps_failing_is_in_the_headline_in_the_exit_code_and_nothing_is_written(overdrawn: Path) -> None:
    before = overdrawn.read_bytes()
    done = evenfire("settle", str(overdrawn), "--write")
    text = as_one_line(done.output)
    assert done.exit_code == 3
    assert "DOES NOT FIT IN MOTION" in text
    assert "SETTLED:" not in text
    assert re.search(r"STILL FAILING after \d rounds?: .*the plant's day", text)
    assert overdrawn.read_bytes() == before


def test_programs_read_which_proofs_keep_failing_and_what_each_round_had(overdrawn: Path) -> None:
    done = evenfire("settle", str(overdrawn), "--json")
    answer = json.loads(done.stdout)
    motion = answer["boilers"][0]["motion"]
    assert answer["exit_code"] == 3
    assert "the plant's day" in motion["failing"]
    assert len(motion["history"]) == motion["rounds"]
    assert all("the plant's day" in each["failed"] for each in motion["history"])


def test_without_motion_the_same_settings_are_written_on_closed_forms_alone(overdrawn: Path) -> None:
    before = overdrawn.read_bytes()
    assert evenfire("settle", str(overdrawn), "--without-motion", "--write").exit_code == 0
    assert overdrawn.read_bytes() != before


def test_valves_that_do_not_hold_the_boiler_are_a_stop_whatever_the_dials(tmp_path: Path) -> None:
    small: list[tuple[str, object]] = [(f"boiler.0.safety_valve.{place}.capacity", "2250 lb/h") for place in (0, 1)]
    # Half of what the laundry's two valves are stamped with, for a burner that makes 6,900 lb/h.
    done = evenfire("settle", str(plant_with(tmp_path, "laundry", small)))
    assert done.exit_code == 1
    assert "STOP: the safety valves alone do not hold this boiler" in as_one_line(done.output)


def test_the_board_mill_lowers_its_high_limit_for_a_longer_heat_lag_and_says_that_run_on_decides(
    tmp_path: Path,
) -> None:
    trips, rises = [], []
    for lag in (8, 15):
        edit: list[tuple[str, object]] = [(f"boiler.0.burner.{place}.heat_lag", f"{lag} s") for place in (0, 1)]
        text = as_one_line(evenfire("settle", str(plant_with(tmp_path, "board-mill", edit))).output)
        assert "Run-on decides how high it may stand" in text
        trips.append(told(r"high limit: trips at ([\d.]+) psi", text))
        rises.append(told(r"run-on from full fire takes ([\d.]+) psi", text))
        # Valves of 250 psi may lift 3 % early (VSH), at 242.5 psi.
        gap = told(r"first lift of a safety valve it is ([\d.]+) psi", text)
        assert trips[-1] + gap == pytest.approx(242.5, abs=0.2)
        assert rises[-1] < gap
    assert trips[1] <= trips[0] - 1
    # By hand: what is on its way is full heat x lag, and the store hardly changes over a few psi.
    assert rises[1] / rises[0] == pytest.approx(15 / 8, rel=0.05)


def test_a_hold_that_was_lowered_for_what_motion_showed_says_so() -> None:
    text = as_one_line(evenfire("settle", str(EXAMPLES / "board-mill.toml")).output)
    assert "the low-fire hold was chosen to stand below that" in text
    assert "the low-fire hold was chosen" not in as_one_line(evenfire("settle", LAUNDRY).output)


def test_what_motion_taught_says_what_the_closed_form_had_said() -> None:
    text = as_one_line(motion_text(settled("school"), "school.toml", PAGE))
    both = re.search(r"Run-on after a trip at full fire: ([\d.]+) psi in simulation, ([\d.]+) psi by the closed", text)
    assert both is not None
    assert float(both[1]) > float(both[2])


def test_motion_that_eight_rounds_did_not_cover_is_named() -> None:
    short = replace(settled("laundry"), still_short=(TermName.UNDERSHOOT, TermName.FALL_AT_LOAD))
    text = as_one_line(motion_text(short, "laundry.toml", PAGE))
    assert f"STILL SHORT after {MOST_ROUNDS} rounds: fall below cut-in during a restart, fall below high fire" in text
    assert short.falls_short
    assert "STILL SHORT" not in motion_text(settled("laundry"), "laundry.toml", PAGE)


def test_progress_tells_the_rounds_then_every_proof_once() -> None:
    plant_file = survey(plant="school")
    *progress, answer = settle_in_motion(plant_file.plant, plant_file.plant.boilers[0])
    assert isinstance(answer, Learned)
    steps = [each for each in progress if isinstance(each, Progress)]
    assert len(steps) == len(progress)
    rounds = [each for each in steps if each.what == "settings"]
    assert [each.done for each in rounds] == list(range(len(answer.rounds)))
    assert [each.what for each in steps[len(rounds) :]] == [scenario.value for scenario in SCENARIOS]
    assert {each.total for each in steps} == {MOST_ROUNDS + len(SCENARIOS)}

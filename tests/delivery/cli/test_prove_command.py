"""``evenfire prove`` and the motion in ``evenfire settle``, as a person types them."""

import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
import tomlkit
from jsonschema import Draft202012Validator

from evenfire.delivery.report.schemas import PROVE_SCHEMA, SETTLE_SCHEMA
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN, CAUTIONS_IN_SHORT
from tests.delivery.cli.test_commands import LAUNDRY, as_one_line, changed, evenfire
from tests.surveys import EXAMPLES

SCHOOL = str(EXAMPLES / "school.toml")
BOARD_MILL = EXAMPLES / "board-mill.toml"


def refused(*arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "evenfire", "prove", *arguments], capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 2, done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
    return as_one_line(done.stderr)


def test_the_verdicts_come_worst_first(tmp_path: Path) -> None:
    # A water-tube boiler has every kind of end once the tolerance of its high limit is not known.
    document = tomllib.loads(BOARD_MILL.read_text(encoding="utf-8"))
    del document["boiler"][0]["controls"]["high_limit"]["tolerance"]
    plant = tmp_path / "mill.toml"
    plant.write_text(tomlkit.dumps(document), encoding="utf-8")
    output = evenfire("prove", str(plant)).output
    words = re.findall(r"^(FAILS|Not proved|WARNS|holds|told)\b", output, flags=re.MULTILINE)
    order = ["FAILS", "Not proved", "WARNS", "holds", "told"]
    assert words == sorted(words, key=order.index)
    assert set(words) == set(order)


def test_a_failure_says_the_number_the_limit_and_what_to_do() -> None:
    # By hand: the dial reads 11.5 psi, half a psi late, and cast iron at full fire runs on a good psi; valves of 15
    # psi may lift 2 psi early, at 13.
    text = as_one_line(evenfire("prove", SCHOOL, "--scenario", "high limit alone").output)
    assert "the valves may lift from 13 psi" in text
    assert "TOO LATE" in text
    assert "do Lower the high limit by at least" in text
    assert "evenfire settle" in text


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        # Steady loads fail, but nothing of it endangers anybody: told plainly, and no stop.
        ((LAUNDRY,), 0),
        ((SCHOOL,), 1),
        ((SCHOOL, "--scenario", "pick-up after a restart"), 0),
        ((SCHOOL, "--scenario", "day"), 0),
    ],
)
def test_the_exit_code_is_for_what_keeps_people_safe(arguments: tuple[str, ...], code: int) -> None:
    assert evenfire("prove", *arguments).exit_code == code


def test_other_failures_are_told_although_the_exit_code_is_nought() -> None:
    output = evenfire("prove", LAUNDRY).output
    assert "2 FAIL" in output
    assert "FAILS   STEADY LOADS" in output


def test_nothing_is_said_of_safety_where_only_something_else_was_asked_for() -> None:
    text = as_one_line(evenfire("prove", LAUNDRY, "--scenario", "day").output)
    assert "keeps the boiler safe holds" not in text
    assert "keeps the boiler safe holds" in as_one_line(evenfire("prove", LAUNDRY).output)


def test_what_the_survey_lacks_is_named_and_nothing_else_is_claimed(tmp_path: Path) -> None:
    done = evenfire("prove", changed(tmp_path, "boiler", 0, "water_volume", None))
    assert done.exit_code == 4
    assert "water volume (key water_volume)" in as_one_line(done.output)
    assert "12 not proved, 0 hold" in as_one_line(done.output)
    assert "not an all-clear" in as_one_line(done.output)


def test_what_applies_to_no_such_boiler_is_one_line() -> None:
    text = as_one_line(evenfire("prove", str(EXAMPLES / "vertical.toml")).output)
    assert "Does not apply to this boiler: pick-up, drop, hold absent." in text


def test_every_shows_all_that_was_looked_at() -> None:
    short = evenfire("prove", LAUNDRY, "--scenario", "steady loads").output
    long = evenfire("prove", LAUNDRY, "--scenario", "steady loads", "--every").output
    assert len(long.splitlines()) > len(short.splitlines()) + 20
    assert "at a load of 98 %" in as_one_line(long)


@pytest.mark.parametrize("width", [44, 72, 100])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    for plant in ("laundry", "board-mill"):
        output = evenfire("prove", str(EXAMPLES / f"{plant}.toml"), width=width).output
        assert max(len(line) for line in output.splitlines()) <= width


def test_si_units_show_no_psi() -> None:
    output = evenfire("prove", str(EXAMPLES / "board-mill.toml"), "--units", "si").output
    assert "bar" in output
    assert "psi" not in output
    assert re.search(r"\d F\b|\bF/", output) is None


def test_the_cautions_travel_with_every_proof() -> None:
    text = as_one_line(evenfire("prove", LAUNDRY, "--scenario", "day").output)
    for caution in (*CAUTIONS_IN_SHORT, CAUTION_OF_A_RUN):
        assert as_one_line(caution) in text


@pytest.mark.parametrize("name", ["high-limit-alone", "HIGH LIMIT ALONE", "high limit"])
def test_a_scenario_is_named_as_it_comes(name: str) -> None:
    assert "HIGH LIMIT ALONE" in evenfire("prove", LAUNDRY, "--scenario", name).output


def test_a_wrong_scenario_is_answered_with_all_of_them_and_an_unclear_one_with_those_meant() -> None:
    assert '"cold start"' in refused(LAUNDRY, "--scenario", "hot start")
    unclear = refused(LAUNDRY, "--scenario", "alone")
    assert '"high limit alone", "safety valves alone"' in unclear
    assert "cold start" not in unclear


def test_settings_that_are_not_there_are_refused() -> None:
    assert "has no settings proposed" in refused(LAUNDRY, "--settings", "proposed")


def test_the_json_is_the_same_story() -> None:
    told = json.loads(evenfire("prove", SCHOOL, "--json").output)
    Draft202012Validator(PROVE_SCHEMA).validate(told)
    assert told["format"] == "evenfire.prove/1"
    assert told["exit_code"] == 1
    first = told["boilers"][0]["proofs"][0]
    assert (first["scenario"], first["verdict"], first["unsafe"]) == ("high limit alone", "fails", True)
    worst = first["checks"][0]
    assert worst["margin_pa"] == pytest.approx(worst["limit_pa_gauge"] - worst["observed_pa_gauge"])
    assert worst["margin_pa"] < 0


def test_a_sheet_is_drawn_for_each_scenario(tmp_path: Path) -> None:
    folder = tmp_path / "sheets" / "laundry"
    done = evenfire("prove", LAUNDRY, "--scenario", "day", "--scenario", "drop", "--plot", str(folder))
    assert done.exit_code == 0, done.output
    assert sorted(path.name for path in folder.iterdir()) == ["drop.svg", "the-plants-day.svg"]
    assert "Wrote 2 drawings" in done.output


def test_settle_tells_what_motion_taught_it_and_what_it_proved() -> None:
    text = as_one_line(evenfire("settle", SCHOOL).output)
    # By hand no more than this is known: what is told as simulated is the larger of the two.
    said = re.search(
        r"Run-on after a trip at full fire: ([0-9.]+) psi in simulation, ([0-9.]+) psi by the closed", text
    )
    assert said is not None
    assert float(said.group(1)) > float(said.group(2))
    assert "Settled and simulated in 2 rounds" in text
    assert "holds High limit alone: the high limit stops it at" in text
    assert f"evenfire prove {SCHOOL} --settings proposed" in text
    assert as_one_line(CAUTION_OF_A_RUN) in text


def test_settle_without_motion_simulates_nothing() -> None:
    output = evenfire("settle", LAUNDRY, "--without-motion").output
    assert "Proposed settings" in output
    assert "Shown in motion" not in output
    told = json.loads(evenfire("settle", LAUNDRY, "--without-motion", "--json").output)
    Draft202012Validator(SETTLE_SCHEMA).validate(told)
    assert told["boilers"][0]["motion"] is None


def test_settle_says_what_it_lacks_for_motion_and_gives_the_static_answer(tmp_path: Path) -> None:
    file = changed(tmp_path, "boiler", 0, "controls", "firing_rate", "action", "pid")
    done = evenfire("settle", file)
    text = as_one_line(done.output)
    assert "Not judged in motion; the settings stand on closed forms alone. Missing: gains of the firing-rate" in text
    told = json.loads(evenfire("settle", file, "--json").output)
    Draft202012Validator(SETTLE_SCHEMA).validate(told)
    assert told["boilers"][0]["motion"]["missing"] == ["controls.firing_rate.gains"]


def test_a_target_is_proved_in_motion_as_well() -> None:
    told = json.loads(evenfire("settle", LAUNDRY, "--target", "+5 psi", "--json").output)
    proofs = {proof["scenario"]: proof for proof in told["boilers"][0]["motion"]["proofs"]}
    need = next(p["narrowest"] for p in proofs.values() if (p["narrowest"] or {}).get("watched") == "the need is held")
    # The laundry needs 105 psi; five more are asked for.
    assert need["limit_pa_gauge"] == pytest.approx(110 * 6894.757, rel=1e-6)


def test_what_was_written_is_proved_as_proposed(tmp_path: Path) -> None:
    file = tmp_path / "laundry.toml"
    file.write_text(Path(LAUNDRY).read_text(encoding="utf-8"), encoding="utf-8")
    assert evenfire("settle", str(file), "--write").exit_code == 0
    done = evenfire("prove", str(file), "--settings", "proposed")
    assert done.exit_code == 0
    assert "0 FAIL, 0 not proved" in as_one_line(done.output)
    assert "Settings proposed." in as_one_line(done.output)

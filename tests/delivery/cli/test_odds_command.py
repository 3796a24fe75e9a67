"""``evenfire odds`` as a person types it."""

import json
import os
import pty
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest
import tomlkit
from jsonschema import Draft202012Validator
from scipy import stats

from evenfire.delivery.acts import odds as counting
from evenfire.delivery.cli.main import app
from evenfire.delivery.report.schemas import ODDS_SCHEMA
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN, CAUTIONS_IN_SHORT
from tests.delivery.cli.test_commands import LAUNDRY, as_one_line, changed, evenfire
from tests.surveys import EXAMPLES

PLANTS = sorted(path.stem for path in EXAMPLES.glob("*.toml"))
INTERRUPTIBLE = """
import signal
from evenfire.delivery.cli.main import run
# Where the tests themselves were started in the background, Ctrl-C is ignored from birth.
signal.signal(signal.SIGINT, signal.default_int_handler)
run()
"""
FEW = ("--draws", "20000", "--reruns", "40", "--threads", "1")


def plant(name: str) -> str:
    return str(EXAMPLES / f"{name}.toml")


def refused(*arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "evenfire", "odds", *arguments], capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 2, done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
    return as_one_line(done.stderr)


def entries(output: str) -> list[tuple[str, str]]:
    """Weight and title of each thing that is told, in order."""
    return re.findall(r"^(LIKELY|unsure|rare|unseen) +([A-Z][A-Z ]+):", output, flags=re.MULTILINE)


@pytest.mark.parametrize("name", PLANTS)
def test_every_demo_plant_is_told_worst_first_with_what_it_rests_on(name: str) -> None:
    done = evenfire("odds", plant(name), *FEW)
    assert done.exit_code in {0, 1}, done.output
    weights = [weight for weight, _ in entries(done.output)]
    order = ["LIKELY", "unsure", "rare", "unseen"]
    assert weights == sorted(weights, key=order.index)
    follows = name not in {"school", "school-by-dial", "vertical"}
    assert len(weights) == (5 if follows else 4)
    assert done.output.count("\nfrom    ") == len(weights)
    assert done.output.count("\ndo      ") == sum(weight in {"LIKELY", "unsure"} for weight in weights)


@pytest.mark.parametrize("units", ["us", "si"])
@pytest.mark.parametrize("name", PLANTS)
def test_the_json_of_every_demo_plant_keeps_its_schema(name: str, units: str) -> None:
    done = evenfire("odds", plant(name), *FEW, "--json", "--units", units)
    told = json.loads(done.output)
    Draft202012Validator(ODDS_SCHEMA).validate(told)
    assert told["exit_code"] == done.exit_code
    assert (told["seed"], told["draws_asked"], told["most_reruns"], told["stopped"]) == (1, 20_000, 40, False)
    for each in told["boilers"][0]["answers"]:
        assert each["lowest_fraction"] <= each["probability_fraction"] <= each["highest_fraction"]
        assert each["rerun"] == min(each["near"], 40)


def test_none_seen_is_told_as_below_an_upper_bound() -> None:
    output = as_one_line(evenfire("odds", plant("rental-trailer-depot"), "--draws", "200000").output)
    said = re.search(
        r"NUISANCE TRIP: none seen in 200,000 draws: below ([0-9.]+) % of boilers \(1 in ([0-9,]+)\)", output
    )
    assert said is not None
    exact = stats.binomtest(0, 200_000).proportion_ci(confidence_level=0.95, method="exact").high
    # Two digits, rounded to the careful side.
    assert exact <= float(said.group(1)) / 100 < 1.06 * exact
    assert exact <= 1 / float(said.group(2).replace(",", "")) < 1.06 * exact
    assert "0 % of boilers" not in output


def test_what_happens_always_is_told_as_above_a_lower_bound() -> None:
    # The laundry's cut-out stands in its firing band (see its plant file): however far dials are off, it comes first.
    output = as_one_line(evenfire("odds", LAUNDRY, *FEW).output)
    said = re.search(r"STOP BEFORE LOW FIRE: every one of 20,000 draws \(above ([0-9.]+) % of boilers\)", output)
    assert said is not None
    exact = stats.binomtest(20_000, 20_000).proportion_ci(confidence_level=0.95, method="exact").low
    assert exact - 2e-5 < float(said.group(1)) / 100 <= exact
    assert "do Raise cut-out or lower the firing band" in output
    assert f"Next: evenfire settle {LAUNDRY}" in output


@pytest.mark.parametrize(
    ("name", "code"),
    # By prove: the mill's high limit and the school's come too late at their worst corner, the trailer's never.
    [("board-mill", 1), ("school", 1), ("school-by-dial", 1), ("rental-trailer-depot", 0), ("vertical", 0)],
)
def test_the_exit_code_is_for_a_valve_that_lifts(name: str, code: int) -> None:
    done = evenfire("odds", plant(name), *FEW)
    assert done.exit_code == code
    assert ("STOP: a safety valve is likely to lift" in as_one_line(done.output)) is (code == 1)


def test_too_few_draws_to_call_it_unlikely_is_no_all_clear() -> None:
    # None of a hundred: up to 3.6 % (rule of three, and a fifth).
    done = evenfire("odds", plant("rental-trailer-depot"), "--draws", "100")
    assert done.exit_code == 4
    text = as_one_line(done.output)
    assert "unsure VALVE LIFTS IN NORMAL WORK: none seen in 100 draws: below 3.7 % of boilers" in text
    assert "do Too few draws to call it unlikely: ask for more (--draws)." in text
    assert "not an all-clear" in text


def test_too_few_runs_near_a_limit_are_told_as_that() -> None:
    text = as_one_line(evenfire("odds", plant("school"), "--draws", "20000", "--reruns", "0").output)
    assert "and 0 of those were run in motion" in text
    told = json.loads(evenfire("odds", plant("school"), "--draws", "20000", "--reruns", "0", "--json").output)
    for each in told["boilers"][0]["answers"]:
        if each["near"]:
            # Nothing was run, so any of the near ones may happen.
            assert each["highest_fraction"] >= (each["sure"] + each["near"]) / 20_000


def test_what_was_drawn_is_told_with_the_numbers_of_the_survey() -> None:
    # The laundry's file: every dial within 2 psi; scales of 140, 190 and 145 psi, of which half a percent drifts; two
    # valves of 150 psi, 3 % of which (Section I, above 70 to 300 psi) is 4.5 psi.
    text = as_one_line(evenfire("odds", LAUNDRY, *FEW).output)
    assert "operating limit: set within 2 psi either way, every place there as likely; drifts 0.7 psi in a year" in text
    assert "high limit: set within 2 psi either way, every place there as likely; drifts 0.95 psi in a year" in text
    assert "firing-rate control: set within 2 psi either way" in text
    assert "2 safety valves: lift between 145.5 psi and 154.5 psi" in text
    assert "ASSUMED_DRIFT_A_YEAR" in text
    assert "Seed 1, 20,000 draws of each boiler, at most 40 runs near a limit for each question." in text


@pytest.mark.parametrize("key", ["water_leg", "tolerance", "scale"])
def test_a_limit_of_which_too_little_is_known_is_not_judged_and_named(tmp_path: Path, key: str) -> None:
    done = evenfire("odds", changed(tmp_path, "boiler", 0, "controls", "high_limit", key, None), *FEW)
    assert done.exit_code == 4
    text = as_one_line(done.output)
    assert "Not judged, because the survey does not tell what it takes" in text
    assert f"key controls.high_limit.{key}" in text
    assert "not an all-clear" in text
    titles = [title for _, title in entries(done.output)]
    assert titles == ["STOP BEFORE LOW FIRE"]


def test_a_boiler_whose_dials_were_not_read_is_not_judged_at_all(tmp_path: Path) -> None:
    file = changed(tmp_path, "boiler", 0, "as_found", None)
    done = evenfire("odds", file, *FEW)
    assert done.exit_code == 4
    assert entries(done.output) == []
    assert "operating_limit in the settings" in as_one_line(done.output)
    told = json.loads(evenfire("odds", file, *FEW, "--json").output)
    Draft202012Validator(ODDS_SCHEMA).validate(told)
    assert told["boilers"][0]["answers"] == []
    assert len(told["boilers"][0]["not_judged"]) == 5


def test_a_boiler_without_a_high_limit_is_not_judged(tmp_path: Path) -> None:
    done = evenfire("odds", changed(tmp_path, "boiler", 0, "controls", "high_limit", None), *FEW)
    assert done.exit_code == 4
    assert "the high limit (key controls.high_limit)" in as_one_line(done.output)


def test_a_boiler_that_cannot_be_simulated_says_so_and_what_it_lacks(tmp_path: Path) -> None:
    done = evenfire("odds", changed(tmp_path, "boiler", 0, "controls", "firing_rate", "action", "pid"), *FEW)
    text = as_one_line(done.output)
    assert "This boiler was not simulated, so closed forms decide alone" in text
    assert "key controls.firing_rate.gains" in text
    assert "run in motion" not in text


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--draws", "0"), "--draws"),
        (("--draws", "many"), "--draws"),
        (("--draws", "100000001"), "--draws"),
        (("--reruns", "-1"), "--reruns"),
        (("--seed", "-1"), "--seed"),
        (("--threads", "0"), "--threads"),
        (("--settings", "proposed"), "has no settings proposed"),
        (("--settings", "wished"), "is none of as-found, proposed, as-left"),
        (("--boiler", "No. 9"), "has no boiler 'No. 9'"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_one_sentence(arguments: tuple[str, ...], said: str) -> None:
    assert said in refused(LAUNDRY, *arguments)


def test_a_file_that_is_not_there_is_refused() -> None:
    assert "no-such.toml" in refused("no-such.toml")


def test_the_settings_that_were_proposed_can_be_asked_about(tmp_path: Path) -> None:
    file = tmp_path / "board-mill.toml"
    file.write_text(Path(plant("board-mill")).read_text(encoding="utf-8"), encoding="utf-8")
    assert evenfire("settle", str(file), "--write").exit_code in {0, 4}
    found, proposed = (
        json.loads(evenfire("odds", str(file), *FEW, "--json", "--settings", which).output)["boilers"][0]
        for which in ("as-found", "proposed")
    )
    assert (found["settings"], proposed["settings"]) == ("as found", "proposed")

    def too_late(told: dict[str, list[dict[str, object]]]) -> float:
        each = next(each for each in told["answers"] if each["question"] == "lift after high limit")
        return float(str(each["probability_fraction"]))

    # Settle lowers the high limit until it stops full fire in time at its worst corner.
    assert too_late(found) > 0.1
    assert too_late(proposed) < 0.01


def test_examples_left_in_the_file_are_no_all_clear(tmp_path: Path) -> None:
    text = Path(plant("rental-trailer-depot")).read_text(encoding="utf-8")
    file = tmp_path / "depot.toml"
    file.write_text(text.replace("format = 1", "format = 1  # FILL IN", 1), encoding="utf-8")
    done = evenfire("odds", str(file), *FEW)
    assert "still says FILL IN" in as_one_line(done.output)
    assert done.exit_code == 4


@pytest.mark.parametrize("width", [44, 72, 100])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    for name in ("laundry", "school"):
        output = evenfire("odds", plant(name), *FEW, width=width).output
        assert max(len(line) for line in output.splitlines()) <= width


def test_si_units_show_no_psi() -> None:
    output = evenfire("odds", plant("board-mill"), *FEW, "--units", "si").output
    assert "bar either way" in output
    assert "psi" not in output


def test_the_cautions_travel_with_it() -> None:
    text = as_one_line(evenfire("odds", LAUNDRY, *FEW).output)
    for caution in (*CAUTIONS_IN_SHORT, CAUTION_OF_A_RUN):
        assert as_one_line(caution) in text


def test_several_boilers_are_each_counted(tmp_path: Path) -> None:
    document = tomlkit.parse(Path(plant("vertical")).read_text(encoding="utf-8"))
    text = tomlkit.dumps(document)
    boiler = text[text.index("[[boiler]]") :].replace('name = "Press boiler"', 'name = "Second"', 1)
    file = tmp_path / "two.toml"
    file.write_text(f"{text}\n{boiler}", encoding="utf-8")
    output = evenfire("odds", str(file), *FEW).output
    assert "boiler Press boiler" in output
    assert "boiler Second" in output
    assert "SEVERAL BOILERS" in output
    assert "boiler Second" in evenfire("odds", str(file), *FEW, "--boiler", "Second").output


def test_the_help_tells_the_numbers_that_hold_without_options() -> None:
    text = as_one_line(evenfire("odds", "--help", width=100).output)
    assert "without it, a million times" in text
    assert counting.DRAWS == 1_000_000
    assert "without it, up to 400" in text
    assert counting.RERUNS == 400
    assert app.info.name == "evenfire"


def test_ctrl_c_shows_what_was_counted_until_then() -> None:
    """A real interrupt, sent when the bar on a real terminal says that draws are being made."""
    ours, theirs = pty.openpty()
    work = subprocess.Popen(
        [sys.executable, "-c", INTERRUPTIBLE, "odds", plant("vertical"), "--draws", "100000000", "--threads", "2"],
        stdout=subprocess.PIPE,
        stderr=theirs,
        text=True,
        env={**os.environ, "COLUMNS": "100"},
    )
    os.close(theirs)
    seen = b""
    # A filled part of the bar means that a twentieth of the blocks is done, and answers have come.
    while b"#" not in seen:
        seen += os.read(ours, 4096)
    work.send_signal(signal.SIGINT)
    output, _ = work.communicate(timeout=120)
    os.close(ours)
    assert work.returncode == 4
    said = re.search(r"STOPPED after ([0-9,]+) of 100,000,000 draws", as_one_line(output))
    assert said is not None
    done = int(said.group(1).replace(",", ""))
    assert 1_000_000 < done < 100_000_000
    assert f"{said.group(1)} draws" in as_one_line(output)
    assert "LIKELY ORDER INVERTED: 18." in as_one_line(output)
    assert "not an all-clear" in as_one_line(output)

"""``evenfire run`` as a person types it."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
import tomlkit
from jsonschema import Draft202012Validator

from evenfire.delivery.report.schemas import RUN_SCHEMA
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN, CAUTIONS_IN_SHORT
from evenfire.si import PA_PER_PSI
from tests.delivery.cli.test_commands import LAUNDRY, as_one_line, changed, evenfire
from tests.surveys import EXAMPLES

PLANTS = sorted(path.stem for path in EXAMPLES.glob("*.toml"))
WELDED = ("--load", "2000 lb/h", "--fault", "operating limit welded @ 2h", "--fault", "load gone @ 2h")


def refused(*arguments: str) -> tuple[int, str]:
    done = subprocess.run(
        [sys.executable, "-m", "evenfire", "run", *arguments], capture_output=True, text=True, timeout=120
    )
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1
    return done.returncode, done.stderr


def told_json(*arguments: str) -> dict[str, object]:
    document = json.loads(evenfire("run", *arguments, "--json").output)
    Draft202012Validator(RUN_SCHEMA).validate(document)
    assert isinstance(document, dict)
    return document


@pytest.mark.parametrize("plant", PLANTS)
def test_every_demo_plant_runs_a_day_and_its_json_keeps_the_schema(plant: str) -> None:
    file = str(EXAMPLES / f"{plant}.toml")
    done = evenfire("run", file)
    assert done.exit_code == 0, done.output
    assert "held" in done.output
    told = told_json(file)
    assert told["exit_code"] == 0
    # What the trade knows: the highest pressure of a sound day stays below the MAWP.
    run = told["run"]
    assert isinstance(run, dict)
    assert run["above_mawp_s"] == 0
    assert abs(run["closure"]["mass_fraction"]) < 1e-6
    assert abs(run["closure"]["energy_fraction"]) < 1e-6
    assert sum(state["for_s"] for state in run["states"]) == pytest.approx(86_400)


@pytest.mark.parametrize("width", [44, 72, 100])
@pytest.mark.parametrize("units", ["us", "si"])
def test_no_line_is_wider_than_the_terminal(width: int, units: str) -> None:
    output = evenfire("run", LAUNDRY, *WELDED, "--reset", "2:10", "--units", units, width=width).output
    assert max(len(line) for line in output.splitlines()) <= width
    assert ("psi" in output) == (units == "us")


def test_a_load_that_nobody_stated_is_said_to_be_the_one_that_cycles_most() -> None:
    text = as_one_line(evenfire("run", LAUNDRY).output)
    assert "Nobody stated the load (key load.demand)" in text
    assert "starts most often" in text
    assert "A quiet run: no trip of the high limit" in text


def test_a_welded_operating_limit_is_held_by_the_high_limit_and_stays_off_until_reset() -> None:
    text = as_one_line(evenfire("run", LAUNDRY, *WELDED).output)
    assert "BROKEN ON PURPOSE: operating limit welded from 02:00:00 on" in text
    assert "THE HIGH LIMIT had to hold the pressure." in text
    stop = re.search(r"1 by the high limit at 02:\d\d, 139\.\d psi, rising, firing \d+ %; nobody reset it", text)
    assert stop is not None, text
    assert re.search(r"the burner stayed off for the remaining 21 h \d+ min", text)


def test_a_start_that_the_end_cuts_off_is_no_failed_start_and_one_that_loses_power_is() -> None:
    cut_off = as_one_line(evenfire("run", LAUNDRY, "--start", "100 psi", "--hours", "0.01").output)
    assert "starts None." in cut_off
    dip = ("--start", "100 psi", "--hours", "0.5", "--fault", "power off for 10 s @ 20 s")
    assert "1 more start did not come to a flame" in as_one_line(evenfire("run", LAUNDRY, *dip).output)


def test_a_reset_before_pressure_has_fallen_is_refused_and_a_later_one_lets_it_fire_again() -> None:
    text = as_one_line(evenfire("run", LAUNDRY, *WELDED, "--reset", "2:10", "--reset", "3:30").output)
    assert "Refused at 02:10" in text
    assert "reset of the high limit refused" in text
    assert re.search(r"03:30:00 high limit closed again", text)
    assert re.search(r"03:3\d:\d\d burner lit", text)


def test_when_both_limits_fail_at_full_fire_the_safety_valves_are_the_loudest_line() -> None:
    done = evenfire(
        "run", LAUNDRY, "--load", "90 %", "--fault", "operating limit welded @ 1h", "--fault", "high limit welded @ 1h",
        "--fault", "drive stuck at full @ 1h", "--fault", "load gone @ 1h", "--hours", "2",
    )  # fmt: skip
    # By hand: the two valves are stamped 9,000 lb/h together, and 200 bhp make 6,900 lb/h from and at 212 F.
    text = as_one_line(done.output)
    assert "ONLY THE SAFETY VALVES held the pressure." in text
    assert 'Safety valve "front" lifted' in text
    first = next(line for line in done.output.splitlines() if re.match(r"(held|lowest|starts|valve) ", line))
    assert first.startswith("held")


def test_a_boiler_without_feed_says_what_became_of_it() -> None:
    done = evenfire("run", LAUNDRY, "--load", "50 %", "--fault", "feed stopped @ 1h", "--hours", "12")
    text = as_one_line(done.output)
    assert "by the low-water cutoff" in text
    assert "it was low at the end" in text
    assert done.exit_code == 0


def test_a_boiler_that_runs_dry_is_told_in_plain_words_with_time_and_story(tmp_path: Path) -> None:
    file = changed(tmp_path, "boiler", 0, "low_water_cutoff", "0.1 %")
    arguments = ("run", file, "--load", "50 %", "--fault", "feed stopped @ 1h", "--hours", "12")
    done = evenfire(*arguments)
    text = as_one_line(done.output)
    assert done.exit_code == 1
    assert re.search(r"STOP The boiler ran dry after \d h \d+ min", text), text
    assert "as far as the run came" in text
    assert "FAULT: feed stopped" in text
    told = told_json(*arguments[1:])
    assert isinstance(told["broke_off"], dict)
    assert told["broke_off"]["time_s"] > 3600


def test_a_lost_flame_locks_out_and_one_that_finds_no_flame_says_so() -> None:
    text = as_one_line(evenfire("run", LAUNDRY, "--load", "60 %", "--fault", "flame lost for 1 s @ 2h").output)
    assert "a lockout of the burner control at 02:00" in text
    assert "nobody reset it" in text
    quiet = ("--load", "5 %", "--start", "118 psi", "--hours", "1", "--fault", "flame lost for 1 s @ 5 s")
    assert "changed nothing: the burner did not fire then" in as_one_line(evenfire("run", LAUNDRY, *quiet).output)


def test_a_cold_start_says_when_the_need_was_reached() -> None:
    text = as_one_line(evenfire("run", LAUNDRY, "--start", "cold", "--load", "0 lb/h", "--hours", "6").output)
    assert "the boiler cold and vented" in text
    assert re.search(r"It came up to the need of 105 psi at 0\d:\d\d", text)
    assert "low-fire hold let go" in text
    assert "The low-fire hold kept the fire low for" in text


def test_a_run_of_a_survey_with_gaps_is_not_judged_and_names_every_gap(tmp_path: Path) -> None:
    file = changed(tmp_path, "boiler", 0, "water_volume", None)
    document = tomlkit.parse(Path(file).read_text(encoding="utf-8"))
    del document["boiler"][0]["burner"][0]["turndown"]
    Path(file).write_text(tomlkit.dumps(document), encoding="utf-8")
    done = evenfire("run", file)
    assert done.exit_code == 4
    text = as_one_line(done.output)
    assert "NOT JUDGED" in text
    assert "water volume (key water_volume)" in text
    assert "turndown (key burner.turndown)" in text
    told = told_json(file)
    assert told["run"] is None
    assert {"water_volume", "burner.turndown"} <= set(told["missing"])  # type: ignore[call-overload]


def test_a_recorded_load_is_found_beside_the_plant_file(tmp_path: Path) -> None:
    file = changed(tmp_path, "load", "demand", {"shape": "recorded", "file": "meter.csv"})
    rows = "\n".join(f"{15 * row}, {2000 + 100 * row}" for row in range(8))
    (tmp_path / "meter.csv").write_text(f"time [min], steam [lb/h]\n{rows}\n", encoding="utf-8")
    text = as_one_line(evenfire("run", file, "--hours", "4").output)
    assert "8 steps recorded in meter.csv, 2 h in all and then again" in text
    (tmp_path / "meter.csv").unlink()
    code, told = refused(file)
    assert code == 2
    assert "no such file" in told


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--fault", "operating limit wellded @ 2h"), "Did you mean 'operating limit welded'?"),
        (("--fault", "power off @ 30h"), "comes after the end of the run"),
        (("--reset", "25h"), "comes after the end of the run"),
        (("--hours", "0"), "no length of a run"),
        (("--hours", "9601"), "no length of a run"),
        (("--fuel", "coal"), "burns 'natural gas'"),
        (("--start", "warm"), "Accepted are"),
        (("--start", "400 psi"), "MAWP of 150 psi"),
        (("--boiler", "No. 9"), "has no boiler"),
        (("--settings", "as-left"), "has no settings as left"),
        (("--load", "much"), "Accepted are a steam flow"),
        (("--plot", "day.gif"), "accepted are .svg, .png, .pdf"),
    ],
)
def test_what_cannot_be_run_is_one_sentence_and_ends_with_two(arguments: tuple[str, ...], told: str) -> None:
    code, error = refused(LAUNDRY, *arguments)
    assert code == 2
    assert told in error


def test_a_fault_on_what_is_not_there_is_refused_not_ignored() -> None:
    code, told = refused(str(EXAMPLES / "school.toml"), "--fault", "drive stuck @ 1h")
    assert code == 2
    assert "would change nothing" in told


def test_whatever_comes_of_a_run_carries_the_cautions() -> None:
    text = as_one_line(evenfire("run", LAUNDRY, "--hours", "1").output)
    for caution in (*CAUTIONS_IN_SHORT, CAUTION_OF_A_RUN):
        assert as_one_line(caution) in text
    assert CAUTION_OF_A_RUN in told_json(LAUNDRY, "--hours", "1")["cautions"]  # type: ignore[operator]


def test_jumpers_that_were_seen_are_not_simulated_in_silence(tmp_path: Path) -> None:
    file = changed(tmp_path, "boiler", 0, "as_found", "jumpers", ["operating limit"])
    assert "JUMPERS WERE SEEN as found (operating limit)" in as_one_line(evenfire("run", file, "--hours", "1").output)


def test_the_same_question_has_the_same_run_identity_and_another_has_another() -> None:
    def identity(*arguments: str) -> str:
        run = told_json(LAUNDRY, "--hours", "2", *arguments)["run"]
        assert isinstance(run, dict)
        return str(run["identity"])

    assert identity() == identity()
    assert identity() != identity("--fault", "power off for 10 s @ 1h")


def test_json_thins_its_series_without_losing_a_peak_and_gives_all_when_asked() -> None:
    thin, full = told_json(LAUNDRY)["run"], told_json(LAUNDRY, "--full")["run"]
    assert isinstance(thin, dict)
    assert isinstance(full, dict)
    assert thin["series_is_thinned"]
    assert len(thin["series"]["time_s"]) < 2000 < len(full["series"]["time_s"]) == 17_281
    assert max(thin["series"]["pressure_pa_gauge"]) == max(full["series"]["pressure_pa_gauge"])
    assert min(thin["series"]["pressure_pa_gauge"]) == min(full["series"]["pressure_pa_gauge"])
    assert len(full["events"]) > len(thin["events"]) > 0
    assert {len(column) for column in thin["series"].values()} == {len(thin["series"]["time_s"])}
    assert full["highest"]["pressure_pa_gauge"] > 119 * PA_PER_PSI


@pytest.mark.parametrize("suffix", ["svg", "png", "pdf"])
def test_plot_writes_one_whole_file(tmp_path: Path, suffix: str) -> None:
    file = tmp_path / f"day.{suffix}"
    done = evenfire("run", LAUNDRY, "--hours", "3", "--plot", str(file))
    assert done.exit_code == 0
    start = {"svg": b"<?xml", "png": b"\x89PNG", "pdf": b"%PDF"}[suffix]
    assert file.read_bytes().startswith(start)
    assert list(tmp_path.iterdir()) == [file]


def test_the_published_schema_is_this_and_is_closed() -> None:
    folder = Path(__file__).parents[3] / "docs" / "reference"
    assert json.loads((folder / "run.schema.json").read_text(encoding="utf-8")) == RUN_SCHEMA
    Draft202012Validator.check_schema(RUN_SCHEMA)
    told = told_json(LAUNDRY, "--hours", "1")
    told["surprise"] = 1
    assert not Draft202012Validator(RUN_SCHEMA).is_valid(told)


def test_a_run_that_does_not_keep_the_need_is_not_called_quiet(tmp_path: Path) -> None:
    # The band of the laundry's firing rate ends below 125 psi, so with load on it never stands at 128.
    text = as_one_line(evenfire("run", changed(tmp_path, "load", "need", "128 psi"), "--load", "90 %").output)
    assert "It never came up to the need of 128 psi" in text
    assert "A quiet run" not in text
    assert "NOT A QUIET RUN: what was wrong stands above." in text

"""``evenfire measure`` as a person types it."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from evenfire.delivery.report.schemas import MEASURE_SCHEMA
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN, CAUTIONS_IN_SHORT
from tests.delivery.cli.test_commands import LAUNDRY, as_one_line, changed, evenfire
from tests.surveys import EXAMPLES

PLANTS = sorted(path.stem for path in EXAMPLES.glob("*.toml"))


def plant(name: str) -> str:
    return str(EXAMPLES / f"{name}.toml")


@pytest.mark.parametrize("name", PLANTS)
def test_every_demo_plant_begins_with_the_one_measurement(name: str) -> None:
    done = evenfire("measure", plant(name))
    assert done.exit_code == 0, done.output
    heads = [line for line in done.output.splitlines() if line.startswith(("Measure this first", "What each margin"))]
    assert heads == ["Measure this first", "What each margin hangs on, the worst first"]
    labels = re.findall(r"^(MEASURE|why|write|then)\b", done.output, flags=re.MULTILINE)
    assert labels == ["MEASURE", "why", "write", "then"]
    assert f"evenfire settle {plant(name)}, with that in it" in as_one_line(done.output)


@pytest.mark.parametrize("units", ["us", "si"])
@pytest.mark.parametrize("name", PLANTS)
def test_the_json_of_every_demo_plant_keeps_its_schema(name: str, units: str) -> None:
    told = json.loads(evenfire("measure", plant(name), "--json", "--units", units).output)
    Draft202012Validator(MEASURE_SCHEMA).validate(told)
    boiler = told["boilers"][0]
    first = boiler["measure_first"]
    margin = next(each for each in boiler["margins"] if each["code"] == first["code"])
    assert first["stake"] == margin["stake"]
    assert first["after_pa"] < first["before_pa"] == margin["doubt_pa"]


def test_the_mill_is_told_to_measure_its_run_on_because_safety_hangs_on_it() -> None:
    # Little storage and a heat lag that nobody timed: of all values it is the lag that moves the high limit's margin,
    # and a run-on that is read takes it out.
    text = as_one_line(evenfire("measure", plant("board-mill")).output)
    assert "MEASURE RUN-ON AFTER A STOP AT FULL FIRE." in text
    assert "why Safety hangs on it. It is short beyond doubt" in text
    assert 'firing = "full", load = "none"' in text
    assert "Moved most by heat lag (key burner.heat_lag); 25 % more is worth -1.9 psi, 25 % less +1.9 psi." in text
    assert "No limit has to act and none is bypassed." in text


def test_a_high_limit_is_proved_with_somebody_at_the_stop() -> None:
    text = as_one_line(evenfire("measure", plant("school-by-dial")).output)
    assert "MEASURE TRIP OF THE HIGH LIMIT. Prove it against a reference gauge" in text
    assert "recorded temporary change" in text
    assert "one person at the stop stops it by hand" in text
    assert 'proved = ["high_limit"] in the settings' in text


def test_writing_down_what_was_measured_makes_the_margin_surer(tmp_path: Path) -> None:
    # A run-on of 3 psi from full fire, written where the answer says.
    before = json.loads(evenfire("measure", LAUNDRY, "--json").output)["boilers"][0]["measure_first"]
    assert before["measurement"] == "run-on"
    reading = [{"rise": "3 psi", "firing": "full", "load": "none"}]
    file = changed(tmp_path, "boiler", 0, "measured", {"run_on": reading})
    boiler = json.loads(evenfire("measure", file, "--json").output)["boilers"][0]
    margin = next(each for each in boiler["margins"] if each["code"] == before["code"])
    assert margin["doubt_pa"] == pytest.approx(before["after_pa"], rel=0.25)
    assert "burner.heat_lag" not in {each["key"] for each in margin["pulls"]}


def test_what_the_survey_lacks_comes_before_every_measurement(tmp_path: Path) -> None:
    done = evenfire("measure", changed(tmp_path, "boiler", 0, "controls", "high_limit", "water_leg", None))
    assert done.exit_code == 4
    text = as_one_line(done.output)
    assert text.index("SURVEY Before anything else: water leg of the high limit") < text.index("MEASURE ")
    assert '"high limit stops full fire before a valve lifts"' in text
    assert "not an all-clear" in text


def test_a_boiler_whose_dials_were_not_read_is_told_to_read_them(tmp_path: Path) -> None:
    file = changed(tmp_path, "boiler", 0, "as_found", None)
    done = evenfire("measure", file)
    assert done.exit_code == 4
    text = as_one_line(done.output)
    assert "SURVEY Before anything else: setting of the" in text
    assert "MEASURE" not in text
    told = json.loads(evenfire("measure", file, "--json").output)
    Draft202012Validator(MEASURE_SCHEMA).validate(told)
    assert told["boilers"][0]["measure_first"] is None
    assert told["boilers"][0]["margins"] == []


def test_a_boiler_that_cannot_be_simulated_says_so(tmp_path: Path) -> None:
    done = evenfire("measure", changed(tmp_path, "boiler", 0, "controls", "firing_rate", "action", "pid"))
    text = as_one_line(done.output)
    assert "This boiler was not simulated, so closed forms stand for its motion" in text
    assert "key controls.firing_rate.gains" in text


def test_every_shows_all_that_moves_a_margin() -> None:
    short, long = evenfire("measure", LAUNDRY).output, evenfire("measure", LAUNDRY, "--every").output
    assert len(long.splitlines()) > len(short.splitlines()) + 50
    assert "Holds beyond doubt" in short
    assert "Holds beyond doubt" not in long
    assert f"evenfire measure {LAUNDRY} --every" in as_one_line(short)


def test_pulls_are_told_as_settle_tells_them() -> None:
    # One form in both: the key by its name, so much more "is worth" a signed change.
    form = r"\(key [a-z_.]+\); (a tenth|[0-9.]+ %) more is worth [+-][0-9.]+ psi"
    assert re.search(form, as_one_line(evenfire("settle", LAUNDRY, "--without-motion").output))
    assert re.search(form, as_one_line(evenfire("measure", LAUNDRY).output))


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--settings", "proposed"), "has no settings proposed"),
        (("--settings", "wished"), "is none of as-found, proposed, as-left"),
        (("--boiler", "No. 9"), "has no boiler 'No. 9'"),
        (("--units", "stone"), "--units"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_one_sentence(arguments: tuple[str, ...], said: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "evenfire", "measure", LAUNDRY, *arguments], capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    assert said in as_one_line(done.stderr)


@pytest.mark.parametrize("width", [44, 72, 100])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    for name in ("laundry", "school"):
        output = evenfire("measure", plant(name), width=width).output
        # What goes into the plant file word for word is not broken.
        lines = [line for line in output.splitlines() if len(line.split()) > 1]
        assert max(len(line) for line in lines) <= width


def test_si_units_show_no_psi() -> None:
    output = evenfire("measure", plant("board-mill"), "--units", "si").output
    assert "bar" in output
    assert "psi" not in output


def test_the_cautions_travel_with_it() -> None:
    text = as_one_line(evenfire("measure", LAUNDRY).output)
    for caution in (*CAUTIONS_IN_SHORT, CAUTION_OF_A_RUN):
        assert as_one_line(caution) in text

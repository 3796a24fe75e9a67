"""The commands as a person types them: exit codes, one sentence for an error, cautions with every advice."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
import tomlkit
from typer.testing import CliRunner, Result

from evenfire.delivery.cli.main import app, run
from evenfire.delivery.words import CAUTIONS_IN_SHORT
from tests.surveys import EXAMPLES

LAUNDRY = str(EXAMPLES / "laundry.toml")


def evenfire(*arguments: str, width: int = 80) -> Result:
    return CliRunner(env={"COLUMNS": str(width)}).invoke(app, list(arguments))


def as_one_line(text: str) -> str:
    return " ".join(text.split())


def changed(folder: Path, *path_and_value: object) -> str:
    """The laundry with one key changed, as a file; the last argument is the value, ``None`` takes the key away."""
    *path, value = path_and_value
    document = tomlkit.parse((EXAMPLES / "laundry.toml").read_text(encoding="utf-8"))
    table: object = document
    for step in path[:-1]:
        table = table[step]  # type: ignore[index]
    if value is None:
        del table[path[-1]]  # type: ignore[attr-defined]
    else:
        table[path[-1]] = value  # type: ignore[index]
    file = folder / "changed.toml"
    file.write_text(tomlkit.dumps(document), encoding="utf-8")
    return str(file)


def test_check_names_the_fault_the_dial_the_direction_and_the_amount() -> None:
    # By hand: low fire at its latest is 110 + 15 - 0.22 (leg) + 2 (tolerance) + overshoot = 126.8 and more; cut-out at
    # its earliest is 120 - 0.22 - 2 = 117.8. So at least 9 psi are wanted, and about one more for the overshoot.
    done = evenfire("check", LAUNDRY)
    text = as_one_line(done.output)
    assert "short cycling" in text
    assert "Lower the firing-rate set point" in text
    assert "raise the operating-limit set point" in text
    assert "at least 10.1 psi" in text


@pytest.mark.parametrize(
    ("path", "value", "code"),
    [
        (("boiler", 0, "as_found", "high_limit"), "152 psi", 1),
        (("boiler", 0, "controls", "high_limit", "reset"), "automatic", 1),
        (("boiler", 0, "controls", "high_limit"), None, 1),
        (("boiler", 0, "controls", "high_limit", "valve_in_line"), None, 4),
        (("boiler", 0, "controls", "high_limit", "valve_in_line"), True, 1),
        (("boiler", 0, "as_found", "low_fire_hold"), "62 psi", 0),
        (("boiler", 0, "mawp"), "150 gal", 2),
    ],
)
def test_the_exit_code_tells_a_stop_from_what_could_not_be_judged(
    tmp_path: Path, path: tuple[object, ...], value: object, code: int
) -> None:
    file = changed(tmp_path, *path, value)
    done = subprocess.run([sys.executable, "-m", "evenfire", "check", file], capture_output=True, text=True)
    assert done.returncode == code, done.stdout + done.stderr
    assert "Traceback" not in done.stderr


def test_settle_says_when_nothing_fits_and_ends_with_its_own_code(tmp_path: Path) -> None:
    done = evenfire("settle", changed(tmp_path, "load", "need", "128 psi"))
    assert done.exit_code == 3
    assert "NOTHING FITS" in done.output
    assert "NOT the demands above" in as_one_line(done.output)


def test_settle_refuses_where_what_decides_safety_is_unknown(tmp_path: Path) -> None:
    done = evenfire("settle", changed(tmp_path, "boiler", 0, "water_volume", None))
    assert done.exit_code == 4
    assert "CANNOT SETTLE" in done.output
    assert "water_volume" in done.output
    assert "Proposed settings" not in done.output


@pytest.mark.parametrize("command", ["check", "settle"])
def test_whatever_tells_somebody_to_act_carries_the_cautions(command: str) -> None:
    for caution in CAUTIONS_IN_SHORT:
        assert as_one_line(caution) in as_one_line(evenfire(command, LAUNDRY).output)
    told = json.loads(evenfire(command, LAUNDRY, "--json").output)
    assert len(told["cautions"]) >= 10


@pytest.mark.parametrize("width", [44, 72, 100])
@pytest.mark.parametrize("command", ["check", "settle", "stack"])
def test_no_line_is_wider_than_the_terminal(command: str, width: int) -> None:
    output = evenfire(command, LAUNDRY, width=width).output
    assert output
    assert max(len(line) for line in output.splitlines()) <= width


def test_si_units_show_no_psi() -> None:
    output = evenfire("check", LAUNDRY, "--units", "si").output
    assert "bar" in output
    assert "psi" not in output


def test_new_writes_a_file_that_check_reads_and_never_touches_one_that_is_there(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    assert evenfire("new", str(file)).exit_code == 0
    text = file.read_text(encoding="utf-8")
    assert evenfire("check", str(file)).exit_code in {0, 1, 4}
    again = subprocess.run([sys.executable, "-m", "evenfire", "new", str(file)], capture_output=True, text=True)
    assert again.returncode == 2
    assert "was left as it is" in again.stderr
    assert file.read_text(encoding="utf-8") == text


def test_stack_writes_a_drawing(tmp_path: Path) -> None:
    file = tmp_path / "stack.svg"
    assert evenfire("stack", LAUNDRY, "-o", str(file), "--width", "360").exit_code == 0
    assert file.read_text(encoding="utf-8").lstrip().startswith("<svg")
    assert list(tmp_path.iterdir()) == [file]


def test_demo_writes_the_plants_and_runs_the_main_job(tmp_path: Path) -> None:
    done = evenfire("demo", str(tmp_path / "demo"))
    assert done.exit_code == 0
    assert (tmp_path / "demo" / "laundry.toml").is_file()
    assert "SETTLED" in done.output
    assert evenfire("demo", str(tmp_path / "demo")).exit_code == 0


def test_a_fault_of_the_program_ends_as_a_sentence_with_a_named_file(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("evenfire.delivery.acts.checking.check", broken)
    monkeypatch.setattr(sys, "argv", ["evenfire", "check", LAUNDRY])
    with pytest.raises(SystemExit) as end:
        run()
    assert end.value.code == 70
    told = capsys.readouterr().err
    assert "a fault of the program (ZeroDivisionError)" in told
    assert "Traceback" not in told
    trace = Path(told.split(" in ")[-1].strip().rstrip("."))
    assert "Traceback" in trace.read_text(encoding="utf-8")
    trace.unlink()


def test_a_plant_file_that_is_not_there_is_one_sentence() -> None:
    done = subprocess.run([sys.executable, "-m", "evenfire", "check", "nowhere.toml"], capture_output=True, text=True)
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1


def test_one_division_up_is_settled_and_a_target_below_the_need_is_refused() -> None:
    assert evenfire("settle", LAUNDRY, "--target", "+1 division").exit_code == 0
    low = subprocess.run(
        [sys.executable, "-m", "evenfire", "settle", LAUNDRY, "--target", "100 psi"], capture_output=True, text=True
    )
    assert low.returncode == 2
    assert "stopped by the need" in low.stderr


@pytest.mark.parametrize("target", ["lots", "+3 barrels", "5 gal", "+x division", "nan psi"])
def test_a_target_that_cannot_be_read_is_one_sentence(target: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "evenfire", "settle", LAUNDRY, "--target", target], capture_output=True, text=True
    )
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_a_written_proposal_is_judged_clear_and_goes_stale_with_the_survey(tmp_path: Path) -> None:
    file = tmp_path / "laundry.toml"
    before = (EXAMPLES / "laundry.toml").read_text(encoding="utf-8")
    file.write_text(before, encoding="utf-8")
    assert evenfire("settle", str(file), "--write").exit_code == 0
    written = file.read_text(encoding="utf-8")
    assert written.startswith(before.rstrip())
    assert "[boiler.proposed]" in written
    judged = evenfire("check", str(file), "--settings", "proposed")
    assert judged.exit_code == 0
    assert "0 stop, 0 warn" in judged.output
    assert "STALE" not in judged.output
    file.write_text(written.replace('need = "105 psi"', 'need = "106 psi"'), encoding="utf-8")
    shown = (
        ["check", str(file), "--settings", "proposed"],
        ["check", str(file)],
        ["stack", str(file)],
        ["settle", str(file)],
    )
    for command in shown:
        assert "STALE" in evenfire(*command).output, command


def test_where_nothing_fits_nothing_is_written(tmp_path: Path) -> None:
    file = Path(changed(tmp_path, "load", "need", "128 psi"))
    before = file.read_bytes()
    assert evenfire("settle", str(file), "--write").exit_code == 3
    assert file.read_bytes() == before


def test_examples_left_in_a_file_are_no_boiler(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    assert evenfire("new", str(file)).exit_code == 0
    done = evenfire("check", str(file))
    assert done.exit_code == 4
    assert "NOT YOUR BOILER YET" in done.output
    told = json.loads(evenfire("check", str(file), "--json").output)
    lines = file.read_text(encoding="utf-8").splitlines()
    assert told["unfilled_lines"]
    assert all("FILL IN" in lines[number - 1] for number in told["unfilled_lines"])
    settled = subprocess.run([sys.executable, "-m", "evenfire", "settle", str(file)], capture_output=True, text=True)
    assert settled.returncode == 2
    assert "still says FILL IN" in settled.stderr


def test_a_large_boiler_shows_its_horsepower_in_full(tmp_path: Path) -> None:
    assert "1,234 bhp" in evenfire("check", changed(tmp_path, "boiler", 0, "output", "1234 bhp")).output

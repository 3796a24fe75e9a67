"""What is read of a log is told with what is open, and that there is no diagnosis yet."""

from pathlib import Path

import pytest
from typer.testing import CliRunner

from evenfire.delivery.cli.main import app
from evenfire.delivery.report.log_text import NOT_YET
from tests.delivery.intake.logs.written import log_text, rows
from tests.delivery.intake.samples import SMALLEST

HEADER = "Time,Steam pressure [psi],Firing rate [%]"


def told(*arguments: str) -> str:
    """What the command prints, on one line."""
    done = CliRunner().invoke(app, ["read", *arguments], catch_exceptions=False)
    assert done.exit_code == 0
    return " ".join(done.output.split())


def test_columns_times_and_what_was_left_out_are_told(tmp_path: Path) -> None:
    lines = rows()
    (tmp_path / "log.csv").write_text(log_text([*lines[:5], "a note", *lines[5:]], HEADER))
    text = told(str(tmp_path / "log.csv"))
    assert " ".join(NOT_YET.split()) in text
    assert 'pressure: "Steam pressure [psi]", 20 values; guessed by its name; unit "psi" by its header.' in text
    assert "20 rows from 2024-03-05 10:00:00 to 2024-03-05 10:19:00, 19 min." in text
    assert '1 with another number of cells than the header has (line 7 "a note").' in text
    assert "does not say whether it counts from the air or from nothing" in text


def test_the_plant_file_fixes_what_was_guessed(tmp_path: Path) -> None:
    (tmp_path / "log.csv").write_text(log_text(rows(), HEADER))
    table = '[log]\nzone = "UTC+01:00"\npressure = { column = "Steam pressure [psi]", unit = "psia" }\n'
    (tmp_path / "plant.toml").write_text(SMALLEST + table)
    text = told(str(tmp_path / "log.csv"), "--plant", str(tmp_path / "plant.toml"))
    assert "20 values; the plant file says so." in text
    assert "from 2024-03-05 09:00:00" in text
    assert "from the air or from nothing" not in text


@pytest.mark.parametrize("width", [44, 100])
def test_no_line_is_wider_than_the_terminal(tmp_path: Path, width: int, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "log.csv").write_text(log_text(rows(), HEADER))
    monkeypatch.setenv("COLUMNS", str(width))
    done = CliRunner().invoke(app, ["read", str(tmp_path / "log.csv")], catch_exceptions=False)
    assert max(len(line) for line in done.output.split("\n")) <= width

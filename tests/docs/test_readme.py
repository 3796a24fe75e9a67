"""The session in the README is real: each command is run, and what follows it stands in its output, in that order."""

import re
import shlex
from pathlib import Path

import pytest
from typer.testing import CliRunner

from evenfire.delivery.cli.main import app

ROOT = Path(__file__).parents[2]


def steps() -> list[tuple[str, list[str]]]:
    """Each command of the session with the lines shown under it."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    session = re.search(r"<!-- session -->\n```console\n(.*?)```", text, re.DOTALL)
    assert session is not None
    found: list[tuple[str, list[str]]] = []
    for line in session.group(1).splitlines():
        if line.startswith("$ "):
            found.append((line.removeprefix("$ "), []))
        else:
            found[-1][1].append(line)
    return found


def test_the_session_shows_the_main_job() -> None:
    commands = [command for command, _ in steps()]
    assert any("check" in command for command in commands)
    assert any("settle" in command for command in commands)
    assert all(len(shown) >= 3 for _, shown in steps())


@pytest.mark.parametrize(("command", "shown"), steps(), ids=[command for command, _ in steps()])
def test_a_command_of_the_readme_says_what_is_shown(
    command: str, shown: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)
    program, *arguments = shlex.split(command)
    assert program == "evenfire"
    output = CliRunner(env={"COLUMNS": "80"}).invoke(app, arguments).output.splitlines()
    place = 0
    cut = False
    for line in shown:
        if line == "...":
            cut = True
            continue
        if cut:
            assert line in output[place:], line
            place = output.index(line, place)
        assert output[place] == line
        place += 1
        cut = False

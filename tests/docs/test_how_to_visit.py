"""The page on visits is real: its sheets are filled in, its commands run, and what it shows stands in their output."""

import re
import shlex
import tomllib
from pathlib import Path

import pytest

from tests.journeys.terminal import Terminal

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "how-to" / "visit.md"
BLOCK = re.compile(r"```(console|toml)\n(.*?)```", re.DOTALL)


@pytest.fixture
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Terminal:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("EVENFIRE_STORE", str(tmp_path / "store.sqlite"))
    monkeypatch.setenv("EVENFIRE_PASSPHRASE", "the kettle sings at noon")
    monkeypatch.setenv("COLUMNS", "80")
    (tmp_path / "laundry.toml").write_bytes((ROOT / "examples" / "laundry.toml").read_bytes())
    return Terminal(folder=tmp_path, here=monkeypatch, read=capsys)


def filled_in(terminal: Terminal, text: str) -> None:
    """Fill in the sheet that the first line of a block names."""
    sheet = text.splitlines()[0].removeprefix("# ")
    for table, content in tomllib.loads(text).items():
        rows = content if isinstance(content, list) else [content]
        for _ in rows[1:]:
            terminal.another(sheet, table)
        for number, row in enumerate(rows, 1):
            terminal.fill(sheet, table, number, **row)


def commands(text: str) -> list[tuple[str, list[str]]]:
    found: list[tuple[str, list[str]]] = []
    for line in text.splitlines():
        if line.startswith("$ "):
            found.append((line.removeprefix("$ "), []))
        else:
            found[-1][1].append(line)
    return found


def stands_in(shown: list[str], output: list[str]) -> None:
    """Every line that is shown stands in the output, in that order; where nothing was cut, one behind the other."""
    place, cut = 0, False
    for line in shown:
        if line == "...":
            cut = True
            continue
        if cut:
            assert line in output[place:], line
            place = output.index(line, place)
        assert output[place] == line
        place, cut = place + 1, False


def test_the_page_is_walked_from_the_first_person_to_the_file_that_verifies(terminal: Terminal) -> None:
    record, walked = "", 0
    for kind, text in BLOCK.findall(PAGE.read_text(encoding="utf-8")):
        if kind == "toml":
            filled_in(terminal, text)
            continue
        for command, shown in commands(text):
            program, *arguments = shlex.split(command.replace("RECORD", record))
            assert program == "evenfire"
            said = terminal(*arguments)
            assert said.err == "", command
            stands_in(shown, said.out.splitlines())
            signed = re.search(r"visit amend ([0-9a-f]{8})", said.line)
            record = signed[1] if signed else record
            walked += 1
    assert walked >= 12

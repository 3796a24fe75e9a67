"""A terminal for journeys: commands as a person types them, sheets as a person fills them in."""

import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from evenfire.delivery.cli.main import run


@dataclass(frozen=True)
class Said:
    """What a command ended with and said."""

    code: int
    out: str
    err: str

    @property
    def line(self) -> str:
        """All that was said on one line."""
        return " ".join(self.out.split())


@dataclass
class Terminal:
    """A person in a folder, with a store of his own."""

    folder: Path
    here: pytest.MonkeyPatch
    read: pytest.CaptureFixture[str]

    def __call__(self, *arguments: str) -> Said:
        self.here.setattr("sys.argv", ["evenfire", *arguments])
        self.read.readouterr()
        with pytest.raises(SystemExit) as end:
            run()
        said = self.read.readouterr()
        code = end.value.code
        return Said(code=code if isinstance(code, int) else 0, out=said.out, err=said.err)

    def another(self, sheet: str, table: str) -> None:
        """Copy the last table of that name, as a technician does who needs another one."""
        path = self.folder / sheet
        text = path.read_text(encoding="utf-8")
        start, end = self._last(text, table)
        path.write_text(f"{text[:end]}{text[start:end]}{text[end:]}", encoding="utf-8")

    def fill(self, sheet: str, table: str, row: int = 1, /, **keys: object) -> None:
        """Write between the quotes of a sheet; a list where the sheet has one."""
        path = self.folder / sheet
        text = path.read_text(encoding="utf-8")
        start, end = self._block(text, table, row)
        block = text[start:end]
        for key, value in keys.items():
            said = f"[{', '.join(_quoted(each) for each in value)}]" if isinstance(value, list) else _quoted(value)
            block, count = re.subn(rf"^{key} = .*$", f"{key} = {said}", block, count=1, flags=re.MULTILINE)
            assert count == 1, f"the sheet has no {key} under {table}"
        path.write_text(text[:start] + block + text[end:], encoding="utf-8")

    def _last(self, text: str, table: str) -> tuple[int, int]:
        return self._block(text, table, len(re.findall(rf"^\[\[{table}\]\]$", text, re.MULTILINE)))

    @staticmethod
    def _block(text: str, table: str, row: int) -> tuple[int, int]:
        """Where a table begins and ends; the next one, or its heading, begins where this ends."""
        start = [each.start() for each in re.finditer(rf"^\[\[?{table}\]\]?$", text, re.MULTILINE)][row - 1]
        after = re.search(r"^(\[|# )", text[start + len(table) :], re.MULTILINE)
        return start, start + len(table) + after.start() if after else len(text)


def _quoted(value: object) -> str:
    return f'"{value}"'

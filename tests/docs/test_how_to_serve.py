"""The page on serving promises options and numbers that are there."""

import re
import shlex
from datetime import timedelta
from pathlib import Path

from typer.testing import CliRunner

from evenfire.delivery.records.photographs import LARGEST_PHOTOGRAPH
from evenfire.delivery.records.sessions import ASSUMED_IDLE, ASSUMED_LONGEST
from evenfire.delivery.start import app
from evenfire.delivery.web.certificates import ASSUMED_VALID
from evenfire.delivery.web.door.throttle import (
    ASSUMED_FREE_FOR_NAME,
    ASSUMED_FREE_FROM_ADDRESS,
    ASSUMED_LONGEST_WAIT,
)

PAGE = Path(__file__).parents[2] / "docs" / "how-to" / "serve.md"
COMMAND = re.compile(r"^\$ evenfire (.*)$", re.MULTILINE)


def helped(*command: str) -> str:
    return CliRunner().invoke(app, [*command, "--help"], env={"COLUMNS": "200"}).output


def test_every_option_of_every_command_on_the_page_is_one() -> None:
    shown = COMMAND.findall(PAGE.read_text(encoding="utf-8"))
    assert len(shown) >= 6
    for line in shown:
        words = shlex.split(line)
        command = words[:2] if words[0] == "store" else words[:1]
        for option in (word for word in words if word.startswith("--")):
            assert re.search(rf"{option}\b", helped(*command)), f"{line}: {option}"


def test_the_page_says_the_numbers_that_count() -> None:
    text = " ".join(PAGE.read_text(encoding="utf-8").split())
    assert "twelve hours without use, and for seven days at most" in text
    assert timedelta(hours=12) == ASSUMED_IDLE
    assert timedelta(days=7) == ASSUMED_LONGEST
    assert "After five wrong tries at a name, or twenty from an address" in text
    assert (ASSUMED_FREE_FOR_NAME, ASSUMED_FREE_FROM_ADDRESS) == (5, 20)
    assert "up to fifteen minutes" in text
    assert timedelta(minutes=15).total_seconds() == ASSUMED_LONGEST_WAIT
    assert "bodies of 40 MB" in text
    assert LARGEST_PHOTOGRAPH == 40_000_000
    assert "for a year" in text
    assert timedelta(days=365) <= ASSUMED_VALID

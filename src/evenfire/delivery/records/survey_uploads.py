"""Plant files that come by a browser: whoever sent one, it is read in a process of its own before this one reads it."""

import subprocess
import sys
from pathlib import Path
from typing import Final

from evenfire.delivery.intake.opening import decoded
from evenfire.delivery.records import survey_child
from evenfire.delivery.words import survey as words
from evenfire.errors import BadPlantFile

LONGEST_WAIT: Final = 30
"""For the other process, on a machine that does something else [s]"""
LONGEST_FILE_NAME: Final = 100
"""Of the name of a file, as it is kept [characters]."""

_CHILD: Final = Path(survey_child.__file__)


def require_harmless(content: bytes, name: str) -> None:
    """See that a plant file can be read within the limits; whether it is good is another question.

    Raises
    ------
    BadPlantFile
        It is too large, no text, or a reader of it would take too much memory or time.
    """
    decoded(content, name)
    try:
        done = subprocess.run(
            [sys.executable, "-I", "-B", "-W", "ignore", str(_CHILD)],
            input=content,
            capture_output=True,
            check=False,
            timeout=LONGEST_WAIT,
        )
    except subprocess.TimeoutExpired:
        raise _takes_too_much(name) from None
    if done.returncode != survey_child.READ:
        raise _takes_too_much(name)


def plain_name(name: str | None) -> str:
    """The name of a file that came by a browser, as it can be kept and printed: without folders, on one line."""
    last = (name or "").replace("\\", "/").rpartition("/")[2]
    shown = "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in last).strip()
    return shown[:LONGEST_FILE_NAME] or "plant file"


def _takes_too_much(name: str) -> BadPlantFile:
    found, do = words.TAKES_TOO_MUCH
    return BadPlantFile(file=name, line=None, key=None, found=found, do=do)

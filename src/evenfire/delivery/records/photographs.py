"""Photographs from strangers' telephones: decoded in a process of its own that may not take much, and written anew."""

import subprocess
import sys
from pathlib import Path
from typing import Final

from evenfire.delivery.records import photograph_child
from evenfire.delivery.words.store import (
    Told,
    damaged_image,
    no_image,
    takes_too_much,
    too_many_bytes,
    too_many_pixels,
)
from evenfire.errors import BadAttachment

LARGEST_PHOTOGRAPH: Final = 40_000_000
"""As it comes [bytes]"""
LONGEST_WAIT: Final = 60
"""For the other process, on a machine that does something else [s]"""

_CHILD: Final = Path(photograph_child.__file__)


def written_anew(content: bytes, name: str) -> tuple[str, bytes]:
    """Kind and content of a photograph, upright and without whatever it said beside.

    Raises
    ------
    BadAttachment
        It is no image, has too many bytes or pixels, or cannot be decoded within the limits.
    """
    if len(content) > LARGEST_PHOTOGRAPH:
        raise _refused(name, too_many_bytes(len(content), LARGEST_PHOTOGRAPH))
    try:
        # Isolated: nothing in the folder or the environment of whoever runs this can be taken for a decoder.
        done = subprocess.run(
            [sys.executable, "-I", "-W", "ignore", str(_CHILD)],
            input=content,
            capture_output=True,
            check=False,
            timeout=LONGEST_WAIT,
        )
    except subprocess.TimeoutExpired as error:
        raise _refused(name, takes_too_much()) from error
    if done.returncode == 0:
        kind, _, anew = done.stdout.partition(b"\n")
        return kind.decode("ascii"), anew
    if done.returncode != photograph_child.REFUSED:
        # Out of memory, out of time, or broken by what it read: all of them the file's doing.
        raise _refused(name, takes_too_much())
    raise _refused(name, _why(done.stdout.decode("ascii", errors="replace")))


def _why(answer: str) -> Told:
    word, _, found = answer.partition(" ")
    match word:
        case photograph_child.NO_IMAGE:
            return no_image()
        case photograph_child.TOO_MANY_PIXELS:
            return too_many_pixels(found, photograph_child.MOST_PIXELS)
        case _:
            return damaged_image()


def _refused(name: str, told: Told) -> BadAttachment:
    return BadAttachment(name=name, found=told.found, do=told.do)

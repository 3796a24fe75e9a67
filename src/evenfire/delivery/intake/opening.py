"""From a path to text: whatever is no readable plant file is refused here, before anything looks into it."""

import codecs
import os
import stat
from pathlib import Path
from typing import Final

from evenfire.errors import BadPlantFile

LARGEST_FILE: Final = 1_000_000
"""A plant file with fifty boilers is about 200 kB; what is larger is something else [bytes]."""

_START_ANEW: Final = "Write a new one with `evenfire new FILE` and fill it in."
_SAVE_AS_UTF_8: Final = "Save it as UTF-8 text in your editor."
_OTHER_ENCODINGS: Final = (
    (codecs.BOM_UTF32_LE, "UTF-32"),
    (codecs.BOM_UTF32_BE, "UTF-32"),
    (codecs.BOM_UTF16_LE, "UTF-16"),
    (codecs.BOM_UTF16_BE, "UTF-16"),
)


def file_bytes(path: Path) -> bytes:
    """The content of a plant file.

    Raises
    ------
    BadPlantFile
        There is no such file, it is no plain file, it may not be read, or it is too large.
    """
    name = shown_path(path)
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise _refused(name, "it is a directory", "Name the plant file in it.")
        if not stat.S_ISREG(status.st_mode):
            raise _refused(name, "it is no plain file", "Name a plant file.")
        if status.st_size > LARGEST_FILE:
            raise _too_large(name, status.st_size)
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except FileNotFoundError as error:
        raise _refused(name, "there is no such file", f"Check the name. {_START_ANEW}") from error
    except OSError as error:
        why = (error.strerror or "it cannot be read").lower()
        raise _refused(name, f"it cannot be read: {why}", "Check the name, and who may read it.") from error
    except ValueError as error:
        raise _refused(name, "its name holds a character that no file name can", "Check the name.") from error
    return content


def decoded(content: bytes, name: str) -> str:
    """The content as text without a byte-order mark.

    Raises
    ------
    BadPlantFile
        It is too large, empty, binary, or in another encoding than UTF-8.
    """
    if len(content) > LARGEST_FILE:
        raise _too_large(name, len(content))
    for mark, encoding in _OTHER_ENCODINGS:
        if content.startswith(mark):
            raise _refused(name, f"it is {encoding} text", _SAVE_AS_UTF_8)
    nul = content.find(b"\0")
    if nul >= 0:
        raise _refused(
            name,
            "it holds NUL bytes, so it is a binary file or UTF-16 text",
            f"Name a plant file; if it is one: {_SAVE_AS_UTF_8}",
            line=_line_at(content, nul),
        )
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        bad = content[error.start + (3 if content.startswith(codecs.BOM_UTF8) else 0)]
        raise _refused(
            name,
            f"the byte 0x{bad:02X} there is not UTF-8, so the file is in another encoding or binary",
            f"{_SAVE_AS_UTF_8} It is often a degree sign, an accent or a fraction.",
            line=_line_at(content, error.start),
        ) from error
    if not text.strip():
        raise _refused(name, "it is empty", _START_ANEW, line=1)
    return text


def shown_path(path: Path) -> str:
    """A path that can be printed, whatever bytes its name has."""
    name = os.fsencode(path).decode("utf-8", errors="replace")
    return "".join(each if each.isprintable() else "\N{REPLACEMENT CHARACTER}" for each in name)


def _line_at(content: bytes, place: int) -> int:
    return content.count(b"\n", 0, place) + 1


def _too_large(name: str, size: int) -> BadPlantFile:
    return _refused(
        name,
        f"it has {size / 1e6:.1f} MB, and a plant file has at most {LARGEST_FILE / 1e6:.0f} MB",
        f"Name the plant file itself. {_START_ANEW}",
    )


def _refused(name: str, found: str, do: str, *, line: int | None = None) -> BadPlantFile:
    return BadPlantFile(file=name, line=line, key=None, found=found, do=do)

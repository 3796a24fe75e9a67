"""The files of one log: one, several, or those of a folder, each a plain file that may be read."""

import hashlib
import stat
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from evenfire.delivery.intake.logs.refusing import refuse
from evenfire.delivery.intake.opening import shown_path

ENDINGS: Final = frozenset({".csv", ".tsv", ".txt", ".tab", ".dat", ".asc", ".log", ".parquet", ".pq"})
"""Of the files that are taken from a folder."""
KEPT_MARK: Final = ".evenfire-"
"""In the names of files that this program keeps beside the originals."""
MOST_FILES: Final = 2000
LARGEST: Final = 50_000_000_000
"""All files together [bytes]; ten years by the second have fewer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Original:
    """One file as it came."""

    path: Path
    name: str
    """How messages name it"""
    size: int
    """[bytes]"""


def originals_of(paths: Sequence[Path]) -> tuple[Original, ...]:
    """The files that are meant, those of a folder by their names; the same file twice is taken once.

    Raises
    ------
    BadLog
        There is none, or one cannot be read.
    """
    if not paths:
        refuse("the log", "no file is named", "Name a file, several, or a folder.")
    found: dict[Path, Original] = {}
    for path in paths:
        for file in _files(path):
            found.setdefault(file.path.resolve(), file)
    if len(found) > MOST_FILES:
        refuse(
            shown_path(paths[0]),
            f"{len(found):,} files are one log, and at most {MOST_FILES:,} are read",
            "Name fewer.",
        )
    total = sum(file.size for file in found.values())
    if total > LARGEST:
        refuse(
            shown_path(paths[0]),
            f"it has {total / 1e9:.0f} GB, and at most {LARGEST / 1e9:.0f} GB are read",
            "Export a shorter time, or wider steps.",
        )
    return tuple(found.values())


def digest_of(original: Original) -> str:
    """SHA-256 of a file, as 64 hexadecimal digits.

    Raises
    ------
    BadLog
        It cannot be read.
    """
    try:
        with original.path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        refuse(original.name, _why(error), "Check the name, and who may read it.")


def _files(path: Path) -> list[Original]:
    name = shown_path(path)
    try:
        status = path.stat()
        if not stat.S_ISDIR(status.st_mode):
            return [_original(path)]
        inside = sorted(each for each in path.iterdir() if _is_meant(each))
    except OSError as error:
        refuse(name, _why(error), "Check the name, and who may read it.")
    except ValueError:
        refuse(name, "its name holds a character that no file name can", "Check the name.")
    if not inside:
        refuse(
            name,
            "no log is in this folder; folders in it are not looked into",
            f"Name a folder with files that end in {', '.join(sorted(ENDINGS))}.",
        )
    return [_original(each) for each in inside]


def _is_meant(path: Path) -> bool:
    """A file of a folder that may be a log; a link that leads nowhere or in a circle is none."""
    is_named = path.suffix.casefold() in ENDINGS and not path.name.startswith(".") and KEPT_MARK not in path.name
    try:
        return is_named and path.is_file()
    except OSError:
        return False


def _original(path: Path) -> Original:
    name = shown_path(path)
    status = path.stat()
    if not stat.S_ISREG(status.st_mode):
        refuse(name, "it is no plain file", "Name a log: a table of text, or Parquet.")
    try:
        with path.open("rb"):
            pass
    except OSError as error:
        refuse(name, _why(error), "Check who may read it.")
    if status.st_size == 0:
        refuse(name, "it is empty", "Name a log: a table of text with a time in every row, or Parquet.", line=1)
    return Original(path=path, name=name, size=status.st_size)


def _why(error: OSError) -> str:
    if isinstance(error, FileNotFoundError):
        return "there is no such file"
    return f"it cannot be read: {(error.strerror or 'of an unknown cause').lower()}"

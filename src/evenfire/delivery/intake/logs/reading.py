"""Reading a log: files of strangers are opened by a process of their own that may not take much."""

import json
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from pydantic import TypeAdapter, ValidationError

from evenfire.delivery.intake.logs import log_child
from evenfire.delivery.intake.logs.keeping import keep, kept_log, key_of, place_to_keep, working_folder
from evenfire.delivery.intake.logs.log import Log
from evenfire.delivery.intake.logs.originals import Original, originals_of
from evenfire.delivery.intake.logs.refusing import refuse
from evenfire.delivery.intake.logs.wishes import LogWishes
from evenfire.errors import BadLog

BASE_WAIT: Final = 120.0
WAIT_PER_MEGABYTE: Final = 2.0
"""For the other process, on a machine that does something else [s]."""

_CHILD: Final = Path(log_child.__file__)
_LOG: Final = TypeAdapter(Log)
_WISHES: Final = TypeAdapter(LogWishes)


def read_log(paths: Sequence[Path], wishes: LogWishes | None = None) -> Log:
    """One log of one file, of several, or of a folder; one that was read before is taken from where it was kept.

    Parameters
    ----------
    paths
        Files of text or Parquet, and folders of such.
    wishes
        What the plant file says of the log; nothing leaves all to be guessed.

    Raises
    ------
    BadLog
        It cannot be read: one error with file, line, what was found and what to do.
    """
    asked = wishes or LogWishes()
    originals = originals_of(paths)
    key = key_of(originals, asked)
    folder = paths[0] if len(paths) == 1 and paths[0].is_dir() else None
    place, stem = place_to_keep(originals, folder)
    kept = kept_log(place, stem, key)
    if kept is not None:
        return kept
    with working_folder(place, originals[0].name) as work:
        return keep(_read_apart(originals, asked, work), place, stem, key)


def _read_apart(originals: Sequence[Original], wishes: LogWishes, work: Path) -> Log:
    megabytes = sum(original.size for original in originals) / 1e6
    request = {
        "files": [(str(original.path.absolute()), original.name) for original in originals],
        "wishes": _WISHES.dump_python(wishes, mode="json"),
        "folder": str(work.absolute()),
        "megabytes": megabytes,
    }
    name = originals[0].name
    try:
        # Isolated: nothing in the folder or the environment of whoever runs this can be taken for a reader.
        done = subprocess.run(
            [sys.executable, "-I", "-W", "ignore", str(_CHILD)],
            input=json.dumps(request).encode(),
            capture_output=True,
            check=False,
            timeout=BASE_WAIT + WAIT_PER_MEGABYTE * megabytes,
        )
    except subprocess.TimeoutExpired:
        refuse(name, "reading it takes too long", "Export a shorter time of it, or name its files one by one.")
    if done.returncode == log_child.REFUSED:
        raise _refusal(done.stdout)
    if done.returncode != 0:
        # Out of memory, out of time, or broken by what it read: all of them the file's doing.
        limit = f"{log_child.MOST_MEMORY / 1e9:.0f} GB of memory or {_seconds(megabytes):.0f} s of work"
        refuse(
            name, f"reading it takes more than {limit}", "Export a shorter time of it, or name its files one by one."
        )
    try:
        return _LOG.validate_json(done.stdout)
    except ValidationError:
        refuse(name, "reading it gave no answer", "Please report this with the first lines of the log.")


def _seconds(megabytes: float) -> float:
    return log_child.BASE_SECONDS + log_child.SECONDS_PER_MEGABYTE * megabytes


def _refusal(told: bytes) -> BadLog:
    answer = json.loads(told)
    return BadLog(file=answer["file"], line=answer["line"], found=answer["found"], do=answer["do"])

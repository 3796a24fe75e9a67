"""Logs that were read once are kept as Parquet beside the original, under a name that tells from what they came."""

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Final

from pydantic import TypeAdapter, ValidationError

from evenfire.delivery.intake.logs.log import METADATA_KEY, Log
from evenfire.delivery.intake.logs.originals import KEPT_MARK, Original, digest_of
from evenfire.delivery.intake.logs.refusing import refuse
from evenfire.delivery.intake.logs.wishes import LogWishes

READER_VERSION: Final = 1
"""Of what a log is read into; one that an older reader kept is read anew."""
_DIGITS: Final = 20
_LOG: Final = TypeAdapter(Log)
_WISHES: Final = TypeAdapter(LogWishes)


def key_of(originals: Sequence[Original], wishes: LogWishes) -> str:
    """What the reading of a log hangs on: content of the files, what the plant file says, and the reader."""
    with ThreadPoolExecutor(max_workers=2) as threads:
        digests = list(threads.map(digest_of, originals))
    said = _WISHES.dump_python(wishes, mode="json")
    text = json.dumps([READER_VERSION, digests, [original.name for original in originals], said])
    return hashlib.sha256(text.encode()).hexdigest()[:_DIGITS]


def kept_log(folder: Path, stem: str, key: str) -> Log | None:
    """The log that was kept, if it is whole."""
    for path in sorted(folder.glob(f"{_escaped(stem)}{KEPT_MARK}{key}-*.parquet")):
        try:
            if _digest(path) != path.stem.rpartition("-")[2]:
                continue
            import polars as pl

            told = pl.read_parquet_metadata(path)[METADATA_KEY]
            return replace(_LOG.validate_json(told), parquet=path)
        except (OSError, KeyError, ValidationError):
            continue
        except Exception as error:
            # A file of that name that polars cannot open is none of ours; the log is read anew.
            if not type(error).__module__.startswith("polars"):
                raise
    return None


def keep(log: Log, folder: Path, stem: str, key: str) -> Log:
    """The log with its file put beside the original, whole or not at all."""
    path = folder / f"{stem}{KEPT_MARK}{key}-{_digest(log.parquet)}.parquet"
    log.parquet.replace(path)
    return replace(log, parquet=path)


def place_to_keep(originals: Sequence[Original], folder: Path | None) -> tuple[Path, str]:
    """Folder and beginning of the name: beside the original, else where this user's programs keep such things."""
    first = originals[0].path
    beside = folder if folder is not None else first.absolute().parent
    stem = first.name if len(originals) == 1 else "log"
    if os.access(beside, os.W_OK | os.X_OK):
        return beside, stem
    own = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "evenfire" / "logs"
    try:
        own.mkdir(parents=True, exist_ok=True)
    except OSError:
        refuse(
            originals[0].name,
            f"what is read of it can be kept neither beside it nor in {own}",
            "Copy the log into a folder of your own.",
        )
    return own, stem


@contextmanager
def working_folder(folder: Path, name: str) -> Iterator[Path]:
    """A folder for what is written while a log is read, taken away at the end."""
    try:
        work = Path(tempfile.mkdtemp(prefix=KEPT_MARK, dir=folder))
    except OSError as error:
        why = (error.strerror or "of an unknown cause").lower()
        refuse(name, f"nothing can be written into {folder}: {why}", "Copy the log into a folder of your own.")
    try:
        yield work
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()[:_DIGITS]


def _escaped(stem: str) -> str:
    return "".join(f"[{each}]" if each in "*?[" else each for each in stem)

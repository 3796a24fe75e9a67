"""What the process that reads a log says back: the log, or why there is none."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from pydantic import TypeAdapter

from evenfire.delivery.intake.logs.importing import LOG, import_log
from evenfire.delivery.intake.logs.wishes import LogWishes
from evenfire.errors import BadLog

READ: Final = 0
REFUSED: Final = 3
WISHES: Final = TypeAdapter(LogWishes)


def answer(asked: Mapping[str, Any]) -> tuple[int, bytes]:
    """Exit code and answer."""
    files = [(Path(path), str(name)) for path, name in asked["files"]]
    try:
        log = import_log(files, WISHES.validate_python(asked["wishes"]), Path(asked["folder"]))
    except BadLog as refused:
        return REFUSED, _told(refused.file, refused.line, refused.found, refused.do)
    except MemoryError:
        return REFUSED, _told(files[0][1], None, "reading it takes too much memory", "Export a shorter time of it.")
    except (SystemExit, KeyboardInterrupt):
        raise
    except OSError as error:
        why = (error.strerror or type(error).__name__).lower()
        return REFUSED, _told(files[0][1], None, f"reading it broke off: {why}", "Check the disk, and who may read it.")
    except BaseException as error:  # The reader of Parquet and text panics outside of the tree of exceptions.
        return REFUSED, _told(files[0][1], None, *_of(error))
    return READ, LOG.dump_json(log)


def _of(error: BaseException) -> tuple[str, str]:
    kind = type(error).__name__
    if type(error).__module__.startswith(("polars", "pyo3_runtime")):
        first = " ".join(str(error).split())[:120] or kind
        return f"it is damaged, or of a kind that is not read here: {first}", "Export the log again, as CSV if need be."
    return f"reading it broke off ({kind}: {str(error)[:120]})", "Please report this with the first lines of the log."


def _told(file: str, line: int | None, found: str, do: str) -> bytes:
    return json.dumps({"file": file, "line": line, "found": found, "do": do}).encode()

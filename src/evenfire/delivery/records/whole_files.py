"""Files that are there whole or not at all, also after a power cut."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from evenfire.delivery.records.place import make_private_folder, sync_folder


@contextmanager
def growing(path: Path) -> Iterator[tuple[BinaryIO, Path]]:
    """A file beside ``path`` for its owner alone, forced to disk and given its name when the block ends well.

    Yields the file, and where it is until then. What stood at ``path`` is replaced.
    """
    make_private_folder(path.parent)
    descriptor, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.", suffix=".part")
    part = Path(name)
    try:
        with os.fdopen(descriptor, "w+b") as file:
            yield file, part
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    sync_folder(path.parent)


def write_whole(path: Path, content: bytes) -> None:
    """Write a file in one step."""
    with growing(path) as (file, _):
        file.write(content)

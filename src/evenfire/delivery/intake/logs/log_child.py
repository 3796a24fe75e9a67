"""Run as a program of its own: reads the files of one log within limits, and writes what came of it into one folder.

Everything that a stranger's file can do to a reader happens here. It is started by the path of this file, gets a
request as JSON on its input, and answers with JSON on its output.
"""

import json
import os
import sys
import threading
import time
from pathlib import Path
from typing import Final

MOST_MEMORY: Final = 1_900_000_000
"""Really used; looked at ten times a second, since a system limits only addresses [bytes]."""
MOST_ADDRESSES: Final = 6_000_000_000
"""A reader maps files and sets arenas aside that it never fills [bytes]."""
BASE_SECONDS: Final = 60
SECONDS_PER_MEGABYTE: Final = 1.0
REFUSED: Final = 3
"""Exit code; the answer is then where, what was found and what to do."""


TOO_MUCH: Final = 4
"""Exit code; there is no answer then."""
_LOOKS: Final = 0.1
"""[s]"""


def watch_memory() -> None:
    """End this process when it really uses more memory than it may."""
    size = os.sysconf("SC_PAGE_SIZE")
    with Path("/proc/self/statm").open("rb", buffering=0) as told:
        while True:
            told.seek(0)
            if int(told.read().split()[1]) * size > MOST_MEMORY:
                os._exit(TOO_MUCH)
            time.sleep(_LOOKS)


def limit_this_process(megabytes: float) -> None:
    """Memory, work and files that this process may use from now on."""
    if sys.platform == "win32":
        return
    import resource

    seconds = int(BASE_SECONDS + SECONDS_PER_MEGABYTE * megabytes)
    largest = int(1e9 + 4e6 * megabytes)
    for limit, most in (
        (resource.RLIMIT_AS, MOST_ADDRESSES),
        (resource.RLIMIT_CPU, seconds),
        (resource.RLIMIT_FSIZE, largest),
        (resource.RLIMIT_CORE, 0),
    ):
        resource.setrlimit(limit, (most, most))
    if Path("/proc/self/statm").exists():
        threading.Thread(target=watch_memory, daemon=True).start()


def main() -> int:
    """Read the request and the log, answer, and say by the exit code how it went."""
    asked = json.loads(sys.stdin.buffer.read())
    limit_this_process(asked["megabytes"])
    # Each thread of the reader has buffers of its own; two are enough to keep up with a disk.
    os.environ.setdefault("POLARS_MAX_THREADS", "2")
    source = Path(__file__).parents[4]
    if str(source) not in sys.path:
        sys.path.insert(0, str(source))
    from evenfire.delivery.intake.logs.answering import answer

    code, told = answer(asked)
    sys.stdout.buffer.write(told)
    return code


if __name__ == "__main__":
    sys.exit(main())

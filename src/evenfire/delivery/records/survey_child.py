"""Run as a program of its own: reads one plant file within limits, and says whether a reader gets through it.

Everything that a stranger's file can do to the readers of TOML happens here first. It gets the file on its input and
answers by its exit code alone; whoever asked reads the file himself once it is known to be harmless.
"""

import sys
from typing import Final

from evenfire.delivery.records.photograph_child import limit_this_process

READ: Final = 0
"""Exit code of a file that was read to its end, good or bad"""


def main() -> int:
    """Read the file; what is wrong with it is not said here."""
    limit_this_process()
    content = sys.stdin.buffer.read()
    from evenfire.delivery.intake.plant_file import read_plant_bytes
    from evenfire.errors import BadInput

    try:
        read_plant_bytes(content, "plant file")
    except BadInput:
        return READ
    return READ


if __name__ == "__main__":
    sys.exit(main())

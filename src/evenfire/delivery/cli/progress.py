"""How far long work has come, on a terminal only: a script and a pipe see nothing of it."""

import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from evenfire.judgement.proofs.learning import Progress

BAR: Final = 20
"""[characters]"""
_CLEAR: Final = "\r\x1b[K"


@contextmanager
def on_terminal() -> "Iterator[Callable[[Progress], None] | None]":
    """Something to be told how far it is, whose line is gone at the end; ``None`` where nobody watches."""
    if not sys.stderr.isatty():
        yield None
        return
    try:
        yield _draw
    finally:
        sys.stderr.write(_CLEAR)
        sys.stderr.flush()


def bar(progress: "Progress") -> str:
    """The line that is drawn."""
    filled = round(BAR * progress.done / max(1, progress.total))
    return f"[{'#' * filled}{'.' * (BAR - filled)}] {progress.what}"


def _draw(progress: "Progress") -> None:
    sys.stderr.write(f"{_CLEAR}{bar(progress)}")
    sys.stderr.flush()

"""The bar of long work: drawn on a terminal only, filled as far as the work has come, and gone at the end."""

import os
import pty
import subprocess
import sys

import pytest

from evenfire.delivery.cli.progress import BAR, bar, on_terminal
from evenfire.judgement.proofs.learning import Progress

WORK = """
import sys
from evenfire.delivery.cli.progress import on_terminal
from evenfire.judgement.proofs.learning import Progress
with on_terminal() as watch:
    for done in range(5):
        if watch is not None:
            watch(Progress(done=done, total=4, what="draws"))
    {end}
"""


def on_a_terminal(end: str) -> bytes:
    """What the work above writes to a terminal."""
    ours, theirs = pty.openpty()
    work = subprocess.Popen([sys.executable, "-c", WORK.format(end=end)], stderr=theirs, stdout=subprocess.DEVNULL)
    os.close(theirs)
    written = b""
    try:
        while piece := os.read(ours, 4096):
            written += piece
    except OSError:
        # The other end is closed: all has been read.
        pass
    os.close(ours)
    work.wait(timeout=60)
    return written


@pytest.mark.parametrize(("done", "total", "filled"), [(0, 4, 0), (1, 4, 5), (2, 4, 10), (4, 4, 20), (0, 0, 0)])
def test_the_bar_is_filled_as_far_as_the_work_has_come(done: int, total: int, filled: int) -> None:
    line = bar(Progress(done=done, total=total, what="runs near a limit"))
    assert BAR == 20
    assert line == f"[{'#' * filled}{'.' * (20 - filled)}] runs near a limit"


def test_where_nobody_watches_nothing_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    with on_terminal() as watch:
        assert watch is None
    assert capsys.readouterr() == ("", "")


def test_on_a_terminal_each_line_takes_the_place_of_the_last_and_none_is_left() -> None:
    written = on_a_terminal("pass")
    assert [line.count(b"#") for line in written.split(b"\r\x1b[K")] == [0, 0, 5, 10, 15, 20, 0]
    assert written.count(b"draws") == 5
    assert b"\n" not in written
    assert written.endswith(b"\r\x1b[K")


def test_the_bar_is_gone_before_an_interrupt_says_anything() -> None:
    written = on_a_terminal("raise KeyboardInterrupt")
    before, _, after = written.partition(b"Traceback")
    assert before.endswith(b"\r\x1b[K")
    assert b"draws" not in after

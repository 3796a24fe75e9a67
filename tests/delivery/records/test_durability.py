"""Nothing acknowledged is lost: every acknowledgement waits for a sync, a failing disk is told, a kill loses nothing.

A kill proves nothing about a power cut, since what the system holds in memory outlives the process. The syncs do: they
are seen in the calls that the program makes of the system.
"""

import random
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pytest
from sqlalchemy import text

from evenfire.delivery.records.attachments import file_of, orphans
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import drafts_of
from evenfire.delivery.records.entries import entries_of, record
from evenfire.delivery.records.registers import boilers_of, people_of
from evenfire.delivery.visits.entry import Entry
from tests.conftest import SOAK
from tests.database_server import Server
from tests.delivery.records import writing_child
from tests.delivery.records.store_examples import AtWork, at_work, entry

ROOT = Path(__file__).parents[3]
KILLS = 300 if SOAK else 8
KILLS_ELSEWHERE = 60 if SOAK else 4
ENDLESS = 10**6
ENOUGH_SAID = 60.0
"""In which a child says something, on a machine that does much else [s]"""

needs_strace = pytest.mark.skipif(
    shutil.which("strace") is None, reason="this machine has no strace, so the calls of the system cannot be seen"
)


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """The path of a closed store on a file, with a visit that is open."""
    path = tmp_path / "store.sqlite"
    with Store.open(path) as store:
        at_work(store)
    return path


def child(
    place: str | Path, most: int, *, folder: Path | None = None, first: int = 0, attach: bool = False
) -> list[str]:
    given = folder or Path(f"{place}.files")
    asked = [sys.executable, "-m", writing_child.__name__, str(place), str(given), str(first), str(most)]
    return asked + (["attach"] if attach else [])


def run(asked: Sequence[str]) -> list[str]:
    done = subprocess.run(asked, capture_output=True, text=True, cwd=ROOT, timeout=200)
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


def numbers(said: Sequence[str], word: str) -> list[int]:
    return [int(line.split()[1]) for line in said if line.startswith(f"{word} ")]


def held(place: str | Path, folder: Path | None = None) -> tuple[AtWork, tuple[Entry, ...]]:
    """Everything that a store holds of its visit, once its database has found nothing wrong with itself."""
    with Store.open(place, folder=folder or Path(f"{place}.files")) as store:
        if store.path is not None:
            with store.read() as connection:
                assert connection.execute(text("PRAGMA integrity_check")).scalars().all() == ["ok"]
                assert connection.execute(text("PRAGMA foreign_key_check")).all() == []
        at = AtWork(person=people_of(store)[0], boiler=boilers_of(store)[0], visit=drafts_of(store)[0])
        return at, entries_of(store, at.visit.id)


def require_whole(at: AtWork, found: Sequence[Entry], acknowledged: Sequence[int]) -> None:
    """Each entry as it was sent, with what it replaces; none acknowledged is missing; one may not be answered yet."""
    assert len(found) - len(acknowledged) in {0, 1}
    before: tuple[str, ...] = ()
    for number, each in enumerate(found):
        assert each == entry(at, number, *before)
        before = (each.id,)
    assert list(acknowledged) == list(range(len(acknowledged)))


@needs_strace
def test_between_an_entry_and_its_acknowledgement_its_log_is_forced_to_the_disk(kept: Path, tmp_path: Path) -> None:
    trace = tmp_path / "calls"
    watch = ["strace", "-f", "-y", "-o", str(trace), "-e", "trace=fsync,fdatasync,write"]
    said = run([*watch, *child(kept, 25)])
    assert numbers(said, "kept") == list(range(25))
    synced = answered = 0
    for line in trace.read_text().splitlines():
        if re.search(r"\bf(data)?sync\(\d+<[^>]*store\.sqlite-wal>\)\s*= 0", line):
            synced += 1
        elif re.search(r'write\(1<[^>]*>, "kept ', line):
            assert synced >= 1, f"answer {answered} came before its sync"
            synced, answered = 0, answered + 1
        elif '"open' in line:
            # What was synced while the store was opened counts for no entry.
            synced = 0
    assert answered == 25


@needs_strace
def test_an_attachment_is_forced_to_the_disk_with_its_name_before_its_row(kept: Path, tmp_path: Path) -> None:
    trace = tmp_path / "calls"
    watch = ["strace", "-f", "-y", "-o", str(trace), "-e", "trace=fsync,fdatasync,write,rename"]
    run([*watch, *child(kept, 5, attach=True)])
    order: list[str] = []
    for line in trace.read_text().splitlines():
        for name, pattern in (
            ("file", r"fsync\(\d+<[^>]*attachments/../\.[^>]*\.part>\)\s*= 0"),
            ("name", r"rename\(.*\.part\".*= 0"),
            ("folder", r"fsync\(\d+<[^>]*attachments/..>\)\s*= 0"),
            ("row", r"sync\(\d+<[^>]*store\.sqlite-wal>\)\s*= 0"),
            ("answer", r'write\(1<[^>]*>, "kept '),
        ):
            if re.search(pattern, line) and not (order and order[-1] == name):
                order.append(name)
    once = ["file", "name", "folder", "row", "answer"]
    starts = [place for place, name in enumerate(order) if name == "file"]
    assert [order[start : start + 5] for start in starts] == [once] * 5


# The errors as Linux gives them: a full disk answers a write, a failing one the sync. Each is injected from a call in
# the midst of entering and stays.
@needs_strace
@pytest.mark.parametrize(
    ("call", "error", "told"),
    [
        ("pwrite64", "ENOSPC", "the disk is full"),
        ("fdatasync", "EIO", "the disk reported an error"),
        ("pwrite64", "EIO", "the disk reported an error"),
    ],
)
@pytest.mark.parametrize("after", [18, 19, 20, 21] if SOAK else [19])
def test_a_disk_that_fails_acknowledges_nothing_more_and_keeps_all_before(
    kept: Path, call: str, error: str, told: str, after: int
) -> None:
    # Opening writes little; each entry writes its log about ten times, and syncs it once.
    when = after * 6 if call == "pwrite64" else after
    inject = [
        "strace",
        "-f",
        "-o",
        "/dev/null",
        "-e",
        f"trace={call}",
        "-e",
        f"inject={call}:error={error}:when={when}+",
    ]
    said = run([*inject, *child(kept, 200)])
    acknowledged, refused = numbers(said, "kept"), [line for line in said if line.startswith("refused")]
    assert acknowledged, "the disk failed before anything was entered"
    assert len(refused) == writing_child.FAILURES
    assert said.index(refused[0]) == len(acknowledged) + 1, "something was acknowledged after the disk had failed"
    assert told in refused[0]
    assert "What was just given is not kept." in refused[0]
    require_whole(*held(kept), acknowledged)


@needs_strace
def test_after_one_failed_sync_nothing_is_written_until_the_store_is_opened_again(kept: Path) -> None:
    # Linux reports a failed sync once, and then says that all is well.
    inject = ["strace", "-f", "-o", "/dev/null", "-e", "trace=fdatasync", "-e", "inject=fdatasync:error=EIO:when=19"]
    said = run([*inject, *child(kept, 200)])
    refused = [line for line in said if line.startswith("refused")]
    assert len(refused) == writing_child.FAILURES
    assert "nothing more is written until the store is opened again" in refused[1]
    acknowledged = numbers(said, "kept")
    require_whole(*held(kept), acknowledged)
    _, found = held(kept)
    run(child(kept, 3, first=1000))
    assert len(held(kept)[1]) == len(found) + 3


@needs_strace
def test_a_full_disk_that_has_room_again_takes_entries_again(kept: Path) -> None:
    inject = ["strace", "-f", "-o", "/dev/null", "-e", "trace=pwrite64"]
    said = run([*inject, "-e", "inject=pwrite64:error=ENOSPC:when=100..102", *child(kept, 60)])
    assert 0 < len(said) - 1 - len(numbers(said, "kept")) < writing_child.FAILURES
    at, found = held(kept)
    assert {each.text for each in found} >= {f"reading {number}" for number in numbers(said, "kept")}
    assert len(numbers(said, "kept")) > 50
    assert at.visit.is_open


@needs_strace
def test_an_attachment_on_a_full_disk_is_refused_and_leaves_nothing_behind(kept: Path) -> None:
    # Its file is forced to the disk by another call than the log of the database.
    inject = ["strace", "-f", "-o", "/dev/null", "-e", "trace=fsync", "-e", "inject=fsync:error=ENOSPC:when=1+"]
    said = run([*inject, *child(kept, 3, attach=True)])
    assert numbers(said, "refused") == [0, 1, 2]
    assert all("the disk is full" in line for line in said[1:])
    with Store.open(kept) as store:
        found = orphans(store)
    assert (found.files, found.missing, found.damaged) == ((), (), ())
    assert held(kept)[1] == ()


def test_a_process_that_is_killed_at_any_moment_loses_nothing_that_it_acknowledged(kept: Path) -> None:
    require_kills_lose_nothing(str(kept), None, KILLS)


def test_a_killed_process_loses_nothing_on_a_server(careful_server: Server, tmp_path: Path) -> None:
    place = careful_server.new_database()
    with Store.open(place, folder=tmp_path) as store:
        at_work(store)
    require_kills_lose_nothing(place, tmp_path, KILLS_ELSEWHERE)


def test_a_server_that_breaks_off_loses_nothing_and_the_program_says_what_happened(
    careful_server: Server, tmp_path: Path
) -> None:
    place = careful_server.new_database()
    with Store.open(place, folder=tmp_path) as store:
        at_work(store)
    process = subprocess.Popen(
        child(place, ENDLESS, folder=tmp_path), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT
    )
    assert process.stdout is not None
    said = [process.stdout.readline().strip() for _ in range(12)]
    careful_server.break_off()
    said += process.communicate(timeout=ENOUGH_SAID)[0].splitlines()
    assert "the database server" in said[-1]
    assert "not kept" in said[-1]
    careful_server.start()
    require_whole(*held(place, tmp_path), numbers(said, "kept"))


def test_a_kill_between_a_file_and_its_row_leaves_a_file_and_never_a_row(kept: Path) -> None:
    chance = random.Random(5)
    first = 0
    for _ in range(KILLS_ELSEWHERE):
        said = killed(child(kept, ENDLESS, first=first, attach=True), chance)
        first = max(numbers(said, "kept"), default=first) + 10
        with Store.open(kept) as store:
            found = orphans(store)
            assert found.missing == ()
            assert found.damaged == ()
            # The folder is swept of what was never finished, and of nothing else.
            assert all(file_of(store, path.name) == path or path.suffix == ".part" for path in found.files)


def require_kills_lose_nothing(place: str, folder: Path | None, kills: int) -> None:
    """Kill the one who enters, look at everything, and go on from what is there."""
    chance = random.Random(3)
    acknowledged = 0
    for _ in range(kills):
        said = killed(child(place, ENDLESS, folder=folder, first=acknowledged), chance)
        acknowledged = max([acknowledged, *(number + 1 for number in numbers(said, "kept"))])
        at, found = held(place, folder)
        assert len(found) - acknowledged in {0, 1}
        texts = [each.text for each in found]
        assert texts == [f"reading {number}" for number in range(len(found))]
        for number, each in enumerate(found):
            before = each.based_on
            assert each == entry(at, number, *before)
            assert before in {(), (found[number - 1].id,)}
        # What was written and not answered is sent again, as a device would.
        with Store.open(place, folder=folder or Path(f"{place}.files")) as store:
            if len(found) > acknowledged:
                assert not record(store, found[-1]).is_new
        acknowledged = len(found)
    assert acknowledged > kills


def killed(asked: Sequence[str], chance: random.Random) -> list[str]:
    """What a child said before it was killed: at some moment after some of its answers."""
    process = subprocess.Popen(asked, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, cwd=ROOT)
    assert process.stdout is not None
    said = [process.stdout.readline().strip() for _ in range(chance.randint(2, 8))]
    assert said[0] == "open"
    time.sleep(chance.uniform(0.0, 0.03))
    process.send_signal(signal.SIGKILL)
    # A line that was cut off is no answer.
    return said + process.communicate(timeout=ENOUGH_SAID)[0].split("\n")[:-1]

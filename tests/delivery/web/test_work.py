"""Long work: threads that begin and end with it, progress, stopping, results that are kept for a while.

Nothing here has a source outside: these are promises of the page to whoever waits at it.
"""

import threading
import time
from collections.abc import Callable, Iterator

import pytest

from evenfire.delivery.records.registers import May
from evenfire.delivery.web.work import TOO_MUCH, State, Watch, Work
from evenfire.errors import BadRequest
from evenfire.judgement.proofs.learning import Progress
from tests.delivery.web.conftest import Asking

PATIENCE = 10.0
STEP = Progress(done=1, total=4, what="the first step")


@pytest.fixture
def work() -> Iterator[Work]:
    made = Work(at_once=2)
    yield made
    made.close()


def until(holds: Callable[[], bool]) -> None:
    """Wait for what a thread does."""
    end = time.monotonic() + PATIENCE
    while not holds():
        assert time.monotonic() < end, "it never came to that"
        time.sleep(0.005)


class Gate:
    """Work that tells its first step, then stands until it is let on."""

    def __init__(self) -> None:
        self.is_open = threading.Event()
        self.has_begun = threading.Event()

    def __call__(self, watch: Watch) -> str:
        watch(STEP)
        self.has_begun.set()
        assert self.is_open.wait(PATIENCE)
        watch(STEP)
        return "done at last"


def state_of(work: Work, name: str) -> State | None:
    standing = work.standing(name)
    return None if standing is None else standing.state


def test_work_tells_how_far_it_is_and_then_what_it_came_to(work: Work) -> None:
    gate = Gate()
    name = work.start("a", gate)
    assert gate.has_begun.wait(PATIENCE)
    standing = work.standing(name)
    assert standing is not None
    assert (standing.state, standing.done, standing.total, standing.what) == (State.RUNNING, 1, 4, "the first step")
    assert not standing.has_ended
    with pytest.raises(KeyError):
        work.result(name)
    gate.is_open.set()
    until(lambda: state_of(work, name) is State.DONE)
    assert work.result(name) == "done at last"
    assert work.result(name) == "done at last"


def test_the_same_key_is_the_same_work_while_it_runs_and_new_work_afterwards(work: Work) -> None:
    gate = Gate()
    name = work.start("a", gate)
    assert work.start("a", gate) == name
    assert work.start("b", gate) != name
    gate.is_open.set()
    until(lambda: state_of(work, name) is State.DONE)
    assert work.newest("a") == name
    again = work.start("a", gate)
    assert again != name
    assert work.newest("a") == again


def test_no_more_work_at_once_than_threads_and_what_waits_takes_its_turn(work: Work) -> None:
    gates = [Gate() for _ in range(3)]
    names = [work.start(place, gate) for place, gate in enumerate(gates)]
    assert gates[0].has_begun.wait(PATIENCE)
    assert gates[1].has_begun.wait(PATIENCE)
    assert not gates[2].has_begun.is_set()
    assert state_of(work, names[2]) is State.WAITING
    gates[0].is_open.set()
    assert gates[2].has_begun.wait(PATIENCE)
    for gate in gates:
        gate.is_open.set()
    until(lambda: all(state_of(work, name) is State.DONE for name in names))


def test_more_than_may_wait_is_refused() -> None:
    work, gate = Work(at_once=2, most_waiting=2), Gate()
    for place in range(2):
        name = work.start(place, gate)
        until(lambda name=name: state_of(work, name) is State.RUNNING)  # type: ignore[misc]
    for place in range(2, 4):
        work.start(place, gate)
    with pytest.raises(BadRequest, match="waits already") as refused:
        work.start(4, gate)
    assert str(refused.value) == TOO_MUCH
    gate.is_open.set()
    work.close()


def test_stopped_work_ends_at_its_next_step_and_comes_to_nothing(work: Work) -> None:
    gate = Gate()
    name = work.start("a", gate)
    assert gate.has_begun.wait(PATIENCE)
    work.stop(name)
    gate.is_open.set()
    until(lambda: state_of(work, name) is State.STOPPED)
    with pytest.raises(KeyError):
        work.result(name)


def test_stopped_work_that_waits_is_never_begun(work: Work) -> None:
    gate, late = Gate(), Gate()
    for place in range(2):
        work.start(place, gate)
    name = work.start("late", late)
    work.stop(name)
    assert state_of(work, name) is State.STOPPED
    gate.is_open.set()
    until(lambda: all(state_of(work, work.newest(place) or "") is State.DONE for place in range(2)))
    assert not late.has_begun.is_set()


def test_work_asked_for_while_the_same_is_being_stopped_is_begun_anew(work: Work) -> None:
    gate = Gate()
    name = work.start("a", gate)
    assert gate.has_begun.wait(PATIENCE)
    work.stop(name)
    again = work.start("a", gate)
    assert again != name
    gate.is_open.set()
    until(lambda: state_of(work, again) is State.DONE)
    until(lambda: state_of(work, name) is State.STOPPED)


def test_stopping_what_is_done_leaves_its_result(work: Work) -> None:
    name = work.start("a", lambda _watch: 7)
    until(lambda: state_of(work, name) is State.DONE)
    work.stop(name)
    assert work.result(name) == 7


def test_an_error_is_kept_and_told_to_whoever_asks(work: Work) -> None:
    def refuses(_watch: Watch) -> None:
        raise BadRequest("The plant needs more than that.")

    name = work.start("a", refuses)
    until(lambda: state_of(work, name) is State.FAILED)
    for _ in range(2):
        with pytest.raises(BadRequest, match="The plant needs more than that"):
            work.result(name)


def test_a_mistake_of_the_program_is_logged_with_the_id_of_the_work(
    work: Work, caplog: pytest.LogCaptureFixture
) -> None:
    def breaks(_watch: Watch) -> None:
        raise ZeroDivisionError

    name = work.start("a", breaks)
    until(lambda: state_of(work, name) is State.FAILED)
    with pytest.raises(KeyError):
        work.result(name)
    assert name in caplog.text
    assert "ZeroDivisionError" in caplog.text


def test_a_result_is_let_go_when_nobody_asked_for_it_for_long() -> None:
    now = [0.0]
    work = Work(kept_for=60.0, clock=lambda: now[0])
    name = work.start("a", lambda _watch: 7)
    until(lambda: state_of(work, name) is State.DONE)
    now[0] = 59.0
    assert work.result(name) == 7
    now[0] = 59.0 + 59.0
    assert work.newest("a") == name
    now[0] = 59.0 + 61.0
    assert work.newest("a") is None
    assert work.standing(name) is None
    work.close()


def test_of_more_results_than_are_kept_the_one_asked_for_least_lately_goes() -> None:
    now = [0.0]
    work = Work(most_kept=2, clock=lambda: now[0])
    names = []
    for place in range(3):
        now[0] += 1.0
        names.append(work.start(place, lambda _watch: 7))
        until(lambda: state_of(work, names[-1]) in {State.DONE, None})
    now[0] += 1.0
    assert [state_of(work, name) for name in names] == [None, State.DONE, State.DONE]
    work.close()


def test_threads_end_with_their_work_and_closing_leaves_none() -> None:
    before = set(threading.enumerate())
    work, gate = Work(at_once=2), Gate()
    for place in range(4):
        work.start(place, gate)
    until(gate.has_begun.is_set)
    assert len(set(threading.enumerate()) - before) == 2
    gate.is_open.set()
    until(lambda: not set(threading.enumerate()) - before)
    gate.is_open.clear()
    gate.has_begun.clear()
    work.start("another", gate)
    assert gate.has_begun.wait(PATIENCE)
    gate.is_open.set()
    work.close()
    assert not set(threading.enumerate()) - before
    with pytest.raises(BadRequest, match="being stopped"):
        work.start("more", gate)


def test_a_reader_follows_work_and_only_who_may_write_stops_it(asking: Asking) -> None:
    reader, writer = asking(May.READ), asking(May.WRITE)
    work, gate = writer.app.app.state.work, Gate()  # type: ignore[attr-defined]
    name = work.start("a", gate)
    assert gate.has_begun.wait(PATIENCE)
    told = {"done": 1, "total": 4, "what": "the first step", "state": "running", "ended": False}
    assert reader.get(f"/progress/{name}").json() == told
    assert asking(None).get(f"/progress/{name}", headers={"Accept": "application/json"}).status_code == 401
    assert reader.delete(f"/progress/{name}").status_code == 403
    assert writer.delete(f"/progress/{name}").status_code == 200
    gate.is_open.set()
    until(lambda: reader.get(f"/progress/{name}").json()["ended"])
    assert reader.get(f"/progress/{name}").json()["state"] == "stopped"
    assert reader.get("/progress/nothing-of-that-name").status_code == 404

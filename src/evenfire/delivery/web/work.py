"""Long work in threads of its own: how far it has come, a way to stop it, and its result, kept for a while.

A thread begins when there is work for it and ends when there is none left: an idle server has none.
"""

import logging
from collections import deque
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from enum import Enum
from secrets import token_urlsafe
from threading import Lock, Thread, current_thread
from time import monotonic
from typing import TYPE_CHECKING, Final

from evenfire.errors import BadRequest, EvenfireError

if TYPE_CHECKING:
    # A proof loads arrays and a compiler; an idle server does without them.
    from evenfire.judgement.proofs.learning import Progress

AT_ONCE: Final = 2
"""Threads; the others wait their turn."""
MOST_WAITING: Final = 20
MOST_KEPT: Final = 6
"""Results: each holds the runs that its pictures are drawn from, some 15 MB."""
KEPT_FOR: Final = 1800.0
"""A result that nobody asks for [s]."""
ID_BYTES: Final = 16
LAST_WAIT: Final = 30.0
"""For each thread at the end; a compiler at work does not stop at once [s]."""
WAITING: Final = "waiting for other work"
STARTING: Final = "starting"
TOO_MUCH: Final = "Too much work waits already. Try again in a minute."
CLOSED: Final = "The server is being stopped. Start it again, then do this once more."

Watch = Callable[["Progress"], None]
"""Is told how far work has come; stops it where somebody asked for that."""
_LOG: Final = logging.getLogger("evenfire.web")


class Stopped(Exception):
    """Somebody stopped this work."""


class State(Enum):
    """Where work stands."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    STOPPED = "stopped"
    FAILED = "failed"


ENDED: Final = frozenset({State.DONE, State.STOPPED, State.FAILED})


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How far one piece of work has come."""

    id: str
    state: State
    done: int
    total: int
    """Nought where nobody knows"""
    what: str

    @property
    def has_ended(self) -> bool:
        """Whether it goes no further."""
        return self.state in ENDED


@dataclass(slots=True, kw_only=True, eq=False)
class _Task:
    """One piece of work; changed under the lock of those who keep it."""

    id: str
    key: Hashable
    function: Callable[[Watch], object] | None
    state: State = State.WAITING
    done: int = 0
    total: int = 0
    what: str = WAITING
    is_to_stop: bool = False
    result: object = None
    error: EvenfireError | None = None
    asked_at: float = 0.0
    """By the clock of those who keep it [s]"""


@dataclass(slots=True, kw_only=True, eq=False)
class Work:
    """Everything long that was asked of this server."""

    at_once: int = AT_ONCE
    most_waiting: int = MOST_WAITING
    most_kept: int = MOST_KEPT
    kept_for: float = KEPT_FOR
    """[s]"""
    clock: Callable[[], float] = monotonic
    _lock: Lock = field(default_factory=Lock)
    _tasks: dict[str, _Task] = field(default_factory=dict)
    _ids: dict[Hashable, str] = field(default_factory=dict)
    """The newest work of each key"""
    _queue: deque[_Task] = field(default_factory=deque)
    _threads: set[Thread] = field(default_factory=set)
    _is_closed: bool = False

    def start(self, key: Hashable, function: Callable[[Watch], object]) -> str:
        """Begin work, or find the same that is under way; its id.

        Raises
        ------
        BadRequest
            Too much waits already, or the server is being stopped.
        """
        with self._lock:
            self._forget()
            known = self._tasks.get(self._ids.get(key, ""))
            if known is not None and known.state not in ENDED and not known.is_to_stop:
                return known.id
            if self._is_closed:
                raise BadRequest(CLOSED)
            if len(self._queue) >= self.most_waiting:
                raise BadRequest(TOO_MUCH)
            task = _Task(id=token_urlsafe(ID_BYTES), key=key, function=function, asked_at=self.clock())
            self._tasks[task.id], self._ids[key] = task, task.id
            self._queue.append(task)
            if len(self._threads) < self.at_once:
                thread = Thread(target=self._drain, name="evenfire long work")
                self._threads.add(thread)
                thread.start()
            return task.id

    def newest(self, key: Hashable) -> str | None:
        """Id of the work of a key that was begun last, as long as it is kept."""
        with self._lock:
            self._forget()
            return self._ids.get(key)

    def standing(self, work: str) -> Standing | None:
        """How far work has come; ``None`` where there is none of this id any more."""
        with self._lock:
            self._forget()
            task = self._asked(work)
            return None if task is None else _standing(task)

    def result(self, work: str) -> object:
        """What work came to.

        Raises
        ------
        EvenfireError
            That with which it ended.
        KeyError
            It has not come to anything: stopped, not there yet, not kept any more, or broken off by a mistake of
            this program, which the log tells.
        """
        with self._lock:
            task = self._asked(work)
            if task is not None and task.error is not None:
                raise task.error.with_traceback(None)
            if task is None or task.state is not State.DONE:
                raise KeyError(work)
            return task.result

    def stop(self, work: str) -> None:
        """Stop work at its next step; that which waits is not begun, and that which has ended stays as it is."""
        with self._lock:
            task = self._asked(work)
            if task is None or task.state in ENDED:
                return
            task.is_to_stop = True
            if task in self._queue:
                self._queue.remove(task)
                task.state, task.function = State.STOPPED, None

    def close(self) -> None:
        """Stop everything and wait for the threads."""
        with self._lock:
            self._is_closed = True
            threads = tuple(self._threads)
            unfinished = [task.id for task in self._tasks.values() if task.state not in ENDED]
        for work in unfinished:
            self.stop(work)
        for thread in threads:
            thread.join(LAST_WAIT)

    def _asked(self, work: str) -> _Task | None:
        task = self._tasks.get(work)
        if task is not None:
            task.asked_at = self.clock()
        return task

    def _forget(self) -> None:
        """Let go of what ended and was not asked for lately, the oldest first."""
        ended = sorted((each for each in self._tasks.values() if each.state in ENDED), key=lambda each: each.asked_at)
        oldest = self.clock() - self.kept_for
        surplus = max(0, len(ended) - self.most_kept)
        for place, task in enumerate(ended):
            if place < surplus or task.asked_at < oldest:
                del self._tasks[task.id]
                if self._ids.get(task.key) == task.id:
                    del self._ids[task.key]

    def _drain(self) -> None:
        """Work until nothing waits."""
        while True:
            with self._lock:
                if not self._queue:
                    self._threads.discard(current_thread())
                    return
                task = self._queue.popleft()
                task.state, task.what = State.RUNNING, STARTING
            self._carry_out(task)

    def _carry_out(self, task: _Task) -> None:
        function = task.function
        state, result, error = State.FAILED, None, None
        try:
            if function is not None:
                result = function(lambda progress: self._told(task, progress))
                state = State.DONE
        except Stopped:
            state = State.STOPPED
        except EvenfireError as told:
            error = told
        except Exception:
            _LOG.exception("long work %s broke off", task.id)
        with self._lock:
            task.state, task.result, task.error, task.function = state, result, error, None
            task.asked_at = self.clock()

    def _told(self, task: _Task, progress: "Progress") -> None:
        with self._lock:
            if task.is_to_stop:
                raise Stopped
            task.done, task.total, task.what = progress.done, progress.total, progress.what


def _standing(task: _Task) -> Standing:
    return Standing(id=task.id, state=task.state, done=task.done, total=task.total, what=task.what)

"""What goes into the audit trail: every request that changes something, and every login, let in or refused."""

import logging
import re
import threading
import time
from collections import deque
from collections.abc import Iterator
from typing import Final

from fastapi import FastAPI
from fastapi.routing import APIRoute, iter_route_contexts
from starlette.routing import compile_path
from starlette.types import Scope

from evenfire.delivery.records.audit import Asked, write_down
from evenfire.delivery.records.database import Store
from evenfire.delivery.web.door.arrival import Arrival
from evenfire.delivery.web.door.rights import SAFE_METHODS
from evenfire.delivery.web.door.visitor import Visitor

TROUBLE: Final = logging.getLogger("evenfire.web")
START: Final = "/start"
"""Lets somebody in though it is only read."""
ASSUMED_MOST_OF_STRANGERS: Final = 1_000
"""Rows in an hour by those who are not let in: more would let anybody fill the disk, and says nothing new."""
METHODS: Final = frozenset({"GET", "POST", "PUT", "PATCH", "DELETE"})
HOUR: Final = 3600.0
"""[s]"""


class Audit:
    """Writes the trail; one for a whole server."""

    def __init__(self, store: Store, app: FastAPI) -> None:
        self._store = store
        self._forms = tuple(_forms(app))
        self._lock = threading.Lock()
        self._of_strangers: deque[float] = deque()

    def keep(self, scope: Scope, status: int) -> None:
        """Write a request down, where it is one of those that are kept.

        An entry that was acknowledged names its author and moment by itself: it does not wait for this, and stays when
        this cannot be written.
        """
        if scope["method"] in SAFE_METHODS and scope["path"] != START:
            return
        state = scope["state"]
        visitor = state.get("visitor")
        person, session = state.get("let_in") or _who(visitor)
        if person is None and not self._has_room():
            return
        asked = Asked(person=person, session=session, address=_address(scope), what=self._what(scope), status=status)
        try:
            write_down(self._store, asked)
        except Exception:
            # The answer is on its way already; an error here would tell nobody anything but this log.
            TROUBLE.exception("not in the audit trail: %s", asked)

    def _has_room(self) -> bool:
        now = time.monotonic()
        with self._lock:
            while self._of_strangers and now - self._of_strangers[0] > HOUR:
                self._of_strangers.popleft()
            if len(self._of_strangers) >= ASSUMED_MOST_OF_STRANGERS:
                return False
            self._of_strangers.append(now)
            if len(self._of_strangers) == ASSUMED_MOST_OF_STRANGERS:
                TROUBLE.warning("the audit trail takes nothing more of those who are not let in for an hour")
            return True

    def _what(self, scope: Scope) -> str:
        """Method, form of the path and the ids in it; a path of no form is not told, there might be anything in it.

        Also a request that reached no route is told so: which visit somebody tried to sign is worth knowing.
        """
        method, about = scope["method"], scope["state"].get("about")
        told = [method if method in METHODS else "other method"]
        for pattern, form in self._forms:
            found = pattern.match(scope["path"])
            if found is not None:
                told += [form, *(f"{name}={value}" for name, value in found.groupdict().items())]
                break
        else:
            told.append("no page of ours")
        return " ".join([*told, *([f"for={about}"] if about else [])])


def _forms(app: FastAPI) -> Iterator[tuple[re.Pattern[str], str]]:
    """Every path as its route writes it, in the order in which they are looked for."""
    for each in iter_route_contexts(app.routes):
        if isinstance(each.original_route, APIRoute) and each.path is not None:
            yield compile_path(each.path)[0], each.path


def _who(visitor: object) -> tuple[str | None, str]:
    return (visitor.person.id, visitor.session) if isinstance(visitor, Visitor) else (None, "")


def _address(scope: Scope) -> str:
    arrival = scope["state"].get("arrival")
    if isinstance(arrival, Arrival):
        return arrival.address
    client = scope.get("client")
    return str(client[0]) if client else ""

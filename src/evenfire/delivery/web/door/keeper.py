"""Who opens the door: logins, the start link, sessions, and whom a session belongs to now."""

import hmac
import logging
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from argon2 import PasswordHasher

from evenfire.delivery.records import registers, sessions
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.logins import HASHER, Hashed, hashed, is_right, login_named
from evenfire.delivery.records.registers import UNNAMED, spelled
from evenfire.delivery.records.sessions import csrf_of, new_token
from evenfire.delivery.web.door.arrival import Arrival, Reach, Refused
from evenfire.delivery.web.door.throttle import Throttle
from evenfire.delivery.web.door.visitor import Visitor
from evenfire.errors import BadStore

TROUBLE: Final = logging.getLogger("evenfire.web")

ASSUMED_AT_ONCE: Final = 2
"""Passphrases that are looked at together: each takes 64 MiB and a tenth of a second of a processor."""
ASSUMED_IN_LINE: Final = 8
"""More would wait so long that people try again, and would hold the threads that answer everybody else."""
LONGEST_TOKEN: Final = 200
"""Ours have 43 characters; more is not even hashed."""
MARK: Final = 4
"""Of a session, in the name of its device [characters]"""

WRONG: Final = "Name or passphrase is wrong."
BUSY: Final = "Many people log in at this moment. Try again in some seconds."
NOT_SO_FAST: Final = "Too many wrong tries. Try again in {wait}; a right passphrase would not be looked at before."
NOBODY_YET: Final = (
    "Nobody has a login here yet. At this computer, open the link that evenfire serve printed; for any other, add a "
    "person first: evenfire store person."
)
USED_LINK: Final = (
    "This link was opened before, or is of an earlier start. Stop evenfire serve and start it again: it prints a new "
    "one."
)
NOT_HERE: Final = "The start link opens at the computer that runs evenfire serve, and nowhere else."


@dataclass(frozen=True, slots=True, kw_only=True)
class LetIn:
    """A browser that was let in just now, with what it has to keep."""

    person: str
    """Whole id"""
    session: str
    """Short id"""
    token: str


class WrongLogin(Refused):
    """Name or passphrase is wrong; ``about`` is the whole id of the one whose name it was, for the audit trail."""

    def __init__(self, about: str | None) -> None:
        super().__init__(401, WRONG)
        self.about = about


class Keeper:
    """Lets browsers in over one store; one for a whole server."""

    def __init__(
        self,
        store: Store,
        reach: Reach,
        *,
        hasher: PasswordHasher = HASHER,
        now: Callable[[], float] = time.monotonic,
    ) -> None:
        self.store = store
        self.reach = reach
        self.start_token: str | None = new_token()
        """What the start link carries, until it was opened"""
        self._hasher = hasher
        self._throttle = Throttle(now)
        self._at_work = threading.BoundedSemaphore(ASSUMED_AT_ONCE)
        self._in_line = threading.BoundedSemaphore(ASSUMED_IN_LINE)
        self._starting = threading.Lock()

    @cached_property
    def _nobody(self) -> Hashed:
        """The login of a name that is not here: looking at it takes as long as at any other."""
        return hashed(secrets.token_urlsafe(), self._hasher)

    def visitor(self, token: str | None, arrival: Arrival) -> Visitor | None:
        """Whose session a token is, as things stand now."""
        if not token or len(token) > LONGEST_TOKEN:
            return None
        session = sessions.session_of(self.store, token)
        if session is None:
            return None
        is_unnamed = session.person.id == UNNAMED
        if is_unnamed and not arrival.is_local:
            return None
        if is_unnamed and registers.has_people(self.store):
            sessions.end(self.store, token)
            return None
        self._seen(session)
        return Visitor(
            person=session.person,
            session=session.short,
            csrf=csrf_of(token),
            device=session.device,
            is_unnamed=is_unnamed,
        )

    def _seen(self, session: sessions.Session) -> None:
        try:
            sessions.seen(self.store, session)
        except BadStore as error:
            # A disk that is full keeps nobody from reading; what is to be kept says so itself.
            TROUBLE.warning("not written down that a session is in use: %s", error)

    def log_in(self, name: str, passphrase: str, arrival: Arrival, device: str, before: str | None) -> LetIn:
        """Let somebody in by name and passphrase; ``before`` is the token of the session that this browser had.

        Raises
        ------
        Refused
            Name or passphrase is wrong, one and the same answer; or it was tried too often; or the line is long.
        """
        if not self._in_line.acquire(blocking=False):
            raise Refused(503, BUSY)
        try:
            account = spelled(name)[: registers.LONGEST_NAME]
            wait = self._throttle.try_now(account, arrival.address)
            if wait > 0.0:
                raise Refused(429, NOT_SO_FAST.format(wait=_in_words(wait)))
            person = self._person_of(name, passphrase)
            self._throttle.was_right(account, arrival.address)
        finally:
            self._in_line.release()
        return self._begin(person, device, before)

    def _person_of(self, name: str, passphrase: str) -> str:
        """Whole id; every name goes the same way, and the same long one."""
        nobody = self._nobody
        found = login_named(self.store, name)
        with self._at_work:
            right = is_right(nobody if found is None else found[1], passphrase, self._hasher)
        if found is None or not right:
            raise WrongLogin(None if found is None else found[0])
        return found[0]

    def start(self, token: str, arrival: Arrival, device: str) -> LetIn:
        """Let in whoever opens the start link at this computer, while the store knows no person.

        Raises
        ------
        Refused
            The link is not open any more, is opened elsewhere, or people are known by now.
        """
        if not arrival.is_local:
            raise Refused(403, NOT_HERE)
        with self._starting:
            if registers.has_people(self.store):
                self.start_token = None
            expected = self.start_token
            if expected is None or not hmac.compare_digest(token.encode(), expected.encode()):
                raise Refused(403, USED_LINK)
            self.start_token = None
        return self._begin(registers.unnamed_person(self.store).id, device, None)

    def _begin(self, person: str, device: str, before: str | None) -> LetIn:
        """A token that no browser had before: whatever somebody planted there opens nothing."""
        if before:
            self.log_out(before)
        session, token = sessions.begin(self.store, person=person, device=f"{device} {secrets.token_hex(MARK // 2)}")
        return LetIn(person=person, session=session.short, token=token)

    def log_out(self, token: str) -> None:
        """End a session."""
        if len(token) <= LONGEST_TOKEN:
            sessions.end(self.store, token)

    @property
    def has_people(self) -> bool:
        """Whether everybody needs a login."""
        return registers.has_people(self.store)


def device_of(agent: str) -> str:
    """Phone, tablet or computer, as its browser calls itself; for people to tell two devices apart, nothing else."""
    told = agent.lower()
    if "ipad" in told or "tablet" in told or ("android" in told and "mobile" not in told):
        return "tablet"
    return "phone" if "mobile" in told else "computer"


def _in_words(wait: float) -> str:
    """How long to wait [s], rounded up."""
    seconds = int(wait) + 1
    if seconds < 60:
        return f"{seconds} second" if seconds == 1 else f"{seconds} seconds"
    minutes = (seconds + 59) // 60
    return f"{minutes} minute" if minutes == 1 else f"{minutes} minutes"

"""How often a passphrase may be tried: for one name, from one address, and by everybody together.

A try is counted before it is looked at and given back when it was right, so that a hundred at the same moment are a
hundred. The counts are in memory: they are gone after a restart, which only somebody at this computer can bring about.
"""

import threading
from collections.abc import Callable
from dataclasses import dataclass
from ipaddress import IPv6Address, ip_network
from typing import Final

from evenfire.delivery.web.door.arrival import address_of

ASSUMED_FREE_FOR_NAME: Final = 5
"""Wrong tries before anybody waits: a passphrase with a slip of the finger in a glove takes two or three."""
ASSUMED_FREE_FROM_ADDRESS: Final = 20
"""A company's office is one address with several people behind it."""
ASSUMED_FREE_TOGETHER: Final = 100
"""More than a company gets wrong in an hour; a guess from many addresses at many names is slowed by this one alone."""
ASSUMED_LONGEST_WAIT: Final = 900.0
"""Whoever guesses gets at most four tries an hour then, and whoever was locked out by it waits no longer [s]."""
ASSUMED_LONGEST_WAIT_TOGETHER: Final = 2.0
"""Short, so that guessing does not lock everybody out [s]."""
ASSUMED_FORGOTTEN_AFTER: Final = 3600.0
"""Without another try [s]."""
MOST_KEPT: Final = 10_000
"""Names and addresses; more would let anybody fill the memory."""


@dataclass(slots=True)
class _Count:
    tries: int = 0
    last: float = 0.0
    """When the last try was let through [s]"""


@dataclass(frozen=True, slots=True)
class _Limit:
    key: str
    free: int
    longest: float
    """[s]"""


class Throttle:
    """Counts tries; one for a whole server."""

    def __init__(self, now: Callable[[], float]) -> None:
        self._now = now
        self._lock = threading.Lock()
        self._counts: dict[str, _Count] = {}

    def try_now(self, name: str, address: str) -> float:
        """Count a try and let it through (0), or say how long to wait before the next one is looked at [s]."""
        now = self._now()
        with self._lock:
            self._forget(now)
            limits = _limits(name, address)
            wait = max(self._wait(each, now) for each in limits)
            if wait > 0.0:
                return wait
            for each in limits:
                count = self._standing(each.key, now) or self._counts.setdefault(each.key, _Count())
                count.tries += 1
                count.last = now
            return 0.0

    def was_right(self, name: str, address: str) -> None:
        """Give a try back. The name starts anew; its address does not, or one right login would excuse many guesses."""
        of_name, of_address, together = _limits(name, address)
        with self._lock:
            self._counts.pop(of_name.key, None)
            for each in (of_address, together):
                count = self._counts.get(each.key)
                if count is not None:
                    count.tries -= 1

    def _wait(self, limit: _Limit, now: float) -> float:
        count = self._standing(limit.key, now)
        if count is None or count.tries < limit.free:
            return 0.0
        doubled = 2.0 ** min(count.tries - limit.free, 30)
        return count.last + min(doubled, limit.longest) - now

    def _standing(self, key: str, now: float) -> _Count | None:
        count = self._counts.get(key)
        if count is not None and now - count.last > ASSUMED_FORGOTTEN_AFTER:
            del self._counts[key]
            return None
        return count

    def _forget(self, now: float) -> None:
        if len(self._counts) <= MOST_KEPT:
            return
        for key in list(self._counts):
            self._standing(key, now)
        # Oldest first: whoever fills this up is slowed by the count of everybody together.
        for key in sorted(self._counts, key=lambda each: self._counts[each].last)[: -MOST_KEPT // 2]:
            if key != _TOGETHER:
                del self._counts[key]


_TOGETHER: Final = "together"


def _limits(name: str, address: str) -> tuple[_Limit, _Limit, _Limit]:
    return (
        _Limit(f"name {name}", ASSUMED_FREE_FOR_NAME, ASSUMED_LONGEST_WAIT),
        _Limit(f"address {_network(address)}", ASSUMED_FREE_FROM_ADDRESS, ASSUMED_LONGEST_WAIT),
        _Limit(_TOGETHER, ASSUMED_FREE_TOGETHER, ASSUMED_LONGEST_WAIT_TOGETHER),
    )


def _network(address: str) -> str:
    """Whoever has one address of IPv6 has the 64 bits below it as well."""
    found = address_of(address)
    return str(ip_network((found, 64), strict=False)) if isinstance(found, IPv6Address) else str(found or address)

"""What was worked out is remembered by what it was worked out from: the last so many, whoever asks."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

Value = TypeVar("Value")


class Remembered(Generic[Value]):
    """Values by their keys; the one that nobody asked for longest is forgotten first. Any thread may ask."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._values: OrderedDict[Hashable, Value] = OrderedDict()
        self._lock = Lock()

    def of(self, key: Hashable, make: Callable[[], Value]) -> Value:
        """The value of this key, made now if it is not remembered; an error is not remembered."""
        with self._lock:
            if key in self._values:
                self._values.move_to_end(key)
                return self._values[key]
        # Made outside of the lock: two who ask at once both make it, and nobody waits for another boiler.
        value = make()
        with self._lock:
            self._values[key] = value
            while len(self._values) > self._most:
                self._values.popitem(last=False)
        return value

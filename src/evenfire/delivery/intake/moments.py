"""Times of a run as somebody types them: "2h", "90 min", or "14:30" on a clock that stands at 00:00 at the start."""

import re
from typing import Final

from evenfire.delivery.units import read
from evenfire.errors import BadRequest, UnreadableQuantity
from evenfire.si import Dimension

ACCEPTED: Final = 'Accepted are times such as "2h", "90 min", "45 s" or "14:30" after a start at 00:00.'
_CLOCK: Final = re.compile(r"([0-9]{1,4}):([0-5][0-9])(?::([0-5][0-9]))?")
_NOUGHT: Final = re.compile(r"0+(?:\.0*)?")


def read_time(text: str, what: str) -> float:
    """Seconds from the start of a run; ``what`` says in an error whose time it is.

    Raises
    ------
    BadRequest
        The text is no time, or one before the start.
    """
    plain = text.strip()
    on_clock = _CLOCK.fullmatch(plain)
    if on_clock is not None:
        hours, minutes, seconds = (int(each or 0) for each in on_clock.groups())
        return float(3600 * hours + 60 * minutes + seconds)
    if _NOUGHT.fullmatch(plain):
        return 0.0
    try:
        time = read(plain, Dimension.TIME).value
    except UnreadableQuantity as error:
        raise BadRequest(f"{what}: {error.text!r} {error.why}. {ACCEPTED}") from error
    if time < 0:
        raise BadRequest(f"{what}: {plain!r} is before the start. {ACCEPTED}")
    return time

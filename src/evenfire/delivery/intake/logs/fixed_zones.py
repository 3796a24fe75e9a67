"""Clocks that are never changed: how far they are ahead of UTC."""

import re
from typing import Final

FIXED: Final = re.compile(r"UTC(?:([+-])(0?\d|1[0-4])(?::?([0-5]\d))?)?")
_HOUR: Final = 3_600_000_000


def fixed_offset(zone: str) -> int | None:
    """How far such a clock is ahead of UTC [us]; nothing for the name of a zone."""
    found = FIXED.fullmatch(zone)
    if found is None:
        return None
    sign, hours, minutes = found.groups()
    ahead = int(hours or 0) * _HOUR + int(minutes or 0) * _HOUR // 60
    return -ahead if sign == "-" else ahead

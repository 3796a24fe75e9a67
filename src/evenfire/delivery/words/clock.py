"""Times of a run as a person says them: the run begins at 00:00."""

from typing import Final

MINUTE: Final = 60
HOUR: Final = 3600
DAY: Final = 86_400


def clock(time: float, *, days: bool, seconds: bool = False) -> str:
    """A time since the start of a run [s] as on a clock, with the day where a run has several."""
    whole = int(time) if seconds else int((time + MINUTE / 2) // MINUTE) * MINUTE
    day, rest = divmod(whole, DAY) if days else (0, whole)
    text = f"{rest // HOUR:02d}:{rest % HOUR // MINUTE:02d}" + (f":{rest % MINUTE:02d}" if seconds else "")
    return f"day {day + 1} {text}" if days else text


def lasting(time: float) -> str:
    """How long something lasts [s], in two parts at most."""
    if time < MINUTE:
        return f"{time:.0f} s" if time >= 1 or time == 0 else f"{time:.1f} s"
    whole = round(time)
    for large, name, small, part in ((DAY, "days", HOUR, "h"), (HOUR, "h", MINUTE, "min"), (MINUTE, "min", 1, "s")):
        if whole >= (2 * large if large == DAY else large):
            count, rest = divmod(round(whole / small), large // small)
            return f"{count} {name}" + (f" {rest} {part}" if rest else "")
    return f"{whole} s"

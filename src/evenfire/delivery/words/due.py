"""What is said about things that come due: how often, whose rule, what became of the last time, what to do."""

from collections.abc import Mapping
from typing import Final

from evenfire.judgement.trip_test.devices import DeviceVerdict
from evenfire.judgement.trip_test.due import Interval
from evenfire.judgement.trip_test.trip import Verdict

CODE: Final = "code"
FROM_MEMORY: Final = "from memory"
CONFIRM: Final = (
    f'A source marked "{FROM_MEMORY}" is remembered, not read: confirm it in the adopted edition before you hold '
    "anybody to it. Jurisdiction, insurer and maker may ask for more; set what they ask for: evenfire store due-item."
)
DO_AFTER: Final[Mapping[str, str]] = {
    Verdict.DID_NOT_OPEN.value: "Keep the boiler out of service until it is mended and passes a test.",
    Verdict.DOES_NOT_LATCH.value: "Keep the boiler out of service until it is mended and passes a test.",
    Verdict.TRIPS_HIGH.value: "Keep the boiler out of service until it is set or replaced and passes a test.",
    Verdict.MUST_NOT_BE_MADE.value: "Set it lower or take a finer gauge, and test it again; it has not passed.",
    Verdict.UNDECIDED_HIGH.value: "Test it again with a finer gauge or more repeats; until then it has not passed.",
    Verdict.TRIPS_LOW.value: "Safe, but it trips for nothing: adjust it and test it again.",
    DeviceVerdict.FAILED.value: "Keep the boiler out of service until it is mended and passes a test.",
    DeviceVerdict.FAILED_EARLY.value: "Safe, but have the valve mended or replaced, and test it again.",
}
"""After a test that did not pass."""
MOVED: Final = "Its dial was moved since: where it acts now is not known."
AT_ONCE: Final = "At once"
NEVER: Final = "never recorded here"
BY_HAND: Final = "set by hand, not signed"
ASK_FOR_THE_LOG: Final = (
    "Done by whoever attends the boiler and kept in the log of the boiler room, not here: ask for the log."
)
_WHOSE: Final[Mapping[str, str]] = {
    "jurisdiction": "the jurisdiction",
    "insurer": "the insurer",
    "maker": "the maker",
    "owner": "the owner",
    "drift of the control": "the drift of the control",
    "certificate": "its certificate",
}
_MONTHS_A_YEAR: Final = 12
_DAYS_A_WEEK: Final = 7


def every(interval: Interval) -> str:
    """``every 6 months``, ``every day``."""
    return f"every {length(interval)}"


def length(interval: Interval) -> str:
    """``6 months``, ``day``, ``year``: behind "every"."""
    if interval.months is not None:
        count, unit = interval.months, "month"
        if count % _MONTHS_A_YEAR == 0:
            count, unit = count // _MONTHS_A_YEAR, "year"
    else:
        count, unit = interval.days or 0, "day"
        if count == _DAYS_A_WEEK:
            count, unit = 1, "week"
    return unit if count == 1 else f"{count} {unit}s"


def whose(text: str, source: str, *, is_from_memory: bool) -> str:
    """``CSD-1 (from memory)``, ``the insurer``, or what somebody wrote."""
    if source:
        return f"{source} ({FROM_MEMORY})" if is_from_memory else source
    return _WHOSE.get(text, text)


def counted(count: int, one: str, many: str = "") -> str:
    """``1 boiler``, ``2 boilers``."""
    return f"{count} {one if count == 1 else many or f'{one}s'}"


NOT_VERIFIED: Final = (
    "{boiler}: THE RECORDS OF THIS BOILER DO NOT VERIFY. {why} Nothing that passed counts, and everything is due at "
    "once: evenfire verify."
)

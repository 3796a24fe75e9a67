"""What is said about the history of a control: how it stands, what is missing, why a stretch began."""

from collections.abc import Mapping
from typing import Final

from evenfire.judgement.trip_test.drift import Follows
from evenfire.judgement.trip_test.stretches import Began

BEGAN: Final[Mapping[Began, str]] = {
    Began.DIAL_MOVED: "The dial was moved: a new stretch.",
    Began.DIAL_NOT_READ: "The dial was not read at both tests, so it may have been moved: a new stretch.",
    Began.SET_CHANGED: "It was to act at another pressure: a new stretch.",
}
"""Said before the test that begins a stretch."""
MISSING: Final[Mapping[str, str]] = {
    "history.first_test": "a signed trip test by true rise on a reference gauge",
    "history.second_test": "a second trip test by true rise on another day, with the dial left where it was",
    "trip.within": "how far it may act from where it shall (trip.within)",
    "boiler.mawp": "the boiler's pressure: a survey (evenfire store take PLANT)",
}
FOLLOWS: Final[Mapping[Follows, str]] = {
    Follows.CODE: "Its drift does not want it sooner.",
    Follows.DRIFT: "by its drift, before it may leave its band.",
    Follows.TOO_FEW_TESTS: "With so few tests its drift is too doubtful to go by.",
}
TEST_NOW: Final = "Test it now. Until then take it that it may act {side} its band."
ABOVE: Final = "above"
BELOW: Final = "below"
UNSAFE_SIDE: Final = " Above is the unsafe side."
TEST_OVERDUE: Final = "Test it: the test was due on {day}."
MOVED: Final = (
    "Where it acts now is not known: prove it on a reference gauge. What stands here is of where its dial stood before."
)
PROVE_IT: Final = "Prove it on a reference gauge."
NOTHING_BEFORE: Final = "Nothing to do before {day}."
SUPPLY: Final = "Supply {what}."
TEST_AT_ONCE: Final = " Test it again at once."
NONE_PASSED: Final = "No test shows that it acts where it is to act: test it at once, against that pressure."
TEST_BY: Final = " Test it again by {day}."
KEPT: Final = "The newest survey has another control, or none, in its place. Kept for the record."
UNKNOWN_SIGNER: Final = "its signer is not known here, so it is not counted"
OTHER_AIM: Final = "Made against another pressure, or a wider band, than it was to act at: no pass."
NO_METHOD: Final = "nobody wrote down how it was made to act"
NO_TRIP_POINT: Final = "no trip point could be worked out"
NOT_COUNTED: Final = "not counted for the drift"
UNREAD: Final = "Record {record} holds a trip test that cannot be read; it is not counted."
NOT_VERIFIED: Final = (
    "{why} The records of this boiler are not what was signed, so nothing that passed counts and every test is due at "
    "once. Ask for them as they were signed, or restore a backup: evenfire verify tells all of it."
)
NO_SERIAL: Final = "without a serial number"


def missing(key: str) -> str:
    """What would have to be known."""
    if key.endswith(".serial"):
        return f"its serial number in the survey ({key}): without it each test may be of another control"
    return MISSING.get(key, key)


def figure_title(boiler: str) -> str:
    """Over the figure."""
    return f"Where the limits of {boiler} acted, against where they shall"


FIGURE_LEAD: Final = "Error of each trip point, {unit}: above nought it acts too late, the unsafe side."
FIGURE_CAPTION: Final = "Bars: 95 % of each test. The same in words: evenfire history."
FIGURE_STRETCHES: Final = (
    "At a new stretch the dial was moved, or nobody read it: the trip point may jump there, and the line is that of "
    "the last stretch."
)
IN_KEY_PASSED: Final = "test, passed"
IN_KEY_FAILED: Final = "test, not passed"
IN_KEY_NOT_COUNTED: Final = "test, not counted"
IN_KEY_BAND: Final = "its band"
IN_KEY_LINE: Final = "drift, with 95 %"
IN_KEY_STRETCH: Final = "new stretch"
IN_KEY_DUE: Final = "test again"

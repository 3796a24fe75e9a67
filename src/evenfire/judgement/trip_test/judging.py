"""How a trip test came out: a limit has to be shown not to act too late (JCGM 106; decision 0015)."""

from evenfire.judgement.trip_test.abort import Abort
from evenfire.judgement.trip_test.trip import Earlier, TripResult, TripTest


def judge_trip(test: TripTest, earlier: Earlier | None = None, abort: Abort | None = None) -> TripResult:
    """How a trip test came out.

    ``abort`` is where it was to be broken off; without it every stop by hand counts as a fail.
    """
    raise NotImplementedError

"""The nearer the steps are asked to keep the pressure, the nearer come the events: to one and the same day."""

from functools import cache

import pytest

from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.run import ACCURACY, Event, Run, run
from tests.motion_models import laundry_like, load, standing

_DAY = 86400.0
_FINEST = 0.001
_TURNS = (Happening.TURNED_DOWN, Happening.TURNED_UP)
"""Written down where they are notable, and so no events that act."""
_SHARES = (0.03, 0.06, 0.1, 0.15, 0.2)


@cache
def _day(share: float, accuracy: float) -> Run:
    model = laundry_like()
    inputs, first = load(model, share), standing(model, 115)
    return run(model, inputs, first, duration=_DAY, interval=600.0, accuracy=accuracy)


@cache
def _acted(share: float, accuracy: float) -> tuple[Event, ...]:
    """In the order of the clock; within a millisecond in the order of what they are, because either may be first."""
    acted = [event for event in _day(share, accuracy).events if event.kind not in _TURNS]
    return tuple(sorted(acted, key=lambda event: (round(event.time, 3), event.kind, event.subject)))


def _furthest(share: float, accuracy: float) -> float:
    """Greatest distance in time of an event from the same event of the finest run [s]."""
    coarse, fine = _acted(share, accuracy), _acted(share, _FINEST)
    assert [(each.kind, each.subject) for each in coarse] == [(each.kind, each.subject) for each in fine]
    return max(abs(one.time - other.time) for one, other in zip(coarse, fine, strict=True))


@pytest.mark.parametrize("share", _SHARES)
def test_the_days_have_at_least_fifty_cycles(share: float) -> None:
    assert len(_day(share, _FINEST).cycles) >= 50


def test_events_come_nearer_as_the_accuracy_is_tightened() -> None:
    # The worst of all days: on a single one the errors of its cycles may happen to cancel.
    one, tenth, hundredth = (max(_furthest(share, accuracy) for share in _SHARES) for accuracy in (1.0, 0.1, 0.01))
    assert tenth < 0.5 * one
    assert hundredth < 0.5 * tenth


@pytest.mark.parametrize("share", _SHARES)
def test_the_usual_accuracy_keeps_every_event_of_a_day_within_a_twentieth_of_a_second(share: float) -> None:
    assert _furthest(share, ACCURACY) < 0.05


@pytest.mark.parametrize("share", _SHARES)
def test_what_crossed_the_boundary_does_not_hang_on_the_accuracy(share: float) -> None:
    coarse, fine = _day(share, 1.0).crossed, _day(share, _FINEST).crossed
    # A day's heat and steam; a step of feed or fire at its very end may fall on either side.
    assert coarse.heat == pytest.approx(fine.heat, rel=1e-4)
    assert coarse.steam == pytest.approx(fine.steam, rel=1e-6)
    assert coarse.purged == pytest.approx(fine.purged, rel=1e-4)
    assert coarse.lost == pytest.approx(fine.lost, rel=1e-6)

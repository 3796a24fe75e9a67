"""When a dial counts as moved. Facts of the trade: a dial that was turned and turned back acts elsewhere."""

import pytest

from evenfire.judgement.trip_test.stretches import ASSUMED_SAME_SETTING, Began, Seen, moved_since, stretches_of
from evenfire.si import PA_PER_PSI, GaugePa


def psi(value: float) -> GaugePa:
    return GaugePa(value * PA_PER_PSI)


def trip(dial: float | None, set_at: float | None = 140.0) -> Seen:
    return Seen(
        dial=None if dial is None else psi(dial), set_pressure=None if set_at is None else psi(set_at), is_test=True
    )


def look(dial: float) -> Seen:
    return Seen(dial=psi(dial))


CASES = {
    "nothing seen": ((), ()),
    "one test": ((trip(140),), ((0, Began.FIRST),)),
    "a dial looked at before the first test": ((look(120), trip(140)), ((0, Began.FIRST),)),
    "left where it was": ((trip(140), look(140), trip(140)), ((0, Began.FIRST), (0, Began.GOES_ON))),
    "moved between two tests": ((trip(140), trip(138)), ((0, Began.FIRST), (1, Began.DIAL_MOVED))),
    "moved, and moved back, seen in between": (
        (trip(140), look(135), trip(140)),
        ((0, Began.FIRST), (1, Began.DIAL_MOVED)),
    ),
    "turned down for a test of its function": (
        (trip(140), trip(90), trip(140)),
        ((0, Began.FIRST), (1, Began.DIAL_MOVED), (2, Began.DIAL_MOVED)),
    ),
    "not read at the second test": ((trip(140), trip(None)), ((0, Began.FIRST), (1, Began.DIAL_NOT_READ))),
    "not read at the first": ((trip(None), trip(140)), ((0, Began.FIRST), (1, Began.DIAL_NOT_READ))),
    "never read": (
        (trip(None), trip(None), trip(None)),
        ((0, Began.FIRST), (1, Began.DIAL_NOT_READ), (2, Began.DIAL_NOT_READ)),
    ),
    "not read, and moved meanwhile": (
        (trip(140), trip(None), trip(137)),
        ((0, Began.FIRST), (1, Began.DIAL_NOT_READ), (2, Began.DIAL_MOVED)),
    ),
    "to act elsewhere, the dial untouched": (
        (trip(140, 140), trip(140, 138)),
        ((0, Began.FIRST), (1, Began.SET_CHANGED)),
    ),
    "nobody wrote down where it shall act": (
        (trip(140, None), trip(140)),
        ((0, Began.FIRST), (0, Began.GOES_ON)),
    ),
    "nobody wrote down where it shall act any more": (
        (trip(140), trip(140, None)),
        ((0, Began.FIRST), (0, Began.GOES_ON)),
    ),
    "goes on after it was moved": (
        (trip(140), trip(138), look(138), trip(138)),
        ((0, Began.FIRST), (1, Began.DIAL_MOVED), (1, Began.GOES_ON)),
    ),
}


@pytest.mark.parametrize(("seen", "expected"), CASES.values(), ids=CASES)
def test_a_stretch_ends_when_the_dial_may_have_been_moved(
    seen: tuple[Seen, ...], expected: tuple[tuple[int, Began], ...]
) -> None:
    assert stretches_of(seen) == expected


@pytest.mark.parametrize(
    ("seen", "place", "moved"),
    [
        ((trip(140),), 0, False),
        ((trip(140), look(140)), 0, False),
        ((trip(140), look(135), look(140)), 0, True),
        ((look(135), trip(140)), 0, False),
        ((trip(140), trip(138)), 0, True),
        ((trip(140), trip(138)), 1, False),
        ((trip(140), trip(None), look(140)), 0, False),
        ((trip(None), look(140)), 0, False),
        ((trip(None), look(140), look(139)), 0, True),
    ],
)
def test_a_dial_is_moved_since_a_test_where_it_was_seen_elsewhere(
    seen: tuple[Seen, ...], place: int, moved: bool
) -> None:
    assert moved_since(seen, place) is moved


def test_the_same_setting_typed_in_two_units_is_the_same_setting() -> None:
    # 140 psi is 9.652660 bar to six decimals (1 psi = 6894.757 Pa): a difference of less than a pascal.
    assert stretches_of((trip(140), Seen(dial=GaugePa(965_266.0), set_pressure=psi(140), is_test=True)))[1] == (
        0,
        Began.GOES_ON,
    )


def test_a_tenth_of_a_psi_on_the_dial_is_a_move() -> None:
    assert ASSUMED_SAME_SETTING < 0.1 * PA_PER_PSI
    assert stretches_of((trip(140), trip(140.1)))[1] == (1, Began.DIAL_MOVED)

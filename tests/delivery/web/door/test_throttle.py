"""How often a passphrase may be tried. The numbers are our own assumptions; what is tested is that no way around leads
past all three counts."""

import threading

from evenfire.delivery.web.door.throttle import (
    ASSUMED_FORGOTTEN_AFTER,
    ASSUMED_FREE_FOR_NAME,
    ASSUMED_FREE_FROM_ADDRESS,
    ASSUMED_FREE_TOGETHER,
    ASSUMED_LONGEST_WAIT,
    ASSUMED_LONGEST_WAIT_TOGETHER,
    MOST_KEPT,
    Throttle,
)
from tests.delivery.web.door.at_door import Clock

HOUR = 3600.0


def tries_let_through(throttle: Throttle, clock: Clock, seconds: float, name: str, address: str) -> int:
    """How many wrong tries somebody gets who tries every half second."""
    through, end = 0, clock.seconds + seconds
    while clock.seconds < end:
        through += throttle.try_now(name, address) == 0.0
        clock.seconds += 0.5
    return through


def test_some_slips_of_the_finger_cost_nothing() -> None:
    throttle = Throttle(Clock())
    assert [throttle.try_now("ada", "192.0.2.1") for _ in range(ASSUMED_FREE_FOR_NAME)] == [0.0] * ASSUMED_FREE_FOR_NAME
    assert throttle.try_now("ada", "192.0.2.1") == 1.0


def test_every_further_try_waits_twice_as_long_up_to_a_limit() -> None:
    clock = Clock()
    throttle = Throttle(clock)
    waits = []
    for _ in range(ASSUMED_FREE_FOR_NAME + 12):
        wait = throttle.try_now("ada", "192.0.2.1")
        if wait:
            waits.append(wait)
            clock.seconds += wait
            assert throttle.try_now("ada", "192.0.2.1") == 0.0
    assert waits == [
        1.0,
        2.0,
        4.0,
        8.0,
        16.0,
        32.0,
        64.0,
        128.0,
        256.0,
        512.0,
        ASSUMED_LONGEST_WAIT,
        ASSUMED_LONGEST_WAIT,
    ]


def test_one_name_from_many_addresses_is_slowed() -> None:
    clock = Clock()
    throttle = Throttle(clock)
    through = 0
    for place in range(7200):
        through += throttle.try_now("ada", f"198.51.{place // 250}.{place % 250}") == 0.0
        clock.seconds += 0.5
    # Five, then after 1, 2, 4 ... 512 s; what is left of the hour lets two or three more through.
    assert through <= ASSUMED_FREE_FOR_NAME + 13


def test_many_names_from_one_address_are_slowed() -> None:
    clock = Clock()
    throttle = Throttle(clock)
    through = 0
    for place in range(7200):
        through += throttle.try_now(f"name {place}", "198.51.100.4") == 0.0
        clock.seconds += 0.5
    assert through <= ASSUMED_FREE_FROM_ADDRESS + 13


def test_many_addresses_of_one_network_of_ipv6_are_one() -> None:
    throttle = Throttle(Clock())
    tried = [throttle.try_now(f"name {place}", f"2001:db8::{place:x}") for place in range(1, 100)]
    assert tried.count(0.0) == ASSUMED_FREE_FROM_ADDRESS


def test_many_names_from_many_addresses_are_slowed_together_but_nobody_is_locked_out() -> None:
    clock = Clock()
    throttle = Throttle(clock)
    through = 0
    for place in range(7200):
        through += throttle.try_now(f"name {place}", f"198.{place // 62500}.{place // 250 % 250}.{place % 250}") == 0.0
        clock.seconds += 0.5
    assert through <= ASSUMED_FREE_TOGETHER + HOUR / ASSUMED_LONGEST_WAIT_TOGETHER + 2
    clock.seconds += ASSUMED_LONGEST_WAIT_TOGETHER
    assert throttle.try_now("ada", "192.0.2.1") == 0.0


def test_a_right_passphrase_excuses_its_name_and_not_its_address() -> None:
    clock = Clock()
    throttle = Throttle(clock)
    for _ in range(ASSUMED_FREE_FROM_ADDRESS // 2):
        # Somebody with a login of his own guesses at the names of others in between.
        assert throttle.try_now("mallory", "198.51.100.4") == 0.0
        throttle.was_right("mallory", "198.51.100.4")
        assert throttle.try_now(f"ada{clock.seconds}", "198.51.100.4") == 0.0
        clock.seconds += 0.5
    left = tries_let_through(throttle, clock, 0.5 * ASSUMED_FREE_FROM_ADDRESS, "ben", "198.51.100.4")
    assert left <= ASSUMED_FREE_FROM_ADDRESS // 2 + 3


def test_a_hundred_at_one_moment_are_a_hundred() -> None:
    throttle = Throttle(Clock())
    gate = threading.Barrier(100)
    through: list[float] = []

    def guess() -> None:
        gate.wait()
        through.append(throttle.try_now("ada", "192.0.2.1"))

    guesses = [threading.Thread(target=guess) for _ in range(100)]
    for each in guesses:
        each.start()
    for each in guesses:
        each.join()
    assert through.count(0.0) == ASSUMED_FREE_FOR_NAME


def test_what_is_long_ago_is_forgotten() -> None:
    clock = Clock()
    throttle = Throttle(clock)
    tries_let_through(throttle, clock, HOUR, "ada", "192.0.2.1")
    clock.seconds += ASSUMED_FORGOTTEN_AFTER + 1.0
    assert throttle.try_now("ada", "192.0.2.1") == 0.0


def test_names_by_the_million_do_not_fill_the_memory() -> None:
    clock = Clock()
    throttle = Throttle(clock)
    for place in range(2 * MOST_KEPT):
        clock.seconds += ASSUMED_LONGEST_WAIT_TOGETHER
        throttle.try_now(f"name {place}", f"198.{place // 62500}.{place // 250 % 250}.{place % 250}")
    assert len(throttle._counts) <= MOST_KEPT + 3

"""Loads as profiles over time: every number here is worked out by hand from the load's own words."""

from math import inf

import numpy as np
import pytest

from evenfire.judgement.motion.loading import FaultAt, inputs_of, profile_of, worst_steady_load
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.model import steady
from evenfire.plant.known import NotKnownError
from evenfire.plant.load import Batches, Constant, Daily, Recorded, Steps
from tests.surveys import case_of, survey


def test_a_constant_load_stands_still_for_ever() -> None:
    profile = profile_of(Constant(steam=0.3))
    assert profile.pieces.tolist() == [[0.0, 0.3, 0.0]]
    assert profile.period == inf


def test_steps_follow_each_other_and_begin_again() -> None:
    profile = profile_of(Steps(steps=((600.0, 0.3), (60.0, 0.1), (240.0, 0.0))))
    assert profile.pieces.tolist() == [[0.0, 0.3, 0.0], [600.0, 0.1, 0.0], [660.0, 0.0, 0.0]]
    assert profile.period == 900.0


def test_a_day_has_a_step_an_hour() -> None:
    hours = tuple(0.1 * hour for hour in range(24))
    profile = profile_of(Daily(hours=hours))
    assert profile.pieces[:, 0].tolist() == [3600.0 * hour for hour in range(24)]
    assert profile.pieces[:, 1].tolist() == list(hours)
    assert not profile.pieces[:, 2].any()
    assert profile.period == 86400.0


def batches(duration: float, per_hour: float) -> Batches:
    return Batches(base=0.1, batch=0.2, duration=duration, per_hour=per_hour / 3600)


def test_batches_come_at_even_distances_the_first_at_once() -> None:
    # Twenty an hour is one every 180 s; each lasts 90 s.
    profile = profile_of(batches(90.0, 20))
    assert profile.pieces == pytest.approx(np.array([[0.0, 0.3, 0.0], [90.0, 0.1, 0.0]]))
    assert profile.period == pytest.approx(180.0)


def test_batches_longer_than_their_distance_overlap() -> None:
    # Every 100 s one of 250 s: for 50 s three are at work, then two for the other 50 s.
    profile = profile_of(batches(250.0, 36))
    assert profile.pieces == pytest.approx(np.array([[0.0, 0.7, 0.0], [50.0, 0.5, 0.0]]))
    assert profile.period == pytest.approx(100.0)
    # What is drawn in an hour is the same however it overlaps: 36 batches of 250 s at 0.2 kg/s, and the base.
    assert profile.pieces[:, 1].mean() * 3600 == pytest.approx(0.1 * 3600 + 36 * 250 * 0.2)


@pytest.mark.parametrize(("duration", "flow"), [(1800.0, 0.3), (3600.0, 0.5)])
def test_batches_that_follow_without_a_gap_are_a_steady_load(duration: float, flow: float) -> None:
    profile = profile_of(batches(duration, 2))
    assert profile.pieces == pytest.approx(np.array([[0.0, flow, 0.0]]))
    assert profile.period == inf


def test_a_load_in_a_file_that_was_not_read_is_asked_for() -> None:
    with pytest.raises(NotKnownError) as raised:
        profile_of(Recorded(file="week.csv"))
    assert raised.value.keys == ("load.demand",)


def test_what_is_done_to_a_boiler_is_only_what_is_said() -> None:
    inputs = inputs_of(steady(0.25))
    assert inputs.draw.pieces.tolist() == [[0.0, 0.25, 0.0]]
    assert inputs.heat.pieces.tolist() == [[0.0, 0.0, 0.0]]
    assert inputs.given_feed.pieces.tolist() == [[0.0, 0.0, 0.0]]
    assert inputs.faults.shape == (0, 4)
    assert inputs.resets.tolist() == []


def test_faults_are_rows_and_a_hand_presses_in_order_and_once_each() -> None:
    faults = (
        FaultAt(fault=Fault.POWER_OFF, begin=30.0, end=40.0),
        FaultAt(fault=Fault.HIGH_LIMIT_DRIFTED, begin=5.0, amount=6894.0),
    )
    inputs = inputs_of(steady(0.25), faults, (70.0, 20.0, 70.0))
    # The numbers of the two faults are 11 and 7.
    assert inputs.faults.tolist() == [[11.0, 30.0, 40.0, 0.0], [7.0, 5.0, inf, 6894.0]]
    assert inputs.resets.tolist() == [20.0, 70.0]


def test_the_load_that_starts_the_burner_most_often_is_half_of_low_fire() -> None:
    # A burner that is on for half of the time cycles fastest (textbooks on cycling, from memory): heat drawn is half of
    # low fire. A start chain of a minute and more, in which only the load acts, moves it below the half.
    edits: dict[str, object] = {"load.demand": None, "boiler.standing_loss": "70,000 Btu/h"}
    low = 8.35e6 * 0.81 / 4
    drawn = worst_steady_load(case_of(survey(edits))) * 3600 / 0.4535924 * 1020 + 70_000
    # A pound of steam at 105 psi takes some 1,020 Btu from 200 F.
    assert 0.35 * low < drawn < 0.52 * low


def test_where_the_loss_alone_is_more_than_the_load_nothing_is_drawn() -> None:
    edits: dict[str, object] = {"load.demand": None, "boiler.standing_loss": "2 MMBtu/h"}
    assert worst_steady_load(case_of(survey(edits))) == 0.0


def test_what_the_worst_load_lacks_is_asked_for() -> None:
    with pytest.raises(NotKnownError) as raised:
        worst_steady_load(case_of(survey({"boiler.as_found.operating_limit_differential": None})))
    assert "settings.operating_limit_differential" in raised.value.keys

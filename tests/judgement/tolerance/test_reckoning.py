"""One draw reckoned by hand: points, errors and motion are written, every room and band is a sum of them."""

from dataclasses import replace
from math import inf
from types import MappingProxyType

import numpy as np
import pytest

from evenfire.judgement.case import Case
from evenfire.judgement.margins import Tier
from evenfire.judgement.motion.modelling import TRUE_DIALS, Shifts
from evenfire.judgement.outcome import TermName
from evenfire.judgement.tolerance.measurements import Measurement, possible_for
from evenfire.judgement.tolerance.motion import BurnerMotion, Motion, motion_of
from evenfire.judgement.tolerance.questions import Ground, Question, questions_on, reckon, require_known, run
from evenfire.judgement.tolerance.rig import rigs_of
from evenfire.judgement.tolerance.rows import DRIFTS, FIRST_VALVE, SET_ERRORS, Errors, columns_of, errors_of
from evenfire.judgement.tolerance.sensitivity import Help, MarginPulls, MotionPull, Stake
from evenfire.judgement.tolerance.spread import ControlSpread, Spread, ValveSpread, spread_of
from evenfire.judgement.tolerance.values import kind_of
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing, NotKnownError, Origin
from evenfire.si import DiffPa, Dimension, Quantity
from tests.surveys import case_of, survey

PSI = 6894.757293168
LEG = 0.433 * 0.5
GAS = BurnerMotion(
    low_share=0.25, is_proportional=True, from_low_fire=1_000.0, from_full_fire=5_000.0, drop_overshoot=2_000.0
)


def laundry(edits: dict[str, object] | None = None) -> Case:
    return case_of(survey(edits))


def ground(*burners: BurnerMotion, edits: dict[str, object] | None = None, rigs: bool = True) -> Ground:
    case = laundry(edits)
    motion = Motion(burners=burners, rigs=rigs_of(case) if rigs else (), missing=())
    return Ground(case=case, spread=spread_of(case), motion=motion)


def off(*, operating: float = 0.0, high: float = 0.0, rate: float = 0.0, lift: float | None = 148.0) -> Errors:
    """One draw [psi]."""
    one, two, three = (np.array([each * PSI]) for each in (operating, high, rate))
    at = None if lift is None else np.array([lift * PSI])
    return Errors(operating_limit=one, high_limit=two, firing_rate=three, lift=at)


ERRORS = off(operating=1.0, high=-2.0, rate=3.0)
"""Cut-out at 121 psi, high limit at 138, firing band from 113 to 128: the burner stands at 7/15 of its stroke."""
RUN_ON = 1_000 + 4_000 * 7 / 15
"""[Pa]"""
UNSURE = 0.1 * PSI + 0.25 * 5_000 + 5_000 - RUN_ON
"""Low fire may not be reached: a quarter of full fire's run-on, a tenth of a psi, and what full fire would add [Pa]."""


@pytest.mark.parametrize(
    ("question", "room", "band"),
    [
        (Question.NUISANCE_TRIP, (138 - 121) * PSI - RUN_ON, UNSURE),
        (Question.STOP_BEFORE_LOW_FIRE, (121 - 128) * PSI - 2_000, 0.1 * PSI + 0.25 * 2_000),
        (Question.INVERTED_ORDER, (138 - 121) * PSI, None),
        (Question.LIFT_IN_NORMAL_WORK, (148 - 121 + LEG) * PSI - RUN_ON, UNSURE),
        (Question.LIFT_AFTER_HIGH_LIMIT, (148 - 138 + LEG) * PSI - 5_000, 0.1 * PSI + 0.25 * 5_000),
    ],
)
def test_each_question_by_hand(question: Question, room: float, band: float | None) -> None:
    found = reckon(ground(GAS), question, ERRORS)
    assert found.room == pytest.approx([room], abs=0.5)
    assert (found.band is None) is (band is None)
    if band is not None:
        assert found.band == pytest.approx([band], abs=0.5)


def test_of_two_burners_the_one_that_runs_on_or_overshoots_more_counts() -> None:
    oil = replace(GAS, low_share=0.5, from_low_fire=1_500.0, from_full_fire=4_000.0, drop_overshoot=3_000.0)
    # Oil: 1500 + 2500 x 7/15 = 2667, less than gas with 2867; after the trip 4000 are less than 5000.
    both = ground(oil, GAS)
    room = reckon(both, Question.NUISANCE_TRIP, ERRORS).room
    assert room == pytest.approx([17 * PSI - RUN_ON], abs=0.5)
    after = reckon(both, Question.LIFT_AFTER_HIGH_LIMIT, ERRORS).room
    assert after == pytest.approx([(10 + LEG) * PSI - 5_000], abs=0.5)
    before = reckon(both, Question.STOP_BEFORE_LOW_FIRE, ERRORS).room
    assert before == pytest.approx([-7 * PSI - 3_000], abs=0.5)


def test_a_burner_far_above_its_band_runs_on_from_low_fire_with_a_narrow_band() -> None:
    found = reckon(ground(GAS), Question.NUISANCE_TRIP, off(rate=-10.0))
    # The band ends at 115 psi; 120 is clear of it by more than its overshoot and full fire's run-on.
    assert found.room == pytest.approx([20 * PSI - 1_000], abs=0.5)
    assert found.band == pytest.approx([0.1 * PSI + 250], abs=0.5)


def test_an_on_off_burner_has_one_run_on_whatever_its_dials() -> None:
    one = replace(GAS, low_share=1.0, from_low_fire=5_000.0)
    found = reckon(ground(one), Question.NUISANCE_TRIP, ERRORS)
    assert found.room == pytest.approx([17 * PSI - 5_000], abs=0.5)
    assert found.band == pytest.approx([0.1 * PSI + 1_250], abs=0.5)


def test_closed_forms_run_on_from_their_worst_corner() -> None:
    found = reckon(ground(GAS, rigs=False), Question.NUISANCE_TRIP, ERRORS)
    assert found.room == pytest.approx([17 * PSI - 1_000], abs=0.5)
    assert found.band == pytest.approx([0.1 * PSI + 250], abs=0.5)


def test_what_a_question_lacks_is_asked_for() -> None:
    lacking = Missing(("controls.firing_rate.tolerance.dial",))
    there = ground(GAS)
    bare = replace(there, spread=replace(there.spread, firing_rate=lacking))
    for question in questions_on(there.case):
        require_known(there, question)
        needs_rate = question in {
            Question.NUISANCE_TRIP,
            Question.STOP_BEFORE_LOW_FIRE,
            Question.LIFT_IN_NORMAL_WORK,
        }
        if needs_rate:
            with pytest.raises(NotKnownError) as raised:
                require_known(bare, question)
            assert raised.value.keys == lacking.keys
        else:
            require_known(bare, question)
    # Where the fire does not hang on a line the firing rate's errors decide nothing but the order of the band.
    one = replace(bare, motion=replace(bare.motion, burners=(replace(GAS, low_share=1.0),)))
    require_known(one, Question.NUISANCE_TRIP)
    no_valve = replace(there, spread=replace(there.spread, valves=()))
    for question in (Question.LIFT_IN_NORMAL_WORK, Question.LIFT_AFTER_HIGH_LIMIT):
        with pytest.raises(NotKnownError) as raised:
            require_known(no_valve, question)
        assert raised.value.keys == ("safety_valve.set",)
    require_known(no_valve, Question.INVERTED_ORDER)


def test_the_loop_tells_the_same_rooms_with_the_same_errors() -> None:
    case = laundry()
    there = Ground(case=case, spread=spread_of(case), motion=motion_of(case))
    shifts = Shifts(operating_limit=PSI, high_limit=-2 * PSI)
    lift = 148 * PSI
    # By hand: no motion in it.
    assert run(there, Question.INVERTED_ORDER, shifts, lift) == pytest.approx(17 * PSI, abs=0.5)
    for question in (Question.NUISANCE_TRIP, Question.LIFT_IN_NORMAL_WORK, Question.LIFT_AFTER_HIGH_LIMIT):
        errors = off(operating=1.0, high=-2.0)
        reckoned = reckon(there, question, errors)
        assert reckoned.band is not None
        assert run(there, question, shifts, lift) == pytest.approx(reckoned.room[0], abs=reckoned.band[0]), question
    # A limit that acts higher leaves as much less to the valve.
    trip = [run(there, Question.LIFT_AFTER_HIGH_LIMIT, Shifts(high_limit=by * PSI), lift) for by in (0.0, 2.0)]
    assert (trip[0] - trip[1]) / PSI == pytest.approx(2.0, abs=0.1)
    assert run(there, Question.NUISANCE_TRIP, TRUE_DIALS, inf) < inf


SPREAD = Spread(
    operating_limit=ControlSpread(set_error=1_000.0, drift=100.0),
    high_limit=ControlSpread(set_error=2_000.0, drift=200.0),
    firing_rate=Missing(("controls.firing_rate.scale",)),
    valves=(ValveSpread(lift=1_000_000.0, off=30_000.0), ValveSpread(lift=990_000.0, off=10_000.0)),
)


def test_rows_become_errors_on_two_days() -> None:
    assert columns_of(SPREAD) == 8
    rows = np.zeros((2, 8))
    rows[:, SET_ERRORS] = [[0.5, -1.0, 1.0], [0.0, 0.25, 0.0]]
    rows[:, DRIFTS] = [[2.0, -1.0, 3.0], [1.0, 0.0, 0.0]]
    rows[:, FIRST_VALVE] = [0.0, -1.0]
    rows[:, FIRST_VALVE + 1] = [0.5, 1.0]
    begin, later = errors_of(rows, SPREAD)
    assert begin.operating_limit.tolist() == [500.0, 0.0]
    assert later.operating_limit.tolist() == [700.0, 100.0]
    assert begin.high_limit.tolist() == [-2_000.0, 500.0]
    assert later.high_limit.tolist() == [-2_200.0, 500.0]
    # Of what nobody knows nothing is drawn.
    assert begin.firing_rate.tolist() == later.firing_rate.tolist() == [0.0, 0.0]
    # The lowest lift of each draw: 1,000,000 or 995,000; 970,000 or 1,000,000.
    for day in (begin, later):
        assert day.lift is not None
        assert day.lift.tolist() == [995_000.0, 970_000.0]
    second = begin.taken(np.array([1]))
    assert second.high_limit.tolist() == [500.0]
    assert second.lift is not None
    assert second.lift.tolist() == [970_000.0]
    no_valve, _ = errors_of(rows, replace(SPREAD, valves=()))
    assert no_valve.lift is None
    assert no_valve.taken(np.array([0])).lift is None
    assert columns_of(replace(SPREAD, valves=())) == 6


def test_each_control_has_its_own_spread() -> None:
    assert SPREAD.of(Role.OPERATING_LIMIT) is SPREAD.operating_limit
    assert SPREAD.of(Role.HIGH_LIMIT) is SPREAD.high_limit
    assert SPREAD.of(Role.FIRING_RATE) is SPREAD.firing_rate
    assert isinstance(SPREAD.of(Role.LOW_FIRE_HOLD), Missing)


@pytest.mark.parametrize(("key", "missing"), [("scale", "scale"), ("tolerance", "tolerance.dial")])
def test_a_control_that_nobody_described_is_not_drawn(key: str, missing: str) -> None:
    found = spread_of(laundry({f"boiler.controls.operating_limit.{key}": None}))
    assert isinstance(found.operating_limit, Missing)
    assert found.operating_limit.keys == (f"controls.operating_limit.{missing}",)
    assert isinstance(found.high_limit, ControlSpread)
    # 10 to 200 psi: half a percent of 190 psi a year.
    assert found.high_limit.drift / PSI == pytest.approx(0.95)
    assert found.high_limit.set_error / PSI == pytest.approx(2.0)


def measured(code: str, *keys: str) -> dict[Measurement, tuple[str, ...]]:
    margin = next(each for each in laundry().demands if each.code == code)
    kinds = MappingProxyType({key: kind_of(key) for key in keys})
    return {each.measurement: each.keys for each in possible_for(margin, keys, kinds)}


def test_what_can_be_measured_for_a_margin_and_what_that_settles() -> None:
    found = measured(
        "high-limit-stops-before-valve", "burner.heat_lag", "water_volume", "controls.high_limit.tolerance"
    )
    # A run-on that is read settles all of the motion; a heat lag by itself is read no other way.
    assert found == {
        Measurement.WATER_VOLUME: ("water_volume",),
        Measurement.TRIP_POINT: ("controls.high_limit.tolerance",),
        Measurement.RUN_ON: ("burner.heat_lag", "water_volume"),
    }
    found = measured("restart-holds-need", "burner.start", "load.line_drop", "controls.operating_limit.water_leg")
    assert found == {
        Measurement.CONTACT_TO_LOW_FIRE: ("burner.start",),
        Measurement.LINE_DROP: ("load.line_drop",),
        Measurement.WATER_LEG: ("controls.operating_limit.water_leg",),
        Measurement.UNDERSHOOT: ("burner.start",),
    }


def pull(key: str, higher: float, lower: float) -> MotionPull:
    return MotionPull(
        key=key,
        origin=Origin.SURVEYED,
        doubt=Quantity(0.1, Dimension.FRACTION),
        higher=DiffPa(higher),
        lower=DiffPa(lower),
    )


def margin(room: float, doubt: float, tier: Tier = Tier.WANTED) -> MarginPulls:
    return MarginPulls(code="any", tier=tier, room=DiffPa(room), doubt=DiffPa(doubt), pulls=(), helps=())


@pytest.mark.parametrize(
    ("room", "doubt", "tier", "stake"),
    [
        # More than three doubts of room, which is a choice of ours.
        (3.1, 1.0, Tier.NEVER_RELAXED, Stake.NOTHING),
        (3.0, 1.0, Tier.NEVER_RELAXED, Stake.SAFETY),
        (-9.0, 1.0, Tier.NEVER_RELAXED, Stake.SAFETY),
        (2.0, 1.0, Tier.WANTED, Stake.VERDICT),
        (-3.0, 1.0, Tier.WANTED, Stake.VERDICT),
        (-3.1, 1.0, Tier.WANTED, Stake.AMOUNT),
        (0.0, 0.0, Tier.WANTED, Stake.NOTHING),
        (-0.1, 0.0, Tier.WANTED, Stake.AMOUNT),
    ],
)
def test_what_is_at_stake_for_a_margin(room: float, doubt: float, tier: Tier, stake: Stake) -> None:
    assert margin(room, doubt, tier).stake is stake
    assert margin(room, doubt, tier).is_short_for_sure is (room < -3.0 * doubt)


def test_the_larger_side_of_a_pull_is_its_size() -> None:
    assert pull("a", 3.0, -5.0).size == 5.0
    assert pull("a", -6.0, 5.0).size == 6.0
    assert margin(1.0, 1.0).deciding is None
    first, second = pull("a", 3.0, -5.0), pull("b", 1.0, 1.0)
    assert replace(margin(1.0, 1.0), pulls=(first, second)).deciding is first


def help_(measurement: Measurement, *keys: str, term: TermName | None = None) -> Help:
    return Help(measurement=measurement, keys=keys, code="any", before=DiffPa(9.0), after=DiffPa(4.0), term=term)


def test_one_measurement_is_the_same_for_whichever_margin() -> None:
    volume = help_(Measurement.WATER_VOLUME, "water_volume")
    assert volume.gain == 5.0
    assert volume.does_the_same_as(replace(volume, code="other", before=DiffPa(7.0)))
    assert not volume.does_the_same_as(help_(Measurement.METAL_MASS, "water_volume"))
    trip = help_(Measurement.TRIP_POINT, "controls.high_limit.tolerance")
    assert not trip.does_the_same_as(help_(Measurement.TRIP_POINT, "controls.firing_rate.tolerance"))
    # One reading of a run-on settles more for one margin than for another, and is one reading.
    cut_out = help_(Measurement.RUN_ON, "burner.heat_lag", term=TermName.RUN_ON_AT_CUT_OUT)
    assert cut_out.does_the_same_as(help_(Measurement.RUN_ON, "output", term=TermName.RUN_ON_AT_CUT_OUT))
    assert not cut_out.does_the_same_as(help_(Measurement.RUN_ON, "output", term=TermName.RUN_ON_AT_FULL_FIRE))

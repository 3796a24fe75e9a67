"""What is drawn and what is reckoned for one draw, by mental arithmetic."""

from dataclasses import replace
from math import inf

import numpy as np
import pytest

from evenfire.judgement.case import Case
from evenfire.judgement.motion.modelling import TRUE_DIALS
from evenfire.judgement.tolerance.counting import Counted, NearDay, NearDraw
from evenfire.judgement.tolerance.motion import BurnerMotion, motion_of
from evenfire.judgement.tolerance.questions import Ground, Question, questions_on, reckon
from evenfire.judgement.tolerance.rows import Errors
from evenfire.judgement.tolerance.spread import ControlSpread, ValveSpread, spread_of
from evenfire.physics.motion.records import Floats
from evenfire.plant.known import Missing
from evenfire.si import PA_PER_PSI, GaugePa
from tests.surveys import case_of, survey


def plant(name: str, edits: dict[str, object] | None = None) -> Case:
    return case_of(survey(edits, name))


def ground(case: Case) -> Ground:
    return Ground(case=case, spread=spread_of(case), motion=motion_of(case))


def errors(*, operating: float = 0.0, high: float = 0.0, rate: float = 0.0, lift: float = inf) -> Errors:
    def one(value: float) -> Floats:
        return np.array([value])

    return Errors(operating_limit=one(operating), high_limit=one(high), firing_rate=one(rate), lift=one(lift))


BURNER = BurnerMotion(
    low_share=0.25, is_proportional=True, from_low_fire=1_000.0, from_full_fire=5_000.0, drop_overshoot=0.0
)


def test_a_control_drifts_half_a_percent_of_its_span_and_errs_within_its_tolerance() -> None:
    # 20 to 300 psi, 3 psi by dial.
    control = spread_of(plant("board-mill")).operating_limit
    assert isinstance(control, ControlSpread)
    assert control.drift == pytest.approx(1.4 * PA_PER_PSI)
    assert control.set_error == pytest.approx(3.0 * PA_PER_PSI)


def test_valves_lift_within_three_percent_of_their_stamp_or_one_of_their_certificate() -> None:
    # Set tolerance between 70 and 300 psi: 3 %.
    stamped = spread_of(plant("board-mill")).valves
    assert [each.lift / PA_PER_PSI for each in stamped] == pytest.approx([250.0, 255.0])
    assert [each.off / PA_PER_PSI for each in stamped] == pytest.approx([7.5, 7.65])
    tested = spread_of(plant("board-mill", {"boiler.safety_valve.tested_lift": "248 psi"})).valves[0]
    assert (tested.lift / PA_PER_PSI, tested.off / PA_PER_PSI) == pytest.approx((248.0, 2.48))


def test_halfway_up_its_line_a_burner_runs_on_halfway_between_low_and_full_fire() -> None:
    # Band from 100 to 110: at 105 it fires halfway from 25 % to all, 62.5 %.
    at = np.array([99.0, 100.0, 105.0, 110.0, 115.0])
    share = BURNER.share_at(at, np.full(5, 100.0), np.full(5, 110.0))
    assert share == pytest.approx([1.0, 1.0, 0.625, 0.25, 0.25])
    assert BURNER.run_on_at(share) == pytest.approx([5_000.0, 5_000.0, 3_000.0, 1_000.0, 1_000.0])


def test_a_burner_with_two_fires_has_no_line() -> None:
    two = replace(BURNER, is_proportional=False)
    share = two.share_at(np.array([109.9, 110.0]), np.full(2, 100.0), np.full(2, 110.0))
    assert share == pytest.approx([1.0, 0.25])


def test_whichever_limit_stops_first_is_what_pressure_runs_on_from() -> None:
    case = plant("vertical")
    on = ground(case)
    trip, cut_out = case.stack.trip, case.stack.cut_out
    assert not isinstance(trip, Missing)
    assert not isinstance(cut_out, Missing)
    rise, lift = on.motion.burners[0].from_low_fire, trip + 50_000.0
    normal = reckon(on, Question.LIFT_IN_NORMAL_WORK, errors(lift=lift)).room
    assert normal == pytest.approx([lift - cut_out - rise])
    # An operating limit far too high leaves the stop to the high limit.
    late = reckon(on, Question.LIFT_IN_NORMAL_WORK, errors(operating=200_000.0, lift=lift)).room
    assert late == pytest.approx([50_000.0 - rise])


def test_where_low_fire_may_not_be_reached_arithmetic_trusts_itself_less() -> None:
    # The laundry's cut-out stands five psi below its low-fire point; moved down far enough, the band lies below it.
    on = ground(plant("laundry"))
    full = on.motion.from_full_fire
    inside = reckon(on, Question.NUISANCE_TRIP, errors()).band
    clear = reckon(on, Question.NUISANCE_TRIP, errors(rate=-30.0 * PA_PER_PSI)).band
    assert inside is not None
    assert clear is not None
    run_on = on.motion.burners[0].from_low_fire
    assert clear == pytest.approx([0.1 * PA_PER_PSI + 0.25 * run_on])
    assert inside[0] > 0.1 * PA_PER_PSI + 0.25 * full > clear[0]


def test_an_on_off_burner_has_no_low_fire_to_come_before() -> None:
    assert Question.STOP_BEFORE_LOW_FIRE not in questions_on(plant("vertical"))
    assert set(questions_on(plant("laundry"))) == set(Question)


def test_valves_that_are_all_above_the_working_pressure_bring_one_that_is_not() -> None:
    case = plant("vertical")
    valves = tuple(replace(valve, set_pressure=GaugePa(1.2 * case.boiler.mawp)) for valve in case.boiler.safety_valves)
    boiler = replace(case.boiler, safety_valves=valves)
    wrong = replace(case, boiler=boiler, plant=replace(case.plant, boilers=(boiler,)))
    assert isinstance(spread_of(wrong).valves[-1], ValveSpread)
    assert min(each.lift for each in spread_of(wrong).valves) == pytest.approx(case.boiler.mawp)


def test_the_near_draws_that_are_kept_are_the_first_ones() -> None:
    def near(lift: float) -> NearDraw:
        return NearDraw(lift=lift, days=(NearDay(shifts=TRUE_DIALS, room=0.0, band=1.0),))

    first = Counted(sure=1, near=2, near_reckoned=1, kept=(near(1.0), near(2.0)))
    both = first.and_then(Counted(sure=2, near=3, near_reckoned=2, kept=(near(3.0), near(4.0), near(5.0))), 3)
    assert (both.sure, both.near, both.near_reckoned) == (3, 5, 3)
    assert [each.lift for each in both.kept] == [1.0, 2.0, 3.0]

"""How likely a boiler leaves its order in a year, against arithmetic on paper, scipy and brute force by the loop."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from evenfire.errors import ImpossibleValue
from evenfire.judgement.case import Case
from evenfire.judgement.motion.loading import FaultAt
from evenfire.judgement.motion.modelling import Shifts, boiler_model, normal_volume
from evenfire.judgement.outcome import Route
from evenfire.judgement.proofs.learning import Progress
from evenfire.judgement.proofs.result import Shown
from evenfire.judgement.proofs.staging import TRUE, Stage, nothing, ramp, stages_of
from evenfire.judgement.tolerance import questions as questions_module
from evenfire.judgement.tolerance import spread as spread_module
from evenfire.judgement.tolerance.counting import Counted, Rerun
from evenfire.judgement.tolerance.likelihood import likelihoods, likelihoods_of
from evenfire.judgement.tolerance.motion import motion_of
from evenfire.judgement.tolerance.questions import Question
from evenfire.judgement.tolerance.result import Likelihood, Likelihoods, likelihood
from evenfire.judgement.tolerance.rows import errors_of
from evenfire.judgement.tolerance.spread import ControlSpread, Spread, ValveSpread, spread_of
from evenfire.physics.control_logic import OPERATING_LIMIT
from evenfire.physics.motion import starting
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.model import FEED_HELD
from evenfire.plant.known import Missing
from evenfire.si import PA_PER_PSI, AbsPa
from tests.judgement.tolerance.draws_for_tests import Blocks, random_blocks
from tests.surveys import case_of, survey

STILL = ControlSpread(set_error=0.0, drift=0.0)


def plant(name: str = "vertical", edits: dict[str, object] | None = None) -> Case:
    return case_of(survey(edits, name))


def spread(
    *,
    operating: ControlSpread = STILL,
    high: ControlSpread = STILL,
    valves: tuple[ValveSpread, ...] = (),
) -> Spread:
    return Spread(operating_limit=operating, high_limit=high, firing_rate=STILL, valves=valves)


def even(psi: float) -> ControlSpread:
    return ControlSpread(set_error=psi * PA_PER_PSI, drift=0.0)


def drifting(psi: float) -> ControlSpread:
    return ControlSpread(set_error=0.0, drift=psi * PA_PER_PSI)


def answer(told: Likelihoods, question: Question) -> Likelihood:
    return next(each for each in told.answers if each.question is question)


def told_of(case: Case, drawn: Spread, draws: Blocks, most: int = 400) -> Likelihoods:
    items = list(likelihoods(case, draws, most_reruns=most, spread=drawn))
    last = items[-1]
    assert isinstance(last, Likelihoods)
    return last


def gap(case: Case) -> float:
    trip, cut_out = case.stack.trip, case.stack.cut_out
    assert not isinstance(trip, Missing)
    assert not isinstance(cut_out, Missing)
    return trip - cut_out


def test_two_even_errors_invert_the_order_as_often_as_the_corner_of_a_square_is_large() -> None:
    # Two even errors of half-width a differ by more than g with probability (2 a - g)^2 / (8 a^2).
    case = plant()
    g = gap(case) / PA_PER_PSI
    a = 0.8 * g
    told = told_of(case, spread(operating=even(a), high=even(a)), random_blocks(1, blocks=4, rows=50_000), 0)
    found = answer(told, Question.INVERTED_ORDER)
    expected = (2 * a - g) ** 2 / (8 * a**2)
    assert found.lowest <= expected <= found.highest
    assert found.probability == pytest.approx(expected, abs=4 * found.standard_error)
    assert found.standard_error == pytest.approx(sqrt(expected * (1 - expected) / 200_000), rel=0.05)


def test_two_drifts_invert_the_order_as_often_as_the_bell_curve_says() -> None:
    # On the day of setting nothing is off, so only the day a year later counts.
    case = plant()
    sigma = 0.6 * gap(case) / PA_PER_PSI
    told = told_of(
        case, spread(operating=drifting(sigma), high=drifting(sigma)), random_blocks(2, blocks=4, rows=50_000)
    )
    found = answer(told, Question.INVERTED_ORDER)
    expected = float(stats.norm.sf(1 / (0.6 * sqrt(2))))
    assert found.lowest <= expected <= found.highest
    assert found.highest - found.lowest < 0.005


def test_what_is_wrong_only_on_the_day_of_setting_counts_too() -> None:
    case = plant()
    g = gap(case)
    # An operating limit set too high by a hair more than the gap, which drift brings back within the year.
    row = np.zeros((1, 12))
    row[0, 0], row[0, 3] = 1.0, -1.0
    drawn = spread(operating=ControlSpread(set_error=1.01 * g, drift=0.5 * g))
    assert answer(told_of(case, drawn, Blocks(rows=(row,))), Question.INVERTED_ORDER).probability == 1.0


def test_a_nuisance_trip_is_the_order_with_the_run_on_in_between() -> None:
    # One even error of half-width a, and a gap that the run-on of the loop narrows: P = (a - g + r) / (2 a).
    case = plant()
    run_on = motion_of(case).burners[0].from_low_fire
    room, a = gap(case) - run_on, 4.0 * PA_PER_PSI
    told = told_of(case, spread(operating=even(4.0)), random_blocks(3, blocks=2, rows=50_000), 2_000)
    found = answer(told, Question.NUISANCE_TRIP)
    expected = (a - room) / (2 * a)
    assert 0.1 < expected < 0.9
    assert found.near > found.rerun == 2_000
    assert found.outgrown == 0
    assert found.lowest <= expected <= found.highest
    assert found.highest - found.lowest < 0.03


def test_the_valve_lifts_first_as_often_as_its_error_and_the_high_limits_overlap() -> None:
    # trip + r + e_high > lift + e_valve, both errors even with half-width a: the corner of a square again.
    case = plant("board-mill")
    trip, rise = case.stack.trip, motion_of(case).from_full_fire
    assert not isinstance(trip, Missing)
    a = 5.0 * PA_PER_PSI
    g = 4.0 * PA_PER_PSI
    valve = ValveSpread(lift=trip + rise + g, off=a)
    told = told_of(case, spread(high=even(5.0), valves=(valve,)), random_blocks(4, blocks=2, rows=50_000))
    found = answer(told, Question.LIFT_AFTER_HIGH_LIMIT)
    expected = (2 * a - g) ** 2 / (8 * a**2)
    assert found.lowest <= expected <= found.highest
    assert found.highest - found.lowest < 0.02


def test_of_two_valves_the_one_that_lifts_first_counts() -> None:
    valves = (ValveSpread(lift=100.0, off=10.0), ValveSpread(lift=105.0, off=10.0))
    rows = random_blocks(5, blocks=1, rows=200_000).rows[0]
    lift = errors_of(rows, spread(valves=valves))[0].lift
    assert lift is not None
    # P(both above 100) = 1/2 x 3/4 by hand.
    assert float(np.mean(lift > 100.0)) == pytest.approx(0.375, abs=0.005)


def test_none_seen_is_told_as_an_upper_bound() -> None:
    told = told_of(plant(), spread(operating=even(0.1)), random_blocks(6, blocks=2, rows=5_000))
    found = answer(told, Question.INVERTED_ORDER)
    assert found.none_seen
    assert found.lowest == 0.0
    # The rule of three with a fortieth for a twentieth: ln 40 / n.
    assert found.highest == pytest.approx(np.log(40.0) / 10_000, rel=1e-3)


def test_two_threads_give_the_digits_of_one() -> None:
    case, draws = plant("laundry"), random_blocks(7, blocks=5, rows=4_000)
    alone = likelihoods_of(case, draws, most_reruns=40)
    with ThreadPoolExecutor(2) as pool:
        together = list(likelihoods(case, draws, most_reruns=40, in_order=pool.map))[-1]
    assert any(each.rerun > 0 for each in alone.answers)
    assert together == alone


def test_a_stopped_count_keeps_what_it_has_and_says_that_it_was_stopped() -> None:
    case, draws = plant("laundry"), random_blocks(8, blocks=20, rows=1_000)
    steps = likelihoods(case, draws, most_reruns=20)
    seen = next(item for item in steps if isinstance(item, Likelihoods))
    steps.close()  # type: ignore[attr-defined]
    assert not seen.is_complete
    assert seen.draws < 20_000
    # What is there is the count of those very draws: each near draw undecided as yet.
    part = Blocks(rows=draws.rows[: seen.draws // 1_000])
    whole = likelihoods_of(case, part, most_reruns=0)
    assert seen.rows == whole.rows
    assert seen.answers == whole.answers


def test_it_tells_how_far_it_is() -> None:
    items = list(likelihoods(plant(), random_blocks(9, blocks=3, rows=500), most_reruns=20))
    steps = [item for item in items if isinstance(item, Progress)]
    assert [step.done for step in steps] == list(range(1, len(steps) + 1))
    assert steps[-1].done == steps[-1].total


NEAR_THE_CUT_OUT: dict[str, object] = {"boiler.as_found.high_limit": "122 psi"}
NEAR_THE_VALVE: dict[str, object] = {"boiler.as_found.high_limit": "144 psi"}
NEAR_LOW_FIRE: dict[str, object] = {"boiler.as_found.operating_limit": "210 psi"}
TRIP, LIFT, STOP = Question.NUISANCE_TRIP, Question.LIFT_AFTER_HIGH_LIMIT, Question.STOP_BEFORE_LOW_FIRE


@pytest.mark.parametrize(
    ("name", "edits", "question"),
    [
        ("vertical", {}, TRIP),
        ("laundry", NEAR_THE_CUT_OUT, TRIP),
        ("laundry", NEAR_THE_VALVE, LIFT),
        ("board-mill", {}, LIFT),
        ("board-mill", NEAR_LOW_FIRE, STOP),
    ],
)
def test_both_stages_together_say_what_the_loop_says_of_every_draw(
    name: str, edits: dict[str, object], question: Question
) -> None:
    case = plant(name, edits)
    drawn, draws = spread_of(case), random_blocks(10, blocks=1, rows=40)
    found = answer(told_of(case, drawn, draws, 1_000), question)
    happened = _brute_force(case, drawn, draws.rows[0], question)
    assert 0 < happened.sum() < 40
    assert found.near == found.rerun > 0
    assert found.failed == found.outgrown == 0
    assert round(found.probability * 40) == int(happened.sum())


def _brute_force(case: Case, drawn: Spread, rows: NDArray[np.float64], question: Question) -> NDArray[np.bool_]:
    """Every draw by whole runs of whole models, on both days."""
    happened = np.zeros(len(rows), dtype=bool)
    for errors in errors_of(rows, drawn):
        assert errors.lift is not None
        for place in range(len(rows)):
            off = Shifts(
                operating_limit=float(errors.operating_limit[place]),
                high_limit=float(errors.high_limit[place]),
                firing_rate=float(errors.firing_rate[place]),
            )
            happened[place] |= _happens(case, off, float(errors.lift[place]), question)
    return happened


def _happens(case: Case, off: Shifts, lift: float, question: Question) -> bool:
    """By events: the high limit opened, the safety valve lifted, the operating limit stopped the burner."""
    for stage in stages_of(case, TRUE):
        model = boiler_model(case, stage.burner.fuel, off)
        model.feed.kind = FEED_HELD
        model.valves.lifts[0], model.valves.count = lift + model.vessel.ambient, 1
        model.valves.reseats[0] = model.valves.lifts[0] - 1e4
        shown = _shown(replace(stage, model=model), question)
        if any((event.kind, event.subject) in _WANTED[question] for event in shown.run.events):
            return True
    return False


_WANTED = {
    TRIP: {(Happening.HIGH_LIMIT_OPENED, subject) for subject in range(-1, 20)},
    LIFT: {(Happening.VALVE_LIFTED, 0)},
    STOP: {(Happening.BURNER_STOPPED, OPERATING_LIMIT)},
}


def _shown(stage: Stage, question: Question) -> Shown:
    controls = stage.model.controls
    at = AbsPa(float(min(controls.cut_in, controls.trip - 1e4)))
    volume = normal_volume(stage.case)
    if question is TRIP:
        return stage.run("", starting.at_pressure(stage.model, at, volume), nothing(), hours=2.0)
    if question is LIFT:
        faults = [FaultAt(fault=each, begin=0.0) for each in (Fault.OPERATING_LIMIT_WELDED, Fault.DRIVE_STUCK_AT_FULL)]
        return stage.run("", starting.on_line(stage.model, at, volume, 1.0), nothing(), hours=2.0, faults=faults)
    drop = stage.case.load.design_drop
    assert drop is not None
    before, after = 1.001 * stage.low + stage.flow_of(drop), 1.001 * stage.low
    return stage.run("", stage.standing_at(before), ramp(before, after, 60.0, drop.duration.value), hours=0.75)


def test_the_estimate_of_two_stages_covers_the_truth_as_often_as_it_says() -> None:
    # A made-up world: 30 % of draws are near, arithmetic says half of them happen and errs in one of twenty.
    stream, truth, draws, covered = np.random.default_rng(11), 0.02 + 0.3 * (0.5 * 0.95 + 0.5 * 0.05), 5_000, 0
    errors = []
    for _ in range(400):
        sure, near = (int(count) for count in stream.multinomial(draws, [0.02, 0.3, 0.68])[:2])
        reckoned = stream.random(near) < 0.5
        happens = reckoned ^ (stream.random(near) < 0.05)
        reruns = tuple(
            Rerun(happens=bool(happens[place]), reckoned=bool(reckoned[place]), apart=0.0, outgrew=False, failed=False)
            for place in range(200)
        )
        found = likelihood(
            Question.NUISANCE_TRIP, draws, Counted(sure=sure, near=near, near_reckoned=int(reckoned.sum())), reruns
        )
        covered += found.lowest <= truth <= found.highest
        errors.append((found.probability - truth) / found.standard_error)
    assert covered >= 0.95 * 400
    # Unbiased, and as uncertain as it says.
    assert abs(np.mean(errors)) < 3 / sqrt(400)
    assert np.std(errors) == pytest.approx(1.0, abs=0.12)


def test_near_draws_that_nobody_ran_may_or_may_not_have_happened() -> None:
    found = likelihood(Question.NUISANCE_TRIP, 100, Counted(sure=10, near=20, near_reckoned=7), ())
    low, high = stats.binomtest(10, 100).proportion_ci().low, stats.binomtest(30, 100).proportion_ci().high
    assert (found.lowest, found.highest) == pytest.approx((low, high), rel=1e-9)
    assert found.probability == pytest.approx(0.17)


def test_the_interval_shares_its_doubt_between_corrections_and_draws() -> None:
    # Half of a twentieth to the draws, a quarter to either kind of correction; none of 100 that were run was one.
    same = Rerun(happens=False, reckoned=False, apart=0.0, outgrew=False, failed=False)
    found = likelihood(Question.NUISANCE_TRIP, 10_000, Counted(sure=50, near=1_000, near_reckoned=0), (same,) * 100)
    most = np.ceil(1_000 * stats.binomtest(0, 100).proportion_ci(0.9875).high)
    low = stats.binomtest(50, 10_000).proportion_ci(0.975).low
    high = stats.binomtest(50 + int(most), 10_000).proportion_ci(0.975).high
    assert (found.lowest, found.highest) == pytest.approx((low, high), rel=1e-6)
    assert found.probability == pytest.approx(0.005)


def test_without_a_safety_valve_no_lift_is_counted_and_it_is_asked_for() -> None:
    told = likelihoods_of(plant("vertical", {"boiler.safety_valve": []}), random_blocks(12, blocks=1, rows=100))
    lacking = {each.question: each.missing for each in told.not_counted}
    assert lacking[Question.LIFT_AFTER_HIGH_LIMIT] == ("safety_valve.set",)
    assert Question.LIFT_IN_NORMAL_WORK in lacking
    assert {each.question for each in told.answers} == {Question.NUISANCE_TRIP, Question.INVERTED_ORDER}


def test_without_a_tolerance_nothing_that_hangs_on_it_is_counted() -> None:
    case = plant("vertical", {"boiler.controls.high_limit.tolerance": None})
    told = likelihoods_of(case, random_blocks(13, blocks=1, rows=100))
    lacking = {key for each in told.not_counted for key in each.missing}
    assert any(key.startswith("controls.high_limit.tolerance") for key in lacking)
    assert Question.NUISANCE_TRIP not in {each.question for each in told.answers}


def test_a_boiler_that_cannot_be_simulated_is_counted_by_arithmetic_and_says_what_is_missing() -> None:
    case = plant("board-mill", {"boiler.controls.firing_rate.action": "pid"})
    told = likelihoods_of(case, random_blocks(14, blocks=1, rows=2_000))
    assert told.route is Route.COMPUTED
    assert told.missing == ("controls.firing_rate.gains",)
    found = answer(told, Question.LIFT_AFTER_HIGH_LIMIT)
    assert found.near > found.rerun == 0
    assert found.highest - found.lowest > found.near / found.draws


def test_no_draws_are_refused() -> None:
    with pytest.raises(ImpossibleValue, match="draws"):
        likelihoods_of(plant(), Blocks(rows=()))


def test_every_assumption_that_is_named_is_a_constant_of_the_package() -> None:
    told = likelihoods_of(plant(), random_blocks(15, blocks=1, rows=10))
    assert told.assumptions
    assert all(hasattr(spread_module, name) or hasattr(questions_module, name) for name in told.assumptions)


def test_the_rows_are_named_by_their_content() -> None:
    first, second = random_blocks(16, blocks=2, rows=50), random_blocks(17, blocks=2, rows=50)
    names = [likelihoods_of(plant(), draws, most_reruns=0).rows for draws in (first, second, first)]
    assert names[0] == names[2] != names[1]

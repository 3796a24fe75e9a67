"""What a count and its reruns come to, on counts written by hand; exact bounds from another library."""

from math import inf, sqrt

import numpy as np
import pytest
from scipy.stats import beta

from evenfire.judgement.motion.modelling import TRUE_DIALS, Shifts
from evenfire.judgement.tolerance.counting import Counted, NearDay, NearDraw, Rerun, rerun
from evenfire.judgement.tolerance.motion import motion_of
from evenfire.judgement.tolerance.questions import Ground, Question, run
from evenfire.judgement.tolerance.result import likelihood
from evenfire.judgement.tolerance.spread import spread_of
from evenfire.plant.known import Missing
from tests.surveys import case_of, survey


def seen(*, happens: bool, reckoned: bool, apart: float = 0.0, outgrew: bool = False, failed: bool = False) -> Rerun:
    return Rerun(happens=happens, reckoned=reckoned, apart=apart, outgrew=outgrew, failed=failed)


def bounds(happened: int, draws: int, confidence: float = 0.95) -> tuple[float, float]:
    """Clopper and Pearson's, by the quantiles of the beta distribution."""
    tail = (1 - confidence) / 2
    lowest = 0.0 if happened == 0 else float(beta.ppf(tail, happened, draws - happened + 1))
    highest = 1.0 if happened == draws else float(beta.ppf(1 - tail, happened + 1, draws - happened))
    return lowest, highest


def test_where_every_near_draw_was_run_the_loop_has_the_last_word() -> None:
    # Of 1000 draws 20 are sure, 4 near; three of these happen by the loop, two by arithmetic, one in both.
    reruns = (
        seen(happens=True, reckoned=True, apart=300.0),
        seen(happens=True, reckoned=False, apart=900.0, outgrew=True),
        seen(happens=True, reckoned=False, apart=100.0, failed=True),
        seen(happens=False, reckoned=True, apart=500.0),
    )
    answer = likelihood(Question.NUISANCE_TRIP, 1000, Counted(sure=20, near=4, near_reckoned=2), reruns)
    assert answer.probability == pytest.approx(23 / 1000)
    assert (answer.lowest, answer.highest) == pytest.approx(bounds(23, 1000))
    assert answer.standard_error == pytest.approx(sqrt(0.023 * 0.977 / 1000))
    assert (answer.sure, answer.near, answer.rerun, answer.seen, answer.corrected) == (20, 4, 4, 3, 3)
    assert (answer.failed, answer.outgrown) == (1, 1)
    assert answer.furthest_apart == 900.0


def test_where_a_part_was_run_its_corrections_stand_for_all() -> None:
    # 200 near, 90 of them by arithmetic; of 50 that were run 6 happen that were not reckoned and 2 the other way.
    reruns = (
        *[seen(happens=True, reckoned=False)] * 6,
        *[seen(happens=False, reckoned=True)] * 2,
        *[seen(happens=True, reckoned=True)] * 20,
        *[seen(happens=False, reckoned=False)] * 22,
    )
    answer = likelihood(Question.INVERTED_ORDER, 10_000, Counted(sure=100, near=200, near_reckoned=90), reruns)
    # 100 + 90 + 200 x (6 - 2) / 50 = 206.
    assert answer.probability == pytest.approx(0.0206)
    # Cochran: p q / n, and (N/n)^2 s^2/m (1 - m/N) with s^2 = 8/50 - (4/50)^2.
    variance = 0.0206 * 0.9794 / 10_000 + 0.02**2 * (0.16 - 0.0064) / 50 * 0.75
    assert answer.standard_error == pytest.approx(sqrt(variance))
    # A quarter of the 5 % for either kind of correction, the half for the draws.
    more, fewer = bounds(6, 50, 0.9875), bounds(2, 50, 0.9875)
    fewest, most = np.floor(190 + 200 * (more[0] - fewer[1])), np.ceil(190 + 200 * (more[1] - fewer[0]))
    # 100 + 26 have been seen to happen, 100 + 200 - 24 may.
    fewest, most = max(126, fewest), min(276, most)
    assert answer.lowest == pytest.approx(bounds(int(fewest), 10_000, 0.975)[0])
    assert answer.highest == pytest.approx(bounds(int(most), 10_000, 0.975)[1])


def test_where_none_was_run_every_near_draw_may_or_may_not_happen() -> None:
    answer = likelihood(Question.INVERTED_ORDER, 1000, Counted(sure=10, near=40, near_reckoned=15), ())
    assert answer.probability == pytest.approx(0.025)
    assert answer.lowest == pytest.approx(bounds(10, 1000)[0])
    assert answer.highest == pytest.approx(bounds(50, 1000)[1])
    # Of what was never run the largest variance there is: a quarter.
    assert answer.standard_error == pytest.approx(sqrt(0.025 * 0.975 / 1000 + 0.04**2 * 0.25))
    assert answer.furthest_apart == 0.0


def test_no_probability_is_less_than_none_or_more_than_one() -> None:
    fewer = [seen(happens=False, reckoned=True)] * 9
    none = likelihood(Question.INVERTED_ORDER, 1000, Counted(near=20, near_reckoned=5), tuple(fewer))
    assert none.probability == 0.0
    more = [seen(happens=True, reckoned=False)] * 9
    every = likelihood(Question.INVERTED_ORDER, 100, Counted(sure=90, near=10, near_reckoned=5), tuple(more))
    assert every.probability == 1.0
    assert (none.lowest, every.highest) == (0.0, 1.0)


def test_counts_add_and_the_first_near_draws_are_kept() -> None:
    first, second, third = (NearDraw(lift=float(place), days=()) for place in range(3))
    one = Counted(sure=3, near=2, near_reckoned=1, kept=(first, second))
    two = Counted(sure=4, near=5, near_reckoned=2, kept=(third,))
    assert one.and_then(two, 2) == Counted(sure=7, near=7, near_reckoned=3, kept=(first, second))
    assert one.and_then(two, 9).kept == (first, second, third)


def test_a_draw_that_cannot_be_run_counts_as_happening_and_as_failed() -> None:
    case = case_of(survey())
    ground = Ground(case=case, spread=spread_of(case), motion=motion_of(case))
    # An operating limit two hundred psi low acts below nothing.
    impossible = NearDay(shifts=Shifts(operating_limit=-1.4e6), room=5_000.0, band=10_000.0)
    sound = NearDay(shifts=TRUE_DIALS, room=5_000.0, band=1e9)
    assert run(ground, Question.NUISANCE_TRIP, impossible.shifts, inf) == -inf
    failed, well = rerun(
        ground,
        Question.NUISANCE_TRIP,
        (NearDraw(lift=inf, days=(impossible, sound)), NearDraw(lift=inf, days=(sound,))),
    )
    assert (failed.failed, failed.happens) == (True, True)
    assert not well.failed
    assert not well.happens
    # What the day that could not be run was off by is not known, and is not told as infinite.
    assert failed.apart == well.apart < inf
    trip = case.stack.trip
    assert not isinstance(trip, Missing)
    room = run(ground, Question.NUISANCE_TRIP, TRUE_DIALS, inf)
    assert well.apart == pytest.approx(abs(room - 5_000.0))
    assert not well.outgrew
    (narrow,) = rerun(
        ground,
        Question.NUISANCE_TRIP,
        (NearDraw(lift=inf, days=(NearDay(shifts=TRUE_DIALS, room=-5_000.0, band=1.0),)),),
    )
    assert (narrow.reckoned, narrow.outgrew) == (True, True)

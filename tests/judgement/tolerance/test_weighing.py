"""How much an answer about a year weighs: what is likely, what is not known well enough, and what is told first."""

import pytest

from evenfire.judgement.tolerance.counting import Counted
from evenfire.judgement.tolerance.questions import Question
from evenfire.judgement.tolerance.result import Likelihood, likelihood
from evenfire.judgement.tolerance.weighing import (
    LIFTS,
    Weight,
    lets_a_valve_lift,
    likely_from,
    may_let_a_valve_lift,
    weight_of,
    worst_first,
)

NUISANCE, LIFT = Question.NUISANCE_TRIP, Question.LIFT_IN_NORMAL_WORK


def answer(question: Question, seen: int, draws: int = 100_000) -> Likelihood:
    return likelihood(question, draws, Counted(sure=seen), ())


def test_a_lift_is_called_likely_ten_times_sooner_than_a_nuisance() -> None:
    assert {each for each in Question if likely_from(each) == 0.001} == LIFTS
    assert {each for each in Question if likely_from(each) == 0.01} == set(Question) - LIFTS
    assert Question.LIFT_AFTER_HIGH_LIMIT in LIFTS


@pytest.mark.parametrize(
    ("question", "seen", "draws", "weight"),
    [
        # A hundredth, and a hair less whose bound is still above it.
        (NUISANCE, 1_000, 100_000, Weight.LIKELY),
        (NUISANCE, 999, 100_000, Weight.UNSURE),
        # Seven in a thousand: 700 of 100,000 are known to a tenth, 7 of 1,000 are not (up to 1.4 in a hundred).
        (NUISANCE, 700, 100_000, Weight.RARE),
        (NUISANCE, 7, 1_000, Weight.UNSURE),
        (LIFT, 700, 100_000, Weight.LIKELY),
        (LIFT, 100, 100_000, Weight.LIKELY),
        (LIFT, 50, 100_000, Weight.RARE),
        # None of 3,000 may still be more than a thousandth (3.7 / n), none of 4,000 may not.
        (LIFT, 0, 3_000, Weight.UNSURE),
        (LIFT, 0, 4_000, Weight.UNSEEN),
        (NUISANCE, 0, 300, Weight.UNSURE),
        (NUISANCE, 0, 400, Weight.UNSEEN),
    ],
)
def test_what_cannot_be_called_unlikely_is_unsure(question: Question, seen: int, draws: int, weight: Weight) -> None:
    assert weight_of(answer(question, seen, draws)) is weight


def test_near_draws_that_were_not_run_make_it_unsure() -> None:
    # Fifty of a thousand may happen and none was run.
    assert weight_of(likelihood(NUISANCE, 1_000, Counted(near=50), ())) is Weight.UNSURE


def test_a_nuisance_lets_no_valve_lift() -> None:
    assert not lets_a_valve_lift(answer(NUISANCE, 90_000))
    assert not may_let_a_valve_lift(answer(NUISANCE, 0, 10))
    assert lets_a_valve_lift(answer(LIFT, 200))
    assert may_let_a_valve_lift(answer(LIFT, 0, 10))
    assert not may_let_a_valve_lift(answer(LIFT, 200))


def test_the_worst_is_told_first_and_valves_before_nuisances() -> None:
    often, lift, seldom, never = (
        answer(NUISANCE, 50_000),
        answer(LIFT, 200),
        answer(Question.STOP_BEFORE_LOW_FIRE, 3),
        answer(Question.INVERTED_ORDER, 0),
    )
    assert worst_first((never, seldom, often, lift)) == (lift, often, seldom, never)
    more = answer(Question.INVERTED_ORDER, 60_000)
    assert worst_first((often, more)) == (more, often)

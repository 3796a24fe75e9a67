"""How much an answer about a year weighs, and which is told first."""

from enum import IntEnum
from typing import Final

from evenfire.judgement.tolerance.questions import Question
from evenfire.judgement.tolerance.result import Likelihood

ASSUMED_LIKELY: Final = 0.01
"""A chance a year from which something is done about a nuisance [1].

One boiler in a hundred a year: with the boilers that one service shop looks after, a call every year. No published
figure was found.
"""
ASSUMED_LIKELY_LIFT: Final = 0.001
"""The same where a safety valve lifts [1]: ten times as strict, for it is the last thing that holds the pressure."""
LIFTS: Final = frozenset({Question.LIFT_IN_NORMAL_WORK, Question.LIFT_AFTER_HIGH_LIMIT})


class Weight(IntEnum):
    """How much an answer weighs, the worst first."""

    LIKELY = 0
    """Something has to be done"""
    UNSURE = 1
    """Too few draws or runs to call it unlikely"""
    RARE = 2
    """Seen, and seldom enough"""
    UNSEEN = 3


def likely_from(question: Question) -> float:
    """Chance a year from which something is done about it [1]."""
    return ASSUMED_LIKELY_LIFT if question in LIFTS else ASSUMED_LIKELY


def weight_of(answer: Likelihood) -> Weight:
    """How much an answer weighs."""
    likely = likely_from(answer.question)
    if answer.probability >= likely:
        return Weight.LIKELY
    if answer.highest >= likely:
        return Weight.UNSURE
    return Weight.UNSEEN if answer.none_seen else Weight.RARE


def lets_a_valve_lift(answer: Likelihood) -> bool:
    """Whether a safety valve is likely to lift."""
    return answer.question in LIFTS and weight_of(answer) is Weight.LIKELY


def may_let_a_valve_lift(answer: Likelihood) -> bool:
    """Whether that cannot be ruled out yet."""
    return answer.question in LIFTS and weight_of(answer) is Weight.UNSURE


def worst_first(answers: tuple[Likelihood, ...]) -> tuple[Likelihood, ...]:
    """What is likely first, valves before nuisances, then by chance; equals in the order given."""
    return tuple(
        sorted(
            answers, key=lambda each: (weight_of(each), each.question not in LIFTS, -each.probability, -each.highest)
        )
    )

"""The rule book: every rule once, in the order in which they are told."""

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Outcome
from evenfire.judgement.rule import Rule
from evenfire.judgement.rules import stack

RULE_BOOK_VERSION = "2026.1"
"""Changes whenever a rule, a number or a severity does."""

RULES: tuple[Rule, ...] = (*stack.RULES,)


def judge(case: Case) -> tuple[Outcome, ...]:
    """Every outcome of every rule that applies to the case."""
    return tuple(outcome for rule in RULES if rule.applies_to.to(case) for outcome in rule.judge(case))

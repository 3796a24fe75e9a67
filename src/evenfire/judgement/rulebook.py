"""The rule book: every rule once, in the order in which they are told."""

from dataclasses import dataclass

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Outcome
from evenfire.judgement.rule import Rule
from evenfire.judgement.rules import burner, fitting, instruments, plant_wide, practice, stack, valves

RULE_BOOK_VERSION = "2026.1"
"""Changes whenever a rule, a number or a severity does."""

RULES: tuple[Rule, ...] = (
    *fitting.RULES,
    *stack.RULES,
    *valves.RULES,
    *plant_wide.RULES,
    *burner.RULES,
    *instruments.RULES,
    *practice.RULES,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftToAVisit:
    """A rule that no plant file can answer, and why."""

    what: str
    why: str


LEFT_TO_A_VISIT: tuple[LeftToAVisit, ...] = (
    LeftToAVisit(
        what="The high limit stops the burner and stays off, pressure fallen, until a hand resets it.",
        why="A fitting and a dial say what it is made to do; only a trip shows that it does it.",
    ),
    LeftToAVisit(
        what="A safety valve opens within its set tolerance and closes within its blowdown.",
        why="The plate gives the tolerance; a test gives the pressure. Margins take a certificate where there is one.",
    ),
    LeftToAVisit(
        what="Purge, trials, flame failure and every other timed interval last as long as they should.",
        why="The survey carries what somebody timed; only timing shows it. A time that was assumed is not judged.",
    ),
    LeftToAVisit(
        what="A trip test was done by a true rise, or its method recorded, the setting restored and verified.",
        why="How a test was done stands in its record and not in the plant file.",
    ),
    LeftToAVisit(
        what="No return to service while a limit fails its test on the unsafe side.",
        why="The result of a test belongs to a visit.",
    ),
    LeftToAVisit(
        what="Three full cycles are watched after any change of a setting.",
        why="Somebody has to stand there.",
    ),
    LeftToAVisit(
        what="The reference gauge of a trip test was calibrated within its interval.",
        why="The plant file knows the gauge of the boiler; the reference gauge comes with the person who tests.",
    ),
    LeftToAVisit(
        what="What is due daily, weekly, monthly, half-yearly and yearly has been done.",
        why="The plant file carries the state of one day.",
    ),
    LeftToAVisit(
        what="A fire-tube boiler warms at low fire long enough for furnace, tubes and shell to follow one another.",
        why="No number was found: it is advice for whoever attends the warm-up.",
    ),
    LeftToAVisit(
        what="No cold water enters the hot sections of a cast-iron boiler.",
        why="It happens, or not, under somebody's hand.",
    ),
    LeftToAVisit(
        what="A burner that only goes on and off warms its boiler by a schedule of minutes on and minutes off.",
        why="No number was found; the maker's schedule is followed by whoever attends.",
    ),
    LeftToAVisit(
        what="The warm-up is attended; the low-fire hold does not stand in for a person.",
        why="A person is not in the plant file.",
    ),
    LeftToAVisit(
        what="The low-fire hold stays below the lowest pressure of every proof with load.",
        why="A restart and full load are judged here; the other proofs need the simulation.",
    ),
    LeftToAVisit(
        what="Starts per hour.",
        why="No published maximum was found: they are counted and costed, and no limit is invented.",
    ),
)


def judge(case: Case) -> tuple[Outcome, ...]:
    """Every outcome of every rule that applies to the case."""
    return tuple(outcome for rule in RULES if rule.applies_to.to(case) for outcome in rule.judge(case))

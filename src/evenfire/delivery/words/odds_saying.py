"""What is said of one answer about a year, with its numbers filled in."""

from evenfire.delivery.units import Rounding
from evenfire.delivery.units.chance import one_in, show_chance
from evenfire.delivery.words import odds as words
from evenfire.delivery.words.entry import Show
from evenfire.judgement.outcome import Route
from evenfire.judgement.tolerance.result import Likelihood
from evenfire.judgement.tolerance.weighing import Weight, weight_of
from evenfire.si import Dimension, Quantity


def say_chance(answer: Likelihood) -> str:
    """How likely: the chance with its bounds, or only its upper bound where it was never seen."""
    draws, highest = f"{answer.draws:,}", show_chance(answer.highest, Rounding.UP)
    lowest = show_chance(answer.lowest, Rounding.DOWN)
    at_most = _in_brackets(one_in(answer.highest, Rounding.UP))
    if answer.none_seen:
        text = words.NONE_SEEN if answer.near == answer.rerun else words.NONE_REACHED
        return text.format(
            draws=draws, near=f"{answer.near:,}", rerun=f"{answer.rerun:,}", highest=highest, one_in=at_most
        )
    if answer.probability >= 1.0:
        return words.ALWAYS.format(draws=draws, lowest=lowest)
    return words.SEEN.format(
        chance=show_chance(answer.probability),
        one_in=f"{seldom}; " if (seldom := one_in(answer.probability)) else "",
        lowest=lowest,
        highest=highest,
    )


def say_what(answer: Likelihood) -> str:
    """What may happen and how likely it is, as one or two sentences."""
    entry = words.QUESTIONS[answer.question]
    return f"{say_chance(answer)} {entry.happens}"


def say_basis(answer: Likelihood, route: Route, show: Show) -> str:
    """What the answer rests on: how many draws by arithmetic, how many near a limit, how many of those were run."""
    draws, near = f"{answer.draws:,}", f"{answer.near:,}"
    if route is not Route.SIMULATED:
        return words.BY_CLOSED_FORM.format(draws=draws, near=near)
    if not answer.near:
        return words.BY_ARITHMETIC.format(draws=draws)
    told = words.BY_BOTH.format(
        clear=f"{answer.draws - answer.near:,}",
        draws=draws,
        near=near,
        rerun=f"{answer.rerun:,}",
        seen=f"{answer.seen:,}",
    )
    if answer.failed:
        told += words.FAILED.format(failed=f"{answer.failed:,}")
    if answer.outgrown:
        apart = show(Quantity(answer.furthest_apart, Dimension.PRESSURE_DIFFERENCE), rounding=Rounding.UP)
        told += words.OUTGROWN.format(outgrown=f"{answer.outgrown:,}", apart=apart)
    return told


def to_do(answer: Likelihood, file: str) -> str:
    """What to do next; empty where nothing has to be done."""
    match weight_of(answer):
        case Weight.LIKELY:
            return words.QUESTIONS[answer.question].do.format(file=file)
        case Weight.UNSURE:
            return words.MORE_RERUNS if answer.near > answer.rerun else words.MORE_DRAWS
        case Weight.RARE | Weight.UNSEEN:
            return ""


def _in_brackets(text: str) -> str:
    return f" ({text})" if text else ""

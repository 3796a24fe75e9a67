"""What is said of a conflict between demands, and of each change that would cure it."""

from typing import Final

from evenfire.delivery.units import Rounding
from evenfire.delivery.words.demands import DEMANDS
from evenfire.delivery.words.entry import Show
from evenfire.delivery.words.names import PARTS
from evenfire.judgement.outcome import PART_OF_ROLE
from evenfire.judgement.settle.result import Conflict, Cure, CureKind
from evenfire.si import Quantity

NO_CURE: Final = "No single change that is known here cures this; several together may."
MORE_PRESSURE: Final = "Ask whoever answers for the users first."


def say_conflict(conflict: Conflict) -> str:
    """Which demands cannot be met together."""
    names = [DEMANDS[code] for code in conflict.codes]
    if not names:
        return "Not even the demands that are never relaxed can be kept."
    if len(names) == 1:
        return f"No dial position gives {names[0]}."
    return f"These cannot be met together: {'; '.join(names)}. Without any one of them the others can."


def say_cure(cure: Cure, show: Show) -> str:
    """What to change and how far, rounded so that it is enough."""
    after, before = cure.after, cure.before
    match cure.kind:
        case CureKind.PROVE:
            controls = " and the ".join(PARTS[PART_OF_ROLE[role]] for role in cure.roles)
            return f"Prove the {controls} against a reference gauge to within {show(after, rounding=Rounding.DOWN)}."
        case CureKind.NARROWER_RANGE:
            return f"Fit a firing-rate control whose range goes down to {_far(before, after, show, Rounding.DOWN)}."
        case CureKind.NARROWER_DIFFERENTIAL:
            return f"Fit an operating limit whose differential goes down to {_far(before, after, show, Rounding.DOWN)}."
        case CureKind.LONGER_SCALE:
            controls = PARTS[PART_OF_ROLE[cure.roles[0]]]
            reach = _far(before, after, show, Rounding.UP)
            return f"The scale ends too low: fit another {controls} whose scale goes up to {reach}."
        case CureKind.SHORTEN_START:
            return (
                "Bring the time from contact to low-fire heat down to "
                f"{_far(before, after, show, Rounding.DOWN)}, within what maker and code allow of purge and trials."
            )
        case CureKind.MORE_TURNDOWN:
            return f"A burner with a turndown of {_far(before, after, show, Rounding.UP)}."
        case CureKind.LOWER_NEED:
            return (
                f"Make do with {_far(before, after, show, Rounding.DOWN)} where the pressure is needed. {MORE_PRESSURE}"
            )
        case CureKind.RAISE_WISH:
            return f"Allow up to {_far(before, after, show, Rounding.UP)} in normal work. {MORE_PRESSURE}"
        case CureKind.RAISE_DOWNSTREAM_RATING:
            return (
                f"Equipment downstream rated for {_far(before, after, show, Rounding.UP)}, or relief of its own: never "
                "without it."
            )
        case CureKind.HIGHER_VALVES:
            return (
                f"Safety valves set at {_far(before, after, show, Rounding.UP)}, by licensed people, within the MAWP "
                "and the adopted code."
            )


def _far(before: Quantity | None, after: Quantity, show: Show, rounding: Rounding) -> str:
    was = "" if before is None else f" (now {show(before)})"
    return f"{show(after, rounding=rounding)}{was}"

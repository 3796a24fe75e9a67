"""What is said of one outcome: its entry, with the quantities filled in the reader's units."""

from collections.abc import Mapping
from typing import Final, assert_never

from evenfire.delivery.units import Rounding
from evenfire.delivery.words.burner import BURNER
from evenfire.delivery.words.entry import Entry, Said, Show
from evenfire.delivery.words.fitting import FITTING
from evenfire.delivery.words.instruments import INSTRUMENTS
from evenfire.delivery.words.names import PARTS, name_of, name_of_key, printable
from evenfire.delivery.words.practice import PRACTICE
from evenfire.delivery.words.remedies import remedies_told
from evenfire.delivery.words.stack import STACK
from evenfire.delivery.words.valves import VALVES
from evenfire.judgement.outcome import Clear, Finding, NotJudged, Outcome
from evenfire.judgement.rulebook import RULES
from evenfire.si import ROUNDING_PA, Dimension, Quantity

ENTRIES: Final[Mapping[str, Entry]] = {**FITTING, **STACK, **VALVES, **BURNER, **INSTRUMENTS, **PRACTICE}
"""The wording of every rule, by its code."""
CONVERSION_NOISE: Final = 1e-7
"""Relative; what differs by less is the same number typed in two units [1]."""
BELOW_NOUGHT: Final = "zero gauge or below (beyond what the closed form tells)"
_QUESTIONS: Final = {rule.code: rule.question for rule in RULES}


def say(outcome: Outcome, show: Show) -> Said:
    """What, why, what to do and how to confirm it, of one outcome."""
    match outcome:
        case Finding():
            return _say_finding(outcome, show)
        case Clear():
            return _say_clear(outcome, show)
        case NotJudged():
            return Said(
                what=f"Not judged{_of_which(outcome)}: {_QUESTIONS[outcome.code]}",
                do=f"Find out: {'; '.join(name_of_key(key) for key in outcome.missing)}.",
            )
        case _:
            assert_never(outcome)


def _of_which(outcome: NotJudged) -> str:
    """Which one of several is meant, where the question alone does not say it."""
    is_said = PARTS[outcome.subject.part] in _QUESTIONS[outcome.code]
    return "" if is_said and not outcome.subject.name else f", {name_of(outcome.subject)}"


def _say_finding(finding: Finding, show: Show) -> Said:
    words = ENTRIES[finding.code].of(finding.detail)
    places = {
        **_subject(finding),
        **_observed_and_limit(finding, show),
        "remedies": remedies_told(finding.remedies, show),
    }
    if finding.short_by is not None:
        places["short_by"] = show(finding.short_by, rounding=Rounding.UP)
    return Said(
        what=words.what.format_map(places),
        why=words.why,
        do=words.do.format_map(places),
        confirm=words.confirm.format_map(places),
    )


def _say_clear(clear: Clear, show: Show) -> Said:
    places = {**_subject(clear), **_observed_and_limit(clear, show)}
    if clear.margin is not None:
        places["margin"] = show(clear.margin, rounding=Rounding.DOWN)
    return Said(what=ENTRIES[clear.code].clear.format_map(places))


def _subject(outcome: Outcome) -> dict[str, str]:
    return {"subject": name_of(outcome.subject), "name": printable(outcome.subject.name)}


def _observed_and_limit(outcome: Finding | Clear, show: Show) -> dict[str, str]:
    """Both as text. In a finding they are rounded away from each other: they never read the same, and a limit that is
    followed as it reads is kept.
    """
    observed, limit = outcome.observed, outcome.limit
    if isinstance(outcome, Finding) and observed is not None and limit is not None and not _is_noise(observed, limit):
        higher = observed.value > limit.value
        return {
            "observed": closed_form(observed, show, Rounding.UP if higher else Rounding.DOWN),
            "limit": closed_form(limit, show, Rounding.DOWN if higher else Rounding.UP),
        }
    places = {"observed": observed, "limit": limit}
    return {name: closed_form(quantity, show) for name, quantity in places.items() if quantity is not None}


def closed_form(quantity: Quantity, show: Show, rounding: Rounding = Rounding.NEAREST) -> str:
    """A quantity as text; a pressure below nought is beyond the closed forms, which know of no air that comes in."""
    is_below = quantity.dimension is Dimension.GAUGE_PRESSURE and quantity.value < -ROUNDING_PA
    return BELOW_NOUGHT if is_below else show(quantity, rounding=rounding)


def _is_noise(observed: Quantity, limit: Quantity) -> bool:
    return abs(observed.value - limit.value) <= CONVERSION_NOISE * max(abs(observed.value), abs(limit.value))

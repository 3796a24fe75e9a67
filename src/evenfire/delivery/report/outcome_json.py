"""Outcomes as plain JSON values; every key of a number ends in its unit."""

from evenfire.delivery.units import json_key, json_value
from evenfire.delivery.words import Show, say
from evenfire.judgement.outcome import Clear, Finding, NotJudged, Outcome, Remedy, Term
from evenfire.si import Quantity

Json = str | int | float | bool | None | list["Json"] | dict[str, "Json"]


def outcome_json(outcome: Outcome, show: Show) -> dict[str, Json]:
    """One outcome, with the words a person would read."""
    said = say(outcome, show)
    head: dict[str, Json] = {
        "code": outcome.code,
        "outcome": kind_of(outcome),
        "severity": outcome.severity.value,
        "basis": outcome.basis.value,
        "subject": {"part": outcome.subject.part.value, "name": outcome.subject.name},
        "what": said.what,
    }
    match outcome:
        case Finding():
            return {
                **head,
                **number("observed", outcome.observed),
                **number("limit", outcome.limit),
                **number("short_by", outcome.short_by),
                "terms": [term_json(term) for term in outcome.terms],
                "remedies": [remedy_json(remedy) for remedy in outcome.remedies],
                "why": said.why,
                "do": said.do,
                "confirm": said.confirm,
            }
        case Clear():
            return {
                **head,
                **number("observed", outcome.observed),
                **number("limit", outcome.limit),
                **number("margin", outcome.margin),
                "terms": [term_json(term) for term in outcome.terms],
            }
        case NotJudged():
            return {**head, "missing": list(outcome.missing), "do": said.do}


def kind_of(outcome: Outcome) -> str:
    """``finding``, ``clear`` or ``not judged``."""
    match outcome:
        case Finding():
            return "finding"
        case Clear():
            return "clear"
        case NotJudged():
            return "not judged"


def number(name: str, quantity: Quantity | None) -> dict[str, Json]:
    """A number under a key that ends in its unit; nothing where there is none."""
    return {} if quantity is None else {json_key(name, quantity.dimension): json_value(quantity)}


def term_json(term: Term) -> dict[str, Json]:
    """One quantity that entered a judgement."""
    return {
        "name": term.name.value,
        **number("value", term.quantity),
        "route": term.route.value,
        "assumptions": list(term.assumptions),
    }


def remedy_json(remedy: Remedy) -> dict[str, Json]:
    """One dial, its direction and least amount."""
    return {
        "control": remedy.role.value,
        "dial": remedy.turn,
        "change_pa": remedy.change,
        "breaks": list(remedy.breaks),
    }

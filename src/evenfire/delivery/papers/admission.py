"""Whether a paper may be written of a set of settings, and how it has to be marked."""

from dataclasses import dataclass
from typing import Final

from evenfire.delivery.answers import BoilerCheck, Ending
from evenfire.delivery.report.outcome_text import findings_of, not_judged_of
from evenfire.delivery.words import Show, name_of_key, say
from evenfire.delivery.words import papers as words
from evenfire.delivery.words.proof_saying import sentences
from evenfire.delivery.words.proofs import SCENARIOS
from evenfire.judgement.case import SettingsSet
from evenfire.judgement.outcome import Severity
from evenfire.judgement.proofs.result import NotProved, Proof, Proved
from evenfire.judgement.proofs.weighing import KEEPS_SAFE, is_unsafe
from evenfire.judgement.rulebook import RULES

SAFE_SCENARIOS: Final = tuple(dict.fromkeys(scenario for scenario, _ in KEEPS_SAFE))
"""What has to be shown in motion before any paper is written."""
QUESTIONS: Final = {rule.code: rule.question for rule in RULES}
"""What each rule asks, by its code."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Countersigner:
    """Who answers, by name, for what could not be judged."""

    name: str
    licence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Admission:
    """How these settings stand before a paper."""

    ending: Ending
    stops: tuple[str, ...]
    """Stop rules that are broken, each in a sentence"""
    unjudged: tuple[str, ...]
    """Stop rules that could not be judged, each in a sentence"""
    unjudged_in_short: tuple[str, ...]
    """The same without what is missing, for a card"""
    state: str
    """On every page"""
    countersigned: str
    """Who answers for what could not be judged; empty where nobody does, or nobody has to"""
    countersigned_in_short: str
    """The same for a card"""

    @property
    def notices(self) -> tuple[str, ...]:
        """What stands at the head of a sheet."""
        stops = (words.STOP.format(what=each) for each in self.stops)
        return tuple(each for each in (*stops, *self.unjudged, self.countersigned) if each)

    @property
    def notices_in_short(self) -> tuple[str, ...]:
        """What stands at the head of a card, which has little room and no stop to tell."""
        return tuple(each for each in (*self.unjudged_in_short, self.countersigned_in_short) if each)


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """Why there is no paper."""

    ending: Ending
    why: str


def admission(
    check: BoilerCheck, proofs: tuple[Proved, ...], countersigner: Countersigner | None, show: Show
) -> Admission:
    """Everything that stands against a paper on these settings, and what has to be said at its head."""
    stops = _stops(check, proofs, show)
    lacking = _unjudged(check, proofs)
    unjudged = tuple(full for _, full in lacking)
    ending = Ending.STOP_FINDING if stops else Ending.STOP_NOT_JUDGED if unjudged else Ending.CLEAR
    when = "" if check.case.settings.read_on is None else f" {check.case.settings.read_on.isoformat()}"
    state = words.STATES[check.case.which].format(when=when)
    if stops:
        state = words.UNFIT.format(state=state)
    elif unjudged:
        state = words.COUNTERSIGNED_STATE.format(state=state)
    answers = in_short = ""
    if unjudged and countersigner is not None:
        told = {"name": countersigner.name, "licence": countersigner.licence}
        answers, in_short = words.COUNTERSIGNED.format(**told), words.COUNTERSIGNED_IN_SHORT.format(**told)
    return Admission(
        ending=ending,
        stops=stops,
        unjudged=unjudged,
        unjudged_in_short=tuple(short for short, _ in lacking),
        state=state,
        countersigned=answers,
        countersigned_in_short=in_short,
    )


def refusal_of_sheet(check: BoilerCheck, found: Admission, countersigner: Countersigner | None) -> Refusal | None:
    """Why there is no settings sheet; settings as found are always written, as a record marked so."""
    if check.case.which is SettingsSet.AS_FOUND:
        return None
    return _refusal(check, found, countersigner, paper="settings sheet", record=words.OR_A_RECORD)


def refusal_of_card(check: BoilerCheck, found: Admission, countersigner: Countersigner | None) -> Refusal | None:
    """Why there is no operator card: nobody is taught to run a boiler that must not be fired."""
    return _refusal(check, found, countersigner, paper="operator card", record="")


def _refusal(
    check: BoilerCheck, found: Admission, countersigner: Countersigner | None, *, paper: str, record: str
) -> Refusal | None:
    told = {"paper": paper, "boiler": repr(check.case.boiler.name), "which": check.case.which.value}
    if found.stops:
        why = words.REFUSED_STOP.format(**told, what=" ".join(found.stops), record=record)
        return Refusal(ending=found.ending, why=why)
    if found.unjudged and countersigner is None:
        why = words.REFUSED_UNJUDGED.format(**told, count=len(found.unjudged), what=" ".join(found.unjudged))
        return Refusal(ending=found.ending, why=why)
    return None


def _stops(check: BoilerCheck, proofs: tuple[Proved, ...], show: Show) -> tuple[str, ...]:
    ruled = [say(each, show).what for each in findings_of(check.outcomes) if each.severity is Severity.STOP]
    shown = [
        f"{SCENARIOS[each.scenario].title}: {sentences(check.case, each, show)}"
        for each in proofs
        if isinstance(each, Proof) and is_unsafe(each)
    ]
    return tuple(dict.fromkeys((*ruled, *shown)))


def _unjudged(check: BoilerCheck, proofs: tuple[Proved, ...]) -> tuple[tuple[str, str], ...]:
    """In short and in full, once for each question: several valves may all lack the same."""
    lacking: dict[str, dict[str, None]] = {}
    for each in not_judged_of(check.outcomes):
        if each.severity is Severity.STOP:
            lacking.setdefault(QUESTIONS[each.code], {}).update(dict.fromkeys(each.missing))
    ruled = [
        (words.UNJUDGED_IN_SHORT.format(what=question), words.UNJUDGED.format(question=question, missing=_named(keys)))
        for question, keys in lacking.items()
    ]
    shown = [
        (words.UNJUDGED_IN_SHORT.format(what=f"{title}."), words.UNPROVED.format(title=title, missing=missing))
        for each in proofs
        if isinstance(each, NotProved) and each.scenario in SAFE_SCENARIOS
        for title, missing in ((SCENARIOS[each.scenario].title, _named(dict.fromkeys(each.missing))),)
    ]
    return (*ruled, *shown)


def _named(keys: dict[str, None]) -> str:
    return "; ".join(name_of_key(key) for key in keys)

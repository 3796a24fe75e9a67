"""What a list of boilers says of each: the worst of it, in the words of a check, a visit and the calendar."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from evenfire.delivery.answers import BoilerCheck
from evenfire.delivery.report import due_phrases
from evenfire.delivery.report.due_answer import DueRow, Urgency
from evenfire.delivery.report.outcome_text import count_line, findings_of, not_judged_of, unjudged_stops
from evenfire.delivery.report.page import Page
from evenfire.delivery.report.visit_lines import temporary_row
from evenfire.delivery.visits.visit import Visit
from evenfire.delivery.words import SEVERITIES, name_of_key, say
from evenfire.delivery.words import due as due_words
from evenfire.judgement.outcome import NotJudged, Severity

CLEAR, NOT_JUDGED = "CLEAR", "NOT JUDGED"
OVERDUE, FAILED, NEVER, NEXT = "OVERDUE", "FAILED", "NEVER RECORDED HERE", "NEXT"
ALL_CLEAR = "Every rule that was judged is clear."
NONE_BROKEN = "No rule that was judged is broken."
NOTHING_KNOWN = 1
"""How bad it is that nothing is known: only a stop finding is worse."""
NOT_SURVEYED = "No survey of it is here, so nothing is known of how it is set."
SHORT = 8
"""Of an id that a person compares at a glance [characters]."""
MOST_NAMED = 3
"""Things that are missing, named one by one in a list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A word that tells how much it presses, and what it is about."""

    word: str
    text: str
    do: str = ""
    """What to do; empty where the page of the boiler tells it"""


def verdict_lines(check: BoilerCheck, page: Page) -> tuple[Line, ...]:
    """The worst finding, and beside it the stop rules that could not be judged."""
    findings, unjudged = findings_of(check.outcomes), unjudged_stops(check.outcomes)
    worst = None
    if findings:
        said = say(findings[0], page.show)
        is_stop = findings[0].severity is Severity.STOP
        worst = Line(word=SEVERITIES[findings[0].severity].upper(), text=said.what, do=said.do if is_stop else "")
    open_question = None if not unjudged else Line(word=NOT_JUDGED, text=_lacking("STOP rule", unjudged))
    lines = [worst, open_question] if worst is not None and worst.word == "STOP" else [open_question, worst]
    told = tuple(each for each in lines if each is not None)
    if told:
        return told
    rest = not_judged_of(check.outcomes)
    return (
        Line(word=NOT_JUDGED, text=f"{NONE_BROKEN} {_lacking('rule', rest)}")
        if rest
        else Line(word=CLEAR, text=ALL_CLEAR),
    )


def gravity_of(check: BoilerCheck) -> int:
    """0 for a stop finding, 1 for a stop rule that could not be judged, then what is less bad."""
    weights = {each.severity for each in findings_of(check.outcomes)}
    if Severity.STOP in weights:
        return 0
    if unjudged_stops(check.outcomes):
        return NOTHING_KNOWN
    for gravity, severity in enumerate((Severity.WARN, Severity.ADVISE), NOTHING_KNOWN + 1):
        if severity in weights:
            return gravity
    return 4 if not_judged_of(check.outcomes) else 5


def _lacking(rule: str, outcomes: Sequence[NotJudged]) -> str:
    codes = dict.fromkeys(each.code for each in outcomes)
    keys = dict.fromkeys(name_of_key(key) for each in outcomes for key in each.missing)
    named, more = list(keys)[:MOST_NAMED], len(keys) - MOST_NAMED
    rest = f"; and {more} more" if more > 0 else ""
    return f"{due_words.counted(len(codes), rule)} could not be judged. Missing: {'; '.join(named)}{rest}."


def judged_line(check: BoilerCheck, day: date | None, whence: str) -> str:
    """Which settings were judged, from when, and how many rules came out how."""
    when = "" if day is None else f" {day}"
    return f"Judged {check.case.which.value}{when}, {whence}: {count_line(check.outcomes)}."


def due_line(rows: Sequence[DueRow], today: date) -> Line | None:
    """What presses most, and how much more does; nothing where nothing comes due."""
    if not rows:
        return None
    first = rows[0]
    alike = sum(each.urgency is first.urgency for each in rows) - 1
    more = f"; {alike} more" if alike else ""
    what = due_phrases.what(first)
    match first.urgency:
        case Urgency.FAILED:
            assert first.failed is not None
            return Line(
                word=FAILED, text=f"{what}, {due_phrases.done(first.failed)}{more}", do=due_phrases.to_do(first)
            )
        case Urgency.OVERDUE:
            late = due_words.counted(due_phrases.days_late(first, today.toordinal()), "day")
            return Line(word=OVERDUE, text=f"{what}, since {first.due} ({late}){more}")
        case Urgency.NEVER_RECORDED:
            return Line(word=NEVER, text=f"{what}{more}")
        case Urgency.COMES_DUE:
            return Line(word=NEXT, text=f"{first.due}, {what}")


def open_visit_line(visit: Visit, by: str) -> str:
    """``Visit open since 2026-11-25 14:10 UTC, by Ada Quill.``."""
    return f"Visit open since {visit.opening.opened_at:%Y-%m-%d %H:%M} UTC, opened by {by}; not signed."


def open_changes(visit: Visit) -> tuple[Line, ...]:
    """Temporary changes that nobody closed."""
    rows = (temporary_row(each) for each in visit.temporary_changes if each.is_open)
    return tuple(Line(word=word, text=text) for word, text in rows)


def last_visit_line(on: date, signer: str, record: str, *, is_known: bool) -> str:
    """``2026-11-25, Ada Quill, record 1a2b3c4d``."""
    strange = "" if is_known else "; signed by a key that is not known here or is withdrawn"
    return f"{on}, {signer}, record {record[:SHORT]}{strange}"

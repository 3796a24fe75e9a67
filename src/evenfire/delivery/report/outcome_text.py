"""Outcomes as text, worst first: each finding with its number, its limit, what to do and its basis."""

from collections.abc import Sequence

from evenfire.delivery.report.page import Page
from evenfire.delivery.words import BASES, ROUTES, SEVERITIES, TERMS, name_of, name_of_key, say
from evenfire.delivery.words.remedies import also_told
from evenfire.judgement.outcome import Clear, Finding, NotJudged, Outcome, Route, Severity, Term

CAUSES = frozenset({"low-fire-before-cut-out"})
"""Faults from which others follow: among equals of weight they are told first."""
ORDER = {Severity.STOP: 0, Severity.WARN: 1, Severity.ADVISE: 2}


def findings_of(outcomes: Sequence[Outcome]) -> list[Finding]:
    """The findings, worst first: by weight, causes before what follows from them, then by how far they are off."""
    findings = [outcome for outcome in outcomes if isinstance(outcome, Finding)]
    return sorted(findings, key=lambda each: (ORDER[each.severity], each.code not in CAUSES, -_off(each)))


def not_judged_of(outcomes: Sequence[Outcome]) -> list[NotJudged]:
    """What could not be judged, the weightiest first."""
    return sorted(
        (outcome for outcome in outcomes if isinstance(outcome, NotJudged)), key=lambda each: ORDER[each.severity]
    )


def unjudged_stops(outcomes: Sequence[Outcome]) -> list[NotJudged]:
    """Rules that stop a boiler and could not be judged: no answer may pass over them."""
    return [outcome for outcome in not_judged_of(outcomes) if outcome.severity is Severity.STOP]


def clear_of(outcomes: Sequence[Outcome]) -> list[Clear]:
    """What is clear, in the order of the rule book."""
    return [outcome for outcome in outcomes if isinstance(outcome, Clear)]


def count_line(outcomes: Sequence[Outcome]) -> str:
    """How many of each."""
    findings = findings_of(outcomes)
    parts = [
        f"{sum(1 for finding in findings if finding.severity is severity)} {SEVERITIES[severity].lower()}"
        for severity in Severity
    ]
    parts += [f"{len(clear_of(outcomes))} clear", f"{len(not_judged_of(outcomes))} not judged"]
    return ", ".join(parts)


def finding_text(finding: Finding, page: Page, others: Sequence[Finding] = ()) -> str:
    """One finding as a short card; ``others`` are told with it, and may ask for more of the same dial."""
    return rows_text(finding_rows(finding, page, others), page)


def rows_text(rows: Sequence[tuple[str, str]], page: Page) -> str:
    """Words in the margin with sentences beside them."""
    return "\n".join(page.labelled(label, text) for label, text in rows)


def finding_rows(finding: Finding, page: Page, others: Sequence[Finding] = ()) -> list[tuple[str, str]]:
    """The rows of that card: a word in the margin and a sentence; the first is the severity and what was found."""
    said = say(finding, page.show)
    rows = [(SEVERITIES[finding.severity].upper(), said.what), ("why", said.why)]
    rows.append(("do", f"{said.do} {also_told(finding, others, page.show)}".rstrip()))
    if said.confirm:
        rows.append(("then", said.confirm))
    if finding.terms:
        rows.append(("from", terms_line(finding.terms, page)))
    rows.append(("basis", f"{BASES[finding.basis]} ({name_of(finding.subject)}, rule {finding.code})"))
    return rows


def terms_line(terms: Sequence[Term], page: Page) -> str:
    """Every quantity that entered, and how it was come by where that is not plain."""
    return "; ".join(_term(term, page) for term in terms)


def _term(term: Term, page: Page) -> str:
    route = "" if term.route is Route.STATED else f" ({ROUTES[term.route]})"
    return f"{TERMS[term.name]} {page.show(term.quantity)}{route}"


def not_judged_lines(outcomes: Sequence[Outcome], page: Page) -> list[str]:
    """What could not be judged, as items of a list."""
    return [page.item(line) for line in not_judged_told(outcomes)]


def not_judged_told(outcomes: Sequence[Outcome]) -> list[str]:
    """What could not be judged: each rule once with all that it lacks, rules that lack the same in one line."""
    lacking: dict[str, dict[str, None]] = {}
    weights: dict[str, Severity] = {}
    for outcome in not_judged_of(outcomes):
        lacking.setdefault(outcome.code, {}).update(dict.fromkeys(outcome.missing))
        weights[outcome.code] = outcome.severity
    gathered: dict[tuple[Severity, tuple[str, ...]], list[str]] = {}
    for code, keys in lacking.items():
        gathered.setdefault((weights[code], tuple(keys)), []).append(code)
    return [
        f"{SEVERITIES[weight].lower()}: {', '.join(codes)}. Missing: {'; '.join(name_of_key(key) for key in keys)}."
        for (weight, keys), codes in gathered.items()
    ]


def clear_lines(outcomes: Sequence[Outcome], page: Page) -> list[str]:
    """Every rule that is clear, as items of a list."""
    return [page.item(line) for line in clear_told(outcomes, page)]


def clear_told(outcomes: Sequence[Outcome], page: Page) -> list[str]:
    """Every rule that is clear, in words."""
    return [f"{say(clear, page.show).what} [{clear.code}]" for clear in clear_of(outcomes)]


def _off(finding: Finding) -> float:
    return 0.0 if finding.short_by is None else finding.short_by.value

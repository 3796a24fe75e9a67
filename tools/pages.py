"""Write every page that comes from the code: ``make docs``. A test compares the pages with what this would write."""

import json
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path

from evenfire.delivery.acts.settling import settle_of
from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_svg import stack_svg
from evenfire.delivery.intake.assumptions import ALL as ASSUMPTIONS
from evenfire.delivery.intake.assumptions import Assumption
from evenfire.delivery.intake.plant_file import read_plant_file
from evenfire.delivery.intake.schema import plant_file_schema
from evenfire.delivery.report.due_json import DUE_SCHEMA
from evenfire.delivery.report.history_json import HISTORY_SCHEMA
from evenfire.delivery.report.schemas import (
    CHECK_SCHEMA,
    MEASURE_SCHEMA,
    ODDS_SCHEMA,
    PROVE_SCHEMA,
    RUN_SCHEMA,
    SETTLE_SCHEMA,
)
from evenfire.delivery.report.verify_json import VERIFY_SCHEMA
from evenfire.delivery.report.visit_schema import VISIT_SCHEMA
from evenfire.delivery.units import UnitSystem, show
from evenfire.delivery.words import BASES, CAUTIONS, ENTRIES, SEVERITIES_EXPLAINED
from evenfire.judgement.outcome import Severity
from evenfire.judgement.rule import Applies, Rule
from evenfire.judgement.rulebook import RULE_BOOK_VERSION, RULES
from evenfire.judgement.settle.result import Fits
from evenfire.si import Quantity
from evenfire.sources import ALL as SOURCES
from evenfire.sources import Citation, Reading
from tools.agreement import agreement_table, disagreement_table
from tools.trip_pages import trip_test_page

ROOT = Path(__file__).parents[1]
WRITTEN = "<!-- Written by `make docs`; change the code, not this page. -->\n\n"
README = "README.md"


def pages() -> dict[str, str]:
    """Every generated page, by its path from the root."""
    readme = (ROOT / README).read_text(encoding="utf-8")
    for name, text in (("agreement", agreement_table()), ("cautions", _cautions())):
        readme = _replaced(readme, name, text)
    return {
        README: readme,
        "docs/reference/rules.md": rule_page(),
        "docs/reference/sources.md": source_page(),
        "docs/reference/assumptions.md": assumption_page(),
        "docs/reference/agreement.md": agreement_page(),
        "docs/reference/trip-tests.md": trip_test_page(),
        "docs/reference/plant-file.schema.json": _schema(plant_file_schema()),
        "docs/reference/check.schema.json": _schema(CHECK_SCHEMA),
        "docs/reference/due.schema.json": _schema(DUE_SCHEMA),
        "docs/reference/history.schema.json": _schema(HISTORY_SCHEMA),
        "docs/reference/measure.schema.json": _schema(MEASURE_SCHEMA),
        "docs/reference/odds.schema.json": _schema(ODDS_SCHEMA),
        "docs/reference/prove.schema.json": _schema(PROVE_SCHEMA),
        "docs/reference/settle.schema.json": _schema(SETTLE_SCHEMA),
        "docs/reference/run.schema.json": _schema(RUN_SCHEMA),
        "docs/reference/verify.schema.json": _schema(VERIFY_SCHEMA),
        "docs/reference/visit.schema.json": _schema(VISIT_SCHEMA),
        "docs/img/laundry-stack.svg": laundry_stack(),
    }


def rule_page() -> str:
    """Every rule: question, number, weight, basis, sources, to what it applies, what it says."""
    weights = "\n".join(f"- **{severity.value}**: {SEVERITIES_EXPLAINED[severity]}" for severity in Severity)
    entries = "\n".join(_rule(rule) for rule in RULES)
    return (
        f"# Rules\n\n{WRITTEN}Rule book {RULE_BOOK_VERSION}, {len(RULES)} rules. Each ends as a finding, as clear or "
        f"as not judged.\n\n{weights}\n\nCommon practice and memory are advice and never a violation of "
        f"a code.\n\n{entries}"
    )


def source_page() -> str:
    """Every publication, with how well we know it and which rules cite it."""
    lines = ["| key | publication | known by | rules that cite it |", "|---|---|---|---|"]
    for source in SOURCES:
        citing = sorted(rule.code for rule in RULES if any(each.source is source for each in rule.citations))
        known = "having read it" if source.reading is Reading.READ else "memory: confirm in the adopted edition"
        lines.append(f"| {source.key} | {source.title} | {known} | {', '.join(citing)} |")
    return f"# Sources\n\n{WRITTEN}" + "\n".join(lines) + "\n"


def assumption_page() -> str:
    """Every number that may stand in for one that a survey does not give."""
    entries = "\n".join(_assumption(each) for each in ASSUMPTIONS)
    return (
        f"# Assumptions\n\n{WRITTEN}What a survey may leave out, and what stands in for it. A value that was assumed "
        "carries the name below wherever it is used, and every answer lists it. What decides safety is never assumed: "
        "set pressures, capacities, tolerances, turndown, water volume, readings of dials.\n\n" + entries
    )


def agreement_page() -> str:
    """How well we agree with print, and where we do not."""
    parts = ("# Agreement with print", WRITTEN + agreement_table(), "## Where we do not agree", disagreement_table())
    return "\n\n".join(parts) + "\n"


def laundry_stack() -> str:
    """The stack of the demo laundry, as found beside proposed."""
    done = settle_of(read_plant_file(ROOT / "examples" / "laundry.toml"))
    boiler = done.boilers[0]
    if not isinstance(boiler.answer, Fits):
        raise TypeError("the demo laundry must settle")
    return stack_svg(lay_out(boiler.now.case, boiler.answer.chosen.case), UnitSystem.US, 720)


def _rule(rule: Rule) -> str:
    entry = ENTRIES[rule.code]
    lines = [
        f"## {rule.code}\n",
        f"{rule.question}\n",
        f"- weight: {rule.severity.value}; basis: {BASES[rule.basis]}",
    ]
    if rule.number:
        lines.append(f"- number: {rule.number}")
    if rule.citations:
        lines.append(f"- source: {'; '.join(_citation(each) for each in rule.citations)}")
    lines.append(f"- applies to: {_applies(rule.applies_to)}")
    lines.append(f"- why: {entry.finding.why}\n")
    return "\n".join(lines)


def _citation(citation: Citation) -> str:
    memory = ", from memory" if citation.source.reading is Reading.MEMORY else ""
    return f"{citation.source.key}{f' {citation.place}' if citation.place else ''}{memory}"


def _applies(applies: Applies) -> str:
    pressure = {None: "boilers", True: "boilers up to 15 psi", False: "boilers above 15 psi"}[applies.low_pressure]
    if applies.kinds is None:
        return pressure
    return f"{', '.join(sorted(kind.value for kind in applies.kinds))} {pressure}"


def _assumption(each: Assumption) -> str:
    values = "; ".join(
        f"{each.shows or show(Quantity(value, each.dimension), UnitSystem.US)}{f' ({case})' if case else ''}"
        for case, value in each.values
    )
    values = values[0].upper() + values[1:]
    of = f" of {each.of}" if each.of else ""
    source = f" Source: {_citation(each.source)}." if each.source is not None else ""
    run = " Only a run through time uses it." if each.for_motion else ""
    return f"## {each.name}\n\n{values}{of}. Replaced by `{'` or `'.join(each.keys)}`.{run}\n\n{each.why}{source}\n"


def _cautions() -> str:
    return "\n".join(f"- {caution}" for caution in CAUTIONS)


def _schema(schema: Mapping[str, object]) -> str:
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def _replaced(text: str, name: str, part: str) -> str:
    """The text with what stands between the marks of a generated part replaced."""
    first, last = f"<!-- {name}: written by make docs -->", f"<!-- end of {name} -->"
    before, _, rest = text.partition(first)
    _, _, after = rest.partition(last)
    return f"{before}{first}\n{part}\n{last}{after}"


def write(names: Iterable[str]) -> None:
    """Write the pages of these names."""
    made = pages()
    for name in names:
        path = ROOT / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(made[name], encoding="utf-8", newline="\n")
        print(f"wrote {name}")


if __name__ == "__main__":
    write(sys.argv[1:] or pages())

"""The answer of ``check`` as text."""

from evenfire.delivery.answers import BoilerCheck, Check, Ending
from evenfire.delivery.report.boiler_text import (
    assumption_lines,
    cautions,
    made_from,
    nameplate,
    several_boilers,
    standing_lines,
    which_settings,
    who,
)
from evenfire.delivery.report.outcome_text import (
    clear_lines,
    clear_of,
    count_line,
    finding_text,
    findings_of,
    not_judged_lines,
)
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.units import UnitSystem

STILL_EXAMPLES = (
    "NOT YOUR BOILER YET: {file} still says FILL IN on lines {lines}. What stands there is an example; what is told of "
    "it below means nothing. Replace each and take its mark away."
)
VERDICTS = {
    Ending.STOP_FINDING: "STOP: do not fire it like this until every STOP above is cured.",
    Ending.STOP_NOT_JUDGED: "No STOP was found, but a STOP rule could not be judged: that is not an all-clear.",
    Ending.CLEAR: "Every STOP rule was judged and is clear.",
}


def check_text(check: Check, system: UnitSystem, width: int, *, every: bool = False) -> str:
    """Every boiler of a plant file, worst findings first."""
    page = Page(width, system)
    boilers = [_boiler(check, boiler, page, every=every) for boiler in check.boilers]
    assumed = [page.item(line) for line in assumption_lines(check.plant_file, page)]
    return joined(
        [
            _unfilled(check, page),
            *boilers,
            page.heading("Assumed, because the survey does not say") + "\n" + "\n".join(assumed) if assumed else "",
            page.paragraph(_verdict(check)),
            several_boilers(check.plant_file, page),
            cautions(page),
            page.paragraph(made_from(check.identity)),
        ]
    )


def _boiler(check: Check, boiler: BoilerCheck, page: Page, *, every: bool) -> str:
    outcomes = boiler.outcomes
    plate = nameplate(boiler.case.boiler, page)
    clear = clear_lines(outcomes, page) if every else []
    not_judged = not_judged_lines(outcomes, page)
    return joined(
        [
            page.title(who(check.plant_file, boiler.case.boiler)),
            page.paragraph(f"{plate[0].upper()}{plate[1:]}. {which_settings(boiler)}"),
            page.paragraph(count_line(outcomes)),
            *(finding_text(finding, page, findings_of(outcomes)) for finding in findings_of(outcomes)),
            page.heading("Not judged") + "\n" + "\n".join(not_judged) if not_judged else "",
            page.heading("Clear") + "\n" + "\n".join(clear) if clear else "",
            "" if every else page.paragraph(f"{len(clear_of(outcomes))} rules are clear; --every shows them."),
            page.heading("Where it stands")
            + "\n"
            + "\n".join(page.item(line) for line in standing_lines(boiler.standing, boiler.case, page)),
        ]
    )


def _unfilled(check: Check, page: Page) -> str:
    lines = ", ".join(str(line) for line in check.plant_file.unfilled)
    return page.paragraph(f"{STILL_EXAMPLES.format(file=check.plant_file.name, lines=lines)}") if lines else ""


def _verdict(check: Check) -> str:
    boilers = check.boilers
    warned = any(finding for boiler in boilers for finding in findings_of(boiler.outcomes))
    following = f" Next: evenfire settle {check.plant_file.name}" if warned else ""
    return f"{VERDICTS[check.ending]}{following}"

"""The answer of ``run`` as text: the hours in words, worst first."""

import textwrap
from collections.abc import Iterator

from evenfire.delivery.answers import Beginning, BoilerRun, CannotRun, Ran
from evenfire.delivery.report.boiler_text import assumption_lines, cautions, made_from, nameplate, who
from evenfire.delivery.report.check_text import STILL_EXAMPLES
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.report.run_account import account
from evenfire.delivery.report.run_facts import facts_of
from evenfire.delivery.report.run_load import load_sentence
from evenfire.delivery.report.run_pressure import highest_line, lowest_line
from evenfire.delivery.report.run_stops import limit_lines, start_line, stop_lines, trouble_lines
from evenfire.delivery.report.run_story import story_of
from evenfire.delivery.report.told_line import Line, Weight, told
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import name_of_key
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN
from evenfire.delivery.words.clock import DAY, clock, lasting
from evenfire.delivery.words.names import printable
from evenfire.delivery.words.running import (
    AS_FAR,
    CANNOT,
    CAPPED,
    IN_MANUAL,
    JUMPERS,
    NOT_QUIET,
    ONE_BOILER,
    QUIET,
    fault_words,
)
from evenfire.judgement.case import SettingsSet
from evenfire.plant.settings import Switch
from evenfire.si import Dimension, Quantity


def run_text(answer: BoilerRun, system: UnitSystem, width: int) -> str:
    """What was run, what came of it, what happened, what was assumed."""
    page = Page(width, system)
    assumed = [page.item(line) for line in assumption_lines(answer.plant_file, page, motion=True)]
    body = _cannot(answer.result, page) if isinstance(answer.result, CannotRun) else _ran(answer, answer.result, page)
    return joined(
        [
            *_head(answer, page),
            *body,
            page.heading("Assumed, because the survey does not say") + "\n" + "\n".join(assumed) if assumed else "",
            page.paragraph(ONE_BOILER) if len(answer.plant_file.plant.boilers) > 1 else "",
            f"{page.paragraph(CAUTION_OF_A_RUN)}\n{cautions(page)}",
            page.paragraph(_identity(answer)),
        ]
    )


def drawing_caption(answer: BoilerRun, ran: Ran, system: UnitSystem) -> tuple[str, ...]:
    """What was run, for the foot of its drawing."""
    asked = " ".join(_asked(answer, ran, Page(80, system)))
    which = f"Settings {answer.case.which.value}. "
    run = f"Run {ran.run.identity[:12]}, physics {answer.physics_version}. {CAUTION_OF_A_RUN}"
    return (which + asked, *(line.text for line in _broke_off(ran, Page(80, system))), run)


def _head(answer: BoilerRun, page: Page) -> Iterator[str]:
    case = answer.case
    lines = ", ".join(str(line) for line in answer.plant_file.unfilled)
    if lines:
        yield page.paragraph(STILL_EXAMPLES.format(file=answer.plant_file.name, lines=lines))
    yield page.title(who(answer.plant_file, case.boiler))
    plate = nameplate(case.boiler, page)
    when = "" if case.settings.read_on is None else f", read {case.settings.read_on.isoformat()}"
    stale = " (STALE: the survey has changed since they were proposed)" if answer.is_stale else ""
    yield page.paragraph(f"{plate[0].upper()}{plate[1:]}. Settings {case.which.value}{when}{stale}.")
    if isinstance(answer.result, Ran):
        yield page.paragraph(" ".join(_asked(answer, answer.result, page)))
    yield from (page.paragraph(line) for line in _as_found(answer, page))


def _asked(answer: BoilerRun, ran: Ran, page: Page) -> Iterator[str]:
    plan, days = ran.plan, ran.plan.duration > DAY
    fuel = "" if answer.burner is None else f" on {answer.burner.fuel.value}"
    yield f"{lasting(plan.duration)}{fuel}, simulated from 00:00 on{_begins(ran, page)}."
    yield load_sentence(plan.load, page)
    if plan.faults:
        faults = (
            f"{fault_words(fault, page.system)} from {clock(fault.begin, days=days, seconds=True)} on"
            + ("" if fault.end > plan.duration else f" for {lasting(fault.end - fault.begin)}")
            for fault in plan.faults
        )
        yield f"BROKEN ON PURPOSE: {'; '.join(faults)}."
    else:
        yield "Nothing is broken, every dial is true."
    if plan.resets:
        yield f"A hand presses reset at {', '.join(clock(time, days=days) for time in plan.resets)}."


def _begins(ran: Ran, page: Page) -> str:
    match ran.plan.beginning:
        case Beginning.AT_WORK:
            return ", the boiler at work"
        case Beginning.COLD:
            return ", the boiler cold and vented"
        case Beginning.AT_PRESSURE:
            pressure = 0.0 if ran.plan.pressure is None else ran.plan.pressure
            return f", the boiler at {page.show(Quantity(pressure, Dimension.GAUGE_PRESSURE))} with its burner off"


def _as_found(answer: BoilerRun, page: Page) -> Iterator[str]:
    """What was seen on arrival and a run does not follow, or does."""
    found = answer.case.boiler.as_found
    if found is None:
        return
    cap = "" if found.manual_cap is None else page.show(Quantity(found.manual_cap, Dimension.FRACTION))
    if found.jumpers and answer.case.which is SettingsSet.AS_FOUND:
        yield JUMPERS.format(seen=", ".join(printable(each) for each in found.jumpers))
    if found.switch is Switch.MANUAL:
        yield IN_MANUAL
    if cap:
        yield CAPPED.format(share=cap)


def _ran(answer: BoilerRun, ran: Ran, page: Page) -> Iterator[str]:
    facts = facts_of(answer.case, ran.run)
    story = story_of(answer, ran, page)
    lines = [
        *_broke_off(ran, page),
        highest_line(answer, ran, facts, page),
        lowest_line(answer, ran, facts, page),
        start_line(ran, facts),
        *stop_lines(answer, ran, facts, page),
        *limit_lines(answer, ran, page),
        *trouble_lines(ran, facts, page),
        *account(answer, ran, facts, page),
    ]
    yield told(lines, page)
    if not story.lines:
        is_quiet = all(line.weight is Weight.PLAIN for line in lines)
        yield page.paragraph(QUIET if is_quiet else NOT_QUIET) if ran.broke_off is None else ""
        return
    shown = [_story_line(line, page) for line in story.lines]
    if story.more:
        shown.append(page.paragraph(f"And {story.more:,} more of these kinds; --json gives every one."))
    yield f"{page.heading('What happened, in order')}\n" + "\n".join(shown)


def _story_line(line: str, page: Page) -> str:
    at = line.index("  ") + 2
    return textwrap.fill(line, page.width, subsequent_indent=" " * at, break_on_hyphens=False)


def _broke_off(ran: Ran, page: Page) -> Iterator[Line]:
    error = ran.broke_off
    if error is None:
        return
    why = f"{error.why[0].upper()}{error.why[1:]}"
    days = ran.plan.duration > DAY
    yield Line(
        "STOP",
        f"{why} after {lasting(error.time.value)}, at {clock(error.time.value, days=days)}, with "
        f"{page.show(error.pressure)} and {page.show(error.contents)} of water and steam in it. {AS_FAR}",
        Weight.DANGER,
    )


def _cannot(cannot: CannotRun, page: Page) -> Iterator[str]:
    keys = "\n".join(page.item(name_of_key(key)) for key in cannot.missing)
    yield f"{page.paragraph(CANNOT)}\n{keys}"


def _identity(answer: BoilerRun) -> str:
    run = "" if isinstance(answer.result, CannotRun) else f" Run {answer.result.run.identity[:12]}."
    return f"{made_from(answer.identity)} Physics {answer.physics_version}.{run}"

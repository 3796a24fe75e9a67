"""The answer of ``measure`` as text: the one measurement first, then what each margin hangs on, the worst first."""

from collections.abc import Iterator

from evenfire.delivery.answers import BoilerPulls, Measure
from evenfire.delivery.report.boiler_text import assumption_lines, cautions, made_from, nameplate, several_boilers, who
from evenfire.delivery.report.check_text import STILL_EXAMPLES
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import measurements as words
from evenfire.delivery.words import name_of_key
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN
from evenfire.delivery.words.demands import DEMANDS
from evenfire.delivery.words.measurement_saying import (
    say_briefly,
    say_help,
    say_margin,
    say_pulls,
    say_why,
    stands,
    what_to_measure,
)
from evenfire.judgement.tolerance.sensitivity import MarginPulls, Sensitivity, Stake

MOST_PULLS = 2
"""Values told of each margin, unless every one is asked for."""


def measure_text(answer: Measure, system: UnitSystem, width: int, *, every: bool = False) -> str:
    """What to measure at each boiler, and why."""
    page = Page(width, system)
    assumed = [page.item(line) for line in assumption_lines(answer.plant_file, page, motion=True)]
    lines = ", ".join(str(line) for line in answer.plant_file.unfilled)
    return joined(
        [
            page.paragraph(STILL_EXAMPLES.format(file=answer.plant_file.name, lines=lines)) if lines else "",
            *(_boiler(answer, boiler, page, every=every) for boiler in answer.boilers),
            page.heading("Assumed, because the survey does not say") + "\n" + "\n".join(assumed) if assumed else "",
            page.paragraph(words.ENDINGS[answer.ending.value]),
            several_boilers(answer.plant_file, page),
            f"{page.paragraph(CAUTION_OF_A_RUN)}\n{cautions(page)}",
            page.paragraph(f"{made_from(answer.identity)} Physics {answer.physics_version}."),
        ]
    )


def _boiler(answer: Measure, boiler: BoilerPulls, page: Page, *, every: bool) -> str:
    plate, found = nameplate(boiler.case.boiler, page), boiler.found
    return joined(
        [
            page.title(who(answer.plant_file, boiler.case.boiler)),
            page.paragraph(f"{plate[0].upper()}{plate[1:]}. {_which(boiler)}"),
            _first(boiler, answer.plant_file.name, page),
            *(_margins(found, answer.plant_file.name, page, every=every) if found.margins else ()),
        ]
    )


def _which(boiler: BoilerPulls) -> str:
    read = boiler.case.settings.read_on
    when = "" if read is None else f", read {read.isoformat()}"
    stale = " (STALE: the survey has changed since they were proposed)" if boiler.is_stale else ""
    return f"Settings {boiler.case.which.value}{when}{stale}."


def _first(boiler: BoilerPulls, file: str, page: Page) -> str:
    """The one measurement, as an instruction; what the survey lacks comes even before it."""
    found = boiler.found
    lines = [page.labelled("SURVEY", text) for text in _missing(found)]
    best = found.most_helpful
    margin = None if best is None else found.of(best.code)
    if best is None or margin is None:
        lines += [page.paragraph(words.NO_MEASUREMENT)] if found.margins else []
        return page.heading(words.FIRST) + "\n" + "\n".join(lines)
    entry = what_to_measure(best, boiler.case, page.show)
    lines += [
        page.labelled("MEASURE", f"{entry.name.upper()}. {entry.do}"),
        page.labelled("why", say_why(best, margin, page.show)),
        page.labelled("write", entry.write),
        page.labelled("then", words.NEXT.format(file=file)),
    ]
    return page.heading(words.FIRST) + "\n" + "\n".join(lines)


def _margins(found: Sensitivity, file: str, page: Page, *, every: bool) -> Iterator[str]:
    """What may turn in full; what holds in one line each, unless everything is asked for."""
    about = [words.ABOUT]
    if found.missing:
        about.append(words.NOT_SIMULATED.format(keys="; ".join(name_of_key(key) for key in found.missing)))
    if found.not_varied:
        about.append(words.NOT_VARIED.format(keys=", ".join(found.not_varied)))
    yield page.heading(words.EACH) + "\n" + page.paragraph(" ".join(about))
    holding = [each for each in found.margins if each.stake is Stake.NOTHING and not every]
    yield from (_margin(each, page, every=every) for each in found.margins if each not in holding)
    if holding:
        lines = [page.item(say_briefly(each, page.show)) for each in holding]
        yield "\n".join([page.heading(words.HOLDS), *lines, page.paragraph(words.MORE.format(file=file))])


def _margin(margin: MarginPulls, page: Page, *, every: bool) -> str:
    lines = [page.labelled(stands(margin), f"{say_margin(margin, page.show)}")]
    most = len(margin.pulls) if every else MOST_PULLS
    lines += [page.labelled("", line) for line in say_pulls(margin, most, page.system, page.show)]
    helps = margin.helps if every else margin.helps[:1]
    return "\n".join([*lines, *(page.labelled("", say_help(each, page.show)) for each in helps)])


def _missing(found: Sensitivity) -> Iterator[str]:
    """What could not be judged, and all that it lacks."""
    demands = [f'"{DEMANDS[code]}"' for code, _ in found.not_weighed]
    keys = dict.fromkeys(key for _, missing in found.not_weighed for key in missing)
    if demands:
        yield words.SURVEY_FIRST.format(demands=", ".join(demands), keys="; ".join(name_of_key(key) for key in keys))

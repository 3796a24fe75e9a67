"""The answer of ``settle`` as text."""

from collections.abc import Sequence

from evenfire.delivery.answers import BoilerSettle, Settle
from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_levels import StackLayout
from evenfire.delivery.figures.stack_text import stack_text
from evenfire.delivery.report.boiler_text import (
    assumption_lines,
    cautions,
    made_from,
    nameplate,
    several_boilers,
    standing_lines,
    who,
)
from evenfire.delivery.report.high_limit_text import high_limit_lines
from evenfire.delivery.report.margin_text import margin_lines
from evenfire.delivery.report.moves_text import checklist_text
from evenfire.delivery.report.outcome_text import finding_text, findings_of, not_judged_lines, unjudged_stops
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.report.settings_text import settings_text
from evenfire.delivery.report.settle_json import outcomes_behind
from evenfire.delivery.report.trade_text import pulls_text, trade_text
from evenfire.delivery.units import Rounding, UnitSystem
from evenfire.delivery.words import name_of_key
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN
from evenfire.delivery.words.cures import NO_CURE, say_conflict, say_cure
from evenfire.delivery.words.demands import DEMANDS
from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Finding, Severity
from evenfire.judgement.settle.result import CannotSettle, Chosen, Conflict, Fits, NothingFits
from evenfire.plant.settings import Settings
from evenfire.si import ROUNDING_PA, Dimension, Quantity

UNUSED = "Do not use it; nothing is written."
WEIGH_FIRST = "Weigh that before you use it; nothing is written."
OPEN_STOPS = "STOP RULES NOT JUDGED; nothing here says that they are in order. Find out first:"
LOCKED_OUT = (
    "BURNER OFF AND LOCKED OUT before any dial is turned towards them, until all are turned and read again: no order "
    "of moves is given to settings that do not fit."
)
STALE = "The file holds a STALE proposal: the survey has changed since. --write puts the one below in its place."


def settle_text(done: Settle, system: UnitSystem, width: int) -> str:
    """Every boiler: the settings, the margins, the stack as found beside proposed."""
    page = Page(width, system)
    moved = any(boiler.motion is not None and boiler.motion.proofs for boiler in done.boilers)
    assumed = [page.item(line) for line in assumption_lines(done.plant_file, page, motion=moved)]
    return joined(
        [
            *(_boiler(done, boiler, page) for boiler in done.boilers),
            page.heading("Assumed, because the survey does not say") + "\n" + "\n".join(assumed) if assumed else "",
            several_boilers(done.plant_file, page),
            (page.paragraph(CAUTION_OF_A_RUN) + "\n" if moved else "") + cautions(page),
            page.paragraph(made_from(done.identity)),
        ]
    )


def _boiler(done: Settle, boiler: BoilerSettle, page: Page) -> str:
    plate = nameplate(boiler.now.case.boiler, page)
    head = [
        page.title(who(done.plant_file, boiler.now.case.boiler)),
        page.paragraph(f"{plate[0].upper()}{plate[1:]}."),
        page.paragraph(STALE) if boiler.now.beside_stale else "",
        *_cure_first(boiler, page),
    ]
    open_stops = unjudged_text(boiler, page)
    match boiler.answer:
        case Fits() as answer:
            body = _fits(done, boiler, answer, page, open_stops)
        case NothingFits() as answer:
            body = [*_nothing_fits(boiler.now.case, answer, page, open_stops), _motion(done, boiler, page)]
        case CannotSettle(missing=missing):
            body = [*_cannot(missing, page), open_stops]
    return joined([*head, *body])


def unjudged_text(boiler: BoilerSettle, page: Page) -> str:
    """Stop rules that could not be judged, to stand under the headline; empty where every one was."""
    lines = not_judged_lines(unjudged_stops(outcomes_behind(boiler)), page)
    return "\n".join([page.paragraph(OPEN_STOPS), *lines]) if lines else ""


def _cure_first(boiler: BoilerSettle, page: Page) -> list[str]:
    """Stop findings that no dial cures: they come before any proposal."""
    dials = {demand.code for demand in boiler.now.case.demands}
    stops = [
        finding
        for finding in findings_of(boiler.now.outcomes)
        if finding.severity is Severity.STOP and finding.code not in dials
    ]
    if not stops:
        return []
    return [
        page.paragraph("Cure these first; no setting does:"),
        *(finding_text(finding, page, findings_of(boiler.now.outcomes)) for finding in stops),
    ]


def _motion(done: Settle, boiler: BoilerSettle, page: Page) -> str:
    """What the simulation taught and proved; nothing where it was not asked for."""
    if boiler.motion is None:
        return ""
    from evenfire.delivery.report.motion_text import motion_text  # brings the simulation in

    return motion_text(boiler.motion, done.plant_file.name, page)


def _headline(boiler: BoilerSettle, fits: Fits) -> str:
    count = f"{fits.combinations:,.0f} combinations of dial positions"
    if boiler.is_unsafe:
        return f"UNSAFE IN MOTION: of {count} this one passes by the closed forms alone; see what fails below. {UNUSED}"
    if boiler.falls_short:
        return (
            f"DOES NOT FIT IN MOTION: of {count} this one meets every demand by the closed forms, but the simulation "
            f"shows what still FAILS below. {WEIGH_FIRST}"
        )
    return (
        f"SETTLED: of {count} this one meets every demand that could be judged: fewest starts, then fewest dials "
        "moved, then widest margins."
    )


def _fits(done: Settle, boiler: BoilerSettle, fits: Fits, page: Page, open_stops: str) -> list[str]:
    chosen = fits.chosen
    return [
        page.paragraph(_headline(boiler, fits)),
        open_stops,
        *_settings("Proposed settings", boiler.now.case, chosen, page),
        _motion(done, boiler, page),
        *_rest(chosen, page),
        trade_text(fits.trade, boiler.now, fits.chosen, page),
        pulls_text(fits.pulls, fits.chosen.rooms, page),
        "" if boiler.moves is None else checklist_text(boiler.moves, page),
    ]


def _nothing_fits(now: Case, answer: NothingFits, page: Page, open_stops: str) -> list[str]:
    failing = [
        page.item(
            f"{DEMANDS[room.code]}: short by "
            f"{page.show(Quantity(max(ROUNDING_PA, -room.room), Dimension.PRESSURE_DIFFERENCE), rounding=Rounding.UP)}"
        )
        for room in answer.failing
    ]
    head = page.paragraph(
        f"NOTHING FITS: none of {answer.combinations:,.0f} combinations of dial positions meets every demand. "
        "At the nearest one these fail:"
    )
    if answer.nearest is None:
        return [
            f"{head}\n" + "\n".join(failing),
            open_stops,
            *_conflicts(answer.conflicts, page),
            page.paragraph(
                "Not even the demands that are never relaxed can be kept, so no settings are shown. Change the "
                "boiler's controls or valves, not its dials."
            ),
        ]
    return [
        f"{head}\n" + "\n".join(failing),
        open_stops,
        *_conflicts(answer.conflicts, page),
        page.paragraph(
            "Below are the LEAST BAD settings, to work with until then. They keep every limit that is never relaxed, "
            "but NOT the demands above."
        ),
        page.paragraph(LOCKED_OUT),
        *_settings("Least bad settings", now, answer.nearest, page),
        *_rest(answer.nearest, page),
    ]


def _conflicts(conflicts: Sequence[Conflict], page: Page) -> list[str]:
    """Each conflict with the changes that would cure it; one of each makes it settle."""
    blocks = []
    for number, conflict in enumerate(conflicts, 1):
        lines = [page.paragraph(f"Conflict {number}. {say_conflict(conflict)}")]
        if not conflict.cures:
            lines.append(page.paragraph(NO_CURE))
        else:
            lines.append(page.paragraph("Any one of these cures it:"))
            lines += [page.item(say_cure(cure, page.show)) for cure in conflict.cures]
        blocks.append("\n".join(lines))
    return blocks


def _cannot(missing: tuple[str, ...], page: Page) -> list[str]:
    keys = "\n".join(page.item(name_of_key(key)) for key in missing)
    return [
        page.paragraph(
            "CANNOT SETTLE: what decides safety, or a dial, is not known. Nothing is proposed. Survey first:"
        )
        + f"\n{keys}"
    ]


def _settings(title: str, now: Case, chosen: Chosen, page: Page) -> list[str]:
    return [
        page.heading(title) + "\n" + settings_text(chosen.case, now, page),
        page.heading("Margins, narrowest first; a full bar is five tolerances")
        + "\n"
        + margin_lines(chosen.rooms, page),
        stack_text(_layout(now, chosen), page.system, page.width),
    ]


def _layout(now: Case, chosen: Chosen) -> StackLayout:
    return lay_out(None if now.settings == Settings() else now, chosen.case)


def _rest(chosen: Chosen, page: Page) -> list[str]:
    findings = findings_of(chosen.outcomes)
    dials = {demand.code for demand in chosen.case.demands}
    on_dials = [finding for finding in findings if finding.code in dials]
    others = [finding for finding in findings if finding.code not in dials and finding.severity is not Severity.STOP]
    lines = [*standing_lines(chosen.standing, chosen.case, page), *high_limit_lines(chosen.case, page)]
    standing = "\n".join(page.item(line) for line in lines)
    unweighed = "\n".join(
        page.item(f"{DEMANDS[each.code]}. Missing: {'; '.join(name_of_key(key) for key in each.missing)}.")
        for each in chosen.not_weighed
    )
    return [
        page.heading("Where it would stand") + "\n" + standing,
        page.heading("Demands that could not be judged") + "\n" + unweighed if unweighed else "",
        _findings("The rule book on these settings", on_dials, page),
        _findings("What remains beside these demands", others, page),
    ]


def _findings(title: str, findings: Sequence[Finding], page: Page) -> str:
    if not findings:
        return ""
    return joined([page.heading(title), *(finding_text(finding, page) for finding in findings)])

"""The answer of ``odds`` as text: what may happen in a year, worst first, with what each number rests on."""

from collections.abc import Iterator, Sequence

from evenfire.delivery.answers import BoilerOdds, Odds
from evenfire.delivery.report.boiler_text import assumption_lines, cautions, made_from, nameplate, several_boilers, who
from evenfire.delivery.report.check_text import STILL_EXAMPLES
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.units import Rounding, UnitSystem
from evenfire.delivery.units.chance import show_chance
from evenfire.delivery.words import PARTS, name_of_key
from evenfire.delivery.words import odds as words
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN
from evenfire.delivery.words.odds_saying import say_basis, say_what, to_do
from evenfire.judgement.outcome import PART_OF_ROLE, Route
from evenfire.judgement.tolerance.result import Likelihood, Likelihoods, NotCounted
from evenfire.judgement.tolerance.spread import ASSUMED_DRIFT_A_YEAR, DRAWN, ControlSpread, Spread
from evenfire.judgement.tolerance.weighing import Weight, weight_of, worst_first
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing
from evenfire.si import Dimension, Quantity


def odds_text(answer: Odds, system: UnitSystem, width: int) -> str:
    """How likely each boiler leaves its order in a year."""
    page = Page(width, system)
    assumed = [page.item(line) for line in assumption_lines(answer.plant_file, page, motion=True)]
    lines = ", ".join(str(line) for line in answer.plant_file.unfilled)
    return joined(
        [
            page.paragraph(STILL_EXAMPLES.format(file=answer.plant_file.name, lines=lines)) if lines else "",
            *(_boiler(answer, boiler, page) for boiler in answer.boilers),
            page.paragraph(words.NOT_BEGUN.format(names=", ".join(answer.not_begun))) if answer.not_begun else "",
            page.heading("Assumed, because the survey does not say") + "\n" + "\n".join(assumed) if assumed else "",
            page.paragraph(_ending(answer)),
            several_boilers(answer.plant_file, page),
            f"{page.paragraph(CAUTION_OF_A_RUN)}\n{cautions(page)}",
            page.paragraph(
                f"{words.MADE_FROM.format(seed=answer.seed, draws=f'{answer.draws:,}', reruns=answer.most_reruns)} "
                f"{made_from(answer.identity)} Physics {answer.physics_version}."
            ),
        ]
    )


def _boiler(answer: Odds, boiler: BoilerOdds, page: Page) -> str:
    plate, counted = nameplate(boiler.case.boiler, page), boiler.counted
    ranked = worst_first(counted.answers)
    return joined(
        [
            page.title(who(answer.plant_file, boiler.case.boiler)),
            page.paragraph(f"{plate[0].upper()}{plate[1:]}. {_which(boiler)}"),
            page.paragraph(_stopped(answer, counted)) if not counted.is_complete else "",
            page.paragraph(_about(answer, counted)) if counted.answers else "",
            *(_one(answer, counted, each, page) for each in ranked if weight_of(each) is Weight.LIKELY),
            _not_counted(counted.not_counted, page),
            *(_one(answer, counted, each, page) for each in ranked if weight_of(each) is not Weight.LIKELY),
            _drawn(boiler, page) if counted.answers else "",
        ]
    )


def _which(boiler: BoilerOdds) -> str:
    read = boiler.case.settings.read_on
    when = "" if read is None else f", read {read.isoformat()}"
    stale = " (STALE: the survey has changed since they were proposed)" if boiler.is_stale else ""
    return f"Settings {boiler.case.which.value}{when}{stale}."


def _stopped(answer: Odds, counted: Likelihoods) -> str:
    """How far it had come; a run near a limit comes only after every draw."""
    wanted = sum(min(each.near, answer.most_reruns) for each in counted.answers)
    done = sum(each.rerun for each in counted.answers)
    reruns = words.STOPPED_IN_RERUNS.format(done=f"{done:,}", reruns=f"{wanted:,}") if wanted else ""
    return words.STOPPED.format(done=f"{counted.draws:,}", draws=f"{answer.draws:,}", reruns=reruns)


def _about(answer: Odds, counted: Likelihoods) -> str:
    route = "simulated" if counted.route is Route.SIMULATED else "computed by closed forms"
    about = words.ABOUT.format(confidence=show_chance(counted.confidence), route=route, file=answer.plant_file.name)
    if not counted.missing:
        return about
    keys = "; ".join(name_of_key(key) for key in counted.missing)
    return f"{about} {words.NOT_SIMULATED.format(keys=keys)}"


def _one(answer: Odds, counted: Likelihoods, each: Likelihood, page: Page) -> str:
    title = words.QUESTIONS[each.question].title
    lines = [page.labelled(words.WEIGHTS[weight_of(each)], f"{title.upper()}: {say_what(each)}")]
    todo = to_do(each, answer.plant_file.name)
    lines += [page.labelled("do", todo)] if todo else []
    return "\n".join([*lines, page.labelled("from", say_basis(each, counted.route, page.show))])


def _not_counted(lacking: tuple[NotCounted, ...], page: Page) -> str:
    """What could not be asked, questions that lack the same in one line."""
    gathered: dict[tuple[str, ...], list[str]] = {}
    for each in lacking:
        gathered.setdefault(each.missing, []).append(words.QUESTIONS[each.question].title)
    if not gathered:
        return ""
    lines = (
        page.item(f"{', '.join(titles)}. Missing: {'; '.join(name_of_key(key) for key in keys)}.")
        for keys, titles in gathered.items()
    )
    return page.heading(words.NOT_COUNTED) + "\n" + "\n".join(lines)


def _drawn(boiler: BoilerOdds, page: Page) -> str:
    counted = boiler.counted
    if counted.spread is None:
        return ""
    fitted = [role for role in DRAWN if boiler.case.boiler.controls.of(role) is not None]
    lines = [page.item(line) for line in _spreads(counted.spread, fitted, page)]
    lines.append(page.item(words.ASSUMED.format(names=", ".join(counted.assumptions))))
    return page.heading(words.DRAWN) + "\n" + "\n".join(lines)


def _spreads(spread: Spread, fitted: Sequence[Role], page: Page) -> Iterator[str]:
    for role in fitted:
        yield _control(role, spread.of(role), page)
    if spread.valves:
        several = len(spread.valves) > 1
        lowest, highest = min(v.lift - v.off for v in spread.valves), max(v.lift + v.off for v in spread.valves)
        yield words.DRAWN_VALVES.format(
            count=len(spread.valves),
            s="s" if several else "",
            verb="" if several else "s",
            lowest=page.show(Quantity(lowest, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN),
            highest=page.show(Quantity(highest, Dimension.GAUGE_PRESSURE), rounding=Rounding.UP),
        )


def _control(role: Role, spread: ControlSpread | Missing, page: Page) -> str:
    name = PARTS[PART_OF_ROLE[role]]
    if isinstance(spread, Missing):
        return words.UNKNOWN_CONTROL.format(control=name, keys="; ".join(name_of_key(key) for key in spread.keys))
    return words.DRAWN_CONTROL.format(
        control=name,
        set_error=page.show(Quantity(spread.set_error, Dimension.PRESSURE_DIFFERENCE)),
        drift=page.show(Quantity(spread.drift, Dimension.PRESSURE_DIFFERENCE)),
        share=page.show(Quantity(ASSUMED_DRIFT_A_YEAR, Dimension.FRACTION)),
    )


def _ending(answer: Odds) -> str:
    likely = any(weight_of(each) is Weight.LIKELY for boiler in answer.boilers for each in boiler.counted.answers)
    told = words.ENDINGS[answer.ending.value]
    return f"{told} {words.NEXT.format(file=answer.plant_file.name) if likely else ''}".strip()

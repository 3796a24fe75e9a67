"""The answer of ``settle`` as text."""

from collections.abc import Iterable, Sequence

from evenfire.delivery.answers import Settle
from evenfire.delivery.figures.stack_text import stack_text
from evenfire.delivery.report.boiler_text import assumption_lines, cautions, made_from, several_boilers
from evenfire.delivery.report.margin_text import MARGINS, margin_lines
from evenfire.delivery.report.moves_text import steps_text
from evenfire.delivery.report.outcome_text import rows_text
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.report.settings_text import controls_text
from evenfire.delivery.report.settle_told import (
    CURE_FIRST,
    OPEN_STOPS,
    BoilerTold,
    ChosenTold,
    ConflictTold,
    Rows,
    boiler_told,
)
from evenfire.delivery.report.trade_text import pulls_text, trade_text
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN

STALE = "The file holds a STALE proposal: the survey has changed since. --write puts the one below in its place."
ASSUMED = "Assumed, because the survey does not say"
WHERE = "Where it would stand"
UNWEIGHED = "Demands that could not be judged"
ON_DIALS = "The rule book on these settings"
BESIDE = "What remains beside these demands"


def settle_text(done: Settle, system: UnitSystem, width: int) -> str:
    """Every boiler: the settings, the margins, the stack as found beside proposed."""
    page = Page(width, system)
    moved = was_moved(done)
    return joined(
        [
            *(_boiler(boiler_told(done, boiler, page), page) for boiler in done.boilers),
            _listed(ASSUMED, assumption_lines(done.plant_file, page, motion=moved), page),
            several_boilers(done.plant_file, page),
            (page.paragraph(CAUTION_OF_A_RUN) + "\n" if moved else "") + cautions(page),
            page.paragraph(made_from(done.identity)),
        ]
    )


def was_moved(done: Settle) -> bool:
    """Whether anything was proved in motion."""
    return any(boiler.motion is not None and boiler.motion.proofs for boiler in done.boilers)


def _boiler(told: BoilerTold, page: Page) -> str:
    settings = [] if told.settings is None else _settings(told.settings, page)
    rest = [] if told.settings is None else _rest(told.settings, page)
    motion = [_motion(told, page)]
    return joined(
        [
            page.title(told.title),
            page.paragraph(told.plate),
            page.paragraph(STALE) if told.is_beside_stale else "",
            *_cure_first(told.cure_first, page),
            _under(page.paragraph(told.headline), told.listed, page),
            _under(page.paragraph(OPEN_STOPS), told.open_stops, page) if told.open_stops else "",
            *(_conflict(each, page) for each in told.conflicts),
            *(page.paragraph(line) for line in told.before_settings),
            *settings,
            *(motion + rest if told.fits else rest + motion),
            trade_text(told.trade, page),
            pulls_text(told.pulls, page),
            "" if told.moves is None else steps_text(told.moves, page),
        ]
    )


def _cure_first(stops: Sequence[Rows], page: Page) -> list[str]:
    return [page.paragraph(CURE_FIRST), *(rows_text(rows, page) for rows in stops)] if stops else []


def _motion(told: BoilerTold, page: Page) -> str:
    if told.motion is None:
        return ""
    from evenfire.delivery.report.motion_text import motion_as_text  # brings the simulation in

    return motion_as_text(told.motion, page)


def _conflict(conflict: ConflictTold, page: Page) -> str:
    return "\n".join([page.paragraph(conflict.says), _under(page.paragraph(conflict.cure_head), conflict.cures, page)])


def _settings(told: ChosenTold, page: Page) -> list[str]:
    return [
        page.heading(told.title) + "\n" + controls_text(told.controls, page),
        page.heading(MARGINS) + "\n" + margin_lines(told.margins, page),
        stack_text(told.stack, page.system, page.width),
    ]


def _rest(told: ChosenTold, page: Page) -> list[str]:
    return [
        _listed(WHERE, told.standing, page),
        _listed(UNWEIGHED, told.unweighed, page),
        _findings(ON_DIALS, told.on_dials, page),
        _findings(BESIDE, told.others, page),
    ]


def _findings(title: str, findings: Sequence[Rows], page: Page) -> str:
    return joined([page.heading(title), *(rows_text(rows, page) for rows in findings)]) if findings else ""


def _listed(title: str, lines: Sequence[str], page: Page) -> str:
    return _under(page.heading(title), lines, page) if lines else ""


def _under(head: str, lines: Iterable[str], page: Page) -> str:
    return "\n".join([head, *(page.item(line) for line in lines)])

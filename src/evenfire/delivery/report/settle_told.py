"""What is told of one settled boiler, in sentences and numbers: for the terminal, and for a page that lays it out."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from evenfire.delivery.answers import BoilerSettle, Settle
from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_levels import StackLayout
from evenfire.delivery.report.boiler_text import nameplate, standing_lines, who
from evenfire.delivery.report.high_limit_text import high_limit_lines
from evenfire.delivery.report.margin_text import Margin, margin_of
from evenfire.delivery.report.moves_text import Checklist, checklist_of
from evenfire.delivery.report.outcome_text import finding_rows, findings_of, not_judged_told, unjudged_stops
from evenfire.delivery.report.page import Page
from evenfire.delivery.report.settings_text import SetControl, set_controls
from evenfire.delivery.report.settle_json import outcomes_behind
from evenfire.delivery.report.trade_text import TradeRow, pull_lines, trade_rows
from evenfire.delivery.units import Rounding
from evenfire.delivery.words import name_of_key
from evenfire.delivery.words.cures import NO_CURE, say_conflict, say_cure
from evenfire.delivery.words.demands import DEMANDS
from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Finding, Severity
from evenfire.judgement.settle.result import CannotSettle, Chosen, Conflict, Fits, NothingFits
from evenfire.plant.settings import Settings
from evenfire.si import ROUNDING_PA, Dimension, Quantity

if TYPE_CHECKING:
    # A settle by closed forms alone loads no simulation.
    from evenfire.delivery.report.motion_text import MotionTold

SHOWN_IN_MOTION: Final = "Shown in motion"
UNUSED: Final = "Do not use it; nothing is written."
WEIGH_FIRST: Final = "Weigh that before you use it; nothing is written."
CURE_FIRST: Final = "Cure these first; no setting does:"
OPEN_STOPS: Final = "STOP RULES NOT JUDGED; nothing here says that they are in order. Find out first:"
NOT_EVEN_THOSE: Final = (
    "Not even the demands that are never relaxed can be kept, so no settings are shown. Change the boiler's controls "
    "or valves, not its dials."
)
LEAST_BAD: Final = (
    "Below are the LEAST BAD settings, to work with until then. They keep every limit that is never relaxed, but NOT "
    "the demands above."
)
LOCKED_OUT: Final = (
    "BURNER OFF AND LOCKED OUT before any dial is turned towards them, until all are turned and read again: no order "
    "of moves is given to settings that do not fit."
)
ANY_CURES: Final = "Any one of these cures it:"
CANNOT: Final = "CANNOT SETTLE: what decides safety, or a dial, is not known. Nothing is proposed. Survey first:"

Rows = tuple[tuple[str, str], ...]
"""Of a finding: a word in the margin and a sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConflictTold:
    """Demands that cannot be met together."""

    says: str
    cure_head: str
    cures: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenTold:
    """One set of settings with what is known of it."""

    title: str
    chosen: Chosen
    controls: tuple[SetControl, ...]
    margins: tuple[Margin, ...]
    stack: StackLayout
    standing: tuple[str, ...]
    unweighed: tuple[str, ...]
    """Demands that could not be judged"""
    on_dials: tuple[Rows, ...]
    """Findings of the rule book on these settings"""
    others: tuple[Rows, ...]
    """What remains beside the demands"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoilerTold:
    """Everything that is told of one settled boiler."""

    title: str
    plate: str
    is_beside_stale: bool
    cure_first: tuple[Rows, ...]
    """Stop findings that no dial cures"""
    fits: bool
    headline: str
    listed: tuple[str, ...]
    """Under the headline: demands that fail, or what has to be surveyed first"""
    open_stops: tuple[str, ...]
    """Stop rules that could not be judged"""
    conflicts: tuple[ConflictTold, ...] = ()
    before_settings: tuple[str, ...] = ()
    settings: ChosenTold | None = None
    motion: "MotionTold | None" = None
    """Nothing where it was not asked for"""
    trade: tuple[TradeRow, ...] = ()
    pulls: tuple[str, ...] = ()
    moves: Checklist | None = None

    @property
    def verdict(self) -> str:
        """The capitals that a headline begins with."""
        return self.headline.partition(":")[0]


def boiler_told(done: Settle, boiler: BoilerSettle, page: Page) -> BoilerTold:
    """What is told of one boiler of an answer."""
    plate = nameplate(boiler.now.case.boiler, page)
    headline, listed, conflicts = _headed(boiler, page)
    answer = boiler.answer
    fits = answer if isinstance(answer, Fits) else None
    return BoilerTold(
        title=who(done.plant_file, boiler.now.case.boiler),
        plate=f"{plate[0].upper()}{plate[1:]}.",
        is_beside_stale=boiler.now.beside_stale,
        cure_first=_cure_first(boiler, page),
        fits=fits is not None,
        headline=headline,
        listed=listed,
        open_stops=tuple(not_judged_told(unjudged_stops(outcomes_behind(boiler)))),
        conflicts=conflicts,
        before_settings=_before_settings(boiler),
        settings=_settings(boiler, page),
        motion=_motion(done, boiler, page),
        trade=() if fits is None else trade_rows(fits.trade, boiler.now, fits.chosen, page),
        pulls=() if fits is None else tuple(pull_lines(fits.pulls, fits.chosen.rooms, page)),
        moves=None if fits is None or boiler.moves is None else checklist_of(boiler.moves, page),
    )


def _cure_first(boiler: BoilerSettle, page: Page) -> tuple[Rows, ...]:
    """Stop findings that no dial cures: they come before any proposal."""
    dials = {demand.code for demand in boiler.now.case.demands}
    found = findings_of(boiler.now.outcomes)
    stops = [finding for finding in found if finding.severity is Severity.STOP and finding.code not in dials]
    return tuple(tuple(finding_rows(finding, page, found)) for finding in stops)


def _headed(boiler: BoilerSettle, page: Page) -> tuple[str, tuple[str, ...], tuple[ConflictTold, ...]]:
    """The headline, the list under it, the conflicts."""
    match boiler.answer:
        case Fits() as fits:
            return _headline(boiler, fits), (), ()
        case CannotSettle(missing=missing):
            return CANNOT, tuple(name_of_key(key) for key in missing), ()
        case NothingFits() as nothing:
            head = (
                f"NOTHING FITS: none of {nothing.combinations:,.0f} combinations of dial positions meets every demand. "
                "At the nearest one these fail:"
            )
            return head, failing_lines(nothing, page), _conflicts(nothing.conflicts, page)


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


def failing_lines(answer: NothingFits, page: Page) -> tuple[str, ...]:
    """Demands that fail at the nearest settings, and by how much."""
    return tuple(
        f"{DEMANDS[room.code]}: short by "
        f"{page.show(Quantity(max(ROUNDING_PA, -room.room), Dimension.PRESSURE_DIFFERENCE), rounding=Rounding.UP)}"
        for room in answer.failing
    )


def _conflicts(conflicts: Sequence[Conflict], page: Page) -> tuple[ConflictTold, ...]:
    """Each conflict with the changes that would cure it; one of each makes it settle."""
    return tuple(
        ConflictTold(
            says=f"Conflict {number}. {say_conflict(conflict)}",
            cure_head=ANY_CURES if conflict.cures else NO_CURE,
            cures=tuple(say_cure(cure, page.show) for cure in conflict.cures),
        )
        for number, conflict in enumerate(conflicts, 1)
    )


def _before_settings(boiler: BoilerSettle) -> tuple[str, ...]:
    if not isinstance(boiler.answer, NothingFits):
        return ()
    return (NOT_EVEN_THOSE,) if boiler.answer.nearest is None else (LEAST_BAD, LOCKED_OUT)


def _settings(boiler: BoilerSettle, page: Page) -> ChosenTold | None:
    match boiler.answer:
        case Fits(chosen=chosen):
            return _chosen("Proposed settings", boiler.now.case, chosen, page)
        case NothingFits(nearest=nearest) if nearest is not None:
            return _chosen("Least bad settings", boiler.now.case, nearest, page)
        case _:
            return None


def _chosen(title: str, now: Case, chosen: Chosen, page: Page) -> ChosenTold:
    findings = findings_of(chosen.outcomes)
    dials = {demand.code for demand in chosen.case.demands}
    others = [each for each in findings if each.code not in dials and each.severity is not Severity.STOP]
    return ChosenTold(
        title=title,
        chosen=chosen,
        controls=set_controls(chosen.case, now, page),
        margins=tuple(margin_of(room, page) for room in chosen.rooms),
        stack=lay_out(None if now.settings == Settings() else now, chosen.case),
        standing=(*standing_lines(chosen.standing, chosen.case, page), *high_limit_lines(chosen.case, page)),
        unweighed=tuple(
            f"{DEMANDS[each.code]}. Missing: {'; '.join(name_of_key(key) for key in each.missing)}."
            for each in chosen.not_weighed
        ),
        on_dials=_rows([each for each in findings if each.code in dials], page),
        others=_rows(others, page),
    )


def _rows(findings: Sequence[Finding], page: Page) -> tuple[Rows, ...]:
    return tuple(tuple(finding_rows(finding, page)) for finding in findings)


def _motion(done: Settle, boiler: BoilerSettle, page: Page) -> "MotionTold | None":
    """What the simulation taught and proved; nothing where it was not asked for."""
    if boiler.motion is None or isinstance(boiler.answer, CannotSettle):
        return None
    from evenfire.delivery.report.motion_text import motion_told  # brings the simulation in

    return motion_told(boiler.motion, done.plant_file.name, page)

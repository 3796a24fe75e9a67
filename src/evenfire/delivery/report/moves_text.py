"""The moves as a checklist to be ticked at the boiler, and as JSON for ``moves[]`` of ``evenfire.settle/1``."""

import textwrap
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.report.outcome_json import Json
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.words import Show, name_of_key
from evenfire.delivery.words.moves import (
    LOCK_OUT,
    NO_MOVES,
    NOT_ACROSS,
    NOTHING_TO_TURN,
    cautions_for,
    say_closing,
    say_move,
    say_obstacle,
    say_release,
)
from evenfire.judgement.moves.result import Closing, Move, Moves, PointMove, Why

BOX: Final = "[ ]"
INDENT: Final = 7
"""Room for a box and a number [characters]."""
MOVES: Final = "Moves, one dial at a time, in this order"
LOOK_FIRST: Final = "Not judged, so look first; nothing here says that it is in order:"
THEN: Final = "Then"
_REFUSED = {Why.GOAL_BREAKS, Why.GOAL_NOT_JUDGED}


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step to be ticked."""

    number: int
    """Nought for the lock before any dial is turned"""
    do: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Checklist:
    """The steps in their order."""

    head: str
    why_none: tuple[str, ...] = ()
    """Why no dial is to be turned to these settings"""
    look_first: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()
    closing: tuple[Step, ...] = ()


def moves_text(moves: Moves, page: Page) -> str:
    """The checklist: the lock where there is one, every move, the closing steps, the cautions."""
    parts = [checklist_text(moves, page)]
    if moves.steps or moves.closing:
        lines = "\n".join(page.item(line) for line in cautions_for(moves))
        parts.append(f"{page.heading('Before you touch anything')}\n{lines}")
    return joined(parts)


def checklist_text(moves: Moves, page: Page) -> str:
    """The checklist without the cautions, for a page that carries them already."""
    return steps_text(checklist_of(moves, page), page)


def steps_text(told: Checklist, page: Page) -> str:
    """The same of a checklist that is made already."""
    look_first = "\n".join(page.item(line) for line in told.look_first)
    return joined(
        [
            f"{page.heading(MOVES)}\n{page.paragraph(told.head)}",
            *(page.paragraph(line) for line in told.why_none),
            f"{page.paragraph(LOOK_FIRST)}\n{look_first}" if look_first else "",
            *(_ticked(step, page) for step in told.steps),
            page.heading(THEN) if told.closing else "",
            *(_ticked(step, page) for step in told.closing),
        ]
    )


def checklist_of(moves: Moves, page: Page) -> Checklist:
    """The lock where there is one, every move, the closing steps; or why no dial is to be turned."""
    if any(each.why in _REFUSED for each in moves.obstacles):
        return Checklist(head=NO_MOVES, why_none=tuple(say_obstacle(each, page.show) for each in moves.obstacles))
    if not moves.steps and not moves.closing:
        return Checklist(head=NOTHING_TO_TURN)
    steps = [_move(number, move, page) for number, move in enumerate(moves.steps, 1)]
    closing = enumerate(moves.closing, len(moves.steps) + 1)
    return Checklist(
        head=NOT_ACROSS if moves.steps else NOTHING_TO_TURN,
        look_first=tuple(name_of_key(key) for key in moves.look_first),
        steps=(*_lock(moves, page), *steps),
        closing=tuple(Step(number=number, do=say_closing(each, page.show)) for number, each in closing),
    )


def moves_json(moves: Moves, show: Show) -> list[Json]:
    """One object for the lock where there is one, for each move and for each closing step; all have the same keys."""
    entries: list[dict[str, Json]] = []
    if moves.is_locked_out_first:
        entries.append(_lock_json(moves, show))
    entries.extend(_move_json(move, show) for move in moves.steps)
    entries.extend(_closing_json(each, show) for each in moves.closing)
    return [{"step": number, **entry} for number, entry in enumerate(entries, 1)]


def _lock(moves: Moves, page: Page) -> tuple[Step, ...]:
    if not moves.is_locked_out_first:
        return ()
    why = (say_obstacle(each, page.show) for each in moves.obstacles)
    return (Step(number=0, do=LOCK_OUT, lines=(*why, say_release(moves))),)


def _move(number: int, move: Move, page: Page) -> Step:
    said = say_move(move, page.show)
    lines = (
        said.points,
        f"Burner: {said.burner}",
        f"Watch: {said.watch}",
        f"Before the next: {said.see}",
        f"Why here: {said.why}",
    )
    return Step(number=number, do=said.do, lines=tuple(line for line in lines if line))


def _ticked(step: Step, page: Page) -> str:
    do = _filled(step.do, f"{BOX} {step.number}".ljust(INDENT), page)
    return "\n".join([do, *(_filled(line, " " * INDENT, page) for line in step.lines)])


def _filled(text: str, start: str, page: Page) -> str:
    return textwrap.fill(text, page.width, initial_indent=start, subsequent_indent=" " * INDENT, break_on_hyphens=False)


_NOTHING: Final[dict[str, Json]] = {
    "control": None,
    "dial": None,
    "direction": None,
    "from_pa_gauge": None,
    "to_pa_gauge": None,
    "from_pa": None,
    "to_pa": None,
    "to_be_proved": None,
    "points": [],
    "swept_from_pa_gauge": None,
    "swept_to_pa_gauge": None,
    "burner": None,
    "burner_after": None,
    "acts_at_pa_gauge": None,
    "returns_at_pa_gauge": None,
    "within_pa": None,
    "stop_by_hand_pa_gauge": None,
    "reason": None,
    "codes": [],
    "missing": [],
    "watch": "",
    "see": "",
    "why": "",
}


def _lock_json(moves: Moves, show: Show) -> dict[str, Json]:
    return {
        "kind": "lock out",
        **_NOTHING,
        "burner": "off and locked out",
        "burner_after": "off and locked out",
        "reason": moves.obstacles[0].why.value,
        "codes": [code for each in moves.obstacles for code in each.codes],
        "missing": [key for each in moves.obstacles for key in each.missing],
        "do": LOCK_OUT if moves.steps or moves.closing else NO_MOVES,
        "why": " ".join(say_obstacle(each, show) for each in moves.obstacles),
    }


def _move_json(move: Move, show: Show) -> dict[str, Json]:
    said = say_move(move, show)
    unit = "pa_gauge" if move.dial.turn == "main" else "pa"
    return {
        "kind": "turn",
        **_NOTHING,
        "control": move.dial.role.value,
        "dial": move.dial.turn,
        "direction": move.direction.value,
        f"from_{unit}": move.from_,
        f"to_{unit}": move.to,
        "to_be_proved": move.to_be_proved,
        "points": [_point_json(point) for point in move.points],
        "swept_from_pa_gauge": None if move.swept is None else move.swept.lowest,
        "swept_to_pa_gauge": None if move.swept is None else move.swept.highest,
        "burner": move.burner.value,
        "burner_after": move.burner_after.value,
        "stop_by_hand_pa_gauge": move.stop_by_hand,
        "reason": move.reason.kind.value,
        "codes": list(move.reason.codes),
        "do": said.do,
        "watch": said.watch,
        "see": said.see,
        "why": said.why,
    }


def _closing_json(closing: Closing, show: Show) -> dict[str, Json]:
    return {
        "kind": closing.step.value,
        **_NOTHING,
        "control": None if closing.role is None else closing.role.value,
        "to_be_proved": closing.sets_it,
        "acts_at_pa_gauge": closing.acts_at,
        "returns_at_pa_gauge": closing.returns_at,
        "within_pa": closing.within,
        "stop_by_hand_pa_gauge": closing.stop_by_hand,
        "do": say_closing(closing, show),
    }


def _point_json(point: PointMove) -> Json:
    return {"point": point.point.value, "from_pa_gauge": point.before, "to_pa_gauge": point.after}

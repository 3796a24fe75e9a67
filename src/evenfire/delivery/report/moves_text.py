"""The moves as a checklist to be ticked at the boiler, and as JSON for ``moves[]`` of ``evenfire.settle/1``."""

import textwrap
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
_REFUSED = {Why.GOAL_BREAKS, Why.GOAL_NOT_JUDGED}


def moves_text(moves: Moves, page: Page) -> str:
    """The checklist: the lock where there is one, every move, the closing steps, the cautions."""
    parts = [checklist_text(moves, page)]
    if moves.steps or moves.closing:
        lines = "\n".join(page.item(line) for line in cautions_for(moves))
        parts.append(f"{page.heading('Before you touch anything')}\n{lines}")
    return joined(parts)


def checklist_text(moves: Moves, page: Page) -> str:
    """The checklist without the cautions, for a page that carries them already."""
    head = page.heading("Moves, one dial at a time, in this order")
    if any(each.why in _REFUSED for each in moves.obstacles):
        why = [page.paragraph(say_obstacle(each, page.show)) for each in moves.obstacles]
        return joined([f"{head}\n{page.paragraph(NO_MOVES)}", *why])
    if not moves.steps and not moves.closing:
        return f"{head}\n{page.paragraph(NOTHING_TO_TURN)}"
    steps = [_move(number, move, page) for number, move in enumerate(moves.steps, 1)]
    first = len(moves.steps) + 1
    closing = [_ticked(number, say_closing(each, page.show), page) for number, each in enumerate(moves.closing, first)]
    return joined(
        [
            f"{head}\n{page.paragraph(NOT_ACROSS if moves.steps else NOTHING_TO_TURN)}",
            _look_first(moves, page),
            _lock(moves, page),
            *steps,
            page.heading("Then"),
            *closing,
        ]
    )


def moves_json(moves: Moves, show: Show) -> list[Json]:
    """One object for the lock where there is one, for each move and for each closing step; all have the same keys."""
    entries: list[dict[str, Json]] = []
    if moves.is_locked_out_first:
        entries.append(_lock_json(moves, show))
    entries.extend(_move_json(move, show) for move in moves.steps)
    entries.extend(_closing_json(each, show) for each in moves.closing)
    return [{"step": number, **entry} for number, entry in enumerate(entries, 1)]


def _look_first(moves: Moves, page: Page) -> str:
    if not moves.look_first:
        return ""
    keys = "\n".join(page.item(name_of_key(key)) for key in moves.look_first)
    return f"{page.paragraph('Not judged, so look first; nothing here says that it is in order:')}\n{keys}"


def _lock(moves: Moves, page: Page) -> str:
    if not moves.is_locked_out_first:
        return ""
    lines = [_ticked(0, LOCK_OUT, page)]
    lines.extend(_beside(say_obstacle(each, page.show), page) for each in moves.obstacles)
    lines.append(_beside(say_release(moves), page))
    return "\n".join(lines)


def _move(number: int, move: Move, page: Page) -> str:
    said = say_move(move, page.show)
    lines = (
        said.points,
        f"Burner: {said.burner}",
        f"Watch: {said.watch}",
        f"Before the next: {said.see}",
        f"Why here: {said.why}",
    )
    return "\n".join([_ticked(number, said.do, page), *(_beside(line, page) for line in lines if line)])


def _ticked(number: int, text: str, page: Page) -> str:
    return _filled(text, f"{BOX} {number}".ljust(INDENT), page)


def _beside(text: str, page: Page) -> str:
    return _filled(text, " " * INDENT, page)


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

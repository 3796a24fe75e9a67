"""The steps of a visit: which fields each asks for at this boiler, and how far each has come."""

from dataclasses import dataclass
from typing import Final

from evenfire.delivery.report.visit_lines import OPEN, dials_absent
from evenfire.delivery.visit_answers import AtVisit, JudgedVisit
from evenfire.delivery.visits.fields import ONCE
from evenfire.delivery.visits.visit import Visit

NOT_COUNTED: Final = frozenset({"call.given_up", "as_found.manual_cap", "as_left.locked_out_by"})
"""Fields that are left empty on most visits."""
FAILED: Final = "FAILED"


@dataclass(frozen=True, slots=True, kw_only=True)
class StepTold:
    """How far one step has come."""

    text: str
    is_alarm: bool = False
    """Something there stands open, or failed"""
    is_done: bool = False


def keys_of(at: AtVisit, table: str) -> tuple[str, ...]:
    """The keys of a table that is filled in once; dials that this boiler does not have are left out until typed."""
    absent = frozenset(dials_absent(at.surveyed))
    fields = at.fold.fields
    return tuple(key for key in ONCE[table] if key not in absent or f"{table}.{key}" in fields)


def steps_told(judged: JudgedVisit) -> dict[str, StepTold]:
    """How far each step has come, by its table; ``sign`` is the last."""
    at, visit = judged.at, judged.at.visit
    return {
        **{table: _written(at, table) for table in ("call", "as_found", "as_left")},
        "temporary": _temporary(visit),
        "trip": _trips(judged),
        "move": _moves(visit),
        "device": _devices(judged),
        "photo": _many(len(visit.photos), "kept"),
        "note": _many(len(visit.notes), "written"),
        "sign": _sign(judged),
    }


def _written(at: AtVisit, table: str) -> StepTold:
    asked = [f"{table}.{key}" for key in keys_of(at, table) if f"{table}.{key}" not in NOT_COUNTED]
    written = sum(1 for path in asked if at.fold.text(path) is not None)
    return StepTold(text=f"{written} of {len(asked)} written", is_done=written == len(asked))


def _temporary(visit: Visit) -> StepTold:
    changes = visit.temporary_changes
    still = sum(1 for each in changes if each.is_open)
    if still:
        return StepTold(text=f"{still} {OPEN}", is_alarm=True)
    wrong = sum(1 for each in changes if each.is_back_to_front)
    if wrong:
        return StepTold(text=f"{wrong} with wrong times", is_alarm=True)
    return _many(len(changes), "closed")


def _trips(judged: JudgedVisit) -> StepTold:
    made, failed = len(judged.trips), len(judged.seen.unsafe)
    text = f"{made} made" if made else "none made yet"
    if failed:
        return StepTold(text=f"{text}, {failed} {FAILED}", is_alarm=True)
    shown = {each.entry.control for each in judged.trips if each.result.verdict.is_safe}
    lacking = sum(1 for each in judged.wanted if each.role not in shown)
    if lacking:
        return StepTold(text=f"{made} made, {lacking} to be made" if made else f"{lacking} to be made")
    return StepTold(text=text, is_done=bool(made))


def _moves(visit: Visit) -> StepTold:
    if visit.proposed is None:
        return StepTold(text="nothing proposed")
    done = sum(1 for each in visit.moves if each.done_at is not None)
    return StepTold(text=f"{done} of {len(visit.moves)} done", is_done=done == len(visit.moves))


def _devices(judged: JudgedVisit) -> StepTold:
    failed = len(judged.seen.devices_failed)
    if failed:
        return StepTold(text=f"{len(judged.devices)} tested, {failed} {FAILED}", is_alarm=True)
    return _many(len(judged.devices), "tested")


def _many(count: int, what: str) -> StepTold:
    return StepTold(text=f"{count} {what}" if count else "none", is_done=bool(count))


def _sign(judged: JudgedVisit) -> StepTold:
    if not judged.at.draft.is_open:
        return StepTold(text="signed", is_done=True)
    if judged.bars:
        count = len(judged.bars)
        return StepTold(text=f"{count} {'thing' if count == 1 else 'things'} against it")
    return StepTold(text="not proved yet" if judged.is_at_rest else "ready")

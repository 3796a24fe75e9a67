"""Settle closes the loop: propose, simulate, widen what the closed forms took too small, and propose again."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Route, TermName
from evenfire.judgement.proofs import changing, interruptions, limits, steady
from evenfire.judgement.proofs.proving import SCENARIOS, prove
from evenfire.judgement.proofs.result import Proved
from evenfire.judgement.settle.result import CannotSettle, Fits, NothingFits, Settlement
from evenfire.judgement.settle.settling import clears_interruptions, settle
from evenfire.plant.boiler import Boiler
from evenfire.plant.known import Missing, NotKnownError
from evenfire.plant.plant import Plant
from evenfire.plant.readings import Simulated
from evenfire.si import PA_PER_PSI

MOST_ROUNDS: Final = 8
ENOUGH: Final = 0.02 * PA_PER_PSI
"""A closed form that falls short by less is good enough: no gauge in a boiler room shows it [Pa]."""
ROOM: Final = 0.01 * PA_PER_PSI
"""Added to every widening, so that the next round need not come back for a hair [Pa]."""

_FIELD: Final = {
    TermName.RUN_ON_AT_CUT_OUT: "run_on_at_cut_out",
    TermName.RUN_ON_AT_FULL_FIRE: "run_on_at_full_fire",
    TermName.UNDERSHOOT: "undershoot",
    TermName.OVERSHOOT_OF_DROP: "drop_overshoot",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far long work has come."""

    done: int
    total: int
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """A motion that the closed form took too small."""

    term: TermName
    closed_form: float
    """At the settings proposed last [Pa]"""
    seen: float
    """In the simulation of the same settings [Pa]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """A settlement that was shown in motion."""

    settlement: Settlement
    boiler: Boiler
    """With what its motion taught"""
    rounds: int
    lessons: tuple[Lesson, ...]
    proofs: tuple[Proved, ...]
    still_short: tuple[TermName, ...] = ()
    """Motion that eight rounds of widening did not cover"""
    missing: tuple[str, ...] = ()
    """Plant-file keys without which nothing can be simulated; the settings then stand on closed forms alone"""


def settle_in_motion(plant: Plant, boiler: Boiler) -> Iterator[Progress | Learned]:
    """Settle, simulate the answer, widen what fell short and settle again; the last item is the answer.

    Margins only grow. Where the boiler cannot be simulated, the static answer is given with what is missing.
    """
    taught, total = boiler, MOST_ROUNDS + len(SCENARIOS)
    widened = Simulated()
    settlement = settle(plant, boiler)
    short: tuple[TermName, ...] = ()
    rounds = 0
    for rounds in range(1, MOST_ROUNDS + 1):
        yield Progress(done=rounds - 1, total=total, what="settings")
        case = case_in(settlement)
        if case is None:
            break
        try:
            seen = motion_seen(case)
            lowest = interruptions.lowest_under_load(case)
        except NotKnownError as lacking:
            yield _static(settlement, boiler, lacking.keys)
            return
        falls_short = {term: value for term, value in seen.items() if value > _used(case, term) + ENOUGH}
        short = tuple(falls_short)
        known_lowest = widened.lowest_under_load
        if lowest is not None and (known_lowest is None or lowest < known_lowest):
            widened = replace(widened, lowest_under_load=lowest)
        is_pinned = not clears_interruptions(_with(case, widened))
        if not short and (not is_pinned or widened.lowest_under_load == known_lowest):
            break
        changes = {
            _FIELD[term]: getattr(widened, _FIELD[term]) + value - _used(case, term) + ROOM
            for term, value in falls_short.items()
        }
        widened = replace(widened, **changes)
        taught = replace(boiler, simulated=widened)
        settlement = settle(plant, taught)
    proofs: list[Proved] = []
    case = case_in(settlement)
    if case is not None:
        for place, scenario in enumerate(SCENARIOS):
            yield Progress(done=MOST_ROUNDS + place, total=total, what=scenario.value)
            proofs.append(prove(case, scenario))
    yield Learned(
        settlement=settlement,
        boiler=taught,
        rounds=rounds,
        lessons=() if case is None else _lessons(case, widened),
        proofs=tuple(proofs),
        still_short=short if rounds == MOST_ROUNDS else (),
    )


def _with(case: Case, widened: Simulated) -> Case:
    """The case of a boiler whose motion taught this."""
    return replace(case, boiler=replace(case.boiler, simulated=widened))


def learned(plant: Plant, boiler: Boiler) -> Learned:
    """The answer of :func:`settle_in_motion`, all at once."""
    for item in settle_in_motion(plant, boiler):
        if isinstance(item, Learned):
            return item
    raise AssertionError("the last item is the answer")


def case_in(settlement: Settlement) -> Case | None:
    """The case of the settings that a settlement proposes, or of the least bad ones."""
    match settlement:
        case Fits(chosen=chosen):
            return chosen.case
        case NothingFits(nearest=nearest):
            return None if nearest is None else nearest.case
        case CannotSettle():
            return None


def motion_seen(case: Case) -> dict[TermName, float]:
    """The motion that settings depend on, simulated with every dial true [Pa].

    Raises
    ------
    NotKnownError
        What the survey lacks for a simulation.
    """
    seen = steady.motion_seen(case)
    seen.update(limits.motion_seen(case))
    seen.update(changing.motion_seen(case))
    return seen


def _used(case: Case, term: TermName) -> float:
    """What the settings were reckoned with [Pa]; infinite where a watch gave it, or it plays no part.

    A measured run-on is in the simulation already; what the lag of the control adds to it is not in the measurement.
    """
    stack = case.stack
    value = {
        TermName.RUN_ON_AT_CUT_OUT: stack.run_on,
        TermName.RUN_ON_AT_FULL_FIRE: stack.full_fire_run_on,
        TermName.UNDERSHOOT: stack.undershoot,
        TermName.OVERSHOOT_OF_DROP: stack.drop_overshoot,
    }[term]
    measured = term is TermName.UNDERSHOOT and any(
        each.name is term and each.route is Route.MEASURED for each in case.terms
    )
    return float("inf") if isinstance(value, Missing) or measured else float(value)


def _lessons(case: Case, widened: Simulated) -> tuple[Lesson, ...]:
    found = []
    for term, name in _FIELD.items():
        by = getattr(widened, name)
        if by > 0.0:
            used = _used(case, term)
            found.append(Lesson(term=term, closed_form=used - by, seen=used))
    return tuple(found)


def _static(settlement: Settlement, boiler: Boiler, missing: tuple[str, ...]) -> Learned:
    return Learned(settlement=settlement, boiler=boiler, rounds=0, lessons=(), proofs=(), missing=missing)

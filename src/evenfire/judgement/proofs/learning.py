"""Settle closes the loop: propose, simulate, widen what the closed forms took too small, and propose again."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from evenfire.judgement import margins
from evenfire.judgement.case import Case
from evenfire.judgement.margins import room
from evenfire.judgement.outcome import Route, TermName
from evenfire.judgement.proofs import changing, interruptions, limits, steady
from evenfire.judgement.proofs.proving import SCENARIOS, prove
from evenfire.judgement.proofs.result import Check, Proof, Proved, Scenario, Watched
from evenfire.judgement.proofs.weighing import falls_short, settings_are_unsafe
from evenfire.judgement.settle.result import CannotSettle, Fits, NothingFits, Settlement
from evenfire.judgement.settle.settling import clears_interruptions, settle
from evenfire.plant.boiler import Boiler
from evenfire.plant.known import Missing, NotKnownError
from evenfire.plant.plant import Plant
from evenfire.plant.readings import Simulated
from evenfire.si import PA_PER_PSI, GaugePa

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
    TermName.FALL_AT_LOAD: "load_fall",
}

_DEMANDS: Final = {
    **{(TermName.UNDERSHOOT, each): margins.RESTART_HOLDS_NEED for each in (Watched.NEED, Watched.DIP)},
    **{(TermName.FALL_AT_LOAD, each): margins.NEED_AT_FULL_LOAD for each in (Watched.NEED, Watched.DIP)},
    (TermName.RUN_ON_AT_CUT_OUT, Watched.WISH): margins.CUT_OUT_WITHIN_WISH,
    (TermName.RUN_ON_AT_CUT_OUT, Watched.DOWNSTREAM): margins.CUT_OUT_WITHIN_DOWNSTREAM_RATING,
    (TermName.RUN_ON_AT_CUT_OUT, Watched.NO_TRIP): margins.CUT_OUT_CLEAR_OF_HIGH_LIMIT,
    (TermName.RUN_ON_AT_FULL_FIRE, Watched.NO_LIFT): margins.HIGH_LIMIT_STOPS_BEFORE_VALVE,
    (TermName.OVERSHOOT_OF_DROP, Watched.LOW_FIRE_FIRST): margins.LOW_FIRE_BEFORE_CUT_OUT,
    (TermName.OVERSHOOT_OF_DROP, Watched.NO_STOP): margins.LOW_FIRE_BEFORE_CUT_OUT,
}
"""Which demand of the closed forms a check is the proof of, by the motion that it blames."""
_AFTER_OTHERS: Final = {Scenario.HIGH_LIMIT_ALONE: 0, Scenario.PICK_UP: 2, Scenario.DAY: 2}
"""What keeps people safe is learnt first, and what only this plant's own load asks for after all else."""


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
class Round:
    """Settings, what they were reckoned with, and what motion said of them."""

    widened: Simulated
    """Beside the closed forms"""
    settlement: Settlement
    short: tuple[TermName, ...] = ()
    """Motion that went beyond what they were reckoned with"""
    proofs: tuple[Proved, ...] = ()
    """None are run before the motion is covered"""

    @property
    def failed(self) -> tuple[Scenario, ...]:
        """Proofs of what settings are chosen for that failed."""
        return tuple(proof.scenario for proof in falls_short(self.proofs))


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """A settlement that was shown in motion."""

    settlement: Settlement
    boiler: Boiler
    """With what its motion taught"""
    rounds: tuple[Round, ...]
    """In their order; what was widened in one stays widened in the next"""
    lessons: tuple[Lesson, ...]
    proofs: tuple[Proved, ...]
    still_short: tuple[TermName, ...] = ()
    """Motion that eight rounds of widening did not cover"""
    missing: tuple[str, ...] = ()
    """Plant-file keys without which nothing can be simulated; the settings then stand on closed forms alone"""

    @property
    def failing(self) -> tuple[Proof, ...]:
        """Proofs that settings which fit by the closed forms keep failing; none where nothing fits anyway."""
        return falls_short(self.proofs) if isinstance(self.settlement, Fits) else ()

    @property
    def falls_short(self) -> bool:
        """Whether settings that fit by the closed forms are not borne out by motion."""
        return isinstance(self.settlement, Fits) and bool(self.still_short or self.failing)


def settle_in_motion(plant: Plant, boiler: Boiler) -> Iterator[Progress | Learned]:
    """Settle, simulate the answer, widen what fell short and settle again; the last item is the answer.

    First the motion itself is compared with what the settings were reckoned with, every dial true; when that is
    covered, the proofs are run, and one that fails widens what it blames. Margins only grow. Where the boiler cannot be
    simulated, the static answer is given with what is missing.
    """
    total, rounds, fitted = MOST_ROUNDS + len(SCENARIOS), list[Round](), None
    told, widened, settlement = 0, Simulated(), settle(plant, boiler)
    for number in range(1, MOST_ROUNDS + 1):
        if told == 0:
            yield Progress(done=number - 1, total=total, what="settings")
        case = case_in(settlement)
        if case is None:
            rounds.append(Round(widened=widened, settlement=settlement))
            break
        try:
            short, wider = _taught(case, widened)
        except NotKnownError as lacking:
            yield _static(settlement, boiler, lacking.keys)
            return
        proofs: list[Proved] = []
        if wider == widened or number == MOST_ROUNDS:
            for place, scenario in enumerate(SCENARIOS):
                if place >= told:
                    yield Progress(done=MOST_ROUNDS + place, total=total, what=scenario.value)
                    told = place + 1
                proofs.append(prove(case, scenario))
        this = Round(widened=widened, settlement=settlement, short=short, proofs=tuple(proofs))
        rounds.append(this)
        if proofs and isinstance(settlement, Fits):
            fitted = this
            wider = _blamed(case, widened, falls_short(this.proofs))
        if wider == widened:
            break
        widened = wider
        settlement = settle(plant, replace(boiler, simulated=widened))
    yield _answer(boiler, tuple(rounds), fitted)


def _answer(boiler: Boiler, rounds: tuple[Round, ...], fitted: Round | None) -> Learned:
    """The last round; but where widening for a proof left nothing that fits, the round before, whose failing proof is
    then told: how far one setting fell short in a proof does not show that no setting can do better.

    Never where the high limit is what fell short.
    """
    last = rounds[-1]
    if fitted is not None and not isinstance(last.settlement, Fits) and not settings_are_unsafe(fitted.proofs):
        last = fitted
    case = case_in(last.settlement)
    return Learned(
        settlement=last.settlement,
        boiler=boiler if last.widened == Simulated() else replace(boiler, simulated=last.widened),
        rounds=rounds,
        lessons=() if case is None else _lessons(case, last.widened),
        proofs=last.proofs,
        still_short=last.short,
    )


def _taught(case: Case, widened: Simulated) -> tuple[tuple[TermName, ...], Simulated]:
    """Motion that went beyond what the settings were reckoned with, and what covers it."""
    seen = motion_seen(case)
    beyond = {term: value - _used(case, term) for term, value in seen.items() if value > _used(case, term) + ENOUGH}
    wider = _having(widened, beyond)
    lowest, known_lowest = lowest_under_load(case), widened.lowest_under_load
    if lowest is not None and (known_lowest is None or lowest < known_lowest):
        deeper = replace(wider, lowest_under_load=lowest)
        # A hold that stands clear of it need not be chosen again.
        wider = wider if clears_interruptions(_with(case, deeper)) else deeper
    return tuple(beyond), wider


def _blamed(case: Case, widened: Simulated, failed: tuple[Proof, ...]) -> Simulated:
    """What covers the proofs that failed, the weightiest of them first: each motion by the most that any lacks."""
    order = sorted({_AFTER_OTHERS.get(proof.scenario, 1) for proof in failed})
    for place in order:
        beyond: dict[TermName, float] = {}
        for check in (c for proof in failed if _AFTER_OTHERS.get(proof.scenario, 1) == place for c in proof.checks):
            if check.shortfall is not None:
                term, by = check.shortfall.term, check.shortfall.by + _room_left(case, check)
                beyond[term] = max(beyond.get(term, 0.0), by)
        if beyond:
            return _having(widened, beyond)
    return widened


def _room_left(case: Case, check: Check) -> float:
    """What the closed forms still gave the demand that the check belongs to [Pa]: less was left than nothing."""
    demand = None if check.shortfall is None else _DEMANDS.get((check.shortfall.term, check.watched))
    if demand is None or demand not in case.demands:
        return 0.0
    try:
        return max(0.0, float(room(demand, case.stack, case.facts)))
    except NotKnownError:
        return 0.0


def _having(widened: Simulated, beyond: dict[TermName, float]) -> Simulated:
    changes = {_FIELD[term]: getattr(widened, _FIELD[term]) + by + ROOM for term, by in beyond.items()}
    return replace(widened, **changes)


def lowest_under_load(case: Case) -> GaugePa | None:
    """Lowest pressure of every interruption and every pick-up were there no low-fire hold [Pa gauge]; none without."""
    found = (interruptions.lowest_under_load(case), changing.lowest_picking_up(case))
    return min((each for each in found if each is not None), default=None)


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
    value = _reckoned(case, term)
    measured = term is TermName.UNDERSHOOT and any(
        each.name is term and each.route is Route.MEASURED for each in case.terms
    )
    return float("inf") if isinstance(value, Missing) or measured else float(value)


def _reckoned(case: Case, term: TermName) -> float | Missing:
    stack = case.stack
    return {
        TermName.RUN_ON_AT_CUT_OUT: stack.run_on,
        TermName.RUN_ON_AT_FULL_FIRE: stack.full_fire_run_on,
        TermName.UNDERSHOOT: stack.undershoot,
        TermName.OVERSHOOT_OF_DROP: stack.drop_overshoot,
        TermName.FALL_AT_LOAD: stack.load_fall,
    }[term]


def _lessons(case: Case, widened: Simulated) -> tuple[Lesson, ...]:
    found = []
    for term, name in _FIELD.items():
        by, used = getattr(widened, name), _reckoned(case, term)
        if by > 0.0 and not isinstance(used, Missing):
            found.append(Lesson(term=term, closed_form=float(used) - by, seen=float(used)))
    return tuple(found)


def _static(settlement: Settlement, boiler: Boiler, missing: tuple[str, ...]) -> Learned:
    return Learned(settlement=settlement, boiler=boiler, rounds=(), lessons=(), proofs=(), missing=missing)

"""What is said of a warm-up and of a cooling beside its checks and its plain numbers."""

from evenfire.delivery.units import Rounding
from evenfire.delivery.words import cooling, proofs, warming
from evenfire.delivery.words.clock import lasting
from evenfire.delivery.words.entry import Show
from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.proofs.result import Fact, Found, Proof, Scenario
from evenfire.plant.known import Origin
from evenfire.si import Quantity

_SAME = 1.01
"""Rates nearer than this are one [1]."""
_NO_VACUUM = 100.0
"""A gauge shows no less [Pa]."""


def besides(case: Case, proof: Proof) -> tuple[str, ...]:
    """What to do whatever the verdict is."""
    boiler = case.boiler
    match proof.scenario:
        case Scenario.COLD_START:
            has_hold = follows_the_load(boiler) and boiler.controls.low_fire_hold is not None
            return (warming.STAY_BESIDE_HOLD if has_hold else warming.STAY,)
        case Scenario.HOLD_ABSENT:
            return (warming.LEAVE_THE_HOLD,)
        case Scenario.SHUTDOWN:
            breaks = boiler.breaks_vacuum
            is_known = breaks is not None and breaks.origin is not Origin.ASSUMED
            told = breaks.value > 0 if is_known and breaks is not None else None
            return (cooling.to_do_after_shutdown(boiler.kind, breaks_vacuum=told),)
        case _:
            return ()


def known_of_warming(case: Case, proof: Proof) -> tuple[str, ...]:
    """What is known of how fast the kind may warm, and from where."""
    return (f"{warming.KNOWN[case.boiler.kind]}.",) if proof.scenario is Scenario.COLD_START else ()


def say_special(proof: Proof, fact: Fact, show: Show) -> str | None:
    """A number that is said in another way than its entry; nothing where the entry says it."""
    value = fact.value.value
    if fact.found is Found.FASTEST_WARMING:
        low = _other(proof, Found.LOW_FIRE_WARMING, fact.shown)
        if low is None:
            return None
        return "" if value <= _SAME * low else proofs.LET_GO.format(value=show(fact.value))
    if fact.found is Found.HOLD_TRAP and value <= 0.0:
        below = Quantity(-value, fact.value.dimension)
        return proofs.INTO_THE_TRAP.format(value=show(below, rounding=Rounding.UP))
    if fact.found is Found.LOWEST and proof.scenario is Scenario.SHUTDOWN:
        return _cooled_to(proof, fact, show)
    return None


def _cooled_to(proof: Proof, fact: Fact, show: Show) -> str:
    run = next((each.run for each in proof.runs if fact.shown in {"", each.name}), None)
    time = "" if run is None else lasting(run.duration)
    if abs(fact.value.value) < _NO_VACUUM:
        return cooling.STAYS_AT_ZERO
    entry = cooling.STILL_ABOVE if fact.value.value > 0.0 else cooling.LOWEST
    return entry.format(time=time, value=show(fact.value))


def _other(proof: Proof, found: Found, shown: str) -> float | None:
    return next((each.value.value for each in proof.facts if each.found is found and each.shown == shown), None)

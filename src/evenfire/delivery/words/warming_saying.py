"""What is said of a warm-up and of a cooling beside its checks and its plain numbers."""

from typing import Final, assert_never

from evenfire.delivery.words import cooling, proofs, warming
from evenfire.delivery.words.clock import lasting
from evenfire.delivery.words.entry import Show
from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.proofs.result import Fact, FiringSchedule, Found, Proof, Scenario
from evenfire.physics.schedule import FireByTheClock, FireSteadily, Firing, NoFiringFits
from evenfire.plant.known import Origin

_SAME: Final = 1.01
"""Rates nearer than this are one [1]."""
_NO_VACUUM: Final = 100.0
"""A gauge shows no less [Pa]."""
_FINEST: Final = 300.0
"""Nobody keeps a warm-up by the clock closer [s]."""


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
    if fact.found is Found.LOWEST and proof.scenario is Scenario.SHUTDOWN:
        return _cooled_to(proof, fact, show)
    return None


def takes(schedule: FiringSchedule) -> str:
    """How long a warm-up by the clock takes at the least; empty where a part of it cannot be fired at all."""
    rates = [_rate(firing) for firing in schedule.firings]
    if not rates or min(rates) <= 0.0:
        return ""
    spans = [firing.span for firing in schedule.firings]
    time = sum((span.to_temperature - span.from_temperature) / rate for span, rate in zip(spans, rates, strict=True))
    return proofs.TAKES.format(time=lasting(_FINEST * round(time / _FINEST)))


def _rate(firing: Firing) -> float:
    """Average rise [K/s]; nought where no firing fits."""
    match firing:
        case FireByTheClock(rate=rate):
            return rate
        case FireSteadily(span=span):
            return span.low_fire_rate
        case NoFiringFits():
            return 0.0
    assert_never(firing)


def _cooled_to(proof: Proof, fact: Fact, show: Show) -> str:
    run = next((each.run for each in proof.runs if fact.shown in {"", each.name}), None)
    time = "" if run is None else lasting(run.duration)
    if abs(fact.value.value) < _NO_VACUUM:
        return cooling.STAYS_AT_ZERO
    entry = cooling.STILL_ABOVE if fact.value.value > 0.0 else cooling.LOWEST
    return entry.format(time=time, value=show(fact.value))


def _other(proof: Proof, found: Found, shown: str) -> float | None:
    return next((each.value.value for each in proof.facts if each.found is found and each.shown == shown), None)

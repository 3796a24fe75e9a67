"""What is said of a warm-up and of a cooling beside its checks and its plain numbers."""

from typing import Final, assert_never

from evenfire.delivery.units import Rounding
from evenfire.delivery.words import cooling, proofs, warming
from evenfire.delivery.words.clock import lasting
from evenfire.delivery.words.entry import Show
from evenfire.judgement.case import Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.proofs.result import Fact, FiringSchedule, Found, Proof, Scenario, Watched
from evenfire.judgement.rules.practice import WARMED_AT_LOW_FIRE, kept_low_until
from evenfire.physics.schedule import FireByTheClock, FireSteadily, Firing, NoFiringFits
from evenfire.plant.known import Origin
from evenfire.si import Dimension, Quantity

_SAME: Final = 1.01
"""Rates nearer than this are one [1]."""
_NO_VACUUM: Final = 100.0
"""A gauge shows no less [Pa]."""
_FINEST: Final = 300.0
"""Nobody keeps a warm-up by the clock closer [s]."""


def besides(case: Case, proof: Proof, show: Show) -> tuple[str, ...]:
    """What to do whatever the verdict is."""
    boiler = case.boiler
    match proof.scenario:
        case Scenario.COLD_START:
            return _at_a_cold_start(case, proof, show)
        case Scenario.HOLD_ABSENT:
            return (warming.LEAVE_THE_HOLD,)
        case Scenario.SHUTDOWN:
            breaks = boiler.breaks_vacuum
            is_known = breaks is not None and breaks.origin is not Origin.ASSUMED
            told = breaks.value > 0 if is_known and breaks is not None else None
            return (cooling.to_do_after_shutdown(boiler.kind, breaks_vacuum=told),)
        case _:
            return ()


def _at_a_cold_start(case: Case, proof: Proof, show: Show) -> tuple[str, ...]:
    """Stay with it, and without a hold be the hold."""
    if not follows_the_load(case.boiler):
        return (warming.STAY,)
    if case.boiler.controls.low_fire_hold is not None:
        return (warming.STAY_BESIDE_HOLD,)
    if case.boiler.kind not in WARMED_AT_LOW_FIRE:
        return (warming.STAY,)
    pressure = kept_low_until(case)
    until = warming.UNTIL_STEAM
    if any(check.watched is Watched.WARMS_SLOWLY and not check.holds for check in proof.checks):
        until = warming.UNTIL_CUT_IN
    elif pressure is not None:
        until = warming.UNTIL_PRESSURE.format(pressure=show(Quantity(pressure, Dimension.GAUGE_PRESSURE)))
    return (warming.NO_HOLD.format(until=until), warming.STAY)


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
        entry = proofs.LET_GO if _was_held(proof, fact) else proofs.LEFT_ALONE
        return "" if value <= _SAME * low else entry.format(value=show(fact.value))
    if fact.found is Found.LOW_FIRE_WARMING and not _was_held(proof, fact):
        fastest = _other(proof, Found.FASTEST_WARMING, fact.shown)
        return proofs.BY_HAND.format(value=show(fact.value)) if fastest and fastest > _SAME * value else None
    size = _other(proof, Found.DESIGN_PICK_UP, fact.shown)
    if fact.found is Found.DESIGN_PICK_UP and _other(proof, Found.LOWEST, fact.shown) is not None:
        return ""
    if fact.found is Found.LOWEST and size is not None:
        lowest = show(fact.value, rounding=Rounding.DOWN)
        return proofs.LOWEST_OF_PICK_UP.format(size=f"{round(100 * size)} %", value=lowest)
    if fact.found is Found.LOWEST and proof.scenario is Scenario.SHUTDOWN:
        return _cooled_to(proof, fact, show)
    return None


def _was_held(proof: Proof, fact: Fact) -> bool:
    """Whether a hold let go in that run; one that never does leaves nothing but low fire to tell of."""
    return _other(proof, Found.HOLD_RELEASED, fact.shown) is not None


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

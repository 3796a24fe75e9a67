"""What a rule is: a record with its sources, and one function that answers one question."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeVar

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Basis, Clear, Finding, NotJudged, Outcome, Remedy, Severity, Subject, Term
from evenfire.plant.boiler import Kind
from evenfire.plant.known import NotKnownError
from evenfire.si import ROUNDING_PA, Dimension, Quantity
from evenfire.sources import Citation

Item = TypeVar("Item")


@dataclass(frozen=True, slots=True, kw_only=True)
class Applies:
    """To which boilers a rule applies; ``None`` is no restriction."""

    low_pressure: bool | None = None
    kinds: frozenset[Kind] | None = None

    def to(self, case: Case) -> bool:
        """Whether the rule applies to this boiler."""
        pressure_fits = self.low_pressure is None or self.low_pressure is case.boiler.is_low_pressure
        return pressure_fits and (self.kinds is None or case.boiler.kind in self.kinds)


EVERY_BOILER = Applies()
HIGH_PRESSURE_ONLY = Applies(low_pressure=False)
LOW_PRESSURE_ONLY = Applies(low_pressure=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """A rule's answer about one subject, before the rule's name and weight are put on it."""

    holds: bool
    observed: Quantity | None = None
    limit: Quantity | None = None
    room: Quantity | None = None
    """How far the observed value is on the right side of the limit; negative when it is on the wrong one"""
    terms: tuple[Term, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    detail: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A rule with everything its page says of it."""

    code: str
    question: str
    severity: Severity
    basis: Basis
    number: str = ""
    """The published or practice number, as it is said in the trade"""
    citations: tuple[Citation, ...] = ()
    applies_to: Applies = EVERY_BOILER
    judge: Callable[[Case], tuple[Outcome, ...]]


def at_most(observed: float, limit: float, dimension: Dimension, terms: tuple[Term, ...] = ()) -> Verdict:
    """Holds when ``observed`` does not exceed ``limit``."""
    return _compared(observed, limit, limit - observed, dimension, terms, touching_holds=True)


def at_least(observed: float, limit: float, dimension: Dimension, terms: tuple[Term, ...] = ()) -> Verdict:
    """Holds when ``observed`` does not fall short of ``limit``."""
    return _compared(observed, limit, observed - limit, dimension, terms, touching_holds=True)


def below(observed: float, limit: float, dimension: Dimension, terms: tuple[Term, ...] = ()) -> Verdict:
    """Holds when ``observed`` is truly below ``limit``; touching it does not hold."""
    return _compared(observed, limit, limit - observed, dimension, terms, touching_holds=False)


def yes_or_no(holds: bool, *, detail: str = "") -> Verdict:
    """Holds or not, with no number to it."""
    return Verdict(holds=holds, detail=detail)


def _compared(
    observed: float,
    limit: float,
    room: float,
    dimension: Dimension,
    terms: tuple[Term, ...],
    *,
    touching_holds: bool,
) -> Verdict:
    """Compare with the noise of unit conversion taken out, so that 150 psi against 150 psi touches."""
    pressures = {Dimension.GAUGE_PRESSURE, Dimension.ABSOLUTE_PRESSURE, Dimension.PRESSURE_DIFFERENCE}
    noise = ROUNDING_PA if dimension in pressures else 1e-9 * max(abs(observed), abs(limit))
    difference = Dimension.PRESSURE_DIFFERENCE if dimension is Dimension.GAUGE_PRESSURE else dimension
    if difference is Dimension.TEMPERATURE:
        difference = Dimension.TEMPERATURE_DIFFERENCE
    return Verdict(
        holds=room >= -noise if touching_holds else room > noise,
        observed=Quantity(observed, dimension),
        limit=Quantity(limit, dimension),
        room=Quantity(room, difference),
        terms=terms,
    )


def rule(
    *,
    code: str,
    question: str,
    severity: Severity,
    basis: Basis,
    subject: Subject,
    number: str = "",
    citations: tuple[Citation, ...] = (),
    applies_to: Applies = EVERY_BOILER,
) -> Callable[[Callable[[Case], Verdict]], Rule]:
    """Make a rule about one subject of a function that answers its question."""

    def made(function: Callable[[Case], Verdict]) -> Rule:
        def judge(case: Case) -> tuple[Outcome, ...]:
            return (outcome(code, severity, basis, subject, lambda: function(case)),)

        return Rule(
            code=code,
            question=question,
            severity=severity,
            basis=basis,
            number=number,
            citations=citations,
            applies_to=applies_to,
            judge=judge,
        )

    return made


def rule_for_each(
    *,
    items: Callable[[Case], Iterable[tuple[Subject, Item]]],
    code: str,
    question: str,
    severity: Severity,
    basis: Basis,
    number: str = "",
    citations: tuple[Citation, ...] = (),
    applies_to: Applies = EVERY_BOILER,
) -> Callable[[Callable[[Case, Item], Verdict]], Rule]:
    """Make a rule about each of several subjects (valves, burners, controls); none of them there, no outcome."""

    def made(function: Callable[[Case, Item], Verdict]) -> Rule:
        def judge(case: Case) -> tuple[Outcome, ...]:
            return tuple(
                outcome(code, severity, basis, subject, lambda item=item: function(case, item))  # type: ignore[misc]
                for subject, item in items(case)
            )

        return Rule(
            code=code,
            question=question,
            severity=severity,
            basis=basis,
            number=number,
            citations=citations,
            applies_to=applies_to,
            judge=judge,
        )

    return made


def outcome(code: str, severity: Severity, basis: Basis, subject: Subject, answer: Callable[[], Verdict]) -> Outcome:
    """Put the rule's name and weight on its answer."""
    try:
        verdict = answer()
    except NotKnownError as missing:
        return NotJudged(code=code, severity=severity, basis=basis, subject=subject, missing=missing.keys)
    if verdict.holds:
        return Clear(
            code=code,
            severity=severity,
            basis=basis,
            subject=subject,
            observed=verdict.observed,
            limit=verdict.limit,
            margin=verdict.room,
            terms=verdict.terms,
        )
    short_by = None if verdict.room is None else Quantity(max(0.0, -verdict.room.value), verdict.room.dimension)
    return Finding(
        code=code,
        severity=severity,
        basis=basis,
        subject=subject,
        observed=verdict.observed,
        limit=verdict.limit,
        short_by=short_by,
        terms=verdict.terms,
        remedies=verdict.remedies,
        detail=verdict.detail,
    )

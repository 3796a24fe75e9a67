"""What a rule asks of the survey: a value, or the keys that would give it; and the subjects it goes through."""

from typing import TypeVar

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import PART_OF_ROLE, Part, Subject
from evenfire.plant.burner import Burner
from evenfire.plant.controls import Control, Role
from evenfire.plant.known import Datum, NotKnownError, Origin
from evenfire.plant.safety_valve import SafetyValve
from evenfire.plant.settings import AsFound

Value = TypeVar("Value")

LIMITS = (Role.HIGH_LIMIT, Role.OPERATING_LIMIT)
"""Controls that every boiler must have; one that is not there leaves its questions open."""


def stated(value: Value | None, *keys: str) -> Value:
    """The value; otherwise :class:`~evenfire.plant.known.NotKnownError` with the keys that would give it."""
    if value is None:
        raise NotKnownError(keys)
    return value


def noted(datum: Datum | None, *keys: str) -> float:
    """The number of a datum that somebody surveyed; a number that was assumed counts as missing."""
    if datum is None or datum.origin is Origin.ASSUMED:
        raise NotKnownError(keys)
    return datum.value


def fitted(case: Case, role: Role) -> Control:
    """The control that does this work; a control that is not there is a missing one."""
    return stated(case.boiler.controls.of(role), f"controls.{role.value}")


def found(case: Case, *keys: str) -> AsFound:
    """The state in which the boiler was found, asked for one of its keys."""
    return stated(case.boiler.as_found, *keys)


def controls(case: Case) -> tuple[tuple[Subject, Role], ...]:
    """Both limits, and every other control that is fitted."""
    roles = [role for role in Role if role in LIMITS or case.boiler.controls.of(role) is not None]
    return tuple((Subject(PART_OF_ROLE[role]), role) for role in roles)


def valves(case: Case) -> tuple[tuple[Subject, SafetyValve], ...]:
    """Every safety valve."""
    return tuple((Subject(Part.SAFETY_VALVE, valve.name), valve) for valve in case.boiler.safety_valves)


def burners(case: Case) -> tuple[tuple[Subject, Burner | None], ...]:
    """The burner on each of its fuels; a fired boiler whose burner nobody described leaves its questions open."""
    described = case.boiler.burners
    if not described and case.boiler.electric_input is None:
        return ((Subject(Part.BURNER), None),)
    several = len(described) > 1
    return tuple((Subject(Part.BURNER, burner.fuel.value if several else ""), burner) for burner in described)

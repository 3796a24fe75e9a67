"""How a check ends: a finding, clear, or not judged. There is no fourth way, and silence is none of them."""

from dataclasses import dataclass
from enum import Enum

from evenfire.plant.controls import Role
from evenfire.si import DiffPa, Quantity


class Severity(Enum):
    """How much a finding weighs, worst first."""

    STOP = "stop"
    """Not to be fired like this."""
    WARN = "warn"
    """Works until something is at the edge of its tolerance."""
    ADVISE = "advise"
    """Practice."""


class Basis(Enum):
    """What a rule stands on."""

    PUBLISHED = "published"
    DERIVED = "derived"
    """Arithmetic from physics, tolerances and order; nobody need publish it"""
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"


class Part(Enum):
    """What an outcome speaks of."""

    BOILER = "boiler"
    BURNER = "burner"
    SAFETY_VALVE = "safety valve"
    PRESSURE_GAUGE = "pressure gauge"
    OPERATING_LIMIT = "operating limit"
    HIGH_LIMIT = "high limit"
    FIRING_RATE = "firing-rate control"
    LOW_FIRE_HOLD = "low-fire hold"


PART_OF_ROLE = {
    Role.OPERATING_LIMIT: Part.OPERATING_LIMIT,
    Role.HIGH_LIMIT: Part.HIGH_LIMIT,
    Role.FIRING_RATE: Part.FIRING_RATE,
    Role.LOW_FIRE_HOLD: Part.LOW_FIRE_HOLD,
}


@dataclass(frozen=True, slots=True)
class Subject:
    """What an outcome speaks of, and which one when there are several."""

    part: Part
    name: str = ""


class Route(Enum):
    """How a number was come by; measured beats computed beats assumed."""

    MEASURED = "measured"
    COMPUTED = "computed"
    ASSUMED = "assumed"
    """Computed, but from at least one assumed value"""
    SIMULATED = "simulated"
    """The closed form fell short of the simulation, and was widened to it"""
    STATED = "stated"
    """A tolerance or a setting as the survey gives it"""


class TermName(Enum):
    """What a term of a margin is."""

    TOLERANCE_OF_OPERATING_LIMIT = "tolerance of the operating limit"
    TOLERANCE_OF_HIGH_LIMIT = "tolerance of the high limit"
    TOLERANCE_OF_FIRING_RATE = "tolerance of the firing-rate control"
    TOLERANCE_OF_HOLD = "tolerance of the low-fire hold"
    TOLERANCE_OF_VALVE = "tolerance of the safety valve"
    RUN_ON_AT_CUT_OUT = "run-on after cut-out"
    RUN_ON_AT_FULL_FIRE = "run-on from full fire"
    UNDERSHOOT = "undershoot after cut-in"
    OVERSHOOT_OF_DROP = "overshoot of the design drop"
    FALL_AT_LOAD = "fall below the high-fire point under load"
    LINE_DROP = "line drop"
    VALVE_GAP = "gap wanted below the safety valve"


@dataclass(frozen=True, slots=True)
class Term:
    """One quantity that entered a judgement, and how it was come by."""

    name: TermName
    quantity: Quantity
    route: Route
    assumptions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Remedy:
    """One dial, one direction, one least amount that would clear a finding taken alone."""

    role: Role
    turn: str
    """``"main"`` or ``"differential"``"""
    change: DiffPa
    """Signed, at least this far [Pa]"""
    breaks: tuple[str, ...] = ()
    """Demands, by their code, that are met now and would no longer be"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """Something is wrong."""

    code: str
    severity: Severity
    basis: Basis
    subject: Subject
    observed: Quantity | None = None
    limit: Quantity | None = None
    short_by: Quantity | None = None
    """How far the observed value is on the wrong side of the limit"""
    terms: tuple[Term, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    detail: str = ""
    """Chooses between wordings of one code, never a sentence"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clear:
    """Looked at and in order."""

    code: str
    severity: Severity
    basis: Basis
    subject: Subject
    observed: Quantity | None = None
    limit: Quantity | None = None
    margin: Quantity | None = None
    terms: tuple[Term, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NotJudged:
    """Could not be looked at: which plant-file keys would change that."""

    code: str
    severity: Severity
    basis: Basis
    subject: Subject
    missing: tuple[str, ...]


Outcome = Finding | Clear | NotJudged

"""What a proof says."""

from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING

from evenfire.judgement.outcome import Basis, TermName
from evenfire.physics.schedule import Firing
from evenfire.si import Dimension, Quantity

if TYPE_CHECKING:
    # Whoever only tells of proofs loads no arrays and no compiler.
    from evenfire.physics.motion.run import Run


class Scenario(Enum):
    """What the boiler is put through."""

    STEADY_LOADS = "steady loads"
    """From nothing to full load, each for hours"""
    DAY = "the plant's day"
    PICK_UP = "pick-up"
    """The design pick-up from low-fire load"""
    PICK_UP_AFTER_RESTART = "pick-up after a restart"
    """The same at the very moment of cut-in"""
    DROP = "drop"
    """The design drop from the highest load"""
    HIGH_LIMIT_ALONE = "high limit alone"
    """Operating limit welded, drive stuck at full fire, load gone: what a high limit is for"""
    VALVES_ALONE = "safety valves alone"
    """Both limits failed as well"""
    COLD_START = "cold start"
    LOW_WATER = "low-water stop and restart"
    POWER_DIP = "power dip"
    HOLD_ABSENT = "hold absent"
    """A cold start with the low-fire hold bypassed"""
    SHUTDOWN = "shutdown and vacuum"
    """Burner switched off, stop valve shut: it cools"""


class Watched(Enum):
    """What a proof looks at; each is an observed quantity against a limit."""

    NEED = "the need is held"
    DIP = "a dip below the need stays within what the users stand"
    DIP_TIME = "a dip is over in time"
    WISH = "pressure stays within the wish"
    DOWNSTREAM = "pressure stays within what hangs downstream"
    NO_TRIP = "the high limit does not act"
    NO_LIFT = "no safety valve can lift"
    NO_STOP = "the burner is not stopped"
    LOW_FIRE_FIRST = "low fire is reached before the stop"
    HOLD_LETS_GO = "the hold lets go"
    KEPT_LOW = "at low fire until it steams"
    HOLD_IS_NO_TRAP = "no dip under load falls into the hold that let go"
    WARMS_SLOWLY = "the water warms no faster than is known for its kind"
    STAYS_ABOVE_HOLD = "pressure does not fall into the hold"
    STAYS_OFF = "the burner stays off until a hand resets"
    ACCUMULATION = "safety valves hold the accumulation"
    RESTARTS = "the burner comes back by itself"
    RUNS_THROUGH = "there is water in the boiler, steam above it, and a pressure at which both are known"


class Verdict(Enum):
    """How a proof ends."""

    HOLDS = "holds"
    FAILS = "fails"
    WARNS = "warns"
    """Nobody's rule and no demand of the plant is broken, but practice or memory says to do it otherwise"""
    TOLD = "told"
    """Nothing was demanded; it says what happens"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortfall:
    """Motion that settings were reckoned with too small a number for, as a failed check tells it."""

    term: TermName
    by: float
    """At least so much [Pa]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One thing a proof looked at."""

    watched: Watched
    observed: Quantity
    limit: Quantity
    margin: Quantity
    """Negative when it fails"""
    holds: bool
    at: Quantity | None = None
    """When, since the change or the start of the run"""
    shown: str = ""
    """Name of the run that decided it"""
    basis: Basis = Basis.DERIVED
    """Whose word the limit is"""
    shortfall: Shortfall | None = None
    """Of a failed check that other dials may mend; none where no dial does, or nobody knows how far to turn it"""


class Found(Enum):
    """What a proof found out, beside its checks."""

    STARTS = "starts an hour"
    LARGEST_PICK_UP = "largest pick-up that still holds the need"
    DESIGN_PICK_UP = "pick-up that was run, of which the lowest pressure is"
    FASTEST_FALL = "fastest fall of load that is ridden without a stop"
    LOWEST_LOAD_RIDDEN = "lowest load that is ridden without a stop"
    OVERSHOOT = "overshoot"
    RUN_ON = "run-on"
    TIME_TO_STEAM = "time to first steam"
    TIME_TO_BAND = "time to the working band"
    FASTEST_WARMING = "fastest rise of saturation temperature"
    """Over ten minutes, as the next"""
    LOW_FIRE_WARMING = "fastest rise of saturation temperature at low fire"
    HOLD_RELEASED = "the hold let go"
    LOWEST = "lowest pressure"
    HIGHEST = "highest pressure"
    PINNED_BY_HOLD = "pressure fell into the hold, which pins the burner at low fire until load is shed"
    PINNED_BEFORE = "it stood in the hold, pinned at low fire, before anything was interrupted"
    """When the hold took, since the start of the run"""
    ANY_FALL = "any fall of load is ridden without a stop, however fast"
    """The lowest load of it"""
    STOOD_OFF = "the high limit stopped it for good, and no later start is counted"
    """When, since the start of the run"""
    BROKE_OFF = "smallest change of load in the search with which the simulation broke off"
    COOLS_INTO_HOLD = "cooled down to the low-fire hold"
    ZERO_GAUGE = "cooled down to zero gauge"
    HALF_VACUUM = "cooled down to half the pressure of the air"
    BELOW_ZERO = "time under vacuum"
    DEEPEST_VACUUM = "pressure once it is as cold as the room"
    WATER_SHRINKS = "share of its water by which the level falls while it cools"
    SHRINKS_TO_CUTOFF = "cooled until the low-water cutoff opens for the shrinking alone"
    BACK_AT_WORK = "from zero gauge back to the working band"
    OUT_OF_SERVICE = "time below the need"
    SHORT_OF_RELIEF = "relieving capacity lacking"


@dataclass(frozen=True, slots=True)
class Fact:
    """One number that a proof found out."""

    found: Found
    value: Quantity
    shown: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A run that the proof rests on, to be drawn."""

    name: str
    """Short, for a label: a share of full load, or the corner its dials stood at"""
    run: "Run"
    ambient: float
    """[Pa abs]"""
    broke_off: bool = False
    """The boiler ran dry, filled to the top or left every known pressure; ``run`` reaches until shortly before"""


@dataclass(frozen=True, slots=True, kw_only=True)
class FiringSchedule:
    """How to warm the boiler on one of its fuels where low fire alone would be too fast."""

    name: str
    firings: tuple[Firing, ...]
    """One for each part of the way from cold to cut-in"""


@dataclass(frozen=True, slots=True, kw_only=True)
class WallStrain:
    """How hard a warm-up strains the thickest wall: heat alone, without pressure and without holes."""

    name: str
    difference: float
    """Largest of wall mean less inner surface, negative while it warms [K]"""
    stress: float
    """At the inner surface then, tension positive [Pa]"""
    steady_stress: float
    """What the closed form says of the fastest rate, held for long [Pa]"""
    at: float
    """[s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """A scenario that was run."""

    scenario: Scenario
    verdict: Verdict
    checks: tuple[Check, ...]
    """Narrowest first; the failed ones lead"""
    facts: tuple[Fact, ...] = ()
    runs: tuple[Shown, ...] = ()
    seen: dict[TermName, float] = field(default_factory=dict)
    """Motion that settings depend on, as it was seen here [Pa]"""
    schedules: tuple[FiringSchedule, ...] = ()
    """Of a cold start, where a rate is known that may not be passed"""
    walls: tuple[WallStrain, ...] = ()
    """Of a cold start; none where nobody knows the wall"""
    not_told: tuple[str, ...] = ()
    """Plant-file keys that would tell more"""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotProved:
    """A scenario that could not be run, and the plant-file keys that would change that."""

    scenario: Scenario
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NotApplicable:
    """A scenario that says nothing of this boiler."""

    scenario: Scenario


Proved = Proof | NotProved | NotApplicable


def concluded(
    scenario: Scenario,
    checks: list[Check],
    facts: tuple[Fact, ...] = (),
    runs: tuple[Shown, ...] = (),
    seen: dict[TermName, float] | None = None,
) -> Proof:
    """A proof with its verdict: it fails with any of its checks, and with any run that broke off.

    A limit that nothing but practice or memory gives only warns.
    """
    checks = checks + [_broken(shown) for shown in runs if shown.broke_off]
    order = sorted(checks, key=lambda check: (check.holds, check.margin.value))
    verdict = _verdict(order)
    return Proof(scenario=scenario, verdict=verdict, checks=tuple(order), facts=facts, runs=runs, seen=seen or {})


def _verdict(checks: list[Check]) -> Verdict:
    if not checks:
        return Verdict.TOLD
    failed = [check for check in checks if not check.holds]
    if not failed:
        return Verdict.HOLDS
    return Verdict.WARNS if all(is_mild(check) for check in failed) else Verdict.FAILS


def is_mild(check: Check) -> bool:
    """Whether nothing stands behind the limit but practice or memory: passing it is no violation."""
    return check.basis in {Basis.COMMON_PRACTICE, Basis.FROM_MEMORY}


def _broken(shown: Shown) -> Check:
    return Check(
        watched=Watched.RUNS_THROUGH,
        observed=Quantity(0.0, Dimension.NUMBER),
        limit=Quantity(1.0, Dimension.NUMBER),
        margin=Quantity(-1.0, Dimension.NUMBER),
        holds=False,
        at=Quantity(shown.run.duration, Dimension.TIME),
        shown=shown.name,
    )

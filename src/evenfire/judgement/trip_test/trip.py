"""A trip test as it was done, and how it came out."""

from dataclasses import dataclass
from datetime import date
from enum import Enum

from evenfire.judgement.trip_test.budget import Budget
from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.judgement.trip_test.repeatability import Repeatability, Scatter
from evenfire.plant.controls import Role
from evenfire.plant.possible import require_not_negative, require_positive
from evenfire.si import DiffPa, Dimension, GaugePa

TESTED = (Role.HIGH_LIMIT, Role.OPERATING_LIMIT)
"""The controls that a trip test is for."""


class Method(Enum):
    """How the control was made to act."""

    TRUE_RISE = "true rise"
    """The pressure rose to where the control stands set"""
    TURNED_DOWN = "setting turned down"
    """The dial was turned down to the pressure: shows that it works, not where it acts as left"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One repeat."""

    shown: GaugePa
    """On the reference gauge at the moment the control acted [Pa gauge]"""
    burner_off_after: float | None = None
    """From that moment until the flame was out [s]"""

    def __post_init__(self) -> None:
        require_not_negative("burner_off", self.burner_off_after, Dimension.TIME)


@dataclass(frozen=True, slots=True, kw_only=True)
class TripTest:
    """A trip test as it was done; ``None`` is what nobody wrote down."""

    role: Role
    method: Method | None
    on: date
    set_pressure: GaugePa | None
    """Where it shall act, at the boiler [Pa gauge]"""
    band: DiffPa | None
    """How far from there it may act, either way: the narrower of what its aim allows and what was typed [Pa]"""
    gauge: ReferenceGauge | None
    ceiling: GaugePa | None = None
    """Lower of MAWP and earliest lift, above which no band reaches; nothing where neither is known [Pa gauge]"""
    is_other_aim: bool = False
    """Made against another pressure than the control is to act at: whatever it shows, it proves nothing"""
    wider_was_typed: bool = False
    """A wider band was asked for than its aim allows; the narrower one counts"""
    differential_set: DiffPa | None = None
    """Of an operating limit, by its settings [Pa]"""
    differential_within: DiffPa | None = None
    """How far from there it may be; nothing is said of it where that is not known [Pa]"""
    readings: tuple[Reading, ...] = ()
    rate: float | None = None
    """Rise of the pressure just before it acted [Pa/s]"""
    opened: bool | None = None
    stopped_by_hand: GaugePa | None = None
    """What the gauge showed when a person stopped the burner because it had not acted [Pa gauge]"""
    held_until_reset: bool | None = None
    """Off after the pressure fell, until a hand reset it; nothing where it was not tried"""
    early_reset_took: bool | None = None
    """A reset before the pressure had fallen started the burner; nothing where it was not tried"""
    restarted_at: GaugePa | None = None
    """What the gauge showed when the operating limit let the burner start again [Pa gauge]"""
    at_low_fire: bool | None = None
    """Whether the burner was held at low fire by hand"""

    def __post_init__(self) -> None:
        require_positive("set", self.set_pressure, Dimension.GAUGE_PRESSURE)
        require_positive("within", self.band, Dimension.PRESSURE_DIFFERENCE)
        require_not_negative("rise", self.rate, Dimension.PRESSURE_DIFFERENCE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """What earlier tests tell of repeatability."""

    this_control: tuple[Scatter, ...] = ()
    same_kind: tuple[Scatter, ...] = ()


class Verdict(Enum):
    """How a trip test came out, worst first."""

    DID_NOT_OPEN = "did not open"
    DOES_NOT_LATCH = "does not latch"
    TRIPS_HIGH = "trips high"
    NOT_JUDGED = "not judged"
    MUST_NOT_BE_MADE = "made where it must not be made"
    """Not passed: a safety valve could have lifted before the control had to act"""
    UNDECIDED_HIGH = "undecided on the high side"
    """Not passed: it could not be shown that it acts below its upper limit"""
    FUNCTION_ONLY = "function only"
    """It opens and latches; where it acts as left was not tested"""
    TRIPS_LOW = "trips low"
    """Safe; to be adjusted"""
    SAFE_MAY_TRIP_LOW = "safe, undecided on the low side"
    """Passed for safety; whether it acts too early could not be told"""
    PASSED = "passed"

    @property
    def is_unsafe(self) -> bool:
        """Whether the boiler stays out of service until this is mended and tested again."""
        return self in {Verdict.DID_NOT_OPEN, Verdict.DOES_NOT_LATCH, Verdict.TRIPS_HIGH}

    @property
    def is_safe(self) -> bool:
        """Whether it was shown that the control acts below its upper limit and does what it is for."""
        return self in {Verdict.TRIPS_LOW, Verdict.SAFE_MAY_TRIP_LOW, Verdict.PASSED}


class Caution(Enum):
    """What a reader of the result has to be told beside the verdict."""

    CALIBRATION_OLDER_THAN_USUAL = "calibration older than six months"
    ERRATIC = "scatters more than before"
    NOT_AT_LOW_FIRE = "not held at low fire"
    EARLY_RESET_NOT_TRIED = "reset not tried before the pressure fell"
    RESTART_NOT_READ = "restart pressure not read"
    RESTART_NOT_BELOW = "restart pressure not below where it acted"
    DIFFERENTIAL_NOT_AS_SET = "differential not as set"
    WIDER_BAND_TYPED = "wider band typed than its aim allows"
    SLOW_TO_STOP = "burner slow to stop"
    READ_NEAR_THE_END_OF_THE_SCALE = "read near the end of the gauge's scale"


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptance:
    """Between which measured trip pressures it passes (JCGM 106)."""

    lower_limit: GaugePa
    """Set less band [Pa gauge]"""
    upper_limit: GaugePa
    """Set and band, never above the ceiling of the test [Pa gauge]"""
    lowest: GaugePa
    """From here up it is shown not to act too early [Pa gauge]"""
    highest: GaugePa
    """Up to here it is shown not to act too late [Pa gauge]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proved:
    """What a passed test gives back to the survey; whoever writes it chooses one of the two tolerances."""

    trip: GaugePa
    """Where it truly acts, at the boiler [Pa gauge]"""
    tolerance: DiffPa
    """How far from there it may act the next time, either way, at 95 % [Pa]"""
    tolerance_about_set: DiffPa
    """The same, seen from where it shall act [Pa]"""
    differential: DiffPa | None = None
    """Of an operating limit, where its restart was read; without it the differential is that of its dial [Pa]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TripResult:
    """How a trip test came out."""

    verdict: Verdict
    also: tuple[Verdict, ...] = ()
    """Less grave verdicts that hold as well"""
    most: GaugePa | None = None
    """Above this one single action fails it: upper limit, and abort pressure of a true rise [Pa gauge]"""
    trip: GaugePa | None = None
    """Mean trip point at the boiler [Pa gauge]"""
    highest_seen: GaugePa | None = None
    """Highest single action at the boiler [Pa gauge]"""
    repeatability: Repeatability | None = None
    budget: Budget | None = None
    """Of the mean trip point"""
    guard_above: DiffPa | None = None
    """Kept below the upper limit: one-sided at 95 %, for the next single action [Pa]"""
    acceptance: Acceptance | None = None
    probability_below_upper: float | None = None
    """That it acts below its upper limit the next time [1]"""
    probability_within: float | None = None
    """That it acts within both limits the next time [1]"""
    differential: DiffPa | None = None
    """Of an operating limit: trip point less restart [Pa]"""
    slowest_stop: float | None = None
    """Longest time from acting to flame out [s]"""
    proved: Proved | None = None
    """Only of a test that shows it safe"""
    missing: tuple[str, ...] = ()
    """What would have to be known to judge, or to judge more: fields of the test, of the gauge, keys of the survey"""
    cautions: tuple[Caution, ...] = ()
    assumptions: tuple[str, ...] = ()
    """``ASSUMED_`` names that the result rests on"""

    @property
    def passes_up_to(self) -> GaugePa | None:
        """Highest mean trip point that passes [Pa gauge]; the guard band is kept, and no action lies above the most."""
        if self.acceptance is None:
            return None
        return self.acceptance.highest if self.most is None else min(self.acceptance.highest, self.most)

"""What settle answers."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Outcome
from evenfire.judgement.standing import Standing
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.plant.plant import Plant
from evenfire.plant.settings import Settings
from evenfire.si import DiffPa, Quantity

Change = Callable[[Plant, Boiler], tuple[Plant, Boiler]]
"""A changed survey of the same plant and boiler."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """One demand at one set of settings."""

    code: str
    room: float
    """[Pa], negative where the demand is not met"""
    unit: float
    """The tolerances in which the room is weighed [Pa]"""
    met: bool

    @property
    def weight(self) -> float:
        """Room in units of its own tolerance [1]."""
        return self.room / self.unit


@dataclass(frozen=True, slots=True, kw_only=True)
class NotWeighed:
    """One demand that could not be judged, and what is missing."""

    code: str
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """One set of settings with all that is known of it."""

    settings: Settings
    case: Case
    rooms: tuple[Room, ...]
    not_weighed: tuple[NotWeighed, ...]
    standing: Standing
    outcomes: tuple[Outcome, ...]
    """The whole rule book on these settings"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TradePoint:
    """The fewest starts that some lowest pressure of a restart allows."""

    lowest: float
    """[Pa gauge]"""
    starts: float
    """At the load that cycles most [1/s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """The surveyed value that moves a margin most."""

    code: str
    key: str
    """Of the plant file"""
    change: DiffPa
    """Of the room, when the value is a tenth more [Pa]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fits:
    """Settings that meet every demand that could be judged."""

    boiler: str
    chosen: Chosen
    trade: tuple[TradePoint, ...]
    """From the highest pressure down; empty where starts cannot be estimated"""
    pulls: tuple[Pull, ...]
    combinations: float
    """How many combinations of dial positions were covered [1]"""


class CureKind(Enum):
    """What is changed."""

    PROVE = "prove"
    NARROWER_RANGE = "narrower-range"
    NARROWER_DIFFERENTIAL = "narrower-differential"
    SHORTEN_START = "shorten-start"
    MORE_TURNDOWN = "more-turndown"
    LOWER_NEED = "lower-need"
    RAISE_WISH = "raise-wish"
    RAISE_DOWNSTREAM_RATING = "raise-downstream-rating"
    LONGER_SCALE = "longer-scale"
    HIGHER_VALVES = "higher-valves"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """One change that alone cures a conflict, by the smallest step that works."""

    kind: CureKind
    roles: tuple[Role, ...]
    """Controls that it concerns; empty for a change of the plant"""
    before: Quantity | None
    after: Quantity
    change: Change
    """Carries the cure out on a survey"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """Demands that cannot be met together; without any one of them the others can."""

    codes: tuple[str, ...]
    """Empty where not even the demands that are never relaxed can be kept"""
    cures: tuple[Cure, ...]
    """Each alone cures it, together with any one cure of each conflict before it"""


@dataclass(frozen=True, slots=True, kw_only=True)
class NothingFits:
    """No combination of dial positions meets every demand; the nearest breaks the fewest tolerances."""

    boiler: str
    nearest: Chosen | None
    """Keeps every demand that is never relaxed; ``None`` when not even those can be kept"""
    failing: tuple[Room, ...]
    """The demands that fail there, worst first"""
    conflicts: tuple[Conflict, ...]
    combinations: float
    """[1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class CannotSettle:
    """A demand that is never relaxed, or a dial, could not be judged: nothing is proposed."""

    boiler: str
    missing: tuple[str, ...]


Settlement = Fits | NothingFits | CannotSettle
